//! From answers to a place: follows the path from the start through everything answered.

use super::event::Given;
use super::state::{Along, At, State, Visit};
use crate::tree::{Edge, Step, StepKind, Target, Tree, Verdict};
use std::sync::Arc;

/// Where a trace ends, and the visits answered on the way.
pub(super) struct Traced {
    pub at: At,
    pub path: Vec<Visit>,
}

/// Follows choose- and include-steps from `target` until a person is asked or the walk ends.
pub(super) fn pass(tree: &Tree, state: &State, results: &Along, target: Target) -> Result<Target, String> {
    pass_by(tree, state, results, target, &mut |_, _| {})
}

/// The same, telling of each choose-step by which edge it is left.
fn pass_by(
    tree: &Tree,
    state: &State,
    results: &Along,
    mut target: Target,
    tell: &mut dyn FnMut(usize, Edge),
) -> Result<Target, String> {
    for _ in 0..=tree.steps.len() {
        let Target::Step(index) = target else { return Ok(target) };
        let step = &tree.steps[index];
        target = match &step.kind {
            StepKind::Choose { arms, otherwise } => {
                let Some(facts) = state.facts.as_ref() else { return Err("the walk has not begun".into()) };
                let arm = arms.iter().position(|a| a.when.holds(facts, results));
                tell(index, arm.map_or(Edge::Else, Edge::Arm));
                arm.map_or(*otherwise, |a| arms[a].next)
            }
            StepKind::Include(include) => match include.entry {
                Some(entry) => entry,
                None => return Err(format!("the include-step {} leads nowhere", step.id)),
            },
            _ => return Ok(target),
        };
    }
    Err("choose-steps lead round in a circle".into())
}

/// The edge by which what was given leaves a step; nothing while a reading is to be repeated.
pub(super) fn edge_of(step: &Step, given: &[Arc<Given>]) -> Option<Edge> {
    let last = &**given.last()?;
    match (&step.kind, last) {
        (_, Given::Cannot { .. }) => Some(Edge::Cannot),
        (StepKind::Do { .. }, Given::Done) => Some(Edge::Next),
        (StepKind::Read(read), Given::Read { taken }) => match taken.verdict {
            Verdict::Low => Some(Edge::Low),
            Verdict::Within => Some(Edge::Within),
            Verdict::High => Some(Edge::High),
            Verdict::Undecided => (given.len() > read.undecided.retry as usize).then_some(Edge::Undecided),
        },
        (StepKind::Observe { answers, .. }, Given::Answered { outcome, .. }) => {
            answers.iter().position(|a| a.outcome.id == outcome).map(Edge::Answer)
        }
        _ => None,
    }
}

/// Follows the whole path.
pub(super) fn trace(tree: &Tree, state: &State) -> Traced {
    let mut path: Vec<Visit> = Vec::new();
    let mut results = Along::default();
    let mut target = tree.start;
    let broken = |why: String, path: Vec<Visit>| Traced { at: At::Broken(why), path };
    loop {
        target = match pass(tree, state, &results, target) {
            Ok(target) => target,
            Err(why) => return broken(why, path),
        };
        let index = match target {
            Target::Step(index) => index,
            Target::Finding(finding) => return Traced { at: At::Finding(finding), path },
            Target::Handover(handover) => return Traced { at: At::Handover(handover), path },
            other => return broken(format!("the walk ends at {}", tree.target_id(other)), path),
        };
        let before = path.iter().filter(|v| v.0 == index).count();
        let visit = (index, u32::try_from(before).unwrap_or(u32::MAX));
        let edge = state.answers.get(&visit).and_then(|given| edge_of(&tree.steps[index], given));
        let (Some(edge), false) = (edge, state.reopened == Some(visit)) else {
            return Traced { at: At::Step(index), path };
        };
        let Some(next) = tree.steps[index].target(edge) else {
            return broken(format!("{} has no way on from this answer", tree.steps[index].id), path);
        };
        path.push(visit);
        results.add(tree, state, visit);
        target = *next;
    }
}

/// The choose-steps along the path of a state, up to what is asked now, each with the edge it was left by.
pub fn choices(tree: &Tree, state: &State) -> Vec<(usize, Edge)> {
    let mut found = Vec::new();
    let mut results = Along::default();
    let mut target = Some(tree.start);
    let mut visits = state.path.iter();
    while let Some(to) = target {
        if pass_by(tree, state, &results, to, &mut |step, edge| found.push((step, edge))).is_err() {
            break;
        }
        target = visits.next().and_then(|visit| {
            results.add(tree, state, *visit);
            let step = &tree.steps[visit.0];
            let given = state.answers.get(visit)?;
            step.target(edge_of(step, given)?).copied()
        });
    }
    found
}
