//! One exercise in progress: what is picked, what it gives, what it costs.

use super::exercise::Exercise;
use super::moves::{Move, moves};
use super::standing::{Standing, Stop, mixture_at_raised};
use crate::belief::{Evidence, Key};
use crate::faults::CannotApply;
use crate::instrument::{Verdict, judge, quantile};
use crate::quantity::{Datum, UnitSystem, figures, show};
use crate::rig::Rig;
use crate::session::{
    Bench, FaultyCar, bare_unit, expectation, instrument_for, seen_at, stated, vacuum, vacuum_band,
};
use crate::terms::{Fault, Observation, Part, Reading, ReadingDatum, Tool};
use crate::tree::{Edge, Read, StepKind, Tree};
use crate::walk::Band;
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;
use std::sync::Arc;

/// Minutes that each unsafe order costs: time to put things right where luck holds (a rule of the exercise).
pub const STOP_MINUTES: f64 = 10.0;
/// Minutes to change a part for which the tree states none (common practice).
const CHANGE_MINUTES: f64 = 30.0;

/// A move that was done.
#[derive(Debug, Clone, PartialEq)]
pub struct Done {
    /// Which move, by its place in the list.
    pub index: usize,
    /// What it gave, in words and units.
    pub result: String,
    /// What a sound car would give, where the level says so.
    pub expected: Option<String>,
    /// Minutes it took.
    pub minutes: f64,
    /// What it tells of the faults; nothing for a preparation.
    pub(super) evidence: Option<Evidence>,
}

/// What comes of picking a move.
#[derive(Debug, Clone, PartialEq)]
pub enum Answer {
    /// It was done.
    Done(Done),
    /// It was not done.
    Stopped(Stop),
}

/// What comes of naming a part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Named {
    /// It is the part at fault; the exercise is over.
    Right,
    /// It is sound, and changing it took minutes.
    Wrong(f64),
}

/// What a move gives on the faulty car.
pub(super) struct Given {
    pub result: String,
    pub expected: Option<String>,
    pub evidence: Option<Evidence>,
    pub edge: Edge,
    pub lean: bool,
}

/// An exercise.
#[derive(Debug, Clone)]
pub struct Lesson {
    pub(super) rig: Arc<Rig>,
    pub(super) tree: Arc<Tree>,
    pub(super) exercise: Exercise,
    units: UnitSystem,
    pub(super) moves: Vec<Move>,
    standing: Standing,
    pub(super) log: Vec<Done>,
    pub(super) stops: u32,
    pub(super) wrong: Vec<(Part, f64)>,
    over: bool,
}

impl Lesson {
    /// Begins an exercise.
    ///
    /// # Errors
    /// [`CannotApply`] where the fault can't be in the car.
    pub fn begin(
        rig: Arc<Rig>,
        tree: Arc<Tree>,
        exercise: Exercise,
        units: UnitSystem,
    ) -> Result<Self, CannotApply> {
        FaultyCar::new(&rig, &[(exercise.fault, exercise.severity)])?;
        let moves = moves(&tree, rig.car.regulator.style, exercise.tools.as_deref());
        Ok(Self {
            rig,
            tree,
            exercise,
            units,
            moves,
            standing: Standing::default(),
            log: Vec::new(),
            stops: 0,
            wrong: Vec::new(),
            over: false,
        })
    }

    /// Every move that can be picked.
    pub fn moves(&self) -> &[Move] {
        &self.moves
    }

    /// The moves done, in order.
    pub fn log(&self) -> &[Done] {
        &self.log
    }

    /// How the car stands.
    pub fn standing(&self) -> Standing {
        self.standing
    }

    /// The exercise, its fault included: for the debrief, not for the trainee before it.
    pub fn exercise(&self) -> &Exercise {
        &self.exercise
    }

    /// Whether the fault was named or given up.
    pub fn over(&self) -> bool {
        self.over
    }

    /// Unsafe orders stopped so far.
    pub fn stops(&self) -> u32 {
        self.stops
    }

