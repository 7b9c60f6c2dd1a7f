//! What the readings and answers so far say of the faults.

use super::entry::typed_at_least;
use super::expectation::seen_at;
use super::logged::{log_instrument, log_tool};
use super::one::Session;
use crate::belief::{Available, Belief, Evidence, Key, Particles, Stated, Suggestion};
use crate::physics;
use crate::rig::Rig;
use crate::terms::{Complaint, Condition, Fault, Observation, Reading, Tool};
use crate::tree::{Step, StepKind, Tree};
use crate::walk::{self, At, Given, Reason, Taken};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

impl Session {
    /// Everything given before a repair, as evidence: the latest of each reading and observation, kept answers off the path
    /// included, for they were seen all the same. Skipped steps are no evidence.
    pub fn evidence(&self) -> Vec<Evidence> {
        let tree = self.tree();
        let mut latest: BTreeMap<Key, Evidence> = BTreeMap::new();
        // What was gone back to is about to be given anew; until then it counts for nothing.
        let anew = self.state().open_step();
        let aside = self.state().set_aside().filter(|(index, _)| Some(*index) != anew);
        for (index, given) in aside.chain(self.state().path()) {
            match (&tree.steps[index].kind, given) {
                (StepKind::Read(read), Given::Read { taken }) => {
                    let reading = seen_at(taken.reading, taken.place, self.rig().car.regulator.style);
                    let key = Key::Reading(reading, taken.condition);
                    if stated(tree, self.rig(), key).is_some() {
                        latest.insert(key, by_verdict(reading, taken));
                        continue;
                    }
                    let (instrument, tool, spread) = if let Some(log) = &taken.log {
                        (log_instrument(self.rig(), taken.reading), log_tool(reading), log.spread)
                    } else {
                        let (instrument, tool) = self.taken_with(read.with, taken);
                        (instrument, tool, 0.0)
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
                    latest.insert(key, evidence);
                }
                (StepKind::Observe { observation, .. }, Given::Answered { outcome, .. }) => {
                    let evidence = Evidence::Observation {
                        observation: *observation,
                        outcome: outcome.clone(),
                        times: self.times_seen(*observation, outcome),
                    };
                    latest.insert(Key::Observation(*observation), evidence);
                }
                _ => {}
            }
        }
        latest.into_values().collect()
    }

    /// How many times this was read with the same result before any repair, changed answers among them. A reading left as it was when
    /// somebody went back to it is not in the record again.
    fn times(&self, taken: &Taken) -> u32 {
        let alike = self.state().before_repair().filter(|(_, given)| {
            let Given::Read { taken: other } = given else { return false };
            let what = |t: &Taken| (t.reading, t.condition, t.place);
            // What a log has is one measurement, however often it is taken.
            let same_log = taken.log.is_some() && other.log == taken.log;
            what(other) == what(taken) && (other.si - taken.si).abs() <= 2.0 * taken.u && !same_log
        });
        let count = alike.count() + usize::from(taken.log.is_some());
        u32::try_from(count).unwrap_or(u32::MAX).max(1)
    }

    /// How many times this was looked at with the same answer before any repair.
    fn times_seen(&self, observation: Observation, outcome: &str) -> u32 {
        let alike = self.state().before_repair().filter(|(index, given)| {
            let asks = matches!(self.tree().steps[*index].kind, StepKind::Observe { observation: o, .. } if o == observation);
            asks && matches!(given, Given::Answered { outcome: o, .. } if o == outcome)
        });
        u32::try_from(alike.count()).unwrap_or(u32::MAX).max(1)
    }

    /// The belief over a rig's particles before anything was given.
    pub fn first_belief(&self, particles: &Arc<Particles>) -> Belief {
        first_belief(self.tree(), self.rig(), particles)
    }

    /// The belief over a rig's particles after everything given so far.
    pub fn belief(&self, particles: &Arc<Particles>) -> Belief {
        let mut belief = self.first_belief(particles);
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
        let mut ranked = belief.rank(&self.at_hand(self.state().path().filter_map(given_up).collect()));
        // A test that no step of this walk does any more is no advice, and nothing waits for it. At an end any of the tree may be.
        let to_come: Vec<usize> = match self.state().at() {
            At::Step(_) => walk::to_come(self.tree(), self.state()),
            _ => (0..self.tree().steps.len()).collect(),
        };
        let to_come: BTreeSet<Key> =
            to_come.into_iter().chain(self.state().parked()).filter_map(|i| self.test_of(i)).collect();
        ranked.retain(|s| to_come.contains(&s.key) && self.may_run_for(s.key));
        ranked
    }

    /// As [`Session::suggestions`], what was given up among them.
    pub(super) fn all_suggestions(&self, belief: &Belief) -> Vec<Suggestion> {
        let mut ranked = belief.rank(&Available { tools: None, ..self.at_hand(Vec::new()) });
        ranked.retain(|s| self.may_run_for(s.key));
        ranked
    }

    /// Whether the engine may be counted on for this test. Where the tree answers an engine that will not start, no test with the engine
    /// running is offered before something was read or seen with it running. The complaint weighs nothing in the odds: the same
    /// tree answers a rail at zero, and an engine that starts now and then.
    fn may_run_for(&self, key: Key) -> bool {
        if !self.tree().complaints.contains(&Complaint::NoStart) {
            return true;
        }
        let runs = |step: &Step| step.at.is_some_and(Condition::running);
        let seen = |given: &Given| matches!(given, Given::Read { .. } | Given::Answered { .. });
        let steps = &self.tree().steps;
        let needs = match key {
            Key::Reading(_, condition) => condition.running(),
            Key::Observation(_) => {
                let mut asked = steps.iter().filter(|s| test_of(s, self.rig()) == Some(key)).peekable();
                asked.peek().is_some() && asked.all(runs)
            }
        };
        !needs || self.state().record().any(|(i, given)| seen(given) && runs(&steps[i]))
    }

    fn at_hand(&self, done: Vec<Key>) -> Available {
        let tools: Option<Vec<Tool>> = self.rig().tools.clone();
        Available { tools, states: self.state().held().iter().collect(), done }
    }

    /// The test that a step of the tree is, if it is one.
    pub(super) fn test_of(&self, index: usize) -> Option<Key> {
        test_of(&self.tree().steps[index], self.rig())
    }
}

/// A reading as evidence by its verdict alone.
fn by_verdict(reading: Reading, taken: &Taken) -> Evidence {
    Evidence::Verdict { reading, condition: taken.condition, verdict: taken.verdict.id().to_owned() }
}

fn test_of(step: &Step, rig: &Rig) -> Option<Key> {
    match &step.kind {
        StepKind::Read(read) => {
            let place = read.places.first().copied();
            Some(Key::Reading(seen_at(read.reading, place, rig.car.regulator.style), read.at))
        }
        StepKind::Observe { observation, .. } => Some(Key::Observation(*observation)),
        _ => None,
    }
}

/// The likelihood that the tree states of a test, at whichever of its steps.
pub fn stated(tree: &Tree, rig: &Rig, key: Key) -> Option<Stated> {
    let mut steps = tree.steps.iter().filter(|s| s.likelihood.is_some());
    let l = steps.find(|s| test_of(s, rig) == Some(key))?.likelihood.clone()?;
    Some(Stated::new(key, l.outcomes, l.rows, l.rest))
}

/// The belief over a rig's particles with what the tree states of priors and likelihoods, and no evidence.
pub fn first_belief(tree: &Tree, rig: &Rig, particles: &Arc<Particles>) -> Belief {
    let weight =
        |fault: &Fault| tree.priors.iter().find(|(f, _)| f == fault).map_or(0.0, |(_, weight)| *weight);
    let mut priors: Vec<f64> = particles.faults().iter().map(weight).collect();
    // A tree that says nothing, or nothing of any fault this car can have.
    if priors.iter().sum::<f64>() <= 0.0 {
        priors = particles.priors().to_vec();
    }
    let with = tree.steps.iter().filter(|s| s.likelihood.is_some());
    let keys: BTreeSet<Key> = with.filter_map(|s| test_of(s, rig)).collect();
    let stated = keys.into_iter().filter_map(|key| stated(tree, rig, key)).collect();
    Belief::stating(particles.clone(), &priors, stated)
}
