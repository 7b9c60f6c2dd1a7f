//! The figures of a proof, from its counts. Each rate stands with its numbers and its exact 95 % bounds, by count and weighted
//! by the faults' priors, since a rare family of faults can hide in a weighted figure.

use super::authored::Authored;
use super::bounds::clopper_pearson;
use super::tally::{Add, BAR, Cell, Cells, Doubts, Share, Survival, Tally, TreeTally};
use super::unit::mix;
use crate::faults::entry;
use crate::terms::Fault;
use serde::Serialize;
use std::collections::BTreeMap;

/// A rate with what it was counted from.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Rate {
    /// Hits of all; 0 of 0 counts as none.
    pub value: f64,
    /// How many.
    pub hits: u64,
    /// Out of how many.
    pub of: u64,
    /// Lower 95 % bound (Clopper and Pearson).
    pub low: f64,
    /// Upper 95 % bound.
    pub high: f64,
}

impl Rate {
    /// The rate of `hits` in `of`.
    pub fn new(hits: u64, of: u64) -> Self {
        let (low, high) = clopper_pearson(hits, of);
        let value = if of == 0 { 0.0 } else { hits as f64 / of as f64 };
        Self { value, hits, of, low, high }
    }
}

impl From<Share> for Rate {
    fn from(share: Share) -> Self {
        Self::new(share.hits, share.of)
    }
}

/// Figures of one set of walks.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SetFigures {
    /// Faults walked.
    pub faults: u64,
    /// Walks with a fault.
    pub walks: u64,
    /// Fraction of faults detected.
    pub detected: Rate,
    /// The same weighted by prior.
    pub detected_weighted: f64,
    /// Among the detected, isolated to at most one, two and three replaceable parts.
    pub isolated: [Rate; 3],
    /// The same weighted by prior.
    pub isolated_weighted: [f64; 3],
    /// The part at fault is named.
    pub correct: Rate,
    /// The same weighted by prior.
    pub correct_weighted: f64,
    /// Only sound parts are named in a finding.
    pub wrong: Rate,
    /// The same weighted by prior.
    pub wrong_weighted: f64,
    /// A finding says that a sound car is faulty; a hand-over that says what could not be looked at is none.
    pub false_alarm: Rate,
    /// Walks that broke off.
    pub broken_off: u64,
    /// Mean number of parts left, of detected faults.
    pub mean_parts: f64,
    /// Right ends decided by a reading.
    pub by_reading: u64,
    /// Right ends decided by a look.
    pub by_look: u64,
    /// Minutes to the end, weighted by prior.
    pub minutes_mean: f64,
    /// Nine walks of ten are shorter.
    pub minutes_p90: f64,
    /// The longest.
    pub minutes_worst: f64,
    /// Sound parts named on the way to an end, expected, weighted by prior.
    pub wrong_parts: f64,
    /// Faults that were not always right, with how often they were.
    pub not_always_right: BTreeMap<Fault, Rate>,
}

fn set(cells: &Cells, weight: impl Fn(Fault) -> f64) -> SetFigures {
    let faulty: Vec<(Fault, &Cell)> =
        cells.iter().filter(|(f, _)| **f != Fault::NoFault).map(|(f, c)| (*f, c)).collect();
    let mut all = Cell::default();
    for (_, cell) in &faulty {
        all.add(cell);
    }
    let mean = |of: &dyn Fn(&Cell) -> (f64, f64)| {
        let (mut sum, mut total) = (0.0, 0.0);
        for (fault, cell) in &faulty {
            let (hits, out_of) = of(cell);
            if out_of > 0.0 {
                sum += weight(*fault) * hits / cell.walks as f64;
                total += weight(*fault) * out_of / cell.walks as f64;
            }
        }
        if total > 0.0 { sum / total } else { 0.0 }
    };
    let share = |hits: u64, of: u64| (hits as f64, of as f64);
    let sound = cells.get(&Fault::NoFault).cloned().unwrap_or_default();
    let most = (all.walks as f64 * 0.9).ceil();
    let mut so_far = 0.0;
    let p90 = all.bars.iter().find(|(_, n)| {
        so_far += **n as f64;
        so_far >= most
    });
    SetFigures {
        faults: faulty.len() as u64,
        walks: all.walks,
        detected: Rate::new(all.detected, all.walks),
        detected_weighted: mean(&|c| share(c.detected, c.walks)),
        isolated: all.isolated.map(|i| Rate::new(i, all.detected)),
        isolated_weighted: [0, 1, 2].map(|k: usize| mean(&|c| share(c.isolated[k], c.detected))),
        correct: Rate::new(all.right, all.walks),
        correct_weighted: mean(&|c| share(c.right, c.walks)),
        wrong: Rate::new(all.wrong, all.walks),
        wrong_weighted: mean(&|c| share(c.wrong, c.walks)),
        false_alarm: Rate::new(sound.wrong, sound.walks),
        broken_off: all.failed + sound.failed,
        mean_parts: if all.detected == 0 { 0.0 } else { all.parts as f64 / all.detected as f64 },
        by_reading: all.by_reading,
        by_look: all.by_look,
        minutes_mean: mean(&|c| (c.minutes, c.walks as f64)),
        minutes_p90: p90.map_or(0.0, |(bar, _)| f64::from(bar + 1) * BAR),
        minutes_worst: all.worst,
        wrong_parts: mean(&|c| share(c.wrong_parts, c.walks)),
        not_always_right: faulty
            .iter()
            .filter(|(_, c)| c.right < c.walks)
            .map(|(f, c)| (*f, Rate::new(c.right, c.walks)))
            .collect(),
    }
}

