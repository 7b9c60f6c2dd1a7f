//! Steps that the walk leads through beside its path: what makes a line safe to open before a repair that opens it, what brings the
//! gauge to where the repair is proved, and the look at the joints once a leak was mended.
//!
//! They are the tree's own steps, found in it: nothing is written twice, and what `check` proves of them holds here too. What a
//! repair opened is closed, and seen dry, by the undoing of the open line.

use super::engine::effects;
use super::event::Given;
use super::hindered::gauge_elsewhere;
use super::state::{At, Stage, State};
use super::trace::{edge_of, trace};
use super::undo::advance_undo;
use crate::terms::{Caution, Condition, Observation, State as CarState, Tool};
use crate::tree::{Edge, Finding, StateSet, Step, StepKind, Target, Tree};
use std::sync::Arc;

/// More steps than any tree takes from the pump's fuse to the open line.
const MOST: usize = 20;

/// What must hold before a line is opened.
const READY: [CarState; 4] =
    [CarState::Depressurised, CarState::PumpDisabled, CarState::BatteryOff, CarState::EngineCool];

/// What steps beside the path are for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Aim {
    /// The repair of a finding, by its place in the tree.
    Repair(usize),
    /// The step that proves a repair: the gauge stands elsewhere.
    Proof,
    /// A repair was done on a line, or a leak mended.
    Joints,
}

/// Steps beside the path, the one open now first.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Lead {
    pub steps: Vec<usize>,
    pub aim: Aim,
}

impl State {
    /// The step beside the path that is open now, unless something is put back before it.
    pub(super) fn led_to(&self) -> Option<usize> {
        let lead = self.lead.as_ref()?;
        let free = self.undoing.is_none() || lead.aim == Aim::Joints;
        lead.steps.first().copied().filter(|_| free)
    }

    /// What the step beside the path that is open now is for.
    pub fn aim(&self) -> Option<Aim> {
        self.led_to().and(self.lead.as_ref()).map(|l| l.aim)
    }

    /// Whether the open step may be left undone: what leads to a repair or its proof may, and the look after a leak never.
    pub(super) fn may_leave_lead(&self) -> bool {
        self.led_to().is_some() && self.lead.as_ref().is_some_and(|l| l.aim != Aim::Joints)
    }

    /// Whether the walk led through bringing the gauge to where the repair is proved.
    pub fn gauge_moved(&self) -> bool {
        self.gauge_moved
    }
}

/// Whether lines may be opened as the car stands.
pub(super) fn ready(held: StateSet) -> bool {
    READY.iter().all(|s| held.contains(*s))
}

/// Whether the walk leads up to this repair. A cylinder that may be full of fuel is never cranked, and the pressure is used up by
/// cranking.
fn leads_to(found: &Finding) -> bool {
    found.remedy.is_some() && found.opens_line() && !found.cautions.contains(&Caution::FloodedCylinder)
}

/// The cautions of a repair are confirmed: what makes its line safe to open comes first.
pub(super) fn before_repair(tree: &Tree, state: &mut State, confirmed: &str) {
    let At::Finding(finding) = state.at else { return };
    let found = &tree.findings[finding];
    if found.id != confirmed || !leads_to(found) || ready(state.held) {
        return;
    }
    if let Some(steps) = makes_safe(tree, state.held) {
        state.lead = Some(Lead { steps, aim: Aim::Repair(finding) });
    }
}

/// A repair was done. Where the walk led up to it a line is open now, which has to be closed and seen dry.
pub(super) fn after_repair(tree: &Tree, state: &mut State, finding: usize) {
    let found = &tree.findings[finding];
    if leads_to(found) && ready(state.held) {
        open_line(state);
    } else if found.opens_line()
        && let Some(look) = look_at_joints(tree, state)
    {
        // Not led up to, and a line was opened all the same.
        if tree.steps[look].makes.contains(&CarState::LeakChecked) {
            state.held.remove(CarState::LeakChecked);
        }
        state.lead = Some(Lead { steps: vec![look], aim: Aim::Joints });
    }
    state.gauge_moved = false;
    toward_proof(tree, state, finding);
}

