//! What to doubt: a set of evidence that nothing explains, and the one piece the verdict hangs on.

use super::weigh::{Belief, SLIP, Taken, shares};
use crate::terms::{Fault, Part};

/// A piece of evidence counts as odd when what explains all the rest makes it so many times less likely than a slip would, in
/// natural logarithms.
const ODD: f64 = 7.0;
/// And so many times where it is the only odd one, for the alarm.
const ODD_ALONE: f64 = 8.5;
/// Squared standard deviations from the best explanation below which nothing is looked at twice.
const LOOK: f32 = 9.0;
/// Pieces of evidence looked at: those the best explanation fits worst.
const MOST: usize = 8;

/// That all that is odd is slips is not believed at this probability or less: two slips at once, or one number misread twice alike.
const RARE: f64 = SLIP * SLIP * (1.0 + 1e-9);
/// Where one number alone is odd it is read so often before the alarm: of some forty readings a car, one is misread twice alike on
/// one car in a hundred.
const SETTLED: u32 = 3;

/// What does not fit.
#[derive(Debug, Clone, PartialEq)]
pub struct Misfit {
    /// Probability of a fault that is in no catalogue.
    pub other: f64,
    /// Evidence that nothing explains which explains all the rest, the oddest first.
    pub odd: Vec<Odd>,
    /// The evidence the best explanation fits worst, if there is any.
    pub worst: Option<usize>,
    /// Whether to say that nothing in the catalogue explains it: two odd pieces, or a reading that was taken three times and stays. One
    /// alone may be a slip, and so may an answer given twice; a slip is no reason to doubt the list of faults.
    pub alarm: bool,
}

/// A piece of evidence at odds with all the rest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Odd {
    /// Its index.
    pub evidence: usize,
    /// How much less likely it is by the rest than by a slip, in natural logarithms.
    pub surprise: f64,
    /// How many times it was read with the same result.
    pub times: u32,
    /// The probability that it is a slip, read or answered so often.
    pub slip: f64,
}

impl Misfit {
    /// What to read again before anything is concluded: the oddest piece that was read too seldom to stand.
    pub fn repeat(&self) -> Option<usize> {
        self.repeats().next()
    }

    /// All that does not go with the rest and was read only once, or twice where a third time settles the alarm; the oddest first.
    pub fn repeats(&self) -> impl Iterator<Item = usize> + '_ {
        let settles =
            |o: &Odd| self.odd.len() == 1 && o.times < SETTLED && o.slip <= RARE && o.surprise > ODD_ALONE;
        self.odd.iter().filter(move |o| o.times == 1 || settles(o)).map(|o| o.evidence)
    }
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

/// How a fault has fared against what was seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fate {
    /// It still stands.
    Stands,
    /// It hardly stands, and a single slip would bring it back.
    LessLikely,
    /// No single slip would bring it back.
    SetAside,
}

/// The likelihood behind a gain without the share that is a slip's, which is as likely with every car.
fn without_slip(gain: f32, slip: f64, flat: f64) -> f64 {
    (f64::from(gain).exp() - slip * flat) / (1.0 - slip)
}