    /// Minutes so far, with those of unsafe orders and of parts changed in vain.
    pub fn minutes(&self) -> f64 {
        let done: f64 = self.log.iter().map(|d| d.minutes).sum();
        let wrong: f64 = self.wrong.iter().map(|w| w.1).sum();
        done + wrong + f64::from(self.stops) * STOP_MINUTES
    }

    /// Parts that the tree's faults would be mended by, each once: what can be named.
    pub fn parts(&self) -> Vec<Part> {
        let mut parts: Vec<Part> =
            self.tree.finds.iter().filter(|f| **f != Fault::NoFault).map(|f| f.part()).collect();
        parts.sort();
        parts.dedup();
        parts
    }

    /// What stands in the way of a move now, if anything.
    pub fn stop(&self, index: usize) -> Option<Stop> {
        self.standing.stop(&self.tree.steps[self.moves.get(index)?.step])
    }

    /// Picks a move; nothing where there is no such move or the exercise is over.
    pub fn pick(&mut self, index: usize) -> Option<Answer> {
        let picked = self.moves.get(index).filter(|_| !self.over)?;
        let step = &self.tree.steps[picked.step];
        if let Some(stop) = self.standing.stop(step) {
            if matches!(stop, Stop::Unsafe { .. }) {
                self.stops += 1;
            }
            return Some(Answer::Stopped(stop));
        }
        let times = self.log.iter().filter(|d| d.index == index).count();
        let given = self.given(index, times);
        self.standing = self.standing.after(step, given.edge, given.lean);
        let done = Done {
            index,
            result: given.result,
            expected: given.expected.filter(|_| self.exercise.level.shows_expected()),
            minutes: picked.minutes,
            evidence: given.evidence,
        };
        self.log.push(done.clone());
        Some(Answer::Done(done))
    }

    /// Names the part at fault.
    pub fn name(&mut self, part: Part) -> Named {
        if part == self.exercise.fault.part() {
            self.over = true;
            return Named::Right;
        }
        let stated = self.tree.findings.iter().filter(|f| f.fault.part() == part).find_map(|f| f.minutes);
        let minutes = stated.unwrap_or(CHANGE_MINUTES);
        self.wrong.push((part, minutes));
        Named::Wrong(minutes)
    }

    /// Ends the exercise without a name.
    pub fn give_up(&mut self) {
        self.over = true;
    }

    /// What a move gives the `times`-th time it is done.
    pub(super) fn given(&self, index: usize, times: usize) -> Given {
        match FaultyCar::new(&self.rig, &[(self.exercise.fault, self.exercise.severity)]) {
            Ok(car) => self.given_by(&car, 1.0, index, times),
            Err(_) => nothing(),
        }
    }

    /// What a move gives on any car; `noise` is the share of its instrument's noise that is added, none where the car has its own.
    pub(super) fn given_by(&self, car: &dyn Bench, noise: f64, index: usize, times: usize) -> Given {
        let step = &self.tree.steps[self.moves[index].step];
        match &step.kind {
            StepKind::Read(read) => {
                let given = self.reading((car, noise), read, index, times);
                Given { lean: given.lean && mixture_at_raised(step), ..given }
            }
            StepKind::Observe { observation, answers } => {
                let outcome = car.observe(*observation);
                let result = if observation.is_percentage() {
                    format!("{} %", figures(car.ethanol() * 100.0, 3))
                } else {
                    outcome.name.to_owned()
                };
                let at = answers.iter().position(|a| a.outcome.id == outcome.id);
                let evidence = Evidence::Observation {
                    observation: *observation,
                    outcome: outcome.id.to_owned(),
                    times: 1,
                };
                Given {
                    result,
                    expected: self.sound_look(*observation),
                    evidence: Some(evidence),
                    edge: at.map_or(Edge::Undecided, Edge::Answer),
                    lean: false,
                }
            }
            _ => Given { result: "done".to_owned(), ..nothing() },
        }
    }

