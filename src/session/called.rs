//! What a test is called: one name wherever it is spoken of, the one its step has in the record.

use super::expectation::seen_at;
use super::one::Session;
use super::outlook::Advice;
use crate::belief::{Evidence, Key, Suggestion};
use crate::tree::StepKind;
use crate::walk::{At, Given, never_waits};

impl Session {
    /// The name of the test that this is, as its step is called that gave it last; of one not done yet, as the step that is open and does it,
    /// or as the steps of the tree are called that would do it. Where these have several names, for they meet the car in several states, it is the one that may be done
    /// now; otherwise, and where no step does it, the test is called by what is read, and when.
    pub fn called(&self, key: Key) -> String {
        let steps = &self.tree().steps;
        let open = self.state().open_step().filter(|_| self.open_test() == Some(key));
        let done = self.given_for(key).map(|(index, _)| index).or(open);
        let name = done.map(|index| steps[index].name().to_owned()).or_else(|| {
            let mut names =
                (0..steps.len()).filter(|i| self.test_of(*i) == Some(key)).map(|i| steps[i].name());
            let first = names.next()?;
            if names.all(|name| name == first) {
                return Some(first.to_owned());
            }
            self.ahead_for(key).and_then(|id| self.tree().step(&id)).map(|step| step.name().to_owned())
        });
        match (name, key) {
            (Some(name), _) => name,
            (None, Key::Reading(reading, condition)) => format!("{}, {}", reading.name(), condition.name()),
            (None, Key::Observation(observation)) => observation.name().to_owned(),
        }
    }

    /// Whether the open step asks what another step of the same name gave already, such as one done before its turn.
    pub fn asks_once_more(&self) -> bool {
        let steps = &self.tree().steps;
        let Some((open, key)) = self.state().open_step().zip(self.open_test()) else { return false };
        self.given_for(key)
            .is_some_and(|(given, _)| given != open && steps[given].name() == steps[open].name())
    }

    /// What another step gave already for what the open step asks, and why it is asked again all the same.
    pub fn seen_before(&self) -> Option<String> {
        if !matches!(self.state().at(), At::Step(_)) || self.state().aim().is_some() {
            return None;
        }
        let (open, key) = self.state().open_step().zip(self.open_test())?;
        let steps = &self.tree().steps;
        // What is looked at anew, because something was done at the car since, is no second witness.
        let alike = |given: usize| given != open && steps[given].at == steps[open].at;
        let (given, what) = self.given_for(key).filter(|(given, _)| alike(*given))?;
        if never_waits(&steps[open]) {
            return None;
        }
        let gave = match (what, key) {
            (Given::Read { taken }, _) => taken.typed.clone(),
            (Given::Answered { outcome, .. }, Key::Observation(observation)) => {
                observation.outcome(outcome).map_or(outcome.as_str(), |o| o.name).to_owned()
            }
            _ => return None,
        };
        let (number, name) = (self.state().number_of(given), steps[given].name());
        Some(format!(
            "Step {number}, {name}, gave: {gave}. It is asked again here: two that agree are hardly both a slip."
        ))
    }

    /// The step that gave this test last, and what it gave.
    pub(super) fn given_for(&self, key: Key) -> Option<(usize, &Given)> {
        let steps = &self.tree().steps;
        let style = self.rig().car.regulator.style;
        let gave = |(index, given): &(usize, &Given)| match (given, &steps[*index].kind) {
            (Given::Read { taken }, _) => {
                Key::Reading(seen_at(taken.reading, taken.place, style), taken.condition) == key
            }
            (Given::Answered { .. }, StepKind::Observe { observation, .. }) => {
                Key::Observation(*observation) == key
            }
            _ => false,
        };
        self.state().set_aside().chain(self.state().path()).filter(gave).last()
    }

    /// A piece of evidence in words: its test by name, and what was seen where that is no figure.
    pub fn in_words(&self, evidence: &Evidence) -> String {
        match evidence {
            Evidence::Reading { reading, condition, .. } => self.called(Key::Reading(*reading, *condition)),
            Evidence::Observation { observation, outcome, .. } => {
                let outcome = observation.outcome(outcome).map_or(outcome.as_str(), |o| o.name);
                format!("{}: {outcome}", self.called(Key::Observation(*observation)))
            }
            Evidence::Verdict { reading, condition, verdict } => {
                format!("{}: {verdict}", self.called(Key::Reading(*reading, *condition)))
            }
            Evidence::DoesNotRun { condition } => format!("the engine does not run, {}", condition.name()),
        }
    }

    /// A test worth doing, by its name.
    pub(super) fn advice(&self, suggestion: &Suggestion) -> Advice {
        Advice { what: self.called(suggestion.key), minutes: suggestion.minutes, step: None, not_now: None }
    }
}
