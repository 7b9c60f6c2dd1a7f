//! Evidence in, weights out.

use super::crowd::Column;
use super::effort::Key;
use super::evidence::Evidence;
use super::particles::{Particles, single};
use super::stated::Stated;
use crate::instrument::{Sample, Seen, SharedBias, Uncertainty};
use crate::terms::{Condition, Fault, Observation, Part, Reading, Tool};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Prior probability of a fault that is in no catalogue (common practice).
pub const OTHER_PRIOR: f64 = 0.02;

/// Share of readings and answers that are slips of the reader: wrong line, wrong unit, wrong hose (common practice; error
/// handbooks give one to three in a hundred, from memory).
pub const SLIP: f64 = 0.02;

/// What one piece of evidence did.
#[derive(Debug, Clone)]
pub(super) struct Taken {
    pub evidence: Evidence,
    /// By car: its log likelihood.
    pub gains: Vec<f32>,
    /// By car: squared distance in standard deviations.
    pub off: Vec<f32>,
    /// Log likelihood of the hypothesis of another fault.
    pub other: f64,
    /// By fault: log of its mean likelihood over that of all.
    pub ratios: Vec<f64>,
    /// Whether the model has anything to say to it.
    pub counts: bool,
}

/// What is believed of one car.
#[derive(Debug, Clone)]
pub struct Belief {
    pub(super) particles: Arc<Particles>,
    /// Tests whose likelihood the tree states.
    pub(super) stated: Arc<Vec<Stated>>,
    /// By fault: log prior of one of its cars.
    prior: Vec<f64>,
    log_weights: Vec<f64>,
    log_other: f64,
    biases: BTreeMap<Tool, Vec<SharedBias>>,
    pub(super) taken: Vec<Taken>,
    pub(super) weights: Vec<f64>,
    pub(super) by_fault: Vec<f64>,
    other: f64,
}

impl Belief {
    /// A belief without evidence, with the priors of the catalogue.
    pub fn new(particles: Arc<Particles>) -> Self {
        let priors = particles.priors().to_vec();
        Self::stating(particles, &priors, Vec::new())
    }

    /// A belief without evidence, with priors and likelihoods that a tree states. `priors` in the order of [`Particles::faults`],
    /// only their ratios matter; missing ones count as zero. What is `stated` of a test counts in place of the model.
    pub fn stating(particles: Arc<Particles>, priors: &[f64], stated: Vec<Stated>) -> Self {
        let sum: f64 = priors.iter().sum();
        let each = (1.0 - OTHER_PRIOR) / (sum * particles.per_fault() as f64);
        let prior =
            (0..particles.faults().len()).map(|b| (priors.get(b).unwrap_or(&0.0) * each).ln()).collect();
        let mut belief = Self {
            stated: Arc::new(stated),
            prior,
            log_weights: Vec::new(),
            log_other: 0.0,
            biases: BTreeMap::new(),
            taken: Vec::new(),
            weights: Vec::new(),
            by_fault: Vec::new(),
            other: 0.0,
            particles,
        };
        belief.start();
        belief.normalise();
        belief
    }

    /// The cars believed in.
    pub fn particles(&self) -> &Arc<Particles> {
        &self.particles
    }

    /// The evidence, in the order taken.
    pub fn evidence(&self) -> impl Iterator<Item = &Evidence> {
        self.taken.iter().map(|t| &t.evidence)
    }

    /// Takes one piece of evidence and returns its index. An observation made before is replaced: looking twice at the same
    /// thing tells nothing twice.
    pub fn take(&mut self, evidence: Evidence) -> usize {
        let again = |t: &Taken| {
            !matches!(t.evidence, Evidence::Reading { .. })
                && (t.evidence.key(), condition_of(&t.evidence)) == (evidence.key(), condition_of(&evidence))
        };
        if let Some(index) = self.taken.iter().position(again) {
            self.replace(index, evidence);
            return index;
        }
        // One censored reading is exact only when it comes last.
        let after_end = matches!(evidence, Evidence::Reading { at_least: false, .. })
            && self.evidence().any(|e| matches!(e, Evidence::Reading { at_least: true, .. }));
        if after_end {
            let mut all: Vec<Evidence> = self.evidence().cloned().collect();
            all.push(evidence);
            self.recompute(&all);
        } else {
            let taken = self.learn(evidence);
            self.taken.push(taken);
            self.normalise();
        }
        self.taken.len() - 1
    }

