//! One event taken: checked against what is asked, folded into the state, the next place found.

use super::ahead::{ahead, may_repeat, never_waits};
use super::event::{Event, Given, Reason};
use super::hindered::unready_for;
use super::lead::{self, leak_seen, leaks};
use super::state::{At, Concluded, Ending, Reopening, Stage, State};
use super::trace::{edge_of, trace};
use super::undo::{advance_undo, begin_undo, restore};
use crate::terms::{Condition, State as CarState};
use crate::tree::{Edge, Expected, Step, StepKind, Target, Tree, Verdict};
use std::fmt;
use std::sync::Arc;

/// Why an event is not taken. The state stays as it was.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refusal(pub String);

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for Refusal {}

pub(super) fn refuse<T>(why: impl Into<String>) -> Result<T, Refusal> {
    Err(Refusal(why.into()))
}

/// Takes one event.
///
/// # Errors
/// [`Refusal`] where the event does not fit what is asked, or would be unsafe; the words say what to do.
pub fn step(tree: &Tree, state: &State, event: &Event) -> Result<State, Refusal> {
    let mut next = state.clone();
    match event {
        Event::Begun { tree: id, digest, facts } => {
            if state.stage != Stage::NotBegun {
                return refuse("the walk has begun already");
            }
            if *id != tree.id || *digest != tree.digest {
                return refuse(format!("the case was begun with another version of the tree {id}"));
            }
            next.facts = Some(facts.clone());
            next.stage = Stage::Walking;
        }
        _ if state.stage == Stage::NotBegun => return refuse("the walk has not begun"),
        _ if state.stage == Stage::Closed && !matches!(event, Event::NoteAdded { .. }) => {
            return refuse("the case is closed; begin a new one");
        }
        Event::NoteAdded { .. } | Event::LogRead { .. } | Event::InstrumentChanged { .. } => {}
        Event::Paused => next.paused = true,
        Event::Resumed => {
            next.paused = false;
            next.ask_cautions_again();
        }
        Event::LeakReported { .. } => leak_seen(&mut next),
        Event::LeakMended { .. } if state.leak => {
            next.leak = false;
            next.held.insert(CarState::NoLeakSeen);
            lead::begin_anew(tree, &mut next);
            lead::after_leak(tree, &mut next);
        }
        Event::LeakMended { .. } => return refuse("no leak was reported"),
        _ if state.leak => return refuse("fuel was smelt or seen; nothing goes on until it is mended"),
        Event::CautionConfirmed { step, .. } => {
            next.confirmed_cautions = Some(step.clone());
            lead::before_repair(tree, &mut next, step);
        }
        Event::Done { step } => give(tree, &mut next, step, Given::Done)?,
        Event::Read { step, taken } => give(tree, &mut next, step, Given::Read { taken: taken.clone() })?,
        Event::Answered { step, outcome, typed, .. } => {
            let given = Given::Answered { outcome: outcome.clone(), typed: typed.clone() };
            give(tree, &mut next, step, given)?;
        }
        Event::CannotDo { step, reason, note } => {
            give(tree, &mut next, step, Given::Cannot { reason: *reason, note: note.clone() })?;
        }
        Event::Back => back(&mut next)?,
        Event::Changed { step, given } => change(tree, &mut next, step, given)?,
        Event::TakenUp { step } => reopen(tree, &mut next, step)?,
        Event::Concluded { finding, probability } => conclude(tree, &mut next, finding, *probability)?,
        Event::UndoBegun { state: undone } => begin_undo(tree, &mut next, *undone)?,
        Event::Repaired { .. } => repaired(tree, &mut next)?,
        Event::Accepted { .. } => accepted(&mut next)?,
        Event::StartedAgain => {
            if !may_start_again(state) {
                return refuse("there is nothing to start again from");
            }
            next.stage = Stage::Restoring { again: true };
        }
        Event::HandedOver { .. } => {
            if matches!(state.stage, Stage::Restoring { .. } | Stage::Review) {
                return refuse("the walk has ended; close the case");
            }
            next.ending = Some(match state.at {
                At::Handover(handover) => Ending::Handover(handover),
                _ => Ending::GivenAway,
            });
            next.lead = None;
            next.stage = Stage::Restoring { again: false };
        }
        Event::Closed => {
            if state.at != At::Review {
                return refuse("put everything back and look through the answers before closing");
            }
            next.stage = Stage::Closed;
        }
    }
    settle(tree, &mut next);
    Ok(next)
}

