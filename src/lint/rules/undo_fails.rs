//! An undoing ends as done while its state still holds.
//!
//! Why: the walk would tick the state off, and the car would keep it.
//!
//! Remedy: let the undoing step or procedure `clears` the state on every path to the exit that means undone. Lead a path
//! that cannot to the exit `cannot`.
use crate::lint::flow::{Flow, Spot};
use crate::lint::rule::{Check, Found, Rule};
use crate::tree::{Level, Target};

/// The rule.
pub const RULE: Rule = Rule {
    id: "undo-fails",
    level: Level::Error,
    source: include_str!("undo_fails.rs"),
    check: Check::Paths(check),
};

fn check(flow: &Flow<'_>, found: &mut Found<'_>) {
    for undo in &flow.tree.undo {
        let clears = flow.tree.steps.iter().any(|s| s.undoes == Some(undo.state) && s.clears.contains(&undo.state));
        if !clears {
            let message = format!("nothing in the undoing of {} clears it", undo.state);
            found.in_tree(flow.tree, "states", &undo.origin, "undo", message);
        }
    }
    for (i, step) in flow.tree.steps.iter().enumerate() {
        let Some(state) = step.undoes else { continue };
        for edge in flow.edges[i].iter().filter(|e| e.to == Target::Undone) {
            for entry in flow.at(Spot::Step(i)) {
                if entry.held.after(&edge.change).maybe.contains(state) {
                    let Some(undo) = flow.tree.undo_of(state) else { continue };
                    let message = format!(
                        "the undoing of {state} ends as done after '{}', and the state still holds",
                        step.id
                    );
                    found.in_tree(flow.tree, "states", &undo.origin, "undo", message);
                }
            }
        }
    }
}
