//! Which states do not go with which conditions.

use super::held::Held;
use crate::terms::{Condition, State};

/// Why `state` does not go with `at`, if it does not.
pub fn clash(state: State, at: Condition) -> Option<&'static str> {
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

/// A state that may hold and does not go with `at`, and why.
pub fn standing(at: Condition, held: &Held) -> Option<(State, &'static str)> {
    // With the pump disabled the starter only uses up what pressure is left.
    let relieves = at == Condition::Crank && held.sure.contains(State::PumpDisabled);
    held.maybe
        .iter()
        .filter(|s| !(relieves && *s == State::ReturnDiverted))
        .find_map(|s| clash(s, at).map(|why| (s, why)))
}