/// Whether the walk may begin anew: the repair did not cure it, or everything is put back after one and the complaint is still there.
pub fn may_start_again(state: &State) -> bool {
    let mended = state.mended_after.is_some();
    matches!(state.stage, Stage::NotCured { .. }) || (state.at == At::Review && mended)
}

/// Folds events from the beginning.
///
/// # Errors
/// The first refusal, with the number of the event from 0.
pub fn replay<'a>(
    tree: &Tree,
    events: impl IntoIterator<Item = &'a Event>,
) -> Result<State, (usize, Refusal)> {
    let mut state = State::default();
    for (i, event) in events.into_iter().enumerate() {
        state = step(tree, &state, event).map_err(|r| (i, r))?;
    }
    Ok(state)
}

/// Checks that `given` fits `step` at all.
fn fits(step: &Step, given: &Given) -> Result<(), Refusal> {
    match (&step.kind, given) {
        (_, Given::Cannot { .. }) | (StepKind::Do { .. }, Given::Done) => Ok(()),
        (StepKind::Read(read), Given::Read { taken }) => {
            if taken.reading != read.reading || taken.condition != read.at {
                return refuse(format!("the step {} asks for {} at {}", step.id, read.reading, read.at));
            }
            if !taken.si.is_finite() {
                return refuse("a reading is a finite number");
            }
            let edge = match taken.verdict {
                Verdict::Low => Edge::Low,
                Verdict::Within => Edge::Within,
                Verdict::High => Edge::High,
                Verdict::Undecided => Edge::Undecided,
            };
            if step.target(edge).is_none() {
                let verdict = taken.verdict;
                return refuse(format!("the step {} has no way on from the verdict {verdict}", step.id));
            }
            Ok(())
        }
        (StepKind::Observe { observation, answers }, Given::Answered { outcome, .. }) => {
            if answers.iter().any(|a| a.outcome.id == outcome) {
                Ok(())
            } else {
                refuse(format!("'{outcome}' is no answer to {observation}"))
            }
        }
        _ => refuse(format!("this is not what the step {} asks for", step.id)),
    }
}

/// Whether the open step may be left undone. One of the walk without a way on from "cannot" has to be done; a re-measurement, an
/// undoing or what leads to a repair can always be left.
pub fn may_be_left(state: &State, step: &Step) -> bool {
    step.cannot.is_some()
        || matches!(state.at, At::Confirm { .. } | At::Undo { .. })
        || state.is_ahead()
        || state.may_leave_lead()
}

/// Checks that doing `step` now is safe: its states hold, its cautions are confirmed.
fn safe(tree: &Tree, state: &State, step: &Step) -> Result<(), Refusal> {
    if let Some(missing) = step.requires.iter().find(|s| !state.holds(**s)) {
        let maker = state.path.iter().rev().map(|v| &tree.steps[v.0]).find(|s| s.makes.contains(missing));
        let remedy = maker.map_or_else(String::new, |m| format!("; take up {} again", m.id));
        return refuse(format!("before this step it must hold: {}; it does not{remedy}", missing.name()));
    }
    if let Some(standing) = step.forbids.iter().find(|s| state.held.contains(**s)) {
        return refuse(format!("before this step it must be put back: {}", standing.name()));
    }
    if let Some((standing, why)) = in_the_way(state, step) {
        return refuse(format!("before this step it must be put back: {}; {why}", standing.name()));
    }
    if !step.cautions.is_empty() && !state.cautions_confirmed(&step.id) {
        return refuse("confirm the cautions of this step first");
    }
    Ok(())
}

