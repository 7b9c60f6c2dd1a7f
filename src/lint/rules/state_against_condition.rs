//! A step puts the car in a condition that a state it may be in does not allow.
//!
//! Why: nothing would run (pump or ignition disabled), or somebody would be hurt (cap open, fuel led into a container, car
//! on stands on the road).
//!
//! Remedy: undo the state on the path shown before the step.
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

/// Why `state` does not go with `at`, if it does not.
fn clash(state: State, at: Condition) -> Option<&'static str> {
    let driven = matches!(at, Condition::Load | Condition::Cruise);
    let turns = at.running() || at == Condition::Crank;
    match state {
        State::PumpDisabled if at.pressurises() && at != Condition::Crank => Some("the pump cannot run"),
        State::IgnitionDisabled | State::PlugsOut if at.running() => Some("the engine cannot run"),
        State::CapOpen if turns => Some("vapour from the open tank can reach the engine"),
        State::ReturnDiverted if turns => Some("the engine would pump fuel into the container"),
        State::ReturnShut if at.pressurises() && at != Condition::Pinched => {
            Some("the pressure rises to what the pump can give")
        }
        State::OnStands if driven => Some("the car stands on stands"),
        State::AirFilterOff if driven => Some("the engine breathes dirt"),
        State::ReferenceHoseOff | State::SensorHoseOff if driven => {
            Some("the mixture under load is anybody's guess")
        }
        State::RelaySwapped if driven => Some("the car is driven on a borrowed relay"),
        _ => None,
    }
}

fn check(flow: &Flow<'_>, found: &mut Found<'_>) {
    for (_, step, entry) in flow.before_steps() {
        let Some(at) = step.at else { continue };
        // With the pump disabled the starter only uses up what pressure is left.
        let relieves = at == Condition::Crank && entry.held.sure.contains(State::PumpDisabled);
        let standing = entry
            .held
            .maybe
            .iter()
            .filter(|s| !(relieves && *s == State::ReturnDiverted))
            .find_map(|s| clash(s, at).map(|why| (s, why)));
        if let Some((state, why)) = standing {
            let message = format!(
                "'{}' puts the car at {at} while {state} may hold {}: {why}",
                step.id,
                flow.path_to(entry)
            );
            found.in_tree(flow.tree, "steps", &step.origin, "at", message);
        }
    }
}
