//! A fuel line is opened on a path where it may be under pressure, the pump may start, or the engine may be hot.
//!
//! Why: fuel at four bar sprays into eyes and onto hot parts. `depressurised` means that zero was seen and the pump is
//! disabled; cranking, key-on and running take it away.
//!
//! Remedy: disable the pump, relieve the pressure, let the engine cool and prove zero, in that order, on every path to the
//! step, with nothing that runs the pump in between.
use crate::lint::flow::Flow;
use crate::lint::rule::{Check, Found, Rule};
use crate::terms::State;
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "open-under-pressure",
    level: Level::Error,
    source: include_str!("open_under_pressure.rs"),
    check: Check::Paths(check),
};

fn check(flow: &Flow<'_>, found: &mut Found<'_>) {
    for (_, step, entry) in flow.before_steps() {
        let opens = step.makes.contains(&State::LineOpen);
        let works = step.requires.contains(&State::LineOpen);
        if !opens && !works {
            continue;
        }
        let needed: &[State] = if opens {
            &[State::Depressurised, State::PumpDisabled, State::EngineCool]
        } else {
            &[State::PumpDisabled]
        };
        if let Some(lacking) = needed.iter().find(|s| !entry.held.sure.contains(**s)) {
            let what = if opens { "opens a fuel line" } else { "works at an open fuel line" };
            let message = format!("'{}' {what} without {lacking} {}", step.id, flow.path_to(entry));
            found.in_tree(flow.tree, "steps", &step.origin, if opens { "makes" } else { "requires" }, message);
        }
    }
}
