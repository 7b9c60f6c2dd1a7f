//! What a proof counts. Everything adds up, so that shards of a proof can be merged; figures are worked out from it afterwards.

use super::noise_free::{End, Outcome};
use crate::terms::{Fault, Part};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

/// Minutes of one bar of the histogram.
pub const BAR: f64 = 5.0;

/// Adds another count to this one.
pub trait Add {
    /// Adds.
    fn add(&mut self, other: &Self);
}

impl Add for u64 {
    fn add(&mut self, other: &Self) {
        *self += other;
    }
}

impl Add for f64 {
    fn add(&mut self, other: &Self) {
        *self += other;
    }
}

impl<K: Ord + Clone, V: Add + Default> Add for BTreeMap<K, V> {
    fn add(&mut self, other: &Self) {
        for (key, value) in other {
            self.entry(key.clone()).or_default().add(value);
        }
    }
}

/// So many out of so many.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Share {
    /// How many.
    pub of: u64,
    /// How many of them.
    pub hits: u64,
}

impl Share {
    /// Counts one more.
    pub fn count(&mut self, hit: bool) {
        self.of += 1;
        self.hits += u64::from(hit);
    }
}

impl Add for Share {
    fn add(&mut self, other: &Self) {
        self.of += other.of;
        self.hits += other.hits;
    }
}

/// The walks with one fault.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Cell {
    /// Walks.
    pub walks: u64,
    /// Something was found to be wrong.
    pub detected: u64,
    /// The end names the part at fault.
    pub right: u64,
    /// A finding that names only sound parts; on a sound car, any finding of a fault.
    pub wrong: u64,
    /// The walk broke off.
    pub failed: u64,
    /// Right, with at most one, two and three parts left.
    pub isolated: [u64; 3],
    /// Parts left, summed over detected walks.
    pub parts: u64,
    /// Right, decided by a reading.
    pub by_reading: u64,
    /// Right, decided by a look.
    pub by_look: u64,
    /// Sound parts named, summed.
    pub wrong_parts: u64,
    /// Minutes, summed.
    pub minutes: f64,
    /// The longest walk's minutes.
    pub worst: f64,
    /// Walks by minutes in bars of `BAR`.
    pub bars: BTreeMap<u32, u64>,
}

impl Cell {
    /// Counts one walk, whose end is shared with `group` parts in all.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // A walk takes less than a year.
    pub fn count(&mut self, outcome: &Outcome, group: &BTreeSet<Part>, decided_by_reading: bool) {
        let right = outcome.right();
        self.walks += 1;
        self.failed += u64::from(matches!(outcome.end, End::Failed(_)));
        self.right += u64::from(right);
        self.wrong += u64::from(outcome.wrong());
        if outcome.detected() {
            self.detected += 1;
            self.parts += group.len() as u64;
        }
        if right {
            for (most, count) in self.isolated.iter_mut().enumerate() {
                *count += u64::from(group.len() <= most + 1);
            }
            self.by_reading += u64::from(decided_by_reading);
            self.by_look += u64::from(!decided_by_reading);
        }
        if matches!(outcome.end, End::Finding { .. }) {
            let part = outcome.injected.fault.part();
            self.wrong_parts +=
                outcome.parts().iter().filter(|p| **p != part && **p != Part::Nothing).count() as u64;
        }
        self.minutes += outcome.minutes;
        self.worst = self.worst.max(outcome.minutes);
        *self.bars.entry((outcome.minutes / BAR) as u32).or_default() += 1;
    }
}

impl Add for Cell {
    fn add(&mut self, other: &Self) {
        self.walks += other.walks;
        self.detected += other.detected;
        self.right += other.right;
        self.wrong += other.wrong;
        self.failed += other.failed;
        for (a, b) in self.isolated.iter_mut().zip(&other.isolated) {
            *a += b;
        }
        self.parts += other.parts;
        self.by_reading += other.by_reading;
        self.by_look += other.by_look;
        self.wrong_parts += other.wrong_parts;
        self.minutes += other.minutes;
        self.worst = self.worst.max(other.worst);
        self.bars.add(&other.bars);
    }
}

