//! What would tell most a minute: expected information about the replaceable part, from outcomes tabulated at draw time.

use super::crowd::{Bins, Look, MOST_BINS, Shown};
use super::effort::{Key, effort};
use super::evidence::Evidence;
use super::particles::Particles;
use super::stated::Stated;
use super::weigh::{Belief, SLIP};
use crate::terms::{State, Tool};
use rayon::prelude::*;

/// A fault that holds less than this share of the belief is left out of the reckoning.
const NEGLIGIBLE: f64 = 1e-5;

/// What is at hand and what was done.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Available {
    /// Tools at hand; none given means all of them. Eyes are always at hand.
    pub tools: Option<Vec<Tool>>,
    /// States already made, such as a gauge that is fitted.
    pub states: Vec<State>,
    /// Tests already done or given up.
    pub done: Vec<Key>,
}

impl Available {
    fn has(&self, tool: Tool) -> bool {
        tool == Tool::Eyes || self.tools.as_ref().is_none_or(|t| t.contains(&tool))
    }
}

/// One test that can still be done.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Suggestion {
    /// The test.
    pub key: Key,
    /// Expected information about the part at fault, bits.
    pub gain_bits: f64,
    /// Minutes it takes now, with whatever has to be fitted first.
    pub minutes: f64,
    /// Gain a minute.
    pub gain_per_minute: f64,
}

impl Belief {
    /// Every test still possible, the most information a minute first.
    pub fn rank(&self, available: &Available) -> Vec<Suggestion> {
        let stands: Vec<_> = self
            .evidence()
            .filter_map(|e| if let Evidence::DoesNotRun { condition } = e { Some(*condition) } else { None })
            .collect();
        let open = |key: Key| -> Option<f64> {
            if available.done.contains(&key) || self.evidence().any(|e| e.key() == Some(key)) {
                return None;
            }
            if let Key::Reading(_, condition) = key {
                // An engine that does not idle does nothing above it.
                let idle_fails = stands.iter().any(|c| *c <= condition);
                if condition.running() && idle_fails {
                    return None;
                }
            }
            let effort = effort(key)?;
            effort.tools.iter().all(|t| available.has(*t)).then(|| effort.minutes_with(&available.states))
        };
        let crowd = Crowd::new(self);
        let table = || vec![[0.0; MOST_BINS + 1]; crowd.parts];
        let columns = self.particles.columns.par_iter().map_init(table, |table, column| {
            let key = Key::Reading(column.reading, column.condition);
            if self.stated(key).is_some() {
                return None;
            }
            let (minutes, bins) = open(key).zip(column.bins.as_ref())?;
            Some(suggestion(key, crowd.reading(bins, table), minutes))
        });
        let looks = self.particles.looks.par_iter().map_init(table, |table, look| {
            let key = Key::Observation(look.observation);
            if self.stated(key).is_some() {
                return None;
            }
            open(key).map(|minutes| suggestion(key, crowd.look(look, table), minutes))
        });
        let stated = self.stated.par_iter().map_init(table, |table, stated| {
            open(stated.key()).map(|minutes| suggestion(stated.key(), crowd.stated(stated, table), minutes))
        });
        let mut found: Vec<Suggestion> = columns.chain(looks).chain(stated).flatten().collect();
        found.sort_by(|a, b| b.gain_per_minute.total_cmp(&a.gain_per_minute).then(a.key.cmp(&b.key)));
        found
    }
}

fn suggestion(key: Key, gain_bits: f64, minutes: f64) -> Suggestion {
    Suggestion { key, gain_bits, minutes, gain_per_minute: gain_bits / minutes.max(0.1) }
}

/// The weighed cars that matter.
struct Crowd<'a> {
    belief: &'a Belief,
    particles: &'a Particles,
    /// Blocks that matter with the place of their part.
    blocks: Vec<(usize, usize)>,
    parts: usize,
}

impl<'a> Crowd<'a> {
    fn new(belief: &'a Belief) -> Self {
        let (parts, places) = belief.particles.part_places();
        let heavy = |b: &usize| belief.by_fault[*b] > NEGLIGIBLE;
        let blocks: Vec<(usize, usize)> = (0..places.len()).filter(heavy).map(|b| (b, places[b])).collect();
        Self { belief, particles: &belief.particles, blocks, parts: parts.len() }
    }

    fn reading(&self, bins: &Bins, table: &mut [[f64; MOST_BINS + 1]]) -> f64 {
        clear(table, bins.count);
        for (block, part) in &self.blocks {
            let range = self.particles.range(*block);
            let row = &mut table[*part];
            for (weight, bin) in self.belief.weights[range.clone()].iter().zip(&bins.of[range]) {
                row[usize::from(*bin)] += weight;
            }
        }
        for row in table.iter_mut() {
            blur(&mut row[..bins.count], &bins.blur);
        }
        information(table, bins.count)
    }