    /// Takes back the evidence at `index`; nothing happens where there is none.
    pub fn withdraw(&mut self, index: usize) {
        if index < self.taken.len() {
            let mut all: Vec<Evidence> = self.evidence().cloned().collect();
            all.remove(index);
            self.recompute(&all);
        }
    }

    /// Puts other evidence in the place of that at `index`.
    pub fn replace(&mut self, index: usize, evidence: Evidence) {
        let mut all: Vec<Evidence> = self.evidence().cloned().collect();
        if let Some(place) = all.get_mut(index) {
            *place = evidence;
            self.recompute(&all);
        }
    }

    /// Takes out what mending `part` makes stale, believes less in its faults, and returns what was taken out.
    pub fn drop_stale(&mut self, part: Part) -> Vec<Evidence> {
        /// How much of its prior a fault keeps once its part is mended (common practice: new parts fail too).
        const KEPT: f64 = 0.05;
        let particles = Arc::clone(&self.particles);
        let blocks: Vec<usize> =
            (0..self.prior.len()).filter(|b| particles.faults()[*b].part() == part).collect();
        let (stale, kept): (Vec<Evidence>, Vec<Evidence>) =
            self.evidence().cloned().partition(|e| blocks.iter().any(|b| self.touches(*b, e)));
        for block in blocks.iter().filter(|b| particles.faults()[**b] != Fault::NoFault) {
            self.prior[*block] += KEPT.ln();
        }
        self.recompute(&kept);
        stale
    }

    /// Probability of each fault, the likeliest first; with [`Belief::other`] they sum to one.
    pub fn odds(&self) -> Vec<(Fault, f64)> {
        let mut odds: Vec<(Fault, f64)> =
            self.particles.faults().iter().copied().zip(self.by_fault.iter().copied()).collect();
        odds.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        odds
    }

    /// Probability of a fault that is in no catalogue.
    pub fn other(&self) -> f64 {
        self.other
    }

    /// Probability of each replaceable part, the likeliest first.
    pub fn part_odds(&self) -> Vec<(Part, f64)> {
        self.parts_of(&self.by_fault)
    }

    pub(super) fn parts_of(&self, by_fault: &[f64]) -> Vec<(Part, f64)> {
        let (parts, places) = self.particles.part_places();
        let mut sums = vec![0.0; parts.len()];
        for (place, p) in places.iter().zip(by_fault) {
            sums[*place] += p;
        }
        let mut odds: Vec<(Part, f64)> = parts.into_iter().zip(sums).collect();
        odds.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        odds
    }

    /// Entropy over the faults, the one in no catalogue included, in bits.
    pub fn entropy(&self) -> f64 {
        let all = self.by_fault.iter().chain(std::iter::once(&self.other));
        -all.filter(|p| **p > 0.0).map(|p| p * p.log2()).sum::<f64>()
    }

    /// Sums by fault of any weights over the cars.
    pub(super) fn sums(&self, weights: &[f64]) -> Vec<f64> {
        weights.chunks(self.particles.per_fault()).map(|block| block.iter().sum()).collect()
    }

    /// The log weights as they stand, and that of the fault in no catalogue.
    pub(super) fn logs(&self) -> (&[f64], f64) {
        (&self.log_weights, self.log_other)
    }

    fn start(&mut self) {
        let n = self.particles.per_fault();
        self.log_weights = self.prior.iter().flat_map(|p| std::iter::repeat_n(*p, n)).collect();
        self.log_other = OTHER_PRIOR.ln();
        self.biases.clear();
        self.taken.clear();
    }