/// Brings the gauge to where a repair is proved, where it is not there.
fn toward_proof(tree: &Tree, state: &mut State, finding: usize) {
    let found = &tree.findings[finding];
    let Some(repeat) = found.confirm.as_ref().map(|c| c.repeat) else { return };
    if wants_gauge(&tree.steps[repeat], state.held) {
        if let Some(steps) = fits_gauge(tree, state) {
            state.lead = Some(Lead { steps, aim: Aim::Proof });
        }
        return;
    }
    let stands = gauge_elsewhere(tree, &tree.steps[repeat], state).flatten();
    let Some(moves) = stands.and_then(|_| moves_for(tree, state, repeat)) else { return };
    let safe = if ready(state.held) { Some(Vec::new()) } else { makes_safe(tree, state.held) };
    if let Some(mut steps) = safe {
        steps.extend(moves);
        state.lead = Some(Lead { steps, aim: Aim::Proof });
    }
}

fn open_line(state: &mut State) {
    state.held.remove(CarState::LeakChecked);
    state.held.insert(CarState::LineOpen);
    state.made.retain(|s| *s != CarState::LineOpen);
    state.made.push(CarState::LineOpen);
}

/// Whoever has mended a leak has seen the joints dry with the pump running: what made the line safe to open, and an opened line, are no
/// more. Where the walk was in the middle of that, it begins with the pump's fuse again.
pub(super) fn begin_anew(tree: &Tree, state: &mut State) {
    let before = state.held;
    for gone in [CarState::PumpDisabled, CarState::BatteryOff, CarState::Depressurised, CarState::LineOpen] {
        state.held.remove(gone);
        state.not_undone.remove(gone);
    }
    let lost = before.minus(state.held);
    if lost.is_empty() {
        return;
    }
    state.confirmed_cautions = None;
    match state.lead.take().map(|l| l.aim) {
        Some(Aim::Proof) => {
            if let Stage::Confirming { finding, .. } = state.stage {
                toward_proof(tree, state, finding);
            }
        }
        Some(Aim::Joints) | None if state.undoing.is_none() => walk_again(tree, state, lost),
        // Before a repair its finding stands again, and is led up to once its cautions are confirmed.
        _ => {}
    }
    if let Some((undone, _)) = state.undoing {
        state.undoing = None;
        if !lost.contains(undone)
            && let Some(undo) = tree.undo_of(undone)
        {
            advance_undo(tree, state, undone, undo.start);
        }
    }
}

/// Takes what was done on the path since the line began to be made safe as not done.
fn walk_again(tree: &Tree, state: &mut State, lost: StateSet) {
    let path: Vec<(usize, u32)> = state.path.iter().map(|v| (v.0, v.1)).collect();
    // What a repair was led up to by is none of the path's doing.
    let mut held = StateSet::EMPTY;
    for visit in &path {
        let step = &tree.steps[visit.0];
        if let Some(edge) = state.answers.get(visit).and_then(|given| edge_of(step, given)) {
            held = step.effects(edge).apply(held);
        }
    }
    let lost = lost.intersection(held);
    let makes = |i: usize| tree.steps[i].makes.iter().any(|s| lost.contains(*s));
    let fuse = |v: &(usize, u32)| tree.steps[v.0].makes.contains(&CarState::PumpDisabled);
    let begun = if lost.contains(CarState::PumpDisabled) { path.iter().rposition(fuse) } else { None };
    let Some(begun) = begun.or_else(|| path.iter().rposition(|v| makes(v.0))) else { return };
    let done = |v: &&(usize, u32)| {
        let step = &tree.steps[v.0];
        matches!(step.kind, StepKind::Do { .. }) || !step.makes.is_empty()
    };
    let answers = Arc::make_mut(&mut state.answers);
    for visit in path[begun..].iter().filter(done) {
        answers.remove(visit);
    }
    state.reopened = None;
}

/// A leak was mended. The joints are looked at before anything else, with the pump running where it can.
pub(super) fn after_leak(tree: &Tree, state: &mut State) {
    let checks = |step: &Step| step.makes.contains(&CarState::LeakChecked);
    let walks = state.stage == Stage::Walking;
    let asked = match (state.undoing, walks) {
        (Some((_, step)), _) => looks(&tree.steps[step]),
        (None, true) => matches!(trace(tree, state).at, At::Step(step) if looks(&tree.steps[step])),
        _ => false,
    };
    // The look that stands on the path is taken up again, and its answer counts there.
    let on_path = walks && state.path.iter().any(|v| checks(&tree.steps[v.0]));
    let runs = |s: CarState| s == CarState::LineOpen || s.clash(Condition::Prime).is_some();
    let cannot_run = state.held.iter().any(runs);
    if asked || on_path || state.lead.is_some() {
        return;
    }
    if state.undoing.is_none()
        && !cannot_run
        && let Some(look) = look_at_joints(tree, state)
    {
        state.reopened = None;
        state.lead = Some(Lead { steps: vec![look], aim: Aim::Joints });
    } else if !walks {
        // What is put back is looked at by its own steps; whoever mended the leak has said that the joints are dry.
        state.held.insert(CarState::LeakChecked);
    }
}