    fn stated(&self, stated: &Stated, table: &mut [[f64; MOST_BINS + 1]]) -> f64 {
        let count = stated.outcomes().len();
        clear(table, count);
        for (block, part) in &self.blocks {
            let row = stated.of(self.particles.faults()[*block]);
            for (sum, p) in table[*part].iter_mut().zip(row) {
                *sum += self.belief.by_fault[*block] * p;
            }
        }
        information(table, count)
    }

    fn look(&self, look: &Look, table: &mut [[f64; MOST_BINS + 1]]) -> f64 {
        let count = look.observation.outcomes().len();
        clear(table, count);
        for (block, part) in &self.blocks {
            let row = &mut table[*part];
            match &look.shown[*block] {
                Shown::Same(p) => {
                    for (sum, p) in row.iter_mut().zip(p) {
                        *sum += self.belief.by_fault[*block] * p;
                    }
                }
                Shown::Each(all) => {
                    for (weight, p) in self.belief.weights[self.particles.range(*block)].iter().zip(all) {
                        for (sum, p) in row.iter_mut().zip(p) {
                            *sum += weight * p;
                        }
                    }
                }
            }
        }
        information(table, count)
    }
}

fn clear(table: &mut [[f64; MOST_BINS + 1]], count: usize) {
    for row in table.iter_mut() {
        row[..count].fill(0.0);
    }
}

/// Spreads each bin over its neighbours as the instrument would, and a slip's share over all. Bin 0, no reading, stays.
fn blur(row: &mut [f64], kernel: &[f64]) {
    let total: f64 = row.iter().sum();
    if total <= 0.0 {
        return;
    }
    let mut spread = [0.0; MOST_BINS + 1];
    spread[0] = row[0];
    let last = row.len() - 1;
    for bin in 1..=last {
        let mass = row[bin];
        if mass == 0.0 {
            continue;
        }
        spread[bin] += mass * kernel[0];
        for (k, share) in kernel.iter().enumerate().skip(1) {
            spread[(bin + k).min(last)] += mass * share;
            spread[bin.saturating_sub(k).max(1)] += mass * share;
        }
    }
    let slip = SLIP * total / row.len() as f64;
    for (value, spread) in row.iter_mut().zip(spread) {
        *value = (1.0 - SLIP) * spread + slip;
    }
}

/// Mutual information of part and outcome in bits, from their joint weights.
fn information(table: &[[f64; MOST_BINS + 1]], count: usize) -> f64 {
    let mut columns = [0.0; MOST_BINS + 1];
    let (mut joint, mut rows, mut total) = (0.0, 0.0, 0.0);
    for row in table {
        let sum: f64 = row[..count].iter().sum();
        if sum <= 0.0 {
            continue;
        }
        total += sum;
        rows += plogp(sum);
        for (column, value) in columns.iter_mut().zip(&row[..count]) {
            *column += value;
            joint += plogp(*value);
        }
    }
    let columns: f64 = columns[..count].iter().map(|c| plogp(*c)).sum();
    if total <= 0.0 {
        return 0.0;
    }
    // The weights sum to `total`, not one: I = (Σ j ln j − Σ r ln r − Σ c ln c + T ln T)/T.
    ((joint - rows - columns + plogp(total)) / total / std::f64::consts::LN_2).max(0.0)
}

fn plogp(p: f64) -> f64 {
    if p > 0.0 { p * p.ln() } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn information_is_that_of_a_noisy_channel() {
        // A binary symmetric channel with error 0.1 and an even input carries 1 − H(0.1) = 0.531 004 bits.
        let mut table = vec![[0.0; MOST_BINS + 1]; 2];
        (table[0][0], table[0][1], table[1][0], table[1][1]) = (0.45, 0.05, 0.05, 0.45);
        assert!((information(&table, 2) - 0.531_004_406_410_719).abs() < 1e-12);
        let half: Vec<_> = table.iter().map(|r| r.map(|x| x / 2.0)).collect();
        assert!((information(&half, 2) - 0.531_004_406_410_719).abs() < 1e-12);
    }

    #[test]
    fn blurring_keeps_the_sum() {
        let mut row = [0.1, 0.0, 0.5, 0.0, 0.4];
        blur(&mut row, &[0.6, 0.15, 0.05]);
        assert!((row.iter().sum::<f64>() - 1.0).abs() < 1e-12 && row[1] > 0.0);
    }
}