    fn sound_look(&self, observation: Observation) -> Option<String> {
        let sound = FaultyCar::new(&self.rig, &[]).ok()?;
        Some(if observation.is_percentage() {
            format!("{} %", figures(sound.ethanol() * 100.0, 3))
        } else {
            sound.observe(observation).name.to_owned()
        })
    }

    fn reading(&self, (car, noise): (&dyn Bench, f64), read: &Read, index: usize, times: usize) -> Given {
        let place = read.places.first().copied();
        let Some(truth) = car.read(read.reading, read.at, read.with, place) else {
            let runs =
                !read.at.running() || car.read(Reading::Lambda, read.at, Tool::Wideband, None).is_some();
            return if runs {
                Given { result: "cannot be read on this car".to_owned(), ..nothing() }
            } else {
                let evidence = Some(Evidence::DoesNotRun { condition: read.at });
                Given { result: "the engine does not run".to_owned(), evidence, ..nothing() }
            };
        };
        let instrument = instrument_for(&self.rig, read.with, read.reading);
        let uncertainty = instrument.uncertainty(truth);
        let shared = self.draw(read.with as u64);
        let own = self.draw(1_000 + index as u64 * 100 + times as u64);
        let si = truth + noise * (shared * uncertainty.shared + own * uncertainty.own);
        let si = instrument.range.map_or(si, |r| si.min(r.high));
        let at_least = instrument.range.is_some_and(|r| si >= r.high);
        let expected = expectation(&self.rig, read, place).ok().flatten();
        let verdict = expected.as_ref().map(|e| judge(si, e.uncertainty, e.band.low, e.band.high).verdict);
        let reading = seen_at(read.reading, place, self.rig.car.regulator.style);
        let condition = read.at;
        let evidence = match stated(&self.tree, &self.rig, Key::Reading(reading, condition)) {
            Some(_) => {
                let verdict = verdict.map_or_else(String::new, |v| v.id().to_owned());
                Evidence::Verdict { reading, condition, verdict }
            }
            None => {
                Evidence::Reading { reading, condition, si, uncertainty, tool: read.with, at_least, times: 1 }
            }
        };
        Given {
            result: self.shown(read.reading, si),
            expected: expected.as_ref().map(|e| self.band(read.reading, &e.band)),
            evidence: Some(evidence),
            edge: match verdict {
                Some(Verdict::Low) => Edge::Low,
                Some(Verdict::High) => Edge::High,
                Some(Verdict::Within) => Edge::Within,
                _ => Edge::Undecided,
            },
            lean: !matches!(verdict, Some(Verdict::Low | Verdict::Within)),
        }
    }

    /// A draw of the standard normal, the same for the same exercise and `what`.
    fn draw(&self, what: u64) -> f64 {
        let mut rng = Pcg64::seed_from_u64(self.exercise.seed.wrapping_mul(1_000_003).wrapping_add(what));
        quantile(rng.random_range(0.001..0.999))
    }

    fn shown(&self, reading: Reading, si: f64) -> String {
        let own = bare_unit(reading, self.units);
        if let Some(shown) = vacuum(reading, si, own, &self.rig.car, 3) {
            return shown;
        }
        let unit = self.units.unit_for(reading.dimension());
        let datum = (reading.datum() == ReadingDatum::Absolute).then_some(Datum::Absolute);
        show(si, unit, datum, 3)
    }

    fn band(&self, reading: Reading, band: &Band) -> String {
        let limits = vacuum_band(reading, band, bare_unit(reading, self.units), &self.rig.car, 3);
        if let Some(limits) = limits {
            return limits;
        }
        let value = |si: f64| self.shown(reading, si);
        match (band.low, band.high) {
            (Some(low), Some(high)) => format!("{} to {}", value(low), value(high)),
            (Some(low), None) => format!("at least {}", value(low)),
            (None, Some(high)) => format!("at most {}", value(high)),
            (None, None) => "anything".to_owned(),
        }
    }
}

fn nothing() -> Given {
    Given { result: String::new(), expected: None, evidence: None, edge: Edge::Next, lean: false }
}
