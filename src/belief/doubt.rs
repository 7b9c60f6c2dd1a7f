//! What to doubt: a set of evidence that nothing explains, and the one piece the verdict hangs on.

use super::weigh::{Belief, shares};
use crate::instrument::cdf;
use crate::terms::Part;

/// Chance below which even the best explanation counts as bad.
const ALARM: f64 = 0.01;

/// How well the best explanation fits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Misfit {
    /// Chance that a car which is what the best explanation says it is fits no better.
    pub chance: f64,
    /// Probability of a fault that is in no catalogue.
    pub other: f64,
    /// The evidence the best explanation fits worst, if there is any.
    pub worst: Option<usize>,
    /// Whether to say so: a slip, a gauge, two faults at once, or one that is in no catalogue.
    pub alarm: bool,
}

/// The piece of evidence without which another part would be named.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fragile {
    /// Its index.
    pub evidence: usize,
    /// The part named without it.
    pub instead: Part,
    /// The probability of that part without it.
    pub probability: f64,
}

impl Belief {
    /// Whether even the best explanation fits badly.
    pub fn misfit(&self) -> Misfit {
        let counted: Vec<usize> = (0..self.taken.len()).filter(|t| self.taken[*t].counts).collect();
        // One piece may be a slip, and a slip alone is no reason to doubt the list of faults: the worst is forgiven.
        let forgiving = counted.len() > 3;
        let off = |p: usize| {
            let (mut sum, mut most) = (0.0, 0.0);
            for t in &counted {
                let off = f64::from(self.taken[*t].off[p]);
                sum += off;
                most = f64::max(most, off);
            }
            if forgiving { sum - most } else { sum }
        };
        let best = (0..self.weights.len()).map(|p| (off(p), p)).min_by(|a, b| a.0.total_cmp(&b.0));
        let (total, particle) = best.unwrap_or((0.0, 0));
        // The best of a crowd fits better than a car drawn blindly: its severity and its spread were chosen by the evidence.
        let freedom = (counted.len() as f64 - if forgiving { 3.0 } else { 2.0 }).max(1.0);
        let chance = beyond(total, freedom);
        let worst = counted
            .iter()
            .copied()
            .max_by(|a, b| self.taken[*a].off[particle].total_cmp(&self.taken[*b].off[particle]));
        let other = self.other();
        Misfit { chance, other, worst, alarm: chance < ALARM || other > 0.5 }
    }

    /// The evidence that would change the verdict if it were misread, the one that would change it most; worth repeating.
    pub fn fragile(&self) -> Option<Fragile> {
        let verdict = self.part_odds().first()?.0;
        let (logs, other) = self.logs();
        let mut found: Option<Fragile> = None;
        for (index, taken) in self.taken.iter().enumerate().filter(|(_, t)| t.counts) {
            let without: Vec<f64> = logs.iter().zip(&taken.gains).map(|(l, g)| l - f64::from(*g)).collect();
            let (weights, _) = shares(&without, other - taken.other);
            let Some((instead, probability)) = self.parts_of(&self.sums(&weights)).first().copied() else {
                continue;
            };
            if instead != verdict && found.is_none_or(|f| probability > f.probability) {
                found = Some(Fragile { evidence: index, instead, probability });
            }
        }
        found
    }
}

/// Chance that a sum of `freedom` squared standard normal numbers exceeds `total` (Wilson and Hilferty, *Proceedings of the
/// National Academy of Sciences* 17, 1931, from memory).
fn beyond(total: f64, freedom: f64) -> f64 {
    let ninth = 2.0 / (9.0 * freedom);
    1.0 - cdf(((total.max(0.0) / freedom).cbrt() - (1.0 - ninth)) / ninth.sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_chance_is_that_of_the_table() {
        // Upper 5 % and 1 % points of chi-squared (from memory): 3.841 and 6.635 for 1, 18.307 and 23.209 for 10.
        for (total, freedom, p) in
            [(3.841, 1.0, 0.05), (6.635, 1.0, 0.01), (18.307, 10.0, 0.05), (23.209, 10.0, 0.01)]
        {
            assert!((beyond(total, freedom) - p).abs() < 0.003, "{total} {freedom}");
        }
    }
}
