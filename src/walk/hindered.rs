//! Why a test that lies ahead can't be done before its turn, or a finding not be named yet.

use super::ahead::{never_waits, prepared, reachable};
use super::event::Given;
use super::lead::{fits_gauge, wants_gauge};
use super::state::{At, State};
use crate::terms::{Condition, Place, State as CarState};
use crate::tree::{Step, StepKind, Tree};

/// What stands in the way.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hindrance {
    /// Nothing is done before its turn where the walk stands: at no step, or at one that is done once more.
    Stands,
    /// It is the step that is open.
    Open,
    /// It was done already.
    Given,
    /// The path of this car comes to it no more.
    OffThePath,
    /// It changes something at the car, and only the path does that.
    Changes,
    /// A state does not hold that it asks for.
    MustHold(CarState),
    /// A state holds that it does not go with.
    PutBack(CarState),
    /// Load, cruise, a closed return, a wait and a hot engine are never brought forward.
    OnItsPath(Condition),
    /// A step before it may be what prepares it.
    Prepared,
    /// The gauge stands elsewhere: there, or nobody knows where.
    GaugeAt(Option<Place>),
}

/// Why `index` is none of the tests that may be done before their turn; none where it is one.
pub fn hindrance(tree: &Tree, state: &State, index: usize) -> Option<Hindrance> {
    let At::Step(open) = state.at else { return Some(Hindrance::Stands) };
    if index == open {
        return Some(Hindrance::Open);
    }
    let Some(facts) = state.facts.as_ref().filter(|_| state.is_walking()) else {
        return Some(Hindrance::Stands);
    };
    if !reachable(tree, facts, open).contains(&index) {
        return Some(Hindrance::OffThePath);
    }
    if state.answers.contains_key(&(index, 0)) {
        return Some(Hindrance::Given);
    }
    let step = &tree.steps[index];
    not_free(step, state)
        .or_else(|| (prepared(tree)[index] || never_waits(step)).then_some(Hindrance::Prepared))
        .or_else(|| gauge_elsewhere(tree, step, state).map(Hindrance::GaugeAt))
}

/// Why doing `step` now would not be safe, or not leave the car as it is.
pub(super) fn not_free(step: &Step, state: &State) -> Option<Hindrance> {
    if !step.makes.is_empty() || !step.clears.is_empty() || !only_tests(step, state) {
        return Some(Hindrance::Changes);
    }
    not_standing(step, state).or_else(|| step.at.and_then(|condition| may_not_run(condition, state)))
}

/// What a step asks for and does not hold, or holds and is forbidden.
pub(super) fn not_standing(step: &Step, state: &State) -> Option<Hindrance> {
    let missing = step.requires.iter().copied().find(|s| !state.holds(*s)).map(Hindrance::MustHold);
    let standing = || step.forbids.iter().copied().find(|s| state.held.contains(*s)).map(Hindrance::PutBack);
    missing.or_else(standing)
}

/// Whether a step is a test that leaves the car as it is, whatever it gives.
pub(super) fn only_tests(step: &Step, state: &State) -> bool {
    matches!(step.kind, StepKind::Read(_) | StepKind::Observe { .. })
        && step.edges().iter().all(|(edge, _)| step.effects(*edge).apply(state.held) == state.held)
}

/// Where the gauge stands, if not where a reading is to be taken. Moving it opens a line, and only the path leads to that. Where it
/// stands is known from the reading taken with it last.
pub fn gauge_elsewhere(tree: &Tree, step: &Step, state: &State) -> Option<Option<Place>> {
    let StepKind::Read(read) = &step.kind else { return None };
    let place = |(i, given): (usize, &Given)| match (&tree.steps[i].kind, given) {
        (StepKind::Read(other), Given::Read { taken }) if other.with == read.with && taken.log.is_none() => {
            taken.place
        }
        _ => None,
    };
    if read.places.is_empty() {
        return None;
    }
    let stands = state.record().rev().find_map(place);
    stands.is_none_or(|p| !read.places.contains(&p)).then_some(stands)
}

/// Why pump or engine may not run now where the path has not led there.
fn may_not_run(condition: Condition, state: &State) -> Option<Hindrance> {
    use Condition::{Crank, Idle, Prime, Raised, Rest};
    if matches!(condition, Prime | Crank | Idle | Raised | Rest) {
        hindered(condition, state)
    } else {
        Some(Hindrance::OnItsPath(condition))
    }
}

/// What at the car stands against this condition: a leak seen, a line open, a joint not checked, a state it does not go with.
pub(super) fn hindered(condition: Condition, state: &State) -> Option<Hindrance> {
    let must = |s: CarState| (!state.holds(s)).then_some(Hindrance::MustHold(s));
    let back = || state.holds(CarState::LineOpen).then_some(Hindrance::PutBack(CarState::LineOpen));
    let clash = || state.held.iter().find(|s| s.clash(condition).is_some()).map(Hindrance::PutBack);
    must(CarState::NoLeakSeen).or_else(back).or_else(|| must(CarState::LeakChecked)).or_else(clash)
}

/// What is half done at the car, or stands against the step that proves the repair of this finding.
pub fn unready_for(tree: &Tree, state: &State, finding: usize) -> Option<Hindrance> {
    let proves = tree.findings[finding].confirm.as_ref().map(|c| &tree.steps[c.repeat]);
    if state.leak || state.paused {
        return Some(Hindrance::Stands);
    }
    hindered(Condition::Prime, state).or_else(|| {
        let step = proves?;
        // The walk leads through fitting a gauge that the proof is read on.
        let mut fitted = state.clone();
        if wants_gauge(step, state.held) && fits_gauge(tree, state).is_some() {
            fitted.held.insert(CarState::GaugeFitted);
        }
        not_standing(step, &fitted)
    })
}
