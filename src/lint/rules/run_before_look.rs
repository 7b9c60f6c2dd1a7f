//! The pump can run, or the engine be cranked, before anybody has looked for a leak.
//!
//! Why: the first thing done at a car with a fuel complaint is to look and smell for fuel. A walk that primes a leaking
//! system makes the leak.
//!
//! Remedy: lead every path through the look that makes `no-leak-seen` first. In a procedure, name it in `needs`.
use crate::lint::calls::looks_for_leaks;
use crate::lint::flow::Flow;
use crate::lint::rule::{Check, Found, Rule};
use crate::terms::{Condition, State};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "run-before-look",
    level: Level::Error,
    source: include_str!("run_before_look.rs"),
    check: Check::Paths(check),
};

fn check(flow: &Flow<'_>, found: &mut Found<'_>) {
    for (_, step, entry) in flow.before_steps() {
        let Some(at) = step.at.filter(|c| c.pressurises()) else { continue };
        let relieving = at == Condition::Crank && entry.held.sure.contains(State::PumpDisabled);
        if looks_for_leaks(step) || relieving || step.undoes.is_some() {
            continue;
        }
        if !entry.held.sure.contains(State::NoLeakSeen) {
            let message = format!(
                "'{}' puts the car at {at} before a leak was looked for {}",
                step.id,
                flow.path_to(entry)
            );
            found.in_tree(flow.tree, "steps", &step.origin, "at", message);
        }
    }
}
