//! A tree says how to undo a state that nothing in it makes.
//!
//! Why: either the line is left over, or the step that should make the state does not say so, and then nothing guards it.
//!
//! Remedy: remove the line, or add the state to `makes` of the step that brings it about.
use crate::lint::flow::Flow;
use crate::lint::rule::{Check, Found, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "undo-unused",
    level: Level::Warning,
    source: include_str!("undo_unused.rs"),
    check: Check::Paths(check),
};

fn check(flow: &Flow<'_>, found: &mut Found<'_>) {
    for undo in &flow.tree.undo {
        let made = flow.tree.steps.iter().any(|s| s.undoes.is_none() && s.makes.contains(&undo.state));
        // A state that only another undoing makes is used as well.
        let again = flow.tree.steps.iter().any(|s| s.undoes.is_some_and(|u| u != undo.state) && s.makes.contains(&undo.state));
        if !made && !again && !flow.tree.needs.contains(&undo.state) {
            let message = format!("nothing in '{}' makes {}", flow.tree.id, undo.state);
            found.in_tree(flow.tree, "states", &undo.origin, "", message);
        }
    }
}
