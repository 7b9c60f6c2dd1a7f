//! What a trainee is told at the end.

use super::lesson::{Given, Lesson, STOP_MINUTES};
use super::order::way;
use super::standing::Standing;
use crate::belief::{Available, Belief, Particles, Wanted};
use crate::session::{Bench, first_belief};
use crate::terms::{Fault, Part};
use std::sync::Arc;

/// Simulated cars a fault is stood for by in the debrief.
const PER_FAULT: usize = 64;
/// A part with less than this probability is set aside.
const SET_ASIDE: f64 = 0.01;
/// A part whose probability grew this many times is raised.
const RAISED: f64 = 2.0;
/// The part at fault is known at this probability.
const KNOWN: f64 = 0.9;
/// More tests than any order needs.
const MOST_TESTS: usize = 40;
/// Of the tests that tell most a minute, so many are costed with all that has to come before them.
const COSTED: usize = 12;

/// One move in the debrief.
#[derive(Debug, Clone, PartialEq)]
pub struct Told {
    /// Its name.
    pub name: String,
    /// What it gave.
    pub result: String,
    /// Minutes.
    pub minutes: f64,
    /// Parts it set aside: probability from above to below one in a hundred.
    pub set_aside: Vec<Part>,
    /// Parts it made at least twice as likely.
    pub raised: Vec<Part>,
}

/// The order that tells most a minute at every moment.
#[derive(Debug, Clone, PartialEq)]
pub struct Cheapest {
    /// Its moves with their minutes, preparations included.
    pub steps: Vec<(String, f64)>,
    /// Minutes together.
    pub minutes: f64,
    /// Whether it comes to the part at fault with nine chances in ten; if not, the tests at hand can't part it from others.
    pub certain: bool,
}

/// What following the odds comes to.
#[derive(Debug, Clone, PartialEq)]
pub struct Followed {
    /// The moves with their minutes, preparations included.
    pub steps: Vec<(String, f64)>,
    /// The part that became known; nothing where the tests at hand ran out first.
    pub part: Option<Part>,
}

/// The end of an exercise.
#[derive(Debug, Clone, PartialEq)]
pub struct Debrief {
    /// The fault that was in the car.
    pub fault: Fault,
    /// The part that mends it.
    pub part: Part,
    /// Its severity, −1 to 1.
    pub severity: f64,
    /// The trainee's moves.
    pub told: Vec<Told>,
    /// Unsafe orders that were stopped, and their minutes.
    pub stops: (u32, f64),
    /// Parts changed in vain, with their minutes.
    pub wrong: Vec<(Part, f64)>,
    /// The score: all minutes together.
    pub minutes: f64,
    /// The cheapest order.
    pub cheapest: Cheapest,
}

impl Lesson {
    /// What the moves told, and what the cheapest order would have been. Takes about as long as drawing a rig's simulated cars.
    pub fn debrief(&self) -> Debrief {
        let particles = Arc::new(Particles::draw(&self.rig, PER_FAULT, 1));
        let mut belief = first_belief(&self.tree, &self.rig, &particles);
        let mut told = Vec::new();
        for done in &self.log {
            let before = belief.part_odds();
            if let Some(evidence) = &done.evidence {
                belief.take(evidence.clone());
            }
            let (set_aside, raised) = moved(&before, &belief.part_odds());
            told.push(Told {
                name: self.moves[done.index].name.clone(),
                result: done.result.clone(),
                minutes: done.minutes,
                set_aside,
                raised,
            });
        }
        Debrief {
            fault: self.exercise.fault,
            part: self.exercise.fault.part(),
            severity: self.exercise.severity,
            told,
            stops: (self.stops, f64::from(self.stops) * STOP_MINUTES),
            wrong: self.wrong.clone(),
            minutes: self.minutes(),
            cheapest: self.cheapest(&particles),
        }
    }