/// Figures of the walks alone, weighted by the catalogue's priors.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WalkFigures {
    /// Faults the tree claims, and the sound car.
    pub claimed: SetFigures,
    /// Faults it does not claim: a wrong part named.
    pub unclaimed_wrong: Rate,
}

/// The figures of the walks alone.
pub fn walk_figures(walks: &Authored) -> WalkFigures {
    WalkFigures {
        claimed: set(&walks.claimed, |fault| entry(fault).prior),
        unclaimed_wrong: Rate::new(walks.others.wrong, walks.others.walks),
    }
}

/// Tier A: no noise.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TierA {
    /// All tools.
    pub all_tools: SetFigures,
    /// A multimeter and eyes.
    pub meter_only: SetFigures,
    /// Faults the tree does not claim: a wrong part named.
    pub unclaimed_wrong: Rate,
    /// Walks that did not end as they should.
    pub failures: Vec<String>,
    /// Branches walked by at least one fault.
    pub branches_reached: Rate,
    /// Branches that no fault walks.
    pub never_reached: Vec<String>,
    /// Faults that show nothing, with the number of rigs.
    pub zero_rows: BTreeMap<String, u64>,
    /// Faults of different parts that show the same, with the number of rigs.
    pub equal_rows: BTreeMap<String, u64>,
    /// Faults that hide others, with the number of rigs.
    pub masking_rows: BTreeMap<String, u64>,
}

/// How often walks stay right after a mishap, and at which steps least.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Mishap {
    /// Still right.
    pub right: Rate,
    /// A wrong part named.
    pub wrong: Rate,
    /// The steps after which a wrong part is named most often.
    pub weakest: Vec<(String, Rate)>,
}

fn mishap(steps: &BTreeMap<String, Survival>) -> Mishap {
    let mut all = Survival::default();
    for step in steps.values() {
        all.add(step);
    }
    let mut weakest: Vec<(String, Rate)> =
        steps.iter().map(|(step, s)| (step.clone(), Rate::new(s.wrong, s.walks))).collect();
    weakest.retain(|w| w.1.hits > 0);
    weakest.sort_by(|a, b| b.1.hits.cmp(&a.1.hits).then(a.0.cmp(&b.0)));
    weakest.truncate(10);
    Mishap { right: Rate::new(all.right, all.walks), wrong: Rate::new(all.wrong, all.walks), weakest }
}

/// The least severity still found, on average and at worst.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct LeastFigure {
    /// Rigs.
    pub rigs: u64,
    /// Rigs where it is not found at all.
    pub never: u64,
    /// Mean over the others.
    pub mean: Option<f64>,
    /// The greatest of them.
    pub worst: f64,
}

/// What the odds and the alarm say where walks on proof cars end.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DoubtFigures {
    /// Right ends that the odds speak against.
    pub against_right: Rate,
    /// Ends naming only sound parts that the odds speak against.
    pub against_wrong: Rate,
    /// Only sound parts named and the odds do not speak against it, of all walks.
    pub unquestioned_wrong: Rate,
    /// Right where the odds are heeded: an end they speak against gives way to the part they favour, if they favour one.
    pub heeded_right: Rate,
    /// Wrong where the odds are heeded.
    pub heeded_wrong: Rate,
    /// Alarms after a walk, faults of the catalogue.
    pub alarms_listed: Rate,
    /// Alarms after a walk, faults of no catalogue.
    pub alarms_unlisted: Rate,
    /// Alarms after the usual readings too, faults of the catalogue.
    pub alarms_full_listed: Rate,
    /// Alarms after the usual readings too, faults of no catalogue.
    pub alarms_full_unlisted: Rate,
    /// Both by fault.
    pub alarms_by_fault: BTreeMap<String, Rate>,
    /// The belief's first part is the right one at the walk's end.
    pub belief_first: Rate,
    /// It is among the first three.
    pub belief_three: Rate,
}

