//! What all simulated cars say to one test, tabulated once: values, their spread, and outcomes in bins about as wide as the
//! instrument can tell.

use super::effort::{Key, effort, instrument};
use super::particles::{Particles, at_place, single};
use crate::faults::shows;
use crate::instrument::{Uncertainty, cdf};
use crate::rig::Rig;
use crate::terms::{Condition, Fault, Observation, Reading, Tool};

/// Most bins of a reading; one more counts the cars that have no such reading.
pub(super) const MOST_BINS: usize = 62;

/// Share of the spread between neighbours in severity that stands for the variants that were not drawn: the bandwidth of a
/// kernel estimate with a few hundred points in a handful of dimensions, n^(−1/(d+4)) (Scott's rule, from memory).
const BANDWIDTH: f64 = 0.5;

/// Standard deviation of a sound load sensor's own error, Pa (common practice: about one percent of the scale at most).
const SENSOR: f32 = 600.0;

/// One reading in one condition over all cars.
#[derive(Debug, Clone)]
pub(super) struct Column {
    pub reading: Reading,
    pub condition: Condition,
    /// By car; NaN where it does not exist.
    pub values: Vec<f32>,
    /// By fault: standard deviation added to each prediction for the variants that were not drawn.
    pub spread: Vec<f32>,
    /// Least and greatest value of any car.
    pub range: (f64, f64),
    /// For the ranking, where a technician can measure it.
    pub bins: Option<Bins>,
}

/// A reading's values in bins about the instrument's uncertainty wide.
#[derive(Debug, Clone)]
pub(super) struct Bins {
    /// By car: 0 where there is no reading, else one more than the bin.
    pub of: Vec<u8>,
    /// Bins, the one for no reading included.
    pub count: usize,
    /// Share of a bin's cars that read as one 0, 1, 2 … bins off, to one side.
    pub blur: Vec<f64>,
}

/// What all cars show to one observation.
#[derive(Debug, Clone)]
pub(super) struct Look {
    pub observation: Observation,
    /// By fault.
    pub shown: Vec<Shown>,
}

/// Probability of each outcome under one fault.
#[derive(Debug, Clone)]
pub(super) enum Shown {
    /// Whatever the severity.
    Same(Vec<f64>),
    /// By car.
    Each(Vec<Vec<f64>>),
}

impl Shown {
    /// Probability of each outcome for the i-th car of the fault.
    pub fn of(&self, i: usize) -> &[f64] {
        match self {
            Self::Same(p) => p,
            Self::Each(all) => &all[i],
        }
    }
}

/// Tabulates the observation.
pub(super) fn look(rig: &Rig, particles: &Particles, observation: Observation) -> Look {
    let shown = (0..particles.faults().len())
        .map(|block| {
            let fault = particles.faults()[block];
            let of = |p: usize| shows(rig, fault, f64::from(particles.severities()[p]), observation);
            let all: Vec<Vec<f64>> = particles.range(block).map(of).collect();
            if all.iter().all(|p| *p == all[0]) { Shown::Same(all[0].clone()) } else { Shown::Each(all) }
        })
        .collect();
    Look { observation, shown }
}

/// Tabulates the reading at a place; none where no car has it.
pub(super) fn column(rig: &Rig, particles: &Particles, at: usize, values: &[f32]) -> Option<Column> {
    let (condition, reading) = at_place(at);
    let mut range = (f64::INFINITY, f64::NEG_INFINITY);
    for value in values.iter().filter(|v| v.is_finite()) {
        range = (range.0.min(f64::from(*value)), range.1.max(f64::from(*value)));
    }
    if range.0 > range.1 {
        return None;
    }
    let own = if reading == Reading::SensedPressure { SENSOR } else { 0.0 };
    let spread = (0..particles.faults().len())
        .map(|b| neighbours(particles, b, &values[particles.range(b)]).hypot(own))
        .collect();
    let mut column = Column { reading, condition, values: values.to_vec(), spread, range, bins: None };
    if effort(Key::Reading(reading, condition)).is_some() {
        let middle = particles.block(Fault::NoFault).map_or(0, |b| particles.range(b).start);
        let typical = f64::from(values[middle]);
        let typical = if typical.is_finite() { typical } else { f64::midpoint(range.0, range.1) };
        column.bins = instrument(rig, reading, typical).map(|(tool, u)| bins(particles, &column, tool, u));
    }
    Some(column)
}

/// Spread that is not the severity's: from differences between neighbours in severity, halved in variance.
fn neighbours(particles: &Particles, block: usize, values: &[f32]) -> f32 {
    let severities = &particles.severities()[particles.range(block)];
    let mut order: Vec<usize> = (0..values.len()).filter(|i| values[*i].is_finite()).collect();
    order.sort_by(|a, b| severities[*a].total_cmp(&severities[*b]));
    let steps: Vec<f64> =
        order.windows(2).map(|w| f64::from(values[w[1]]) - f64::from(values[w[0]])).collect();
    if steps.is_empty() {
        return 0.0;
    }
    let mean_square = steps.iter().map(|s| s * s).sum::<f64>() / steps.len() as f64;
    single(BANDWIDTH * (mean_square / 2.0).sqrt())
}

#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // Bins are few and counted from the least value.
fn bins(particles: &Particles, column: &Column, tool: Tool, u: Uncertainty) -> Bins {
    let (low, high) = column.range;
    let sigma = u.total().max(1e-12 * (1.0 + high.abs()));
    let span = (high - low).max(sigma);
    let width = sigma.max(span / (MOST_BINS - 1) as f64);
    let top = (MOST_BINS - 1) as f64;
    let mut of: Vec<u8> = Vec::with_capacity(column.values.len());
    for (block, fault) in particles.faults().iter().enumerate() {
        for (i, p) in particles.range(block).enumerate() {
            let mut value = f64::from(column.values[p]);
            if *fault == Fault::GaugeFaulty && tool == Tool::PressureGauge {
                let error = particles.gauge[i];
                value = value * error.factor + error.offset;
            }
            let bin = ((value - low) / width).floor().clamp(0.0, top);
            of.push(if value.is_finite() { bin as u8 + 1 } else { 0 });
        }
    }
    let count = usize::from(of.iter().copied().max().unwrap_or(0)) + 1;
    let step = width / sigma;
    let mut blur = Vec::new();
    for k in 0..8 {
        let k = f64::from(k);
        let share = cdf((k + 0.5) * step) - cdf((k - 0.5) * step);
        if share < 1e-3 {
            break;
        }
        blur.push(share);
    }
    let sum: f64 = blur[0] + 2.0 * blur[1..].iter().sum::<f64>();
    for b in &mut blur {
        *b /= sum;
    }
    Bins { of, count, blur }
}