    fn cheapest(&self, particles: &Arc<Particles>) -> Cheapest {
        let followed = self.follow(particles, KNOWN, |index| self.given(index, 0));
        Cheapest {
            minutes: followed.steps.iter().map(|s| s.1).sum(),
            steps: followed.steps,
            certain: followed.part == Some(self.exercise.fault.part()),
        }
    }

    /// Follows the odds on any car, which has noise of its own, until a part has the probability `known`.
    pub fn follow_on(&self, car: &dyn Bench, particles: &Arc<Particles>, known: f64) -> Followed {
        self.follow(particles, known, |index| self.given_by(car, 0.0, index, 0))
    }

    fn follow(&self, particles: &Arc<Particles>, known: f64, given: impl Fn(usize) -> Given) -> Followed {
        let mut belief = first_belief(&self.tree, &self.rig, particles);
        let mut standing = Standing::default();
        let mut available = Available { tools: self.exercise.tools.clone(), ..Available::default() };
        let mut steps: Vec<(String, f64)> = Vec::new();
        for _ in 0..MOST_TESTS {
            let top = belief.part_odds().first().copied().filter(|top| top.1 >= known);
            let wanted = top.and_then(|(part, _)| belief.wanted_for(part));
            if top.is_some_and(|(part, _)| part == Part::Nothing || wanted.is_none()) {
                break;
            }
            available.states = standing.held.iter().collect();
            let Some((index, way)) = self.next_best(&belief, &available, standing, wanted) else { break };
            standing = way.standing;
            for before in &way.moves {
                steps.push((self.moves[*before].name.clone(), self.moves[*before].minutes));
            }
            let chosen = &self.moves[index];
            let given = given(index);
            steps.push((chosen.name.clone(), chosen.minutes));
            standing = standing.after(&self.tree.steps[chosen.step], given.edge, given.lean);
            available.done.extend(chosen.key);
            if let Some(evidence) = given.evidence {
                belief.take(evidence);
            }
        }
        let named = |top: &&(Part, f64)| {
            top.1 >= known && (top.0 == Part::Nothing || belief.wanted_for(top.0).is_none())
        };
        let part = belief.part_odds().first().filter(named).map(|top| top.0);
        Followed { steps, part }
    }

    /// The test that tells most for its minutes with all that has to come before it, and the way to it; of what is `wanted` before
    /// a part is named, the one that takes least.
    fn next_best(
        &self,
        belief: &Belief,
        available: &Available,
        standing: Standing,
        wanted: Option<Wanted>,
    ) -> Option<(usize, super::order::Way)> {
        let mut best: Option<(f64, usize, super::order::Way)> = None;
        let telling = belief.rank(available).into_iter().filter(|s| match wanted {
            Some(wanted) => wanted.is_given_by(s.key),
            None => s.gain_bits > 1e-3,
        });
        let mine = telling.filter_map(|s| {
            let index = self.moves.iter().position(|m| m.key == Some(s.key))?;
            Some((if wanted.is_some() { 1.0 } else { s.gain_bits }, index))
        });
        for (gain, index) in mine.take(COSTED) {
            if let Some(way) = way(&self.tree, &self.moves, standing, index) {
                let worth = gain / (way.minutes + self.moves[index].minutes).max(0.1);
                if best.as_ref().is_none_or(|b| worth > b.0) {
                    best = Some((worth, index, way));
                }
            }
        }
        best.map(|(_, index, way)| (index, way))
    }
}

fn moved(before: &[(Part, f64)], after: &[(Part, f64)]) -> (Vec<Part>, Vec<Part>) {
    let of = |part: Part| after.iter().find(|a| a.0 == part).map_or(0.0, |a| a.1);
    let set_aside =
        before.iter().filter(|(p, q)| *q >= SET_ASIDE && of(*p) < SET_ASIDE).map(|b| b.0).collect();
    let raised =
        before.iter().filter(|(p, q)| of(*p) >= RAISED * q && of(*p) >= SET_ASIDE).map(|b| b.0).collect();
    (set_aside, raised)
}