/// The least severity from which upwards a fault is still found.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
pub struct Least {
    /// Rigs looked at.
    pub rigs: u64,
    /// Rigs on which even the greatest severity is not found.
    pub never: u64,
    /// Least severities, summed over the rigs where it is found.
    pub sum: f64,
    /// The greatest of them.
    pub worst: f64,
}

impl Add for Least {
    fn add(&mut self, other: &Self) {
        self.rigs += other.rigs;
        self.never += other.never;
        self.sum += other.sum;
        self.worst = self.worst.max(other.worst);
    }
}

/// How walks end after one thing went wrong in them.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Survival {
    /// Walks.
    pub walks: u64,
    /// Still right.
    pub right: u64,
    /// A wrong part named.
    pub wrong: u64,
}

impl Survival {
    /// Counts one walk.
    pub fn count(&mut self, right: bool, wrong: bool) {
        self.walks += 1;
        self.right += u64::from(right);
        self.wrong += u64::from(wrong);
    }
}

impl Add for Survival {
    fn add(&mut self, other: &Self) {
        self.walks += other.walks;
        self.right += other.right;
        self.wrong += other.wrong;
    }
}

/// The authored order against the best one found, in minutes of the tests alone; summed over rigs.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
pub struct Economy {
    /// Rigs.
    pub rigs: f64,
    /// Expected minutes of the authored order.
    pub authored: f64,
    /// Expected minutes of the best order found: exact where the table allows, else greedy.
    pub best: f64,
    /// No order is cheaper.
    pub bound: f64,
    /// Rigs on which the best order is exact.
    pub exact: f64,
}

impl Add for Economy {
    fn add(&mut self, other: &Self) {
        self.rigs += other.rigs;
        self.authored += other.authored;
        self.best += other.best;
        self.bound += other.bound;
        self.exact += other.exact;
    }
}

/// Rows of the table of what each fault gives at each test of the tree, without noise; counted in rigs.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Rows {
    /// Claimed faults that give what a sound car gives, everywhere.
    pub zero: BTreeMap<String, u64>,
    /// Pairs of faults of different parts that give the same everywhere.
    pub equal: BTreeMap<String, u64>,
    /// Pairs where the first hides the second.
    pub masked: BTreeMap<String, u64>,
}

/// What the odds and the alarm say where walks on proof cars end, with one kind of reader.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Doubts {
    /// Right ends; those that the odds speak against.
    pub right: Share,
    /// Ends that name only sound parts; those that the odds speak against.
    pub wrong: Share,
    /// Where the odds speak against an end, it is not taken: the part they favour stands in its place, if they favour one.
    pub heeded: Survival,
    /// Alarms after a walk, faults of the catalogue.
    pub listed: Share,
    /// Alarms after a walk, by fault of no catalogue.
    pub unlisted: BTreeMap<String, Share>,
    /// Alarms after the usual readings too, by fault of the catalogue.
    pub full_listed: BTreeMap<Fault, Share>,
    /// Alarms after the usual readings too, by fault of no catalogue.
    pub full_unlisted: BTreeMap<String, Share>,
    /// The likeliest part at the walk's end is the right one.
    pub first: Share,
    /// It is among the three likeliest.
    pub three: Share,
}

impl Add for Doubts {
    fn add(&mut self, other: &Self) {
        self.right.add(&other.right);
        self.wrong.add(&other.wrong);
        self.heeded.add(&other.heeded);
        self.listed.add(&other.listed);
        self.unlisted.add(&other.unlisted);
        self.full_listed.add(&other.full_listed);
        self.full_unlisted.add(&other.full_unlisted);
        self.first.add(&other.first);
        self.three.add(&other.three);
    }
}

