//! Tests that may be done before the path comes to them: what they give is kept, and counts when the path gets there.

use super::event::Given;
use super::state::{At, Stage, State};
use crate::terms::{Condition, Observation, State as CarState};
use crate::tree::{CarFacts, Edge, Key, Latest, Results, Step, StepKind, Target, Tree, When};
use std::collections::VecDeque;

/// The tests ahead that may be done now, the nearest first: looks and readings not given yet, that the path of this car may still
/// come to, whose states hold, that nothing prepares, and that change nothing at the car.
pub fn ahead(tree: &Tree, state: &State) -> Vec<usize> {
    let At::Step(open) = state.at else { return Vec::new() };
    let free = state.stage == Stage::Walking && !state.leak && !state.paused && state.reopened.is_none();
    let Some(facts) = state.facts.as_ref().filter(|_| free) else { return Vec::new() };
    let prepared = prepared(tree);
    reachable(tree, facts, open)
        .into_iter()
        .filter(|&i| i != open && !state.answers.contains_key(&(i, 0)))
        .filter(|&i| is_free(&tree.steps[i], state) && !prepared[i])
        .filter(|&i| gauge_stands_for(tree, &tree.steps[i], state))
        .collect()
}

/// Which steps follow a step that only does something and changes no state: it may be what prepares them, so they are not taken
/// out of their order.
fn prepared(tree: &Tree) -> Vec<bool> {
    let mut prepared = vec![false; tree.steps.len()];
    let prepares = |s: &&Step| s.makes.is_empty() && s.clears.is_empty();
    let next = |s: &Step| if let StepKind::Do { next } = s.kind { Some(next) } else { None };
    let mut open: Vec<Target> = tree.steps.iter().filter(prepares).filter_map(next).collect();
    while let Some(target) = open.pop() {
        if let Target::Step(index) = target
            && !std::mem::replace(&mut prepared[index], true)
            && !tree.steps[index].asks()
        {
            open.extend(tree.steps[index].edges().iter().map(|(_, t)| **t));
        }
    }
    prepared
}

/// Whether all that a step asks for holds, and nothing that it forbids.
fn stands_for(step: &Step, state: &State) -> bool {
    step.requires.iter().all(|s| state.holds(*s)) && !step.forbids.iter().any(|s| state.held.contains(*s))
}

/// Whether the pressure gauge stands where a reading is to be taken. Moving it opens a line, and only the path leads to that. Where it
/// stands is known from the reading taken with it last.
fn gauge_stands_for(tree: &Tree, step: &Step, state: &State) -> bool {
    let StepKind::Read(read) = &step.kind else { return true };
    let place = |(i, given): (usize, &Given)| match (&tree.steps[i].kind, given) {
        (StepKind::Read(other), Given::Read { taken }) if other.with == read.with && taken.log.is_none() => {
            taken.place
        }
        _ => None,
    };
    read.places.is_empty() || state.record().rev().find_map(place).is_some_and(|p| read.places.contains(&p))
}

/// Whether a step is a test that leaves the car as it is, whatever it gives.
fn only_tests(step: &Step, state: &State) -> bool {
    matches!(step.kind, StepKind::Read(_) | StepKind::Observe { .. })
        && step.edges().iter().all(|(edge, _)| step.effects(*edge).apply(state.held) == state.held)
}

/// Whether the open step is a test that may be put off: nothing at the car follows from it but what is known then. The look for a leak
/// never may.
pub fn may_put_off(tree: &Tree, state: &State) -> bool {
    let free = state.stage == Stage::Walking && !state.leak && !state.paused && state.reopened.is_none();
    let At::Step(index) = state.at else { return false };
    let step = &tree.steps[index];
    let for_leaks = matches!(step.kind, StepKind::Observe { observation: Observation::FuelSmellOrLeak, .. });
    free && !for_leaks && step.makes.is_empty() && step.clears.is_empty() && only_tests(step, state)
}

/// Whether doing `step` now is safe and leaves the car as it is.
fn is_free(step: &Step, state: &State) -> bool {
    step.makes.is_empty()
        && step.clears.is_empty()
        && only_tests(step, state)
        && stands_for(step, state)
        && step.at.is_none_or(|condition| may_run(condition, state))
}

