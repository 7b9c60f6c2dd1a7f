//! One tree on one rig, everything that a proof counts there.

use super::car::ProofCar;
use super::economy;
use super::noise_free::{End, Injected, Outcome, run};
use super::noisy::noisy;
use super::tally::{Cells, TreeTally};
use super::walker::{Slip, Walker, fine};
use crate::faults::noticed;
use crate::faults::{applies, entry};
use crate::rig::Rig;
use crate::terms::{Fault, Part, Tool};
use crate::tree::{Edge, StepKind, Tree};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// A multimeter and eyes.
pub const METER_ONLY: &[Tool] = &[Tool::Multimeter, Tool::Eyes];

/// How much is done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Effort {
    /// Proof cars a fault and rig; none: only the walks without noise and what follows from them.
    pub samples: u64,
    /// The seed of all draws.
    pub seed: u64,
    /// Cars a fault for the belief.
    pub particles: usize,
}

/// Proves one tree on one rig.
pub fn prove(tree: &Arc<Tree>, rig: &Arc<Rig>, effort: Effort) -> TreeTally {
    let mut tally = TreeTally { rigs: 1, ..TreeTally::default() };
    let claimed: Vec<Fault> =
        tree.finds.iter().copied().chain([Fault::NoFault]).collect::<BTreeSet<_>>().into_iter().collect();
    let others: Vec<Fault> = Fault::ALL.iter().copied().filter(|f| !claimed.contains(f)).collect();
    tally.branches = branches(tree).into_iter().map(|b| (b, 0)).collect();

    let walks = run(tree, rig, &claimed, None);
    let metered = run(tree, rig, &claimed, Some(METER_ONLY));
    let strangers = run(tree, rig, &others, None);
    for walk in walks.iter().chain(&metered).chain(&strangers) {
        for branch in walked(tree, walk) {
            *tally.branches.entry(branch).or_default() += 1;
        }
    }
    cells(&walks, tree, &mut tally.free);
    cells(&metered, tree, &mut tally.free_meter);
    for walk in &strangers {
        tally.unclaimed.count(walk, &walk.parts(), last_is_reading(tree, walk));
    }
    for walk in walks.iter().filter(|w| !fine(w)) {
        tally.failures.push(failure(rig, walk));
    }
    economy::count(tree, rig, &walks, &mut tally);
    least(tree, rig, &claimed, &mut tally);
    if effort.samples > 0 {
        slips(tree, rig, &walks, &mut tally);
        pairs(tree, rig, &walks, effort, &mut tally);
        noisy(tree, rig, &claimed, effort, &mut tally);
    }
    tally
}

fn failure(rig: &Rig, walk: &Outcome) -> String {
    let end = match &walk.end {
        End::Finding { id, .. } => format!("finding {id}"),
        End::Handover { id, .. } => format!("hand-over {id}"),
        End::Failed(why) => format!("broken off, {why}"),
    };
    format!("{}: {}={:.2} ended in {end}", rig.name, walk.injected.fault, walk.injected.severity)
}

/// Parts that end where this walk ended: those the end names, and those of the faults that come there.
fn groups(walks: &[Outcome]) -> BTreeMap<String, BTreeSet<Part>> {
    let mut groups: BTreeMap<String, BTreeSet<Part>> = BTreeMap::new();
    for walk in walks {
        let group = groups.entry(end_id(walk)).or_default();
        group.extend(walk.parts());
        if walk.injected.fault != Fault::NoFault {
            group.insert(walk.injected.fault.part());
        }
    }
    groups
}

fn end_id(walk: &Outcome) -> String {
    match &walk.end {
        End::Finding { id, .. } | End::Handover { id, .. } => id.clone(),
        End::Failed(_) => String::new(),
    }
}

fn cells(walks: &[Outcome], tree: &Tree, cells: &mut Cells) {
    let groups = groups(walks);
    for walk in walks {
        let group = &groups[&end_id(walk)];
        cells.entry(walk.injected.fault).or_default().count(walk, group, last_is_reading(tree, walk));
    }
}

pub(super) fn last_is_reading(tree: &Tree, walk: &Outcome) -> bool {
    let last = walk.path.iter().rev().find_map(|(id, _)| {
        let step = tree.step(id).filter(|s| s.undoes.is_none())?;
        match step.kind {
            StepKind::Read(_) => Some(true),
            StepKind::Observe { .. } => Some(false),
            _ => None,
        }
    });
    last.unwrap_or(false)
}

/// The branches that a verdict or an answer takes; undecided and impossible ones are there for the field.
fn branches(tree: &Tree) -> Vec<String> {
    let mut found = Vec::new();
    for step in tree.steps.iter().filter(|s| s.undoes.is_none()) {
        for (edge, _) in step.edges() {
            let name = match (edge, &step.kind) {
                (Edge::Low, _) => "low",
                (Edge::Within, _) => "within",
                (Edge::High, _) => "high",
                (Edge::Answer(i), StepKind::Observe { answers, .. }) => answers[i].outcome.id,
                _ => continue,
            };
            found.push(format!("{} {name}", step.id));
        }
    }
    found
}

