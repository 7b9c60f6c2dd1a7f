//! What the readings and answers so far say of the faults.

use super::entry::typed_at_least;
use super::expectation::seen_at;
use super::instruments::instrument_for;
use super::logged::{log_instrument, log_tool};
use super::one::Session;
use crate::belief::{Available, Belief, Evidence, Key, Particles, Suggestion};
use crate::physics;
use crate::terms::{Condition, Tool};
use crate::tree::StepKind;
use crate::walk::{Event, Given, Reason, Taken};
use std::collections::BTreeMap;
use std::sync::Arc;

impl Session {
    /// Everything given before a repair, as evidence: the latest of each reading and observation, kept answers off the path
    /// included, for they were seen all the same. Skipped steps are no evidence.
    pub fn evidence(&self) -> Vec<Evidence> {
        let tree = self.tree();
        let mut latest: BTreeMap<Key, Evidence> = BTreeMap::new();
        for (index, given) in self.state().set_aside().chain(self.state().path()) {
            match (&tree.steps[index].kind, given) {
                (StepKind::Read(read), Given::Read { taken }) => {
                    let reading = seen_at(taken.reading, taken.place, self.rig().car.regulator.style);
                    let (instrument, tool, spread) = match &taken.log {
                        Some(log) => {
                            (log_instrument(self.rig(), taken.reading), log_tool(reading), log.spread)
                        }
                        None => (instrument_for(self.rig(), read.with, taken.reading), read.with, 0.0),
                    };
                    let ceiling = physics::ceiling(&self.rig().car).map(|c| c.0);
                    let at_ceiling =
                        taken.condition == Condition::Pinched && ceiling.is_some_and(|c| taken.si >= c);
                    let top = instrument.range.is_some_and(|r| taken.si >= r.high);
                    let evidence = Evidence::Reading {
                        reading,
                        condition: taken.condition,
                        si: taken.si,
                        uncertainty: instrument.uncertainty(taken.si).with_repeatability(spread),
                        tool,
                        at_least: at_ceiling || top || typed_at_least(&taken.typed),
                        times: self.times(taken),
                    };
                    latest.insert(Key::Reading(reading, taken.condition), evidence);
                }
                (StepKind::Observe { observation, .. }, Given::Answered { outcome, .. }) => {
                    let evidence =
                        Evidence::Observation { observation: *observation, outcome: outcome.clone() };
                    latest.insert(Key::Observation(*observation), evidence);
                }
                _ => {}
            }
        }
        latest.into_values().collect()
    }

    /// How many times this was read with the same result before any repair, changed answers among them.
    fn times(&self, taken: &Taken) -> u32 {
        let before = self.events().iter().take_while(|e| !matches!(e, Event::Repaired { .. }));
        let alike = before.filter(|event| {
            let (Event::Read { taken: other, .. }
            | Event::Changed { given: Given::Read { taken: other }, .. }) = event
            else {
                return false;
            };
            let what = |t: &Taken| (t.reading, t.condition, t.place);
            // What a log has is one measurement, however often it is taken.
            let same_log = taken.log.is_some() && other.log == taken.log;
            what(other) == what(taken) && (other.si - taken.si).abs() <= 2.0 * taken.u && !same_log
        });
        let count = alike.count() + usize::from(taken.log.is_some());
        u32::try_from(count).unwrap_or(u32::MAX).max(1)
    }

    /// The belief over a rig's particles after everything given so far.
    pub fn belief(&self, particles: &Arc<Particles>) -> Belief {
        let mut belief = Belief::new(particles.clone());
        for evidence in self.evidence() {
            belief.take(evidence);
        }
        belief
    }

    /// The tests that would tell most a minute now, with the tools at hand and what is fitted already; one that was given up for
    /// want of a tool, of access or of safety is not offered again.
    pub fn suggestions(&self, belief: &Belief) -> Vec<Suggestion> {
        let given_up = |(index, given): (usize, &Given)| match given {
            Given::Cannot { reason: Reason::NoTool | Reason::NoAccess | Reason::Unsafe, .. } => {
                self.test_of(index)
            }
            _ => None,
        };
        belief.rank(&self.at_hand(self.state().path().filter_map(given_up).collect()))
    }

    /// As [`Session::suggestions`], what was given up among them.
    pub(super) fn all_suggestions(&self, belief: &Belief) -> Vec<Suggestion> {
        belief.rank(&Available { tools: None, ..self.at_hand(Vec::new()) })
    }

    fn at_hand(&self, done: Vec<Key>) -> Available {
        let tools: Option<Vec<Tool>> = self.rig().tools.clone();
        Available { tools, states: self.state().held().iter().collect(), done }
    }

    /// The test that a step of the tree is, if it is one.
    pub(super) fn test_of(&self, index: usize) -> Option<Key> {
        match &self.tree().steps[index].kind {
            StepKind::Read(read) => {
                let place = read.places.first().copied();
                Some(Key::Reading(seen_at(read.reading, place, self.rig().car.regulator.style), read.at))
            }
            StepKind::Observe { observation, .. } => Some(Key::Observation(*observation)),
            _ => None,
        }
    }
}
