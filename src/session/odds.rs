//! What the readings and answers so far say of the faults.

use super::expectation::seen_at;
use super::instruments::instrument_for;
use super::one::Session;
use crate::belief::{Available, Belief, Evidence, Key, Particles, Suggestion};
use crate::physics;
use crate::terms::{Condition, Tool};
use crate::tree::StepKind;
use crate::walk::Given;
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
                    let instrument = instrument_for(self.rig(), read.with, taken.reading);
                    let ceiling = physics::ceiling(&self.rig().car).map(|c| c.0);
                    let at_ceiling =
                        taken.condition == Condition::Pinched && ceiling.is_some_and(|c| taken.si >= c);
                    let top = instrument.range.is_some_and(|r| taken.si >= r.high);
                    let evidence = Evidence::Reading {
                        reading,
                        condition: taken.condition,
                        si: taken.si,
                        uncertainty: instrument.uncertainty(taken.si),
                        tool: read.with,
                        at_least: at_ceiling || top,
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

    /// The belief over a rig's particles after everything given so far.
    pub fn belief(&self, particles: &Arc<Particles>) -> Belief {
        let mut belief = Belief::new(particles.clone());
        for evidence in self.evidence() {
            belief.take(evidence);
        }
        belief
    }

    /// The tests that would tell most a minute now, with the tools at hand and what is fitted already.
    pub fn suggestions(&self, belief: &Belief) -> Vec<Suggestion> {
        let tools: Option<Vec<Tool>> = self.rig().tools.clone();
        let available = Available { tools, states: self.state().held().iter().collect(), done: Vec::new() };
        belief.rank(&available)
    }
}
