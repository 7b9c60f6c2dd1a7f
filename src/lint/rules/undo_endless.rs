//! An undoing never comes to its end.
//!
//! Why: a state whose undoing only ever ends in "could not" stays on the car.
//!
//! Remedy: give the procedure an exit that means undone, and lead its last step there.
use crate::lint::flow::Flow;
use crate::lint::rule::{Check, Found, Rule};
use crate::tree::{Level, Target};

/// The rule.
pub const RULE: Rule = Rule {
    id: "undo-endless",
    level: Level::Error,
    source: include_str!("undo_endless.rs"),
    check: Check::Paths(check),
};

fn check(flow: &Flow<'_>, found: &mut Found<'_>) {
    for undo in &flow.tree.undo {
        let ends = flow.tree.steps.iter().enumerate().any(|(i, s)| {
            s.undoes == Some(undo.state) && flow.edges[i].iter().any(|e| e.to == Target::Undone)
        });
        if !ends {
            let message = format!("the undoing of {} never ends as done", undo.state);
            found.in_tree(flow.tree, "states", &undo.origin, "undo", message);
        }
    }
}