fn walked(tree: &Tree, walk: &Outcome) -> Vec<String> {
    let mut found = Vec::new();
    for (id, gave) in &walk.path {
        let Some(step) = tree.step(id).filter(|s| s.undoes.is_none()) else { continue };
        let told = match &step.kind {
            StepKind::Read(_) => gave.rsplit(' ').next().unwrap_or(""),
            StepKind::Observe { .. } => gave.as_str(),
            _ => continue,
        };
        let defensive = told == "undecided" || gave.starts_with("cannot");
        if !defensive {
            found.push(format!("{id} {told}"));
        }
    }
    found
}

/// The least severity from which upwards each fault is found, in tenths.
fn least(tree: &Arc<Tree>, rig: &Arc<Rig>, claimed: &[Fault], tally: &mut TreeTally) {
    let graded = |f: &Fault| applies(rig, *f).is_ok() && entry(*f).severity.0 < 1.0 && *f != Fault::NoFault;
    let found: Vec<(Fault, Option<f64>)> = claimed
        .par_iter()
        .copied()
        .filter(graded)
        .map_init(
            || Walker::new(tree, rig),
            |walker, fault| {
                let mut least = None;
                for tenth in (1..=10).rev() {
                    let severity = f64::from(tenth) / 10.0;
                    if !walker.free(Injected { fault, severity }, None).right() {
                        break;
                    }
                    least = Some(severity);
                }
                (fault, least)
            },
        )
        .collect();
    for (fault, severity) in found {
        let row = tally.least.entry(fault).or_default();
        row.rigs += 1;
        match severity {
            Some(severity) => {
                row.sum += severity;
                row.worst = row.worst.max(severity);
            }
            None => row.never += 1,
        }
    }
}

/// Every step of every right walk skipped once and given wrongly once.
fn slips(tree: &Arc<Tree>, rig: &Arc<Rig>, walks: &[Outcome], tally: &mut TreeTally) {
    let mut seen = BTreeSet::new();
    // One walk a fault is enough: the first that ended right.
    let chosen: Vec<&Outcome> = walks.iter().filter(|w| fine(w) && seen.insert(w.injected.fault)).collect();
    let found: Vec<Vec<(String, bool, bool, bool)>> = chosen
        .into_par_iter()
        .map_init(
            || Walker::new(tree, rig),
            |walker, walk| {
                walker.free(walk.injected, None);
                let mut ends = Vec::new();
                for (step, _, wrong) in walker.slips() {
                    let can = tree.step(&step).is_some_and(|s| s.cannot.is_some());
                    let skipped = can.then_some((Slip::Skipped, true));
                    for (slip, skip) in skipped.into_iter().chain(wrong.map(|w| (w, false))) {
                        let end = walker.slipped(walk.injected, None, Some((&step, slip)));
                        let named = end.wrong() || (walk.injected.fault == Fault::NoFault && end.detected());
                        ends.push((step.clone(), skip, fine(&end), named));
                    }
                }
                ends
            },
        )
        .collect();
    for (step, skip, right, wrong) in found.into_iter().flatten() {
        let map = if skip { &mut tally.skipped } else { &mut tally.flipped };
        map.entry(step).or_default().count(right, wrong);
    }
}

/// Two claimed faults at once, drawn without order.
fn pairs(tree: &Arc<Tree>, rig: &Arc<Rig>, walks: &[Outcome], effort: Effort, tally: &mut TreeTally) {
    let faults: Vec<Injected> =
        walks.iter().map(|w| w.injected).filter(|i| i.fault != Fault::NoFault).collect();
    if faults.len() < 2 {
        return;
    }
    let count = 20 * effort.samples;
    let ends: Vec<(bool, bool)> = (0..count)
        .into_par_iter()
        .map_init(
            || Walker::new(tree, rig),
            |walker, i| {
                let draw = |n: u64| {
                    let mixed = mix(effort.seed, &[7, i, n]);
                    faults[usize::try_from(mixed % faults.len() as u64).unwrap_or(0)]
                };
                let (first, second) = (draw(1), draw(2));
                let end = walker.pair(first, second);
                let member = [first, second].iter().any(|m| end.parts().contains(&m.fault.part()));
                let named = matches!(&end.end, End::Finding { faults, .. } if faults[0] != Fault::NoFault);
                (member, named && !member)
            },
        )
        .collect();
    for (right, wrong) in ends {
        tally.pairs.count(right, wrong);
    }
}

/// A number from the seed and a place, the same on every machine (SplitMix64's finisher).
pub(super) fn mix(seed: u64, place: &[u64]) -> u64 {
    let mut x = seed;
    for p in place {
        x = (x ^ p).wrapping_add(0x9E37_79B9_7F4A_7C15);
        x = (x ^ (x >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        x = (x ^ (x >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        x ^= x >> 31;
    }
    x
}

/// A rig's name as a number, so that every rig has cars of its own.
pub(super) fn number(name: &str) -> u64 {
    name.bytes().fold(0_u64, |a, b| a.wrapping_mul(131).wrapping_add(u64::from(b)))
}

/// A proof car whose fault somebody would notice; none after ten draws of ones that nobody would.
pub(super) fn draw<'a>(rig: &'a Rig, fault: Fault, place: &[u64], seed: u64) -> Option<ProofCar<'a>> {
    (0..10).find_map(|again| {
        let mut at = vec![1, again];
        at.extend_from_slice(place);
        let car = ProofCar::draw(rig, fault, mix(seed, &at)).ok()?;
        let (fault, severity) = car.fault();
        noticed(rig, fault, severity).then_some(car)
    })
}
