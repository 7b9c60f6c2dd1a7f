//! A walk can end with a state that the tree does not say how to undo.
//!
//! Why: whatever was opened, unplugged, fitted or disabled must be put back on every path to an end, or the car goes back
//! to its driver with it.
//!
//! Remedy: add the state under `states:` with the step or procedure that undoes it, or clear it on every path.
use crate::lint::flow::{Flow, Spot};
use crate::lint::rule::{Check, Found, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "undo-missing",
    level: Level::Error,
    source: include_str!("undo_missing.rs"),
    check: Check::Paths(check),
};

fn check(flow: &Flow<'_>, found: &mut Found<'_>) {
    if flow.alone() {
        return;
    }
    for entry in flow.at(Spot::Restore) {
        for state in entry.held.next_to_undo() {
            if flow.tree.undo_of(state).is_some() {
                continue;
            }
            let maker = flow.tree.steps.iter().find(|s| s.makes.contains(&state));
            let message = format!("{state} still holds at an end, and '{}' does not say how it is undone ({})", flow.tree.id, flow.path_to(entry));
            match maker {
                Some(step) => found.in_tree(flow.tree, "steps", &step.origin, "makes", message),
                None => found.at(&flow.tree.files[0], "start", message),
            };
        }
    }
}