/// Whether a test on the path may be done once more as the car stands, at a step or at an end: its states hold, nothing is in the
/// way, it changes nothing, and nothing that prepared it was undone since, for all that can be known. What a wait has shown is over.
pub fn may_repeat(tree: &Tree, state: &State, index: usize) -> bool {
    let step = &tree.steps[index];
    let walks = matches!(state.at, At::Step(_) | At::Finding(_) | At::Handover(_));
    let free = state.stage == Stage::Walking && !state.leak && !state.paused && state.reopened.is_none();
    let last = state.path.last().is_some_and(|v| v.0 == index);
    walks
        && free
        && state.concluded.is_none()
        && state.path.iter().any(|v| v.0 == index)
        && (last || !prepared(tree)[index])
        && only_tests(step, state)
        && stands_for(step, state)
        && gauge_stands_for(tree, step, state)
        && !matches!(step.at, Some(Condition::Rest | Condition::HotPrime))
        && step.at.is_none_or(|condition| nothing_hinders(condition, state))
}

/// Whether pump or engine may run now although the path has not led there. A run under load, a closed return and a hot engine are never brought forward.
fn may_run(condition: Condition, state: &State) -> bool {
    let plain = matches!(condition, Condition::Prime | Condition::Idle | Condition::Raised);
    plain && nothing_hinders(condition, state)
}

/// Whether nothing at the car stands against this condition: no leak seen, nothing open, every joint that was opened checked.
fn nothing_hinders(condition: Condition, state: &State) -> bool {
    let holds = |s: CarState| state.holds(s);
    holds(CarState::NoLeakSeen)
        && !holds(CarState::LineOpen)
        && holds(CarState::LeakChecked)
        && state.held.iter().all(|s| s.clash(condition).is_none())
}

/// Whether nothing is half done at the car, and the step that proves the repair of this finding could be done as the car stands.
pub(super) fn ready_for(tree: &Tree, state: &State, finding: usize) -> bool {
    let proves = tree.findings[finding].confirm.as_ref().map(|c| &tree.steps[c.repeat]);
    !state.leak
        && !state.paused
        && may_run(Condition::Prime, state)
        && proves.is_none_or(|step| stands_for(step, state))
}

/// No result is known: a condition on results may turn out either way.
struct Unknown;

impl Results for Unknown {
    fn latest(&self, _: Key) -> Latest {
        Latest::NotTested
    }
}

/// Steps the path may come to from `from`: first those that nothing out of the ordinary has to be found for, then those that one
/// thing has to be, and so on; of these the nearest first. Several steps may ask the same thing, and the one is meant that the path
/// is likeliest to come to.
fn reachable(tree: &Tree, facts: &CarFacts, from: usize) -> Vec<usize> {
    let mut seen = vec![false; tree.steps.len()];
    let (mut order, mut queue) = (Vec::new(), VecDeque::from([from]));
    let mut later = VecDeque::new();
    while let Some(index) = queue.pop_front() {
        if !std::mem::replace(&mut seen[index], true) {
            order.push(index);
            for (target, ordinary) in onward(&tree.steps[index], facts) {
                if let Target::Step(next) = target {
                    if ordinary { queue.push_back(next) } else { later.push_back(next) }
                }
            }
        }
        if queue.is_empty() {
            queue.append(&mut later);
        }
    }
    order
}

/// Where a step may lead on this car, and whether it does so where nothing out of the ordinary was found.
fn onward(step: &Step, facts: &CarFacts) -> Vec<(Target, bool)> {
    let StepKind::Choose { arms, otherwise } = &step.kind else {
        let ordinary = |edge: Edge| matches!(edge, Edge::Next | Edge::Within | Edge::Answer(0) | Edge::Entry);
        // A test given up is no way to come to another.
        let ways = step.edges().into_iter().filter(|(e, _)| *e != Edge::Cannot);
        return ways.map(|(edge, target)| (*target, ordinary(edge))).collect();
    };
    let mut targets = Vec::new();
    for arm in arms {
        let of_the_car = When { was: Vec::new(), ..arm.when.clone() };
        if of_the_car.holds(facts, &Unknown) {
            let always = arm.when.was.is_empty();
            targets.push((arm.next, always));
            if always {
                return targets;
            }
        }
    }
    targets.push((*otherwise, true));
    targets
}
