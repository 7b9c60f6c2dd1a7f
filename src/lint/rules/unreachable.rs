//! No path leads to a step, finding, hand-over or exit.
//!
//! Why: what nobody can come to is either left over, or an edge that should lead there leads elsewhere.
//!
//! Remedy: lead an edge there, or remove it. The steps that undo a state and the steps that prove a repair count as reached.
use crate::lint::file::{FileView, Node};
use crate::lint::rule::{Check, Found, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "unreachable",
    level: Level::Error,
    source: include_str!("unreachable.rs"),
    check: Check::File(check),
};

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    let d = view.document;
    let mut steps = vec![false; d.steps.len()];
    let mut findings = vec![false; d.findings.len()];
    let mut handovers = vec![false; d.handovers.len()];
    let mut exits = vec![false; d.exits.len()];
    let mut todo: Vec<Node> = view.start.into_iter().chain(view.undo_steps().map(Node::Step)).collect();
    while let Some(node) = todo.pop() {
        match node {
            Node::Step(i) if !steps[i] => {
                steps[i] = true;
                todo.extend(view.edges[i].iter().map(|e| e.to));
            }
            Node::Step(_) => {}
            Node::Finding(i) => findings[i] = true,
            Node::Handover(i) => handovers[i] = true,
            Node::Exit(i) => exits[i] = true,
        }
    }
    // A step that only proves a repair is repeated after it and leads nowhere from there.
    for finding in &d.findings {
        if let Some(Node::Step(i)) = finding.confirm.as_ref().and_then(|c| view.node(&c.repeat)) {
            steps[i] = true;
        }
    }
    let lost = |list: &[bool]| -> Vec<usize> {
        list.iter().enumerate().filter(|(_, seen)| !**seen).map(|(i, _)| i).collect()
    };
    for i in lost(&steps) {
        let id = &d.steps[i].id;
        found.in_file(view, format!("steps/{id}"), format!("no path leads to the step '{id}'"));
    }
    for i in lost(&findings) {
        let id = &d.findings[i].id;
        found.in_file(view, format!("findings/{id}"), format!("no path leads to the finding '{id}'"));
    }
    for i in lost(&handovers) {
        let id = &d.handovers[i].id;
        found.in_file(view, format!("handovers/{id}"), format!("no path leads to the hand-over '{id}'"));
    }
    for i in lost(&exits) {
        found.in_file(view, format!("exits/{i}"), format!("no path leads to the exit '{}'", d.exits[i]));
    }
}
