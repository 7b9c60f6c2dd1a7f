//! A procedure is included where a state it needs does not hold on every path.
//!
//! Why: the procedure was checked on the promise that its `needs` hold on entry. Without them its own steps are not safe.
//!
//! Remedy: make the state on the path shown before the procedure is entered, or lead the path elsewhere.
use crate::lint::flow::{Flow, Spot};
use crate::lint::rule::{Check, Found, Rule};
use crate::tree::{Level, StepKind};

/// The rule.
pub const RULE: Rule = Rule {
    id: "needs-unmet",
    level: Level::Error,
    source: include_str!("needs_unmet.rs"),
    check: Check::Paths(check),
};

fn check(flow: &Flow<'_>, found: &mut Found<'_>) {
    for (i, step) in flow.tree.steps.iter().enumerate() {
        let StepKind::Include(include) = &step.kind else { continue };
        for entry in flow.at(Spot::Step(i)) {
            if let Some(state) = include.needs.iter().find(|s| !entry.held.sure.contains(**s)) {
                let message = format!(
                    "'{}' needs {state}, which does not hold {}",
                    include.procedure,
                    flow.path_to(entry)
                );
                found.in_tree(flow.tree, "steps", &step.origin, "include", message);
            }
        }
    }
}
