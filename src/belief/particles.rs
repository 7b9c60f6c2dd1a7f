//! Simulated cars: each fault in many severities and in many variants of the rig, solved once in every condition.
//!
//! The variant of the rig (`z` of each of its spreads) is the same for the i-th car of every fault, so that two faults differ
//! by the faults and not by the luck of the draw. Severities run along a golden-ratio sequence, so that a draw of fewer cars
//! is as even as a larger one.

use super::crowd::{Column, Look, column, look};
use crate::faults::{GaugeError, applies, change, entry, gauge_error};
use crate::physics::solve;
use crate::rig::{Rig, spreads};
use crate::terms::{Condition, Fault, Observation, Part, Reading, SupplyStyle};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;
use rayon::prelude::*;

/// Conditions an engine can fail to run in.
const RUNNING: [Condition; 4] = [Condition::Idle, Condition::Raised, Condition::Cruise, Condition::Load];
const CONDITIONS: usize = Condition::ALL.len();
const READINGS: usize = Reading::ALL.len();

/// All faults of one rig as simulated cars. Large: keep it behind an `Arc`.
#[derive(Debug, Clone)]
pub struct Particles {
    per_fault: usize,
    faults: Vec<Fault>,
    priors: Vec<f64>,
    severities: Vec<f32>,
    pub(super) columns: Vec<Column>,
    places: Vec<Option<usize>>,
    /// By running condition: whether the engine runs.
    pub(super) runs: Vec<Vec<bool>>,
    pub(super) looks: Vec<Look>,
    /// By particle of the faulty gauge's block.
    pub(super) gauge: Vec<GaugeError>,
    unsolved: usize,
}

/// The standing of one simulated car in all conditions.
struct Row {
    values: Vec<f32>,
    runs: [bool; 4],
    unsolved: usize,
}

impl Particles {
    /// Draws `per_fault` cars of each fault that `rig` can have, and as many without, and solves them. The same for equal
    /// `seed` whatever the number of threads; meant to run in the background, with a small draw first.
    pub fn draw(rig: &Rig, per_fault: usize, seed: u64) -> Self {
        let per_fault = per_fault.max(2);
        let faults: Vec<Fault> = Fault::ALL.iter().copied().filter(|f| applies(rig, *f).is_ok()).collect();
        let known: Vec<_> = spreads(rig).collect();
        let variants: Vec<_> = (0..per_fault)
            .into_par_iter()
            .map(|i| {
                let mut rng = generator(seed, 0, i);
                let mut car = rig.car.clone();
                for (spread, multiple) in &known {
                    (spread.shift)(&mut car, normal(&mut rng) * multiple);
                }
                car
            })
            .collect();
        let severities: Vec<f32> =
            faults.iter().flat_map(|fault| (0..per_fault).map(move |i| severity(*fault, seed, i))).collect();
        let rows: Vec<Row> = severities
            .par_iter()
            .enumerate()
            .map(|(p, severity)| {
                let mut car = variants[p % per_fault].clone();
                let fault = faults[p / per_fault];
                // Every fault drawn applies, and every severity lies in its range.
                let changed = change(rig, fault, f64::from(*severity), &mut car).is_ok();
                row(rig, &car, changed)
            })
            .collect();
        let mut particles = Self {
            per_fault,
            priors: faults.iter().map(|f| entry(*f).prior).collect(),
            columns: Vec::new(),
            places: vec![None; CONDITIONS * READINGS],
            runs: (0..4).map(|r| rows.iter().map(|row| row.runs[r]).collect()).collect(),
            looks: Vec::new(),
            gauge: Vec::new(),
            unsolved: rows.iter().map(|r| r.unsolved).sum(),
            severities,
            faults,
        };
        if let Some(block) = particles.block(Fault::GaugeFaulty) {
            particles.gauge = particles
                .range(block)
                .map(|p| gauge_error(rig, Fault::GaugeFaulty, f64::from(particles.severities[p])))
                .collect();
        }
        let columns: Vec<Option<Column>> = (0..CONDITIONS * READINGS)
            .into_par_iter()
            .map(|at| column(rig, &particles, at, &rows_at(&rows, at)))
            .collect();
        for (at, found) in columns.into_iter().enumerate() {
            if let Some(column) = found {
                particles.places[at] = Some(particles.columns.len());
                particles.columns.push(column);
            }
        }
        particles.looks = Observation::ALL.par_iter().map(|o| look(rig, &particles, *o)).collect();
        particles
    }

    /// The faults drawn, those of this rig, the car without any among them.
    pub fn faults(&self) -> &[Fault] {
        &self.faults
    }

    /// Cars drawn for each fault.
    pub fn per_fault(&self) -> usize {
        self.per_fault
    }

    /// Cars in all.
    pub fn len(&self) -> usize {
        self.severities.len()
    }

    /// Whether there is none; never so after a draw.
    pub fn is_empty(&self) -> bool {
        self.severities.is_empty()
    }

    /// How often the model found no balance; such a car says nothing in that condition.
    pub fn unsolved(&self) -> usize {
        self.unsolved
    }

