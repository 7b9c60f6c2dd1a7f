//! The pump can run, or the engine be cranked, after a leak was seen.
//!
//! Why: a car that leaks fuel is not started, not even for a reading. The work ends there until the leak is mended.
//!
//! Remedy: lead the answer `leak` to a hand-over that says: key off, get clear, let nobody start it, mend the leak first.
use crate::lint::flow::Flow;
use crate::lint::held::Marks;
use crate::lint::rule::{Check, Found, Rule};
use crate::terms::State;
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "run-after-leak",
    level: Level::Error,
    source: include_str!("run_after_leak.rs"),
    check: Check::Paths(check),
};

fn check(flow: &Flow<'_>, found: &mut Found<'_>) {
    for (_, step, entry) in flow.before_steps() {
        if !entry.held.maybe_marks.has(Marks::LEAK) || step.undoes.is_some() {
            continue;
        }
        let runs = step.at.filter(|c| c.pressurises());
        let disabled = entry.held.sure.contains(State::PumpDisabled);
        if let Some(at) = runs
            && !disabled
        {
            let message =
                format!("'{}' puts the car at {at} after a leak was seen {}", step.id, flow.path_to(entry));
            found.in_tree(flow.tree, "steps", &step.origin, "at", message);
        }
    }
}
