//! Where a changed tree does worse than before: the same cars walked on both, but only where the change can matter.

use super::noise_free::{End, Injected, Outcome, injected};
use super::unit::METER_ONLY;
use super::walker::{Slip, Walker, fine};
use crate::rig::Rig;
use crate::terms::Fault;
use crate::tree::{StepKind, Target, Tree};
use rayon::prelude::*;
use std::collections::BTreeSet;
use std::sync::Arc;

/// A walk that ends worse, or takes longer, on the changed tree.
#[derive(Debug, Clone, PartialEq)]
pub struct Worse {
    /// The car and what went wrong on the way, in words.
    pub walk: String,
    /// Where it ended before and where it ends now.
    pub ends: [String; 2],
    /// Whether the end itself is worse; otherwise only the minutes are more.
    pub end: bool,
}

/// How a walk is done.
#[derive(Debug, Clone)]
struct Way {
    car: Injected,
    few_tools: bool,
    slip: Option<(String, Slip)>,
}

/// One walk on the tree as it was.
#[derive(Debug)]
struct Walked {
    way: Way,
    /// Steps that asked for something, by index.
    steps: BTreeSet<usize>,
    rank: (u8, i64),
    minutes: f64,
    end: String,
}

/// Walks without noise on one tree and one rig, to compare a changed tree with.
#[derive(Debug)]
pub struct Before {
    tree: Arc<Tree>,
    rig: Arc<Rig>,
    walks: Vec<Walked>,
}

impl Before {
    /// Walks every claimed fault with all tools and with few. For one fault in `mishaps`, at one severity, each step is also skipped,
    /// given wrongly, and read too near a limit to say.
    pub fn new(tree: &Arc<Tree>, rig: &Arc<Rig>, mishaps: usize) -> Self {
        let claimed: BTreeSet<Fault> = tree.finds.iter().copied().chain([Fault::NoFault]).collect();
        let claimed: Vec<Fault> = claimed.into_iter().collect();
        let mut seen = BTreeSet::new();
        let cars: Vec<(Injected, bool)> = injected(rig, &claimed)
            .into_iter()
            .map(|car| (car, seen.insert(car.fault) && (seen.len() - 1).is_multiple_of(mishaps.max(1))))
            .collect();
        let walks = cars
            .into_par_iter()
            .map_init(
                || Walker::new(tree, rig),
                |walker, (car, mishaps)| {
                    let plain = |few_tools| Way { car, few_tools, slip: None };
                    let mut walks = vec![walk(walker, tree, plain(true)), walk(walker, tree, plain(false))];
                    if !mishaps {
                        return walks;
                    }
                    let mut slips = walker.doubtful();
                    for (step, _, wrong) in walker.slips() {
                        slips.extend(wrong.map(|wrong| (step.clone(), wrong)));
                        let can = tree.step(&step).is_some_and(|s| s.cannot.is_some());
                        slips.extend(can.then_some((step, Slip::Skipped)));
                    }
                    for slip in slips {
                        walks.push(walk(walker, tree, Way { car, few_tools: false, slip: Some(slip) }));
                    }
                    walks
                },
            )
            .flatten_iter()
            .collect();
        Self { tree: tree.clone(), rig: rig.clone(), walks }
    }

    /// A walk that ends worse on `after`; failing that, one that takes longer; none where the change shows on no walk.
    pub fn worse(&self, after: &Arc<Tree>) -> Option<Worse> {
        let touched = touched(&self.tree, after);
        let mut walker = Walker::new(after, &self.rig);
        let mut longer = None;
        let begins = begins_otherwise(&self.tree, after, &touched);
        for was in self.walks.iter().filter(|w| begins || !w.steps.is_disjoint(&touched)) {
            let is = walk(&mut walker, after, was.way.clone());
            let end = is.rank < was.rank;
            if !end && (longer.is_some() || is.minutes <= was.minutes + 1e-9) {
                continue;
            }
            let way = &was.way;
            let how = match (&way.slip, way.few_tools) {
                (Some((step, slip)), _) => format!("{step} {slip:?}"),
                (None, true) => "few tools".to_owned(),
                (None, false) => "all tools".to_owned(),
            };
            let name = &self.rig.name;
            let found = Worse {
                walk: format!("{name}, {} {:.2}, {how}", way.car.fault, way.car.severity),
                ends: [was.end.clone(), is.end],
                end,
            };
            if end {
                return Some(found);
            }
            longer = Some(found);
        }
        longer
    }

    /// How many walks it holds.
    pub fn len(&self) -> usize {
        self.walks.len()
    }

    /// Whether it holds none.
    pub fn is_empty(&self) -> bool {
        self.walks.is_empty()
    }
}

fn walk(walker: &mut Walker, tree: &Tree, way: Way) -> Walked {
    let slip = way.slip.as_ref().map(|(step, slip)| (step.as_str(), slip.clone()));
    let outcome = walker.slipped(way.car, way.few_tools.then_some(METER_ONLY), slip);
    let end = match &outcome.end {
        End::Finding { id, .. } | End::Handover { id, .. } => id.clone(),
        End::Failed(why) => why.clone(),
    };
    Walked {
        steps: outcome.path.iter().filter_map(|(id, _)| tree.step_index(id)).collect(),
        rank: rank(&outcome),
        minutes: outcome.minutes,
        end,
        way,
    }
}

/// How good an end is: broken off or wrong, open, handed over with the right part, found; fewer parts are better.
fn rank(outcome: &Outcome) -> (u8, i64) {
    let found = matches!(outcome.end, End::Finding { .. });
    let level = match (fine(outcome), found) {
        (true, true) => 3,
        (true, false) => 2,
        (false, _) if matches!(outcome.end, End::Failed(_)) || (found && outcome.detected()) => 0,
        (false, _) => 1,
    };
    (level, -i64::try_from(outcome.parts().len()).unwrap_or(i64::MAX))
}

/// Steps of `before` that ask for something and from which the way on may differ in `after`, choose-steps passed through.
pub(super) fn touched(before: &Tree, after: &Tree) -> BTreeSet<usize> {
    let leads = |tree: &Tree, index: usize| -> Vec<String> {
        tree.steps[index].edges().into_iter().map(|(_, target)| tree.target_id(*target).to_owned()).collect()
    };
    let differs = |index: &usize| {
        let other = after.step_index(&before.steps[*index].id);
        other.is_none_or(|other| leads(after, other) != leads(before, *index))
    };
    let mut open: Vec<usize> = (0..before.steps.len()).filter(differs).collect();
    let mut found: BTreeSet<usize> = open.iter().copied().collect();
    while let Some(step) = open.pop() {
        if !matches!(before.steps[step].kind, StepKind::Choose { .. } | StepKind::Include(_)) {
            continue;
        }
        for (index, from) in before.steps.iter().enumerate() {
            if from.edges().into_iter().any(|(_, t)| *t == Target::Step(step)) && found.insert(index) {
                open.push(index);
            }
        }
    }
    found
}

/// Whether the first thing asked may be another one in `after`.
pub(super) fn begins_otherwise(before: &Tree, after: &Tree, touched: &BTreeSet<usize>) -> bool {
    let passed = match before.start {
        Target::Step(start) => !before.steps[start].asks() && touched.contains(&start),
        _ => false,
    };
    passed || before.target_id(before.start) != after.target_id(after.start)
}
