//! The engine can be started after a fuel line was open and before the joints were seen dry.
//!
//! Why: a joint that leaks with the engine running feeds a fire. After a line is closed it is leak-checked on prime before
//! any start.
//!
//! Remedy: put a look at every joint with the pump running (`observe: fuel-smell-or-leak`, `at: prime`,
//! `makes: [leak-checked]`) on every path between the closing and the start, and lead its answer `leak` to an end.
use crate::lint::flow::Flow;
use crate::lint::held::Marks;
use crate::lint::rule::{Check, Found, Rule};
use crate::terms::{Condition, State};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "start-before-leak-check",
    level: Level::Error,
    source: include_str!("start_before_leak_check.rs"),
    check: Check::Paths(check),
};

fn check(flow: &Flow<'_>, found: &mut Found<'_>) {
    for (_, step, entry) in flow.before_steps() {
        let Some(at) = step.at else { continue };
        let starts = at.running()
            || matches!(at, Condition::Pinched)
            || (at == Condition::Crank && !entry.held.sure.contains(State::PumpDisabled));
        if starts && entry.held.maybe_marks.has(Marks::UNSEEN_JOINT) {
            let message = format!(
                "'{}' puts the car at {at} with a joint that was opened and not seen dry {}",
                step.id,
                flow.path_to(entry)
            );
            found.in_tree(flow.tree, "steps", &step.origin, "at", message);
        }
    }
}