fn doubts(d: &Doubts) -> DoubtFigures {
    fn sum<K>(shares: &BTreeMap<K, Share>) -> Rate {
        let mut all = Share::default();
        for share in shares.values() {
            all.add(share);
        }
        Rate::from(all)
    }
    let listed = d.full_listed.iter().map(|(fault, share)| (fault.id().to_owned(), *share));
    let unlisted = d.full_unlisted.iter().map(|(id, share)| (id.clone(), *share));
    DoubtFigures {
        against_right: d.right.into(),
        against_wrong: d.wrong.into(),
        unquestioned_wrong: Rate::new(d.wrong.of - d.wrong.hits, d.heeded.walks),
        heeded_right: Rate::new(d.heeded.right, d.heeded.walks),
        heeded_wrong: Rate::new(d.heeded.wrong, d.heeded.walks),
        alarms_listed: d.listed.into(),
        alarms_unlisted: sum(&d.unlisted),
        alarms_full_listed: sum(&d.full_listed),
        alarms_full_unlisted: sum(&d.full_unlisted),
        alarms_by_fault: unlisted.chain(listed).map(|(id, share)| (id, share.into())).collect(),
        belief_first: d.first.into(),
        belief_three: d.three.into(),
    }
}

/// Tier B: proof cars, mishaps, pairs.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TierB {
    /// Proof cars a fault and rig.
    pub samples: u64,
    /// All tools.
    pub all_tools: SetFigures,
    /// All tools and a reader who never slips.
    pub careful: SetFigures,
    /// The same, every offer of the odds taken: tests before their turn, and an end before the tree's.
    pub advised: SetFigures,
    /// The same with a reader who slips.
    pub advised_slipping: SetFigures,
    /// Of those walks, the ones ended before the tree's end.
    pub early: Rate,
    /// A multimeter and eyes.
    pub meter_only: SetFigures,
    /// By fault, the least severity from which upwards it is found, without noise.
    pub least_severity: BTreeMap<Fault, LeastFigure>,
    /// One step skipped.
    pub skipped: Mishap,
    /// One step read or answered wrongly.
    pub flipped: Mishap,
    /// Two faults at once: a true one named.
    pub pairs_right: Rate,
    /// Two faults at once: a third part named.
    pub pairs_wrong: Rate,
    /// What the odds and the alarm say where walks end.
    pub doubts: DoubtFigures,
    /// The same with a reader who never slips.
    pub doubts_careful: DoubtFigures,
}

/// Tier C: what it costs.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TierC {
    /// Minutes, weighted by prior, gauge fitting and all.
    pub minutes_mean: f64,
    /// Nine walks of ten are shorter.
    pub minutes_p90: f64,
    /// The longest.
    pub minutes_worst: f64,
    /// Expected minutes of the tests alone in the authored order.
    pub authored: f64,
    /// In the best order found.
    pub best_found: f64,
    /// Share of rigs on which the best order is exact; on the others it is greedy.
    pub exact: f64,
    /// No order is cheaper.
    pub lower_bound: f64,
    /// Best order found over authored order.
    pub ratio: f64,
    /// Sound parts named, expected.
    pub wrong_parts: f64,
    /// Steps that lose most minutes against the best test there.
    pub regret: Vec<(String, f64)>,
}

/// All figures of a tree, or of the library.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Figures {
    /// Rigs walked.
    pub rigs: u64,
    /// No noise.
    pub tier_a: TierA,
    /// Noise, mishaps, pairs.
    pub tier_b: TierB,
    /// Cost.
    pub tier_c: TierC,
    /// Targets that are missed, in words.
    pub missed: Vec<String>,
}