    /// From the list alone; ends of scales come last, the order shown stays.
    fn recompute(&mut self, all: &[Evidence]) {
        self.start();
        self.normalise();
        let ends = |e: &Evidence| matches!(e, Evidence::Reading { at_least: true, .. });
        let mut order: Vec<usize> = (0..all.len()).collect();
        order.sort_by_key(|i| ends(&all[*i]));
        let mut found: Vec<Option<Taken>> = vec![None; all.len()];
        for i in order {
            found[i] = Some(self.learn(all[i].clone()));
            self.normalise();
        }
        self.taken = found.into_iter().flatten().collect();
    }

    fn normalise(&mut self) {
        (self.weights, self.other) = shares(&self.log_weights, self.log_other);
        self.by_fault = self.sums(&self.weights);
    }

    /// Multiplies the likelihood in.
    fn learn(&mut self, evidence: Evidence) -> Taken {
        let n = self.particles.len();
        let mut taken = Taken {
            gains: vec![0.0; n],
            off: vec![0.0; n],
            other: 0.0,
            ratios: vec![0.0; self.prior.len()],
            counts: true,
            evidence,
        };
        match taken.evidence.clone() {
            Evidence::Reading { reading, condition, si, uncertainty, tool, at_least, .. } => {
                let seen = if at_least { Seen::AtLeast(si) } else { Seen::Value(si) };
                let slip = taken.evidence.slip();
                self.read(&mut taken, (reading, condition), (seen, slip), uncertainty, tool);
            }
            Evidence::Observation { observation, outcome, .. } => {
                if let Some(stated) = self.stated(Key::Observation(observation)) {
                    self.verdict(&mut taken, stated, &outcome);
                } else {
                    let slip = taken.evidence.slip();
                    self.look(&mut taken, observation, (&outcome, slip));
                }
            }
            Evidence::Verdict { reading, condition, verdict } => {
                match self.stated(Key::Reading(reading, condition)) {
                    Some(stated) => self.verdict(&mut taken, stated, &verdict),
                    None => taken.counts = false,
                }
            }
            Evidence::DoesNotRun { condition } => self.stands(&mut taken, condition),
        }
        self.compare(&mut taken);
        for (weight, gain) in self.log_weights.iter_mut().zip(&taken.gains) {
            *weight += f64::from(*gain);
        }
        self.log_other += taken.other;
        taken
    }

    fn read(
        &mut self,
        taken: &mut Taken,
        at: (Reading, Condition),
        (seen, slip): (Seen, f64),
        uncertainty: Uncertainty,
        tool: Tool,
    ) {
        let particles = Arc::clone(&self.particles);
        let Some(column) = particles.column(at.0, at.1) else {
            taken.counts = false;
            return;
        };
        let flat = flat(column, seen, uncertainty);
        taken.other = flat.ln();
        let lost = (slip * flat).ln();
        let biases = self.biases.entry(tool).or_insert_with(|| vec![SharedBias::new(); particles.len()]);
        for (block, fault) in particles.faults().iter().enumerate() {
            let spread = f64::from(column.spread[block]);
            for (i, p) in particles.range(block).enumerate() {
                let mut predicted = f64::from(column.values[p]);
                if *fault == Fault::GaugeFaulty && tool == Tool::PressureGauge {
                    let error = particles.gauge[i];
                    predicted = predicted * error.factor + error.offset;
                }
                if !predicted.is_finite() {
                    (taken.gains[p], taken.off[p]) = (single(lost), -2.0 * single(slip.ln()));
                    continue;
                }
                let sample = Sample { seen, predicted, uncertainty, spread };
                let mut bias = biases[p];
                let off = distance(&sample, bias);
                let right = (1.0 - slip) * bias.take(&sample).exp();
                // A reading taken for a slip teaches nothing of the gauge.
                if right > slip * flat {
                    biases[p] = bias;
                }
                taken.gains[p] = single((right + slip * flat).ln());
                taken.off[p] = single(off * off);
            }
        }
    }