    /// Prior weight of each fault (common practice), in the order of [`Particles::faults`].
    pub fn priors(&self) -> &[f64] {
        &self.priors
    }

    /// What car `particle` of `fault` reads, SI, before any gauge error; none where it does not exist or does not run.
    pub fn predicted(
        &self,
        fault: Fault,
        particle: usize,
        reading: Reading,
        condition: Condition,
    ) -> Option<f64> {
        let at = self.block(fault)? * self.per_fault + particle;
        let value = f64::from(*self.column(reading, condition)?.values.get(at)?);
        value.is_finite().then_some(value)
    }

    /// The severity of car `particle` of `fault`.
    pub fn severity(&self, fault: Fault, particle: usize) -> Option<f64> {
        let at = self.block(fault)? * self.per_fault + particle;
        self.severities.get(at).map(|s| f64::from(*s))
    }

    pub(super) fn severities(&self) -> &[f32] {
        &self.severities
    }

    pub(super) fn block(&self, fault: Fault) -> Option<usize> {
        self.faults.iter().position(|f| *f == fault)
    }

    pub(super) fn range(&self, block: usize) -> std::ops::Range<usize> {
        block * self.per_fault..(block + 1) * self.per_fault
    }

    pub(super) fn column(&self, reading: Reading, condition: Condition) -> Option<&Column> {
        self.places[place(reading, condition)].map(|c| &self.columns[c])
    }

    pub(super) fn running(condition: Condition) -> Option<usize> {
        RUNNING.iter().position(|c| *c == condition)
    }

    /// The parts the faults count as, and for each block its place among them.
    pub(super) fn part_places(&self) -> (Vec<Part>, Vec<usize>) {
        let mut parts = Vec::new();
        let places = self
            .faults
            .iter()
            .map(|f| {
                parts.iter().position(|p| *p == f.part()).unwrap_or_else(|| {
                    parts.push(f.part());
                    parts.len() - 1
                })
            })
            .collect();
        (parts, places)
    }
}

fn place(reading: Reading, condition: Condition) -> usize {
    condition as usize * READINGS + reading as usize
}

/// The condition and reading at a place.
pub(super) fn at_place(at: usize) -> (Condition, Reading) {
    (Condition::ALL[at / READINGS], Reading::ALL[at % READINGS])
}

fn rows_at(rows: &[Row], at: usize) -> Vec<f32> {
    rows.iter().map(|r| r.values[at]).collect()
}

/// A generator of its own for each draw, so that threads do not matter.
fn generator(seed: u64, stream: u64, i: usize) -> Pcg64 {
    let mixed = seed
        ^ (i as u64).wrapping_mul(0x9E37_79B9_7F4A_7C15)
        ^ (stream + 1).wrapping_mul(0xD1B5_4A32_D192_ED03);
    Pcg64::seed_from_u64(mixed)
}

/// A standard normal number (Box and Muller, 1958).
fn normal(rng: &mut Pcg64) -> f64 {
    let u: f64 = 1.0 - rng.random::<f64>();
    let v: f64 = rng.random();
    (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
}

/// What is kept of each of very many cars: seven digits of a reading, of a severity or of a log likelihood are more than anyone knows.
#[allow(clippy::cast_possible_truncation)] // That is what it is for.
pub(super) fn single(value: f64) -> f32 {
    value as f32
}

/// The i-th severity of a fault: even over its range, the sign drawn where it can err to either side.
fn severity(fault: Fault, seed: u64, i: usize) -> f32 {
    let row = entry(fault);
    let mut first = generator(seed, fault as u64 + 1, 0);
    let start: f64 = first.random();
    let share = (start + i as f64 * 0.618_033_988_749_894_9).fract();
    let size = row.severity.0 + (row.severity.1 - row.severity.0) * share;
    let negative = row.two_sided && generator(seed, fault as u64 + 1, i + 1).random::<bool>();
    let size = if fault == Fault::NoFault { 0.0 } else { size };
    single(if negative { -size } else { size })
}

/// Solves one car in every condition that its supply has.
fn row(rig: &Rig, car: &crate::physics::Car, changed: bool) -> Row {
    let mut row = Row { values: vec![f32::NAN; CONDITIONS * READINGS], runs: [true; 4], unsolved: 0 };
    for condition in Condition::ALL {
        if *condition == Condition::Pinched && !rig.car.regulator.style.has_return() {
            continue;
        }
        let solution = match solve(car, *condition) {
            Ok(solution) if changed => solution,
            _ => {
                row.unsolved += 1;
                continue;
            }
        };
        if solution.runs == Some(false) {
            if let Some(r) = Particles::running(*condition) {
                row.runs[r] = false;
            }
            continue;
        }
        for reading in Reading::ALL {
            let averaged = rig.car.regulator.style == SupplyStyle::SpeedControlled
                && matches!(
                    reading,
                    Reading::PumpVoltage | Reading::PumpCurrent | Reading::FeedDrop | Reading::GroundDrop
                );
            // A meter on a pump whose voltage is chopped reads whatever it likes.
            if averaged && condition.running() {
                continue;
            }
            if let Some(value) = solution.get(*reading) {
                row.values[place(*reading, *condition)] = single(value);
            }
        }
    }
    row
}
