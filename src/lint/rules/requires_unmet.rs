//! A step requires a state that does not hold on every path to it.
//!
//! Why: the state is what makes the step safe. On the path shown a person would come here without it, and the engine
//! would refuse the step and leave them standing.
//!
//! Remedy: lead that path through the step that makes the state, or do not lead it here. A look or a reading gives a
//! protective state (leak-checked, no-leak-seen, depressurised, engine-cool) only by the answer that means nothing is
//! wrong. Prime, cranking and running take `depressurised` away, running takes `engine-cool`, a line opened takes
//! `leak-checked`. In a procedure, name what its caller must bring in `needs`.
use crate::lint::flow::Flow;
use crate::lint::rule::{Check, Found, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "requires-unmet",
    level: Level::Error,
    source: include_str!("requires_unmet.rs"),
    check: Check::Paths(check),
};

fn check(flow: &Flow<'_>, found: &mut Found<'_>) {
    for (_, step, entry) in flow.before_steps() {
        for (i, state) in step.requires.iter().enumerate() {
            if !entry.held.sure.contains(*state) {
                let message =
                    format!("'{}' requires {state}, which does not hold {}", step.id, flow.path_to(entry));
                found.in_tree(flow.tree, "steps", &step.origin, &format!("requires/{i}"), message);
            }
        }
    }
}
