//! Tests that may be done before the path comes to them: what they give is kept, and counts when the path gets there.

use super::hindered::{gauge_elsewhere, hindered, not_free, not_standing, only_tests};
use super::state::{At, State};
use crate::terms::{Condition, Observation, State as CarState};
use crate::tree::{CarFacts, Edge, Key, Latest, Results, Step, StepKind, Target, Tree, When};
use std::collections::VecDeque;

/// The tests ahead that may be done now, the nearest first: looks and readings not given yet, that the path of this car may still
/// come to, whose states hold, that nothing prepares, and that change nothing at the car.
pub fn ahead(tree: &Tree, state: &State) -> Vec<usize> {
    let prepared = prepared(tree);
    to_come(tree, state)
        .into_iter()
        .filter(|&i| state.at != At::Step(i) && !never_waits(&tree.steps[i]))
        .filter(|&i| not_free(&tree.steps[i], state).is_none() && !prepared[i])
        .filter(|&i| gauge_elsewhere(tree, &tree.steps[i], state).is_none())
        .collect()
}

/// The steps that this walk may still come to, the open one first, whether they may be done now or not; none once it has come to
/// its end.
pub fn to_come(tree: &Tree, state: &State) -> Vec<usize> {
    let At::Step(open) = state.at else { return Vec::new() };
    let Some(facts) = state.facts.as_ref().filter(|_| state.is_walking()) else { return Vec::new() };
    let given = |i: &usize| *i != open && state.answers.contains_key(&(*i, 0));
    reachable(tree, facts, open).into_iter().filter(|i| !given(i)).collect()
}

/// Which steps follow a step that only does something and changes no state: it may be what prepares them, so they are not taken
/// out of their order.
pub(super) fn prepared(tree: &Tree) -> Vec<bool> {
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

/// Whether a step is never put off: safety rests on it (the look for a leak, and whatever shows that a line is at zero or dry), or the
/// truth of every pressure does (the gauge at zero, which can only be seen while it hangs in open air).
pub fn never_waits(step: &Step) -> bool {
    let rests = |s: &CarState| !s.must_be_undone();
    let looks = [Observation::FuelSmellOrLeak, Observation::GaugeZero];
    let looked = matches!(step.kind, StepKind::Observe { observation, .. } if looks.contains(&observation));
    looked || step.makes.iter().any(rests)
}

/// Whether the open step is a test that may be put off: nothing at the car follows from it but what is known then.
pub fn may_put_off(tree: &Tree, state: &State) -> bool {
    let At::Step(index) = state.at else { return false };
    let step = &tree.steps[index];
    state.is_walking()
        && !never_waits(step)
        && step.makes.is_empty()
        && step.clears.is_empty()
        && only_tests(step, state)
}

/// Whether a test that was done, on the path or beside it, may be done once more as the car stands, at a step or at an end: its
/// states hold, nothing is in the way, it changes nothing, and nothing that prepared it was undone since, for all that can be known.
/// What a wait has shown is over.
pub fn may_repeat(tree: &Tree, state: &State, index: usize) -> bool {
    let step = &tree.steps[index];
    let walks = matches!(state.at, At::Step(_) | At::Finding(_) | At::Handover(_));
    let last = state.path.last().is_some_and(|v| v.0 == index);
    walks
        && state.is_walking()
        && state.concluded.is_none()
        && (state.path.iter().any(|v| v.0 == index) || beside(step, state, index))
        && (last || !prepared(tree)[index])
        && only_tests(step, state)
        && not_standing(step, state).is_none()
        && gauge_elsewhere(tree, step, state).is_none()
        && !matches!(step.at, Some(Condition::Rest | Condition::HotPrime))
        && step.at.is_none_or(|condition| hindered(condition, state).is_none())
}

/// Whether a step was done beside the path and would be free to be done now.
fn beside(step: &Step, state: &State, index: usize) -> bool {
    state.answers.keys().any(|v| v.0 == index) && not_free(step, state).is_none()
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
pub(super) fn reachable(tree: &Tree, facts: &CarFacts, from: usize) -> Vec<usize> {
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
