//! The pump can run, or the engine be cranked, while a fuel line is open.
//!
//! Why: the pump empties the tank through the open line within minutes. Nobody runs the pump with a line open, outside the
//! tank, or dry.
//!
//! Remedy: close the line on every path before any condition that runs the pump.
use crate::lint::flow::Flow;
use crate::lint::rule::{Check, Found, Rule};
use crate::terms::State;
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "run-with-open-line",
    level: Level::Error,
    source: include_str!("run_with_open_line.rs"),
    check: Check::Paths(check),
};

fn check(flow: &Flow<'_>, found: &mut Found<'_>) {
    for (_, step, entry) in flow.before_steps() {
        let open = entry.held.maybe.contains(State::LineOpen);
        // Whoever gives up half-way puts back with the pump disabled; cranking then moves no fuel.
        let disabled = entry.held.sure.contains(State::PumpDisabled);
        if step.undoes.is_some() && disabled && step.at.is_some() {
            continue;
        }
        if let Some(at) = step.at.filter(|c| c.pressurises())
            && open
        {
            let message =
                format!("'{}' puts the car at {at} with a fuel line open {}", step.id, flow.path_to(entry));
            found.in_tree(flow.tree, "steps", &step.origin, "at", message);
        }
        // Giving the pump its supply back, or the car its battery, comes after the line is closed.
        let back = [(State::PumpDisabled, "gives the pump its supply back"), (State::BatteryOff, "connects the battery")];
        for (state, what) in back {
            if open && step.clears.contains(&state) && !step.clears.contains(&State::LineOpen) {
                let message = format!("'{}' {what} with a fuel line open {}", step.id, flow.path_to(entry));
                found.in_tree(flow.tree, "steps", &step.origin, "clears", message);
            }
        }
    }
}