/// What holds at the car and does not go with the condition of a step of the walk. No path of a checked tree leads there; a
/// corrected answer can, once something was done on the path it left.
pub fn in_the_way(state: &State, step: &Step) -> Option<(CarState, &'static str)> {
    let condition = step.at.filter(|_| matches!(state.at, At::Step(_)))?;
    // With the pump disabled the starter only uses up what pressure is left.
    let relieves = condition == Condition::Crank && state.held.contains(CarState::PumpDisabled);
    let mut held = state.held.iter().filter(|s| !(relieves && *s == CarState::ReturnDiverted));
    held.find_map(|held| held.clash(condition).map(|why| (held, why)))
}

fn give(tree: &Tree, state: &mut State, id: &str, given: Given) -> Result<(), Refusal> {
    if state.paused {
        return refuse("the case is paused; resume it first");
    }
    let Some(index) = state.open_step() else { return refuse("no step is open now") };
    let step = &tree.steps[index];
    if step.id != id {
        return refuse(format!("the step open now is {}, not {id}", step.id));
    }
    fits(step, &given)?;
    if state.reopened.is_some() && state.reopened_to == Reopening::Look && state.kept() == Some(&given) {
        // Going back and leaving an answer as it was changes nothing, here or at the car.
        state.reopened = None;
        return Ok(());
    }
    if matches!(given, Given::Cannot { .. }) && state.is_ahead() {
        // A test tried before its turn is simply not tested; the path asks for it when it gets there.
        state.reopened = None;
        Arc::make_mut(&mut state.record).push((index, Arc::new(given)));
        return Ok(());
    }
    if let Given::Cannot { reason, .. } = &given {
        if *reason == Reason::Later && never_waits(step) {
            return refuse(format!(
                "the step {} is not put off: safety, or the truth of the gauge, rests on it; do it now, or say why it can't be done",
                step.id
            ));
        }
        if !may_be_left(state, step) {
            return refuse(format!(
                "the step {} has to be done before anything else; hand the case over if it can't be",
                step.id
            ));
        }
    } else {
        safe(tree, state, step)?;
        // What a log has recorded already takes no time at the car.
        if !matches!(&given, Given::Read { taken } if taken.log.is_some()) {
            state.minutes += step.minutes;
        }
    }
    let given = Arc::new(given);
    Arc::make_mut(&mut state.record).push((index, given.clone()));
    if state.led_to() == Some(index) {
        lead::given(tree, state, &given);
        return Ok(());
    }
    match state.at.clone() {
        At::Undo { state: undone, .. } => {
            let edge = edge_of(step, std::slice::from_ref(&given)).unwrap_or(Edge::Undecided);
            effects(state, step, edge);
            if leaks(state, step, edge) {
                leak_seen(state);
                return Ok(());
            }
            let next = step.target(edge).copied().unwrap_or(Target::NotUndone);
            advance_undo(tree, state, undone, next);
        }
        At::Confirm { finding, .. } => confirm(tree, state, finding, index, given),
        _ => {
            let reopened = state.reopened.take();
            let visit = reopened.unwrap_or_else(|| state.open_visit(index));
            let entry = Arc::make_mut(&mut state.answers).entry(visit).or_default();
            if reopened.is_some() {
                entry.clear();
            }
            entry.push(given);
            let edge = edge_of(step, entry);
            if let Some(edge) = edge {
                effects(state, step, edge);
            }
        }
    }
    Ok(())
}

/// What leaving a step does at the car.
pub(super) fn effects(state: &mut State, step: &Step, edge: Edge) {
    let before = state.held;
    state.held = step.effects(edge).apply(state.held);
    for made in state.held.minus(before).iter() {
        state.made.retain(|s| *s != made);
        state.made.push(made);
    }
}

fn confirm(tree: &Tree, state: &mut State, finding: usize, index: usize, given: Arc<Given>) {
    let Stage::Confirming { given: so_far, .. } = &mut state.stage else { return };
    so_far.push(given);
    let step = &tree.steps[index];
    let Some(edge) = edge_of(step, so_far) else { return };
    let shown =
        match (tree.findings[finding].confirm.as_ref().map(|c| &c.expect), so_far.last().map(|g| &**g)) {
            (Some(Expected::Within), Some(Given::Read { .. })) => edge == Edge::Within,
            (Some(Expected::Outcome(wanted)), Some(Given::Answered { outcome, .. })) => outcome == wanted.id,
            _ => false,
        };
    let tested = edge != Edge::Cannot;
    effects(state, step, edge);
    if tested && !shown {
        state.ending = Some(Ending::Finding { finding, confirmed: Some(false) });
        state.stage = Stage::NotCured { finding };
    } else {
        state.ending = Some(Ending::Finding { finding, confirmed: tested.then_some(true) });
        state.stage = Stage::Restoring { again: false };
    }
}

