//! Sets of states, and what a step does to them.

use super::graph::{Edge, Step, StepKind};
use crate::terms::{Condition, State};
use std::fmt;

/// A set of states, small enough to copy.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct StateSet(u32);

impl StateSet {
    /// The empty set.
    pub const EMPTY: Self = Self(0);

    /// Every state: the start value of a meet over paths.
    pub fn all() -> Self {
        State::ALL.iter().copied().collect()
    }

    const fn bit(state: State) -> u32 {
        1 << state as u32
    }

    /// Whether `state` is in it.
    pub fn contains(self, state: State) -> bool {
        self.0 & Self::bit(state) != 0
    }

    /// Whether every one of `other` is in it.
    pub fn contains_all(self, other: Self) -> bool {
        self.0 & other.0 == other.0
    }

    /// Puts `state` in.
    pub fn insert(&mut self, state: State) {
        self.0 |= Self::bit(state);
    }

    /// Takes `state` out.
    pub fn remove(&mut self, state: State) {
        self.0 &= !Self::bit(state);
    }

    /// What is in either.
    pub fn union(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// What is in both.
    pub fn intersection(self, other: Self) -> Self {
        Self(self.0 & other.0)
    }

    /// What is in this and not in `other`.
    pub fn minus(self, other: Self) -> Self {
        Self(self.0 & !other.0)
    }

    /// Whether nothing is in it.
    pub fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// Its states in the order of the vocabulary.
    pub fn iter(self) -> impl Iterator<Item = State> {
        State::ALL.iter().copied().filter(move |s| self.contains(*s))
    }
}

impl FromIterator<State> for StateSet {
    fn from_iter<I: IntoIterator<Item = State>>(states: I) -> Self {
        let mut set = Self::EMPTY;
        for state in states {
            set.insert(state);
        }
        set
    }
}

impl From<&[State]> for StateSet {
    fn from(states: &[State]) -> Self {
        states.iter().copied().collect()
    }
}

impl fmt::Debug for StateSet {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_set().entries(self.iter().map(State::id)).finish()
    }
}

/// What leaving a step by one edge does to the states: first `takes` goes, then `gives` comes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Effects {
    /// States that no longer hold.
    pub takes: StateSet,
    /// States that hold from now on.
    pub gives: StateSet,
}

impl Effects {
    /// `held` after the step.
    pub fn apply(self, held: StateSet) -> StateSet {
        held.minus(self.takes).union(self.gives)
    }
}

/// The states that a condition ends without anybody writing it: pressure comes with the pump, heat with running.
pub fn condition_takes(condition: Option<Condition>) -> StateSet {
    let mut takes = StateSet::EMPTY;
    if let Some(condition) = condition {
        if condition.pressurises() {
            takes.insert(State::Depressurised);
        }
        if condition.running() {
            takes.insert(State::EngineCool);
        }
    }
    takes
}

impl<T> Step<T> {
    /// What leaving this step by `edge` does to the states of the car.
    ///
    /// The condition takes its states away, then `clears`, then `makes` comes; a line opened takes `leak-checked` away. A
    /// step that could not be done changes nothing. A protective state (one nobody has to undo, such as `leak-checked`) is
    /// made by a look or a reading only on the answer that means nothing is wrong: the observation's first outcome, or
    /// `within`.
    pub fn effects(&self, edge: Edge) -> Effects {
        if edge == Edge::Cannot || !self.asks() {
            return Effects::default();
        }
        let good = match &self.kind {
            StepKind::Observe { observation, answers } => match edge {
                Edge::Answer(i) => answers
                    .get(i)
                    .is_some_and(|a| observation.outcomes().first().is_some_and(|o| o.id == a.outcome.id)),
                _ => false,
            },
            StepKind::Read(_) => edge == Edge::Within,
            _ => true,
        };
        let mut takes = condition_takes(self.at).union(self.clears.iter().copied().collect());
        if self.makes.contains(&State::LineOpen) {
            takes.insert(State::LeakChecked);
        }
        let gives = self.makes.iter().copied().filter(|s| good || s.must_be_undone()).collect();
        Effects { takes, gives }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_set_holds_every_state_apart() {
        let all = StateSet::all();
        assert_eq!(all.iter().count(), State::ALL.len());
        for &state in State::ALL {
            let mut one_less = all;
            one_less.remove(state);
            assert!(!one_less.contains(state) && !one_less.contains_all(all));
            assert_eq!(all.minus(one_less).iter().collect::<Vec<_>>(), [state]);
        }
    }

    #[test]
    fn conditions_take_pressure_and_coolness_as_the_language_says() {
        for &c in Condition::ALL {
            let takes = condition_takes(Some(c));
            let pressure = !matches!(c, Condition::Rest);
            let running =
                matches!(c, Condition::Idle | Condition::Raised | Condition::Cruise | Condition::Load);
            assert_eq!(takes.contains(State::Depressurised), pressure, "{c}");
            assert_eq!(takes.contains(State::EngineCool), running, "{c}");
        }
        assert!(condition_takes(None).is_empty());
    }
}
