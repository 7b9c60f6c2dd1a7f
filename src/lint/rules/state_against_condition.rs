//! A step puts the car in a condition that a state it may be in does not allow.
//!
//! Why: nothing would run (pump or ignition disabled), or somebody would be hurt (cap open, fuel led into a container, car
//! on stands on the road).
//!
//! Remedy: undo the state on the path shown before the step.
use crate::lint::clash::standing;
use crate::lint::flow::Flow;
use crate::lint::rule::{Check, Found, Rule};
use crate::terms::{Condition, State};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "state-against-condition",
    level: Level::Error,
    source: include_str!("state_against_condition.rs"),
    check: Check::Paths(check),
};

fn check(flow: &Flow<'_>, found: &mut Found<'_>) {
    for (_, step, entry) in flow.before_steps() {
        let Some(at) = step.at else { continue };
        // Whoever gives up half-way puts back with pump and battery off. The line is at zero then, and nothing has to turn.
        let given_up = step.undoes.is_some() && at == Condition::Crank;
        let idle = given_up && entry.held.sure.contains(State::PumpDisabled);
        let clash = standing(at, &entry.held).filter(|(state, _)| !(idle && *state == State::BatteryOff));
        if let Some((state, why)) = clash {
            let message = format!(
                "'{}' puts the car at {at} while {state} may hold {}: {why}",
                step.id,
                flow.path_to(entry)
            );
            found.in_tree(flow.tree, "steps", &step.origin, "at", message);
        }
    }
}
