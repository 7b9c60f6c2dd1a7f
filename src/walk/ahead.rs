//! Tests that may be done before the path comes to them: what they give is kept, and counts when the path gets there.

use super::state::{At, Stage, State};
use crate::terms::{Condition, State as CarState};
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

/// Whether doing `step` now is safe and leaves the car as it is.
fn is_free(step: &Step, state: &State) -> bool {
    let tests = matches!(step.kind, StepKind::Read(_) | StepKind::Observe { .. });
    tests
        && step.makes.is_empty()
        && step.clears.is_empty()
        && step.requires.iter().all(|s| state.holds(*s))
        && !step.forbids.iter().any(|s| state.held.contains(*s))
        && step.edges().iter().all(|(edge, _)| step.effects(*edge).apply(state.held) == state.held)
        && step.at.is_none_or(|condition| may_run(condition, state))
}

/// Whether pump or engine may run now although the path has not led there: no leak seen, nothing open, every joint that was opened
/// checked, nothing in the way. A run under load, a closed return and a hot engine are never brought forward.
fn may_run(condition: Condition, state: &State) -> bool {
    let plain = matches!(condition, Condition::Prime | Condition::Idle | Condition::Raised);
    let holds = |s: CarState| state.holds(s);
    plain
        && holds(CarState::NoLeakSeen)
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
        && proves.is_none_or(|step| {
            step.requires.iter().all(|s| state.holds(*s))
                && !step.forbids.iter().any(|s| state.held.contains(*s))
        })
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