fn looks(step: &Step) -> bool {
    matches!(step.kind, StepKind::Observe { observation: Observation::FuelSmellOrLeak, .. })
}

/// A step of the tree that looks at the joints with the pump running; without one, the look with the key off.
fn look_at_joints(tree: &Tree, state: &State) -> Option<usize> {
    let fits = |s: &Step| looks(s) && s.requires.iter().all(|r| state.held.contains(*r));
    let at = |condition: Option<Condition>| tree.steps.iter().position(|s| fits(s) && s.at == condition);
    at(Some(Condition::Prime)).or_else(|| at(None))
}

/// Takes what was given for the open step beside the path.
pub(super) fn given(tree: &Tree, state: &mut State, given: &Arc<Given>) {
    let Some(Lead { mut steps, aim }) = state.lead.take() else { return };
    let step = &tree.steps[steps[0]];
    let edge = edge_of(step, std::slice::from_ref(given)).unwrap_or(Edge::Cannot);
    if edge == Edge::Cannot && aim != Aim::Joints {
        return;
    }
    effects(state, step, edge);
    if looks(step) && !dry(step, edge) {
        // Joints that leak, or that nobody could see.
        leak_seen(state);
        state.lead = Some(Lead { steps, aim });
        return;
    }
    steps.remove(0);
    if !steps.is_empty() {
        state.lead = Some(Lead { steps, aim });
        return;
    }
    match aim {
        Aim::Repair(finding) => state.confirmed_cautions = Some(tree.findings[finding].id.clone()),
        Aim::Proof => state.gauge_moved = true,
        Aim::Joints => {}
    }
}

/// Fuel was seen where it should not be: nothing goes on until it is mended.
pub(super) fn leak_seen(state: &mut State) {
    state.leak = true;
    state.held.remove(CarState::NoLeakSeen);
    state.held.remove(CarState::LeakChecked);
}

/// Whether this answer, given while something is put back, is a leak: it is mended and looked at again, whatever was proved before. Once
/// a repair was done, which is where most leaks are made, joints that nobody could see count as one.
pub(super) fn leaks(state: &State, step: &Step, edge: Edge) -> bool {
    let seen = matches!(edge, Edge::Answer(_)) || matches!(state.stage, Stage::Confirming { .. });
    looks(step) && seen && !dry(step, edge)
}

/// Whether this answer to a look for leaks is that there is none.
fn dry(step: &Step, edge: Edge) -> bool {
    let (StepKind::Observe { observation, answers }, Edge::Answer(i)) = (&step.kind, edge) else {
        return false;
    };
    answers.get(i).map(|a| a.outcome.id) == observation.outcomes().first().map(|o| o.id)
}

/// Before a repair is proved, the line is closed and seen dry, and pump and battery are back.
pub(super) fn put_back(tree: &Tree, state: &mut State) {
    const LED: [CarState; 3] = [CarState::LineOpen, CarState::BatteryOff, CarState::PumpDisabled];
    if !matches!(state.stage, Stage::Confirming { .. }) || state.lead.is_some() {
        return;
    }
    while state.undoing.is_none() {
        let left = LED.iter().any(|s| state.held.contains(*s) && state.not_undone.contains(*s));
        if left {
            // Nothing is proved on a car that cannot be run.
            state.stage = Stage::Restoring { again: false };
            return;
        }
        let standing = LED.iter().copied().find(|s| state.held.contains(*s));
        let Some((state_held, undo)) = standing.and_then(|s| Some((s, tree.undo_of(s)?))) else { return };
        advance_undo(tree, state, state_held, undo.start);
    }
}

/// Whether a step reads a gauge that is not fitted yet.
pub(super) fn wants_gauge(step: &Step, held: StateSet) -> bool {
    step.requires.contains(&CarState::GaugeFitted) && !held.contains(CarState::GaugeFitted)
}

