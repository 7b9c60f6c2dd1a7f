//! A tree states a prior or a likelihood for a fault that it never comes to.
//!
//! Why: the figure moves the odds of the other faults, and no end of the tree names this one. Most often its id is a slip, or a
//! finding is missing.
//!
//! Remedy: add the fault to `finds` with a finding, name it in `also` or in `narrowed` of an end, or take the figure out.
use crate::lint::flow::Flow;
use crate::lint::rule::{Check, Found, Rule};
use crate::terms::Fault;
use crate::tree::{FileKind, Level, Tree};

/// The rule.
pub const RULE: Rule = Rule {
    id: "likelihood-unclaimed",
    level: Level::Warning,
    source: include_str!("likelihood_unclaimed.rs"),
    check: Check::Paths(check),
};

/// Whether some end of the tree names `fault`; that nothing is wrong needs no end.
fn comes_to(tree: &Tree, fault: Fault) -> bool {
    fault == Fault::NoFault
        || tree.finds.contains(&fault)
        || tree.findings.iter().any(|f| f.fault == fault || f.also.contains(&fault))
        || tree.handovers.iter().any(|h| h.narrowed.contains(&fault))
}

fn check(flow: &Flow<'_>, found: &mut Found<'_>) {
    let tree = flow.tree;
    // A procedure serves trees that find more than it does itself.
    if tree.kind != FileKind::Tree {
        return;
    }
    if let Some(file) = tree.files.first() {
        for (fault, _) in tree.priors.iter().filter(|(f, _)| !comes_to(tree, *f)) {
            let message = format!("'{}' states how common {fault} is and never comes to it", tree.id);
            found.at(file, format!("priors/{fault}"), message);
        }
    }
    for step in &tree.steps {
        let rows = step.likelihood.iter().flat_map(|l| &l.rows);
        for (fault, _) in rows.filter(|(f, _)| !comes_to(tree, *f)) {
            let message = format!("'{}' states a likelihood for {fault}, which '{}' never comes to", step.id, tree.id);
            found.in_tree(tree, "steps", &step.origin, &format!("likelihood/{fault}"), message);
        }
    }
}