    /// What the tree states of a test, if it does.
    pub(super) fn stated(&self, key: Key) -> Option<&Stated> {
        self.stated.iter().find(|s| s.key() == key)
    }

    fn verdict(&self, taken: &mut Taken, stated: &Stated, outcome: &str) {
        let Some(which) = stated.outcomes().iter().position(|o| o == outcome) else {
            taken.counts = false;
            return;
        };
        taken.other = -(stated.outcomes().len() as f64).ln();
        for (block, fault) in self.particles.faults().iter().enumerate() {
            let row = stated.of(*fault);
            let best = row.iter().copied().fold(0.0, f64::max);
            let range = self.particles.range(block);
            taken.gains[range.clone()].fill(single(row[which].ln()));
            taken.off[range].fill(single(2.0 * (best / row[which]).ln()));
        }
    }

    fn look(&self, taken: &mut Taken, observation: Observation, (outcome, slip): (&str, f64)) {
        let particles = &self.particles;
        let Some(which) = observation.outcomes().iter().position(|o| o.id == outcome) else {
            taken.counts = false;
            return;
        };
        let Some(look) = particles.looks.iter().find(|l| l.observation == observation) else {
            taken.counts = false;
            return;
        };
        if !observation.outcomes()[which].tells() {
            taken.counts = false;
            return;
        }
        let even = 1.0 / observation.outcomes().len() as f64;
        taken.other = even.ln();
        // What is shown holds the slips of one look; of what was seen again there are fewer.
        let read = |p: f64| (1.0 - slip) * ((p - SLIP * even) / (1.0 - SLIP)).max(0.0) + slip * even;
        for (block, shown) in look.shown.iter().enumerate() {
            for (i, p) in particles.range(block).enumerate() {
                let all = shown.of(i);
                let best = read(all.iter().copied().fold(0.0, f64::max));
                let seen = read(all[which]);
                taken.gains[p] = single(seen.ln());
                taken.off[p] = single(2.0 * (best / seen).ln());
            }
        }
    }

    fn stands(&self, taken: &mut Taken, condition: Condition) {
        let Some(r) = Particles::running(condition) else {
            taken.counts = false;
            return;
        };
        taken.other = 0.5f64.ln();
        for (p, runs) in self.particles.runs[r].iter().enumerate() {
            let likelihood = if *runs { SLIP } else { 1.0 - SLIP };
            taken.gains[p] = single(likelihood.ln());
            taken.off[p] = if *runs { single(2.0 * ((1.0 - SLIP) / SLIP).ln()) } else { 0.0 };
        }
    }

    /// Why each fault rises or falls by this evidence, under the weights before it.
    fn compare(&self, taken: &mut Taken) {
        let top = taken.gains.iter().copied().fold(f32::NEG_INFINITY, f32::max);
        let top = f64::from(top).max(taken.other);
        let mut all = self.other * (taken.other - top).exp();
        let mut each = Vec::with_capacity(self.prior.len());
        for block in 0..self.prior.len() {
            let (mut sum, mut weight) = (0.0, 0.0);
            for p in self.particles.range(block) {
                sum += self.weights[p] * (f64::from(taken.gains[p]) - top).exp();
                weight += self.weights[p];
            }
            all += sum;
            each.push(if weight > 0.0 { sum / weight } else { 0.0 });
        }
        let least = f64::MIN_POSITIVE;
        // What never happens by its prior neither rises nor falls.
        let moved = |(l, prior): (&f64, &f64)| {
            if prior.is_finite() { (l.max(least) / all.max(least)).ln() } else { 0.0 }
        };
        taken.ratios = each.iter().zip(&self.prior).map(moved).collect();
    }

