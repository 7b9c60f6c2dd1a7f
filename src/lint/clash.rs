//! Which states do not go with which conditions.

use super::held::Held;
use crate::terms::{Condition, State};

/// A state that may hold and does not go with `at`, and why.
pub fn standing(at: Condition, held: &Held) -> Option<(State, &'static str)> {
    // With the pump disabled the starter only uses up what pressure is left.
    let relieves = at == Condition::Crank && held.sure.contains(State::PumpDisabled);
    held.maybe
        .iter()
        .filter(|s| !(relieves && *s == State::ReturnDiverted))
        .find_map(|s| s.clash(at).map(|why| (s, why)))
}