/// Cells by fault.
pub type Cells = BTreeMap<Fault, Cell>;

/// What was counted of one tree.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct TreeTally {
    /// Rigs walked.
    pub rigs: u64,
    /// Without noise, claimed faults, all tools.
    pub free: Cells,
    /// Without noise, claimed faults, a multimeter and eyes only.
    pub free_meter: Cells,
    /// Without noise, faults the tree does not claim.
    pub unclaimed: Cell,
    /// Proof cars, claimed faults, all tools.
    pub noisy: Cells,
    /// The same proof cars and a reader who never slips.
    pub careful: Cells,
    /// The same proof cars and a reader who never slips, every offer of the odds taken.
    #[serde(default)]
    pub advised: Cells,
    /// The same proof cars and a reader who slips, every offer of the odds taken.
    #[serde(default)]
    pub advised_slipping: Cells,
    /// How many of the walks as advised, read with care, were ended before the tree's end.
    #[serde(default)]
    pub early: Share,
    /// Proof cars, claimed faults, a multimeter and eyes only.
    pub noisy_meter: Cells,
    /// Walks without noise that did not end as they should.
    pub failures: Vec<String>,
    /// By branch, how often it was walked.
    pub branches: BTreeMap<String, u64>,
    /// By fault, from which severity it is found.
    pub least: BTreeMap<Fault, Least>,
    /// By step, when it is skipped.
    pub skipped: BTreeMap<String, Survival>,
    /// By step, when it is read or answered wrongly.
    pub flipped: BTreeMap<String, Survival>,
    /// Two faults at once: right when a true one is named.
    pub pairs: Survival,
    /// Rows of the table.
    pub rows: Rows,
    /// Order of the tests.
    pub economy: Economy,
    /// By step, expected minutes lost against the best test there; summed over rigs.
    pub regret: BTreeMap<String, f64>,
    /// What the odds and the alarm say at the ends of proof cars.
    pub doubts: Doubts,
    /// The same with a reader who never slips.
    pub doubts_careful: Doubts,
}

impl Add for TreeTally {
    fn add(&mut self, other: &Self) {
        self.rigs += other.rigs;
        self.free.add(&other.free);
        self.free_meter.add(&other.free_meter);
        self.unclaimed.add(&other.unclaimed);
        self.noisy.add(&other.noisy);
        self.careful.add(&other.careful);
        self.advised.add(&other.advised);
        self.advised_slipping.add(&other.advised_slipping);
        self.early.add(&other.early);
        self.noisy_meter.add(&other.noisy_meter);
        self.failures.extend(other.failures.iter().cloned());
        self.failures.sort();
        self.branches.add(&other.branches);
        self.least.add(&other.least);
        self.skipped.add(&other.skipped);
        self.flipped.add(&other.flipped);
        self.pairs.add(&other.pairs);
        self.rows.zero.add(&other.rows.zero);
        self.rows.equal.add(&other.rows.equal);
        self.rows.masked.add(&other.rows.masked);
        self.economy.add(&other.economy);
        self.regret.add(&other.regret);
        self.doubts.add(&other.doubts);
        self.doubts_careful.add(&other.doubts_careful);
    }
}

/// A whole proof, or a shard of one.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Tally {
    /// The seed of its draws.
    pub seed: u64,
    /// Proof cars a fault and rig.
    pub samples: u64,
    /// By tree.
    pub trees: BTreeMap<String, TreeTally>,
}

impl Tally {
    /// Adds a shard of the same proof.
    ///
    /// # Errors
    /// Where seed or samples differ, for then it is another proof.
    pub fn merge(&mut self, other: &Self) -> Result<(), String> {
        if (self.seed, self.samples) != (other.seed, other.samples) {
            return Err(format!(
                "expected shards of one proof, found seeds {} and {}, samples {} and {}; run all shards alike",
                self.seed, other.seed, self.samples, other.samples
            ));
        }
        self.trees.add(&other.trees);
        Ok(())
    }
}