/// Whether a finding may be named now, before the path comes to one or in place of the end it came to: nothing is half done at the
/// car.
pub fn may_conclude(tree: &Tree, state: &State, finding: usize) -> bool {
    let (At::Step(_) | At::Finding(_) | At::Handover(_)) = state.at else { return false };
    let free = state.stage == Stage::Walking && state.reopened.is_none() && state.lead.is_none();
    free && unready_for(tree, state, finding).is_none()
}

fn conclude(tree: &Tree, state: &mut State, id: &str, probability: f64) -> Result<(), Refusal> {
    let Some(finding) = tree.findings.iter().position(|f| f.id == id) else {
        return refuse(format!("there is no finding {id}"));
    };
    if !(0.0..=1.0).contains(&probability) {
        return refuse("a probability lies between 0 and 1");
    }
    if !may_conclude(tree, state, finding) {
        return refuse("finish what is begun at the car before a finding is named");
    }
    let instead = !matches!(state.at, At::Step(_));
    state.concluded = Some(Concluded { finding, probability, instead });
    state.confirmed_cautions = None;
    Ok(())
}

fn back(state: &mut State) -> Result<(), Refusal> {
    if state.stage == Stage::Walking && state.concluded.take().is_some() {
        return Ok(());
    }
    if state.is_ahead() {
        state.reopened = None;
        return Ok(());
    }
    if state.lead.is_some() {
        return refuse("finish the step open now first, or say that it can't be done");
    }
    if state.undoing.is_some() || !matches!(state.stage, Stage::Walking | Stage::NotCured { .. }) {
        return refuse("what was put back stays so; change an answer instead");
    }
    let Some(last) = state.path.last().copied() else { return refuse("this is the first step") };
    state.reopened = Some(last);
    state.reopened_to = Reopening::Look;
    state.stage = Stage::Walking;
    state.confirmed_cautions = None;
    Ok(())
}

/// The last visit of a step on the path, or where it was set aside.
fn visit_of(tree: &Tree, state: &State, id: &str) -> Result<(usize, u32), Refusal> {
    let Some(index) = tree.step_index(id) else { return refuse(format!("there is no step {id}")) };
    let on_path = state.path.iter().rev().find(|v| v.0 == index).copied();
    let kept = || state.answers.keys().rev().find(|v| v.0 == index).copied();
    on_path.or_else(kept).map_or_else(|| refuse(format!("the step {id} was not answered yet")), Ok)
}

fn change(tree: &Tree, state: &mut State, id: &str, given: &Given) -> Result<(), Refusal> {
    if matches!(state.stage, Stage::Confirming { .. }) || state.undoing.is_some() || state.lead.is_some() {
        return refuse("finish the step open now before an earlier answer is changed");
    }
    let visit = visit_of(tree, state, id)?;
    fits(&tree.steps[visit.0], given)?;
    if matches!(given, Given::Cannot { .. }) && tree.steps[visit.0].cannot.is_none() {
        return refuse(format!("the step {id} has no way on from \"cannot\""));
    }
    let given = Arc::new(given.clone());
    Arc::make_mut(&mut state.answers).insert(visit, vec![given.clone()]);
    Arc::make_mut(&mut state.record).push((visit.0, given));
    state.reopened = None;
    state.concluded = None;
    let end = trace(tree, state).at;
    let same = matches!((&end, state.ending), (At::Finding(f), Some(Ending::Finding { finding, .. })) if *f == finding)
        || matches!((&end, state.ending), (At::Handover(h), Some(Ending::Handover(handover))) if *h == handover);
    if !same && !matches!(state.stage, Stage::Walking) {
        state.stage = Stage::Walking;
        state.ending = None;
    }
    Ok(())
}