/// The steps of the tree that fit the gauge where nothing has led to it yet, as far as they are still to be done; none where the tree
/// fits none, or nobody has one.
pub(super) fn fits_gauge(tree: &Tree, state: &State) -> Option<Vec<usize>> {
    let held = state.held;
    let gauge = |i: usize| tree.steps[i].tools.contains(&Tool::PressureGauge);
    if state.record().any(|(i, given)| gauge(i) && matches!(given, Given::Cannot { .. })) {
        return None;
    }
    let begins = |i: &usize| tree.steps[*i].makes.contains(&CarState::PumpDisabled);
    let mut before = held;
    READY.iter().chain([&CarState::LineOpen]).for_each(|s| before.remove(*s));
    let to_gauge = |i| chain(tree, before, i, CarState::GaugeFitted);
    let mut steps = (0..tree.steps.len()).filter(begins).find_map(to_gauge)?;
    let makes = |i: &usize, made: CarState| tree.steps[*i].makes.contains(&made);
    if ready(held) {
        let open = steps.iter().position(|i| makes(i, CarState::LineOpen))?;
        steps.drain(..open + usize::from(held.contains(CarState::LineOpen)));
    }
    // What it reads with the line open is its own zero; nobody has seen that.
    let zero = |s: &Step| {
        matches!(s.kind, StepKind::Observe { observation: Observation::GaugeZero, .. })
            && s.requires.contains(&CarState::GaugeFitted)
            && s.requires.contains(&CarState::LineOpen)
    };
    steps.extend(tree.steps.iter().position(zero));
    Some(steps)
}

/// The steps of the tree that make a line safe to open, from disabling the pump to the last before the line is opened, as they fit
/// what holds. Zero is seen on the gauge where one is fitted.
pub fn makes_safe(tree: &Tree, held: StateSet) -> Option<Vec<usize>> {
    let begins = |i: &usize| tree.steps[*i].makes.contains(&CarState::PumpDisabled);
    let to_open = |i| chain(tree, held, i, CarState::LineOpen);
    let chains = (0..tree.steps.len()).filter(begins).filter_map(|i| {
        let mut steps = to_open(i)?;
        steps.pop();
        Some(steps)
    });
    let chains: Vec<Vec<usize>> = chains.collect();
    let on_gauge =
        |c: &&Vec<usize>| c.iter().any(|i| tree.steps[*i].requires.contains(&CarState::GaugeFitted));
    chains.iter().find(on_gauge).or_else(|| chains.first()).cloned()
}

/// Do-steps that follow each other, from the pump's fuse to the one that makes `wanted`; the line is opened only once it is safe.
fn chain(tree: &Tree, held: StateSet, from: usize, wanted: CarState) -> Option<Vec<usize>> {
    let (mut steps, mut held, mut index) = (Vec::new(), held, from);
    while steps.len() < MOST {
        let step = &tree.steps[index];
        let fits = step.requires.iter().all(|s| held.contains(*s))
            && !step.forbids.iter().any(|s| held.contains(*s));
        if step.makes.contains(&CarState::LineOpen) && !ready(held) {
            return None;
        }
        let next = match &step.kind {
            StepKind::Do { next } if fits => {
                held = step.effects(Edge::Next).apply(held);
                steps.push(index);
                if step.makes.contains(&wanted) {
                    return Some(steps);
                }
                *next
            }
            StepKind::Include(include) => include.entry?,
            _ => return None,
        };
        let Target::Step(next) = next else { return None };
        index = next;
    }
    None
}

/// The steps of the path that opened the line and fitted the gauge for `repeat`, where it was taken elsewhere since.
fn moves_for(tree: &Tree, state: &State, repeat: usize) -> Option<Vec<usize>> {
    let makes = |i: usize, made: CarState| tree.steps[i].makes.contains(&made);
    let path: Vec<usize> = state.path.iter().map(|v| v.0).collect();
    let read = path.iter().rposition(|i| *i == repeat)?;
    let fit = path[..read].iter().rposition(|i| makes(*i, CarState::GaugeFitted))?;
    let open = path[..fit].iter().rposition(|i| makes(*i, CarState::LineOpen))?;
    let moved_since = path[read..].iter().any(|i| makes(*i, CarState::GaugeFitted));
    let act = |i: &usize| matches!(tree.steps[*i].kind, StepKind::Do { .. });
    moved_since.then(|| path[open..=fit].iter().copied().filter(act).collect())
}
