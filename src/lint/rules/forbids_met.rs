//! A step forbids a state that may hold when a walk comes to it.
//!
//! Why: the author said that the step must not be done in that state, and the path shown leads into it.
//!
//! Remedy: undo the state on that path first, or do not lead it here.
use crate::lint::flow::Flow;
use crate::lint::rule::{Check, Found, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "forbids-met",
    level: Level::Error,
    source: include_str!("forbids_met.rs"),
    check: Check::Paths(check),
};

fn check(flow: &Flow<'_>, found: &mut Found<'_>) {
    for (_, step, entry) in flow.before_steps() {
        for (i, state) in step.forbids.iter().enumerate() {
            if entry.held.maybe.contains(*state) && !step.requires.contains(state) {
                let message = format!("'{}' forbids {state}, which holds {}", step.id, flow.path_to(entry));
                found.in_tree(flow.tree, "steps", &step.origin, &format!("forbids/{i}"), message);
            }
        }
    }
}