fn reopen(tree: &Tree, state: &mut State, id: &str) -> Result<(), Refusal> {
    if state.stage != Stage::Walking || state.undoing.is_some() || state.lead.is_some() {
        return refuse("a step is taken up again only while the walk goes on");
    }
    let before_its_turn = tree.step_index(id).filter(|i| ahead(tree, state).contains(i));
    let visit = match before_its_turn {
        Some(index) => (index, 0),
        None => visit_of(tree, state, id)?,
    };
    let beside = !state.path.contains(&visit);
    if before_its_turn.is_none() && beside && !may_repeat(tree, state, visit.0) {
        return refuse(format!("the step {id} does not lie on the path now, nor may it be done once more"));
    }
    state.reopened = Some(visit);
    state.reopened_to = if beside { Reopening::Beside } else { Reopening::Redo };
    state.concluded = None;
    state.confirmed_cautions = None;
    Ok(())
}

fn repaired(tree: &Tree, state: &mut State) -> Result<(), Refusal> {
    let At::Finding(finding) = state.at else { return refuse("there is no finding to repair now") };
    let found = &tree.findings[finding];
    if !found.cautions.is_empty() && !state.cautions_confirmed(&found.id) {
        return refuse("confirm the cautions of the repair first");
    }
    state.minutes += found.minutes.unwrap_or(0.0);
    state.mended_after.get_or_insert(state.record.len());
    state.ending = Some(Ending::Finding { finding, confirmed: None });
    state.stage = match &found.confirm {
        Some(_) => Stage::Confirming { finding, given: Vec::new() },
        None => Stage::Restoring { again: false },
    };
    lead::after_repair(tree, state, finding);
    Ok(())
}

fn accepted(state: &mut State) -> Result<(), Refusal> {
    match (&state.stage, &state.at) {
        (Stage::NotCured { .. }, _) => {}
        (_, At::Finding(finding)) => {
            state.ending = Some(Ending::Finding { finding: *finding, confirmed: None });
        }
        (_, At::Handover(handover)) => {
            state.ending = Some(Ending::Handover(*handover));
        }
        _ => return refuse("there is no finding or hand-over to take now"),
    }
    state.stage = Stage::Restoring { again: false };
    Ok(())
}

/// Finds what is asked now.
fn settle(tree: &Tree, state: &mut State) {
    let open = state.open_step();
    let traced = match state.stage {
        Stage::NotBegun => {
            state.at = At::NotBegun;
            return;
        }
        _ => trace(tree, state),
    };
    state.path = traced.path;
    let mut at = traced.at;
    lead::put_back(tree, state);
    if let Stage::Restoring { again } = state.stage {
        restore(tree, state, again);
        if state.stage == Stage::Walking {
            at = trace(tree, state).at;
        }
    }
    state.at = match (&state.stage, state.undoing) {
        _ if state.leak => At::Leak,
        (Stage::Closed, _) => At::Closed,
        _ if state.paused => At::Paused,
        _ if state.led_to().is_some() => At::Step(state.led_to().unwrap_or_default()),
        (_, Some((undone, step))) => At::Undo { state: undone, step },
        (Stage::Confirming { finding, .. }, _) => {
            let step = tree.findings[*finding].confirm.as_ref().map_or(0, |c| c.repeat);
            At::Confirm { finding: *finding, step }
        }
        (Stage::NotCured { finding }, _) => At::NotCured(*finding),
        (Stage::Review, _) => At::Review,
        _ if state.stage == Stage::Walking && state.is_ahead() => {
            state.reopened.map_or(At::Review, |visit| At::Step(visit.0))
        }
        _ if state.stage == Stage::Walking => state.concluded.map_or(at, |c| At::Finding(c.finding)),
        _ => At::Review,
    };
    if state.open_step() != open {
        let named = state.open_step().map(|i| tree.steps[i].id.as_str());
        if state.confirmed_cautions.as_deref() != named {
            state.confirmed_cautions = match state.at {
                // The cautions of a repair are confirmed while its finding stands.
                At::Finding(f)
                    if state.confirmed_cautions.as_deref() == Some(tree.findings[f].id.as_str()) =>
                {
                    state.confirmed_cautions.take()
                }
                _ => None,
            };
        }
    }
}
