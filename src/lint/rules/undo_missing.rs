//! A tree makes a state and does not say how it is undone.
//!
//! Why: a case can be handed over at any step. Whatever was opened, unplugged, fitted or disabled must be put back then, or
//! the car goes back to its driver with it.
//!
//! Remedy: add the state under `states:` with the step or procedure that undoes it.
use crate::lint::flow::Flow;
use crate::lint::rule::{Check, Found, Rule};
use crate::tree::{Level, StateSet};

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
    let mut said = StateSet::EMPTY;
    for step in &flow.tree.steps {
        for state in step.makes.iter().copied() {
            if !state.must_be_undone() || said.contains(state) {
                continue;
            }
            said.insert(state);
            if flow.tree.undo_of(state).is_none() {
                let message =
                    format!("'{}' makes {state}, and '{}' does not say how it is undone", step.id, flow.tree.id);
                found.in_tree(flow.tree, "steps", &step.origin, "makes", message);
            }
        }
    }
}
