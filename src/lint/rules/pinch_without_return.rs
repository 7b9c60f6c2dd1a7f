//! The return is closed on a car that may have none.
//!
//! Why: closing what is not a return line starves or bursts something else, and the reading means nothing.
//!
//! Remedy: branch on `returns: "yes"` (or on the supply style) before the step, on every path.
use crate::lint::flow::Flow;
use crate::lint::held::Marks;
use crate::lint::rule::{Check, Found, Rule};
use crate::terms::{Condition, State};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "pinch-without-return",
    level: Level::Error,
    source: include_str!("pinch_without_return.rs"),
    check: Check::Paths(check),
};

fn check(flow: &Flow<'_>, found: &mut Found<'_>) {
    for (_, step, entry) in flow.before_steps() {
        let closes = step.at == Some(Condition::Pinched)
            || step.makes.contains(&State::ReturnShut)
            || step.makes.contains(&State::ReturnDiverted);
        if closes && step.undoes.is_none() && !entry.held.marks.has(Marks::RETURNS) {
            let message = format!(
                "'{}' works on the return of a car that may have none {}",
                step.id,
                flow.path_to(entry)
            );
            let below = if step.at == Some(Condition::Pinched) { "at" } else { "makes" };
            found.in_tree(flow.tree, "steps", &step.origin, below, message);
        }
    }
}