/// The figures of one tree's counts.
pub fn figures(tally: &TreeTally, seed: u64, samples: u64) -> Figures {
    let prior = |fault: Fault| entry(fault).prior;
    // Priors drawn anew for the proof cars: up to a factor of two either way for two of three faults.
    #[allow(clippy::cast_possible_truncation)] // Twenty bits of a random number are plenty.
    let redrawn = |fault: Fault| {
        let share = f64::from((mix(seed, &[5, fault as u64]) >> 44) as u32) / f64::from(1_u32 << 20);
        entry(fault).prior * 4f64.powf(share - 0.5)
    };
    let free = set(&tally.free, prior);
    let reached = tally.branches.values().filter(|n| **n > 0).count() as u64;
    let per_rig = |x: f64| if tally.economy.rigs > 0.0 { x / tally.economy.rigs } else { 0.0 };
    let mut regret: Vec<(String, f64)> =
        tally.regret.iter().map(|(s, minutes)| (s.clone(), per_rig(*minutes))).collect();
    regret.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    regret.truncate(10);
    Figures {
        rigs: tally.rigs,
        missed: missed(&free),
        tier_c: TierC {
            minutes_mean: free.minutes_mean,
            minutes_p90: free.minutes_p90,
            minutes_worst: free.minutes_worst,
            authored: per_rig(tally.economy.authored),
            best_found: per_rig(tally.economy.best),
            exact: per_rig(tally.economy.exact),
            lower_bound: per_rig(tally.economy.bound),
            ratio: if tally.economy.authored > 0.0 {
                tally.economy.best / tally.economy.authored
            } else {
                0.0
            },
            wrong_parts: free.wrong_parts,
            regret,
        },
        tier_a: TierA {
            all_tools: free,
            meter_only: set(&tally.free_meter, prior),
            unclaimed_wrong: Rate::new(tally.unclaimed.wrong, tally.unclaimed.walks),
            failures: tally.failures.clone(),
            branches_reached: Rate::new(reached, tally.branches.len() as u64),
            never_reached: tally.branches.iter().filter(|(_, n)| **n == 0).map(|(b, _)| b.clone()).collect(),
            zero_rows: tally.rows.zero.clone(),
            equal_rows: tally.rows.equal.clone(),
            masking_rows: tally.rows.masked.clone(),
        },
        tier_b: TierB {
            samples,
            all_tools: set(&tally.noisy, redrawn),
            careful: set(&tally.careful, redrawn),
            advised: set(&tally.advised, redrawn),
            advised_slipping: set(&tally.advised_slipping, redrawn),
            early: tally.early.into(),
            meter_only: set(&tally.noisy_meter, redrawn),
            least_severity: tally
                .least
                .iter()
                .map(|(fault, l)| {
                    let found = l.rigs - l.never;
                    let mean = (found > 0).then(|| l.sum / found as f64);
                    (*fault, LeastFigure { rigs: l.rigs, never: l.never, mean, worst: l.worst })
                })
                .collect(),
            skipped: mishap(&tally.skipped),
            flipped: mishap(&tally.flipped),
            pairs_right: Rate::new(tally.pairs.right, tally.pairs.walks),
            pairs_wrong: Rate::new(tally.pairs.wrong, tally.pairs.walks),
            doubts: doubts(&tally.doubts),
            doubts_careful: doubts(&tally.doubts_careful),
        },
    }
}

/// The figures of all trees together.
pub fn library(tally: &Tally) -> Figures {
    let mut all = TreeTally::default();
    for (name, tree) in &tally.trees {
        let mut tree = tree.clone();
        let named = |step: &String| format!("{name}: {step}");
        tree.branches = tree.branches.iter().map(|(k, v)| (named(k), *v)).collect();
        tree.skipped = tree.skipped.iter().map(|(k, v)| (named(k), *v)).collect();
        tree.flipped = tree.flipped.iter().map(|(k, v)| (named(k), *v)).collect();
        tree.regret = tree.regret.iter().map(|(k, v)| (named(k), *v)).collect();
        tree.failures = tree.failures.iter().map(named).collect();
        all.add(&tree);
    }
    all.rigs = tally.trees.values().map(|t| t.rigs).max().unwrap_or(0);
    figures(&all, tally.seed, tally.samples)
}

/// Targets of tier A that are missed.
fn missed(free: &SetFigures) -> Vec<String> {
    let mut missed = Vec::new();
    let mut want = |holds: bool, what: String| {
        if !holds {
            missed.push(what);
        }
    };
    let (found, of) = (free.detected.hits, free.detected.of);
    want(found == of, format!("every fault detected: {found} of {of}"));
    want(free.wrong.hits == 0, format!("no wrong isolation: {}", free.wrong.hits));
    want(free.false_alarm.hits == 0, format!("no false alarm: {}", free.false_alarm.hits));
    want(free.broken_off == 0, format!("no walk breaks off: {}", free.broken_off));
    let [one, _, three] = free.isolated;
    want(one.value >= 0.9 || of == 0, format!("one part left in 90 %: {:.1} %", 100.0 * one.value));
    want(three.hits == three.of, format!("three parts at most: {} of {}", three.hits, three.of));
    missed
}