    /// Whether a fault changes what this evidence shows, so that mending it makes the evidence stale.
    fn touches(&self, block: usize, evidence: &Evidence) -> bool {
        let particles = &self.particles;
        if let Some(stated) = evidence.key().and_then(|key| self.stated(key)) {
            let off = |(a, b): (&f64, &f64)| (a - b).abs() > CHANGED;
            return stated.of(particles.faults()[block]).iter().zip(stated.of(Fault::NoFault)).any(off);
        }
        let fault = particles.faults()[block];
        let Some(sound) = particles.block(Fault::NoFault) else { return true };
        let pairs = || particles.range(block).zip(particles.range(sound));
        match evidence {
            Evidence::Reading { reading, condition, uncertainty, tool, .. } => {
                if fault == Fault::GaugeFaulty {
                    return *tool == Tool::PressureGauge;
                }
                let Some(column) = particles.column(*reading, *condition) else { return true };
                let changed = |(a, b): &(usize, usize)| {
                    let (a, b) = (column.values[*a], column.values[*b]);
                    // A reading that only one of the two has is changed by the fault.
                    a.is_finite() != b.is_finite() || f64::from((a - b).abs()) > uncertainty.total()
                };
                // One car in twenty is enough: the worst cases of a fault are those that are mended.
                20 * pairs().filter(changed).count() > particles.per_fault()
            }
            Evidence::Observation { observation, .. } => {
                let Some(look) = particles.looks.iter().find(|l| l.observation == *observation) else {
                    return true;
                };
                let off = |(a, b): (&f64, &f64)| (a - b).abs() > CHANGED;
                let sound = &look.shown[sound];
                (0..particles.per_fault()).any(|i| look.shown[block].of(i).iter().zip(sound.of(i)).any(off))
            }
            Evidence::Verdict { .. } => true,
            Evidence::DoesNotRun { condition } => Particles::running(*condition)
                .is_none_or(|r| particles.range(block).any(|p| !particles.runs[r][p])),
        }
    }
}

/// A probability of an outcome that moves by more than this is changed.
const CHANGED: f64 = 0.1;

fn condition_of(evidence: &Evidence) -> Option<Condition> {
    match evidence {
        Evidence::Reading { condition, .. }
        | Evidence::Verdict { condition, .. }
        | Evidence::DoesNotRun { condition } => Some(*condition),
        Evidence::Observation { .. } => None,
    }
}

/// Log weights as shares of one, with one more hypothesis.
pub(super) fn shares(logs: &[f64], other: f64) -> (Vec<f64>, f64) {
    let top = logs.iter().copied().fold(other, f64::max);
    let mut weights: Vec<f64> = logs.iter().map(|l| (l - top).exp()).collect();
    let other = (other - top).exp();
    let sum: f64 = weights.iter().sum::<f64>() + other;
    for w in &mut weights {
        *w /= sum;
    }
    (weights, other / sum)
}

/// Likelihood of a reading nobody can explain: even over what the cars read, and somewhat beyond.
fn flat(column: &Column, seen: Seen, uncertainty: Uncertainty) -> f64 {
    let (low, high) = column.range;
    let margin = 3.0 * uncertainty.total() + 0.05 * (high - low) + f64::MIN_POSITIVE.sqrt();
    let width = high - low + 2.0 * margin;
    match seen {
        Seen::Value(_) => 1.0 / width,
        Seen::AtLeast(limit) => ((high + margin - limit) / width).clamp(0.01, 1.0),
        Seen::AtMost(limit) => ((limit - low + margin) / width).clamp(0.01, 1.0),
    }
}

/// How far off a reading is from one car, in standard deviations, what is known of the gauge's bias counted.
fn distance(sample: &Sample, bias: SharedBias) -> f64 {
    let (mean, sd) = bias.estimate();
    let u = sample.uncertainty;
    let sigma =
        u.own.hypot(sample.spread).hypot(u.shared * sd).max(1e-3 * u.shared).max(f64::MIN_POSITIVE.sqrt());
    let off = (sample.seen.number() - sample.predicted - u.shared * mean) / sigma;
    match sample.seen {
        Seen::Value(_) => off,
        Seen::AtLeast(_) => off.max(0.0),
        Seen::AtMost(_) => off.min(0.0),
    }
}