impl Belief {
    /// What does not fit.
    pub fn misfit(&self) -> Misfit {
        let (logs, _) = self.logs();
        let best = logs.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1)).map_or(0, |(p, _)| p);
        let mut far: Vec<(f32, usize)> =
            self.taken.iter().enumerate().filter(|(_, t)| t.counts).map(|(i, t)| (t.off[best], i)).collect();
        far.sort_by(|a, b| b.0.total_cmp(&a.0));
        let worst = far.first().map(|f| f.1);
        let mut odd: Vec<Odd> = far
            .into_iter()
            .take(MOST)
            .filter(|(off, _)| *off > LOOK)
            .map(|(_, evidence)| Odd {
                evidence,
                surprise: self.surprise(evidence),
                times: self.taken[evidence].evidence.times(),
                slip: self.taken[evidence].evidence.slip(),
            })
            .filter(|o| o.surprise > ODD)
            .collect();
        odd.sort_by(|a, b| b.surprise.total_cmp(&a.surprise));
        let other = self.other();
        let slips: f64 = odd.iter().map(|o| o.slip).product();
        let enough = odd.len() != 1 || odd[0].surprise > ODD_ALONE && odd[0].times >= SETTLED;
        let alarm = slips <= RARE && enough || other > 0.5;
        Misfit { other, odd, worst, alarm }
    }

    /// How much less likely one piece of evidence is by all the others than by a slip, in natural logarithms.
    fn surprise(&self, evidence: usize) -> f64 {
        let taken = &self.taken[evidence];
        let slip = taken.evidence.slip();
        let flat = taken.other.exp();
        let (logs, _) = self.logs();
        let without = |p: usize| logs[p] - f64::from(taken.gains[p]);
        let top = (0..logs.len()).map(without).fold(f64::NEG_INFINITY, f64::max);
        let (mut sum, mut all) = (0.0, 0.0);
        for p in 0..logs.len() {
            let weight = (without(p) - top).exp();
            sum += weight * without_slip(taken.gains[p], slip, flat).max(f64::MIN_POSITIVE);
            all += weight;
        }
        (flat * all / sum.max(f64::MIN_POSITIVE)).ln()
    }

    /// The evidence that would change the verdict if it were misread, the one that would change it most; worth repeating. What was seen
    /// twice alike is not counted: a slip that comes twice is rarer than any fault.
    pub fn fragile(&self) -> Option<Fragile> {
        let verdict = self.part_odds().first()?.0;
        let (logs, other) = self.logs();
        let mut found: Option<Fragile> = None;
        let once = |t: &Taken| t.counts && t.evidence.times() == 1;
        for (index, taken) in self.taken.iter().enumerate().filter(|(_, t)| once(t)) {
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

    /// What was read or seen once only and would lift the likeliest part to `sure` if it were found alike once more, what would lift it
    /// highest first. A part that is nearly sure is often no surer only because what names it may be a slip.
    pub fn settling(&self, sure: f64) -> Vec<usize> {
        let Some((part, _)) = self.part_odds().first().copied() else { return Vec::new() };
        let (logs, other) = self.logs();
        let twice = |taken: &Taken| {
            let (once, twice) = (taken.evidence.slip(), taken.evidence.slip_twice());
            let flat = taken.other.exp();
            let again: Vec<f64> = logs
                .iter()
                .zip(&taken.gains)
                .map(|(log, gain)| {
                    let right = without_slip(*gain, once, flat).max(0.0);
                    log - f64::from(*gain) + ((1.0 - twice) * right + twice * flat).ln()
                })
                .collect();
            let parts = self.parts_of(&self.sums(&shares(&again, other).0));
            parts.iter().find(|(other, _)| *other == part).map_or(0.0, |p| p.1)
        };
        let once = |(_, t): &(usize, &Taken)| t.counts && t.evidence.times() == 1;
        let mut found: Vec<(usize, f64)> =
            self.taken.iter().enumerate().filter(once).map(|(i, t)| (i, twice(t))).collect();
        found.retain(|(_, p)| *p >= sure);
        found.sort_by(|a, b| b.1.total_cmp(&a.1));
        found.into_iter().map(|(index, _)| index).collect()
    }

    /// Each fault with the greatest probability it has where one thing that was read or seen once is left out as a slip. What is small
    /// here as well is set aside for good; what is not hangs on one reading.
    pub fn after_one_slip(&self) -> Vec<(Fault, f64)> {
        let (logs, other) = self.logs();
        let mut best: Vec<(Fault, f64)> = self.odds();
        for taken in self.taken.iter().filter(|t| t.counts && t.evidence.times() == 1) {
            let without: Vec<f64> = logs.iter().zip(&taken.gains).map(|(l, g)| l - f64::from(*g)).collect();
            let sums = self.sums(&shares(&without, other - taken.other).0);
            for (fault, p) in self.particles.faults().iter().zip(sums) {
                if let Some(known) = best.iter_mut().find(|(f, _)| f == fault) {
                    known.1 = known.1.max(p);
                }
            }
        }
        best
    }

    /// How each fault has fared against what was seen, from what it had `first`. It stands no more below `aside`, or below half of what
    /// it had where that is less.
    pub fn fates(&self, first: &[(Fault, f64)], aside: f64) -> Vec<(Fault, Fate)> {
        let slipped = self.after_one_slip();
        let of = |odds: &[(Fault, f64)], fault| odds.iter().find(|(f, _)| *f == fault).map_or(0.0, |o| o.1);
        let fate = |(fault, p): (Fault, f64)| {
            let least = aside.min(of(first, fault) / 2.0);
            let fate = match (p >= least, of(&slipped, fault) >= least) {
                (true, _) => Fate::Stands,
                (false, true) => Fate::LessLikely,
                (false, false) => Fate::SetAside,
            };
            (fault, fate)
        };
        self.odds().into_iter().map(fate).collect()
    }
}
