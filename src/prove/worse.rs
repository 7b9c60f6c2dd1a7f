//! Where a changed tree does worse than it did before: the same cars walked on both.

use super::noise_free::{End, Outcome, injected};
use super::unit::METER_ONLY;
use super::walker::{Slip, Walker, fine};
use crate::rig::Rig;
use crate::terms::Fault;
use crate::tree::Tree;
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

/// The first walk without noise that ends worse on `after` than on `before`; failing that, the first that takes longer. Every
/// claimed fault is walked with all tools and with few; at one severity each step is also skipped, given wrongly, and read
/// too near a limit to say.
pub fn worse(before: &Arc<Tree>, after: &Arc<Tree>, rig: &Arc<Rig>) -> Option<Worse> {
    let claimed: BTreeSet<Fault> = before.finds.iter().copied().chain([Fault::NoFault]).collect();
    let claimed: Vec<Fault> = claimed.into_iter().collect();
    let (mut old, mut new) = (Walker::new(before, rig), Walker::new(after, rig));
    let mut longer = None;
    let mut tried = BTreeSet::new();
    let mut note = |walk: &dyn Fn() -> String, was: &Outcome, is: &Outcome| -> Option<Worse> {
        let end = rank(is) < rank(was);
        if !end && (longer.is_some() || is.minutes <= was.minutes + 1e-9) {
            return None;
        }
        let found = Worse { walk: walk(), ends: [name(was), name(is)], end };
        if end {
            return Some(found);
        }
        longer = Some(found);
        None
    };
    for car in injected(rig, &claimed) {
        let what = |how: &str| format!("{}, {} {:.2}, {how}", rig.name, car.fault, car.severity);
        let (was, is) = (old.free(car, Some(METER_ONLY)), new.free(car, Some(METER_ONLY)));
        if let Some(found) = note(&|| what("few tools"), &was, &is) {
            return Some(found);
        }
        let (was, is) = (old.free(car, None), new.free(car, None));
        if let Some(found) = note(&|| what("all tools"), &was, &is) {
            return Some(found);
        }
        if !fine(&was) || !tried.insert(car.fault) {
            continue;
        }
        let steps: Vec<_> = old.slips().into_iter().map(|(step, _, wrong)| (step, wrong)).collect();
        let doubtful = old.doubtful();
        let skipped = steps.iter().filter(|s| before.step(&s.0).is_some_and(|s| s.cannot.is_some()));
        let all = skipped
            .map(|s| (s.0.clone(), Slip::Skipped))
            .chain(steps.iter().filter_map(|(step, wrong)| Some((step.clone(), wrong.clone()?))))
            .chain(doubtful);
        for (step, slip) in all {
            let was = old.slipped(car, None, Some((&step, slip.clone())));
            let is = new.slipped(car, None, Some((&step, slip.clone())));
            if let Some(found) = note(&|| what(&format!("{step} {slip:?}")), &was, &is) {
                return Some(found);
            }
        }
    }
    longer
}

/// How good an end is: broken off or wrong, open, right with many parts, right with one.
fn rank(outcome: &Outcome) -> (u8, i64) {
    let named = matches!(&outcome.end, End::Finding { .. }) && outcome.detected();
    if matches!(outcome.end, End::Failed(_)) || (named && !fine(outcome)) {
        return (0, 0);
    }
    if !fine(outcome) {
        return (1, 0);
    }
    let parts = i64::try_from(outcome.parts().len()).unwrap_or(i64::MAX);
    (if matches!(outcome.end, End::Finding { .. }) { 3 } else { 2 }, -parts)
}

fn name(outcome: &Outcome) -> String {
    match &outcome.end {
        End::Finding { id, .. } | End::Handover { id, .. } => id.clone(),
        End::Failed(why) => why.clone(),
    }
}
