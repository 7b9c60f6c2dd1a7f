//! Where a case stands: what was answered, what holds at the car, and what is asked now.

use super::event::Given;
use super::lead::Lead;
use crate::terms::State as CarState;
use crate::tree::{CarFacts, Key, Latest, Results, StateSet, StepKind, Tree};
use std::collections::BTreeMap;
use std::sync::Arc;

/// A step on its n-th visit along the path, counted from 0.
pub type Visit = (usize, u32);

/// What the case comes to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ending {
    /// The finding at that index; whether the re-measurement proved the repair, if there was one.
    Finding {
        /// Index into the tree's findings.
        finding: usize,
        /// Whether the repair was proved; none without a repair.
        confirmed: Option<bool>,
    },
    /// The hand-over at that index.
    Handover(usize),
    /// Given to somebody else before an end was reached.
    GivenAway,
}

/// What is asked now.
#[derive(Debug, Clone, PartialEq)]
pub enum At {
    /// The walk has not begun.
    NotBegun,
    /// A step of the walk.
    Step(usize),
    /// A finding: repair it, or take it as it is.
    Finding(usize),
    /// A hand-over: put everything back, then it ends.
    Handover(usize),
    /// After the repair, the step that proves it.
    Confirm {
        /// The finding.
        finding: usize,
        /// The step repeated.
        step: usize,
    },
    /// The re-measurement did not show what a cured car shows.
    NotCured(usize),
    /// Putting a state back.
    Undo {
        /// The state.
        state: CarState,
        /// The step of its undoing.
        step: usize,
    },
    /// Everything is back; all answers are shown before the case is closed.
    Review,
    /// Fuel was smelt or seen: nothing goes on until it is mended.
    Leak,
    /// Work stands still.
    Paused,
    /// The end.
    Closed,
    /// The tree leads nowhere from here; the words say where.
    Broken(String),
}

#[derive(Debug, Clone, PartialEq)]
pub(super) enum Stage {
    NotBegun,
    Walking,
    Confirming { finding: usize, given: Vec<Arc<Given>> },
    NotCured { finding: usize },
    Restoring { again: bool },
    Review,
    Closed,
}

/// A finding named by the odds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Concluded {
    /// Index into the tree's findings.
    pub finding: usize,
    /// The probability of its part then.
    pub probability: f64,
    /// Whether the path had come to an end.
    pub instead: bool,
}

/// What a step is reopened for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Reopening {
    /// Its answer is looked at, and may be left as it is.
    Look,
    /// It is done again at the car, on the path.
    Redo,
    /// It is done at the car beside the path: before its turn, or once more.
    Beside,
}

/// The state of a walk: a fold over its events. What was given is shared between states, so that a copy costs little.
#[derive(Debug, Clone, PartialEq)]
pub struct State {
    pub(super) facts: Option<CarFacts>,
    pub(super) answers: Arc<BTreeMap<Visit, Vec<Arc<Given>>>>,
    pub(super) reopened: Option<Visit>,
    /// What the reopened step was reopened for.
    pub(super) reopened_to: Reopening,
    /// The finding that was named by the odds.
    pub(super) concluded: Option<Concluded>,
    pub(super) stage: Stage,
    pub(super) undoing: Option<(CarState, usize)>,
    /// Steps beside the path.
    pub(super) lead: Option<Lead>,
    /// Whether the gauge was brought to where the repair is proved.
    pub(super) gauge_moved: bool,
    pub(super) not_undone: StateSet,
    pub(super) leak: bool,
    pub(super) paused: bool,
    pub(super) held: StateSet,
    pub(super) made: Vec<CarState>,
    pub(super) confirmed_cautions: Option<String>,
    pub(super) ending: Option<Ending>,
    pub(super) minutes: f64,
    pub(super) path: Vec<Visit>,
    pub(super) record: Arc<Vec<(usize, Arc<Given>)>>,
    /// How much of the record was given before the first repair, once there was one.
    pub(super) mended_after: Option<usize>,
    pub(super) at: At,
}

impl Default for State {
    fn default() -> Self {
        Self {
            facts: None,
            answers: Arc::default(),
            reopened: None,
            reopened_to: Reopening::Look,
            concluded: None,
            stage: Stage::NotBegun,
            undoing: None,
            lead: None,
            gauge_moved: false,
            not_undone: StateSet::EMPTY,
            leak: false,
            paused: false,
            held: StateSet::EMPTY,
            made: Vec::new(),
            confirmed_cautions: None,
            ending: None,
            minutes: 0.0,
            path: Vec::new(),
            record: Arc::default(),
            mended_after: None,
            at: At::NotBegun,
        }
    }
}

impl State {
    /// What is asked now.
    pub fn at(&self) -> &At {
        &self.at
    }

    /// The step that is open now, whether of the walk, a re-measurement or an undoing.
    pub fn open_step(&self) -> Option<usize> {
        match self.at {
            At::Step(step) | At::Confirm { step, .. } | At::Undo { step, .. } => Some(step),
            _ => None,
        }
    }

    /// The finding that was named by the odds, before the path came to an end or in place of that, and its probability then.
    pub fn concluded(&self) -> Option<(usize, f64)> {
        self.concluded.map(|c| (c.finding, c.probability))
    }

    /// Whether what was concluded stands in place of the end that the path had come to.
    pub fn concluded_instead(&self) -> bool {
        self.concluded.is_some_and(|c| c.instead)
    }

    /// The cautions confirmed count no longer and are asked again: after a pause the car is not as it was left.
    pub fn ask_cautions_again(&mut self) {
        self.confirmed_cautions = None;
    }

    /// Whether a state that a step asks for holds. Where no joint was opened every joint that was is seen dry.
    pub fn holds(&self, state: CarState) -> bool {
        let nothing_opened = || state == CarState::LeakChecked && !self.made.contains(&CarState::LineOpen);
        self.held.contains(state) || nothing_opened()
    }

    /// What holds at the car.
    pub fn held(&self) -> StateSet {
        self.held
    }

    /// States that could not be put back.
    pub fn not_undone(&self) -> StateSet {
        self.not_undone
    }

    /// Minutes of work so far, by the tree's own figures.
    pub fn minutes(&self) -> f64 {
        self.minutes
    }

    /// What the case comes to, once it does.
    pub fn ending(&self) -> Option<Ending> {
        self.ending
    }

    /// The steps answered along the path, in order, with what each gave last. The step open now is not among them.
    pub fn path(&self) -> impl Iterator<Item = (usize, &Given)> {
        self.path.iter().filter_map(|v| self.last(v).map(|g| (v.0, g)))
    }

    /// Everything given, in the order of time, undone and repeated steps included.
    pub fn record(&self) -> impl DoubleEndedIterator<Item = (usize, &Given)> + ExactSizeIterator {
        self.record.iter().map(|(step, given)| (*step, &**given))
    }

    /// As [`State::record`], up to the first repair.
    pub fn before_repair(&self) -> impl Iterator<Item = (usize, &Given)> {
        self.record().take(self.mended_after.unwrap_or(self.record.len()))
    }

    /// What a visit gave last.
    fn last(&self, visit: &Visit) -> Option<&Given> {
        self.answers.get(visit).and_then(|given| given.last()).map(|given| &**given)
    }

    /// The number of each step given so far: steps count in the order they were first given, whatever happened to them since, so
    /// that screen and report say the same.
    pub fn numbers(&self) -> BTreeMap<usize, usize> {
        let mut numbers = BTreeMap::new();
        for (step, _) in self.record.iter() {
            let next = numbers.len() + 1;
            numbers.entry(*step).or_insert(next);
        }
        numbers
    }

    /// The number of `step`: the one it has, or the next where it was not given yet.
    pub fn number_of(&self, step: usize) -> usize {
        let numbers = self.numbers();
        numbers.get(&step).copied().unwrap_or(numbers.len() + 1)
    }

    /// Answers that are kept but do not lie on the path now.
    pub fn set_aside(&self) -> impl Iterator<Item = (usize, &Given)> {
        self.answers
            .iter()
            .filter(|(v, _)| !self.path.contains(v) && self.reopened != Some(**v))
            .filter_map(|(v, g)| g.last().map(|g| (v.0, &**g)))
    }

    /// What the step open now gave before, where it was reopened.
    pub fn kept(&self) -> Option<&Given> {
        self.reopened.as_ref().and_then(|visit| self.last(visit))
    }

    /// As [`State::kept`], where it is only looked at. What is done once more at the car is seen with fresh eyes.
    pub fn looked_at(&self) -> Option<&Given> {
        self.kept().filter(|_| self.reopened_to == Reopening::Look)
    }

    /// Whether the walk is at its own steps and nothing holds it up: no repair, leak, pause, step opened out of its turn or beside
    /// the path.
    pub(super) fn is_walking(&self) -> bool {
        self.stage == Stage::Walking
            && !self.leak
            && !self.paused
            && self.reopened.is_none()
            && self.lead.is_none()
    }

    /// Whether the step open now is done before the path comes to it, or once more beside it.
    pub fn is_ahead(&self) -> bool {
        self.reopened.is_some() && self.reopened_to == Reopening::Beside
    }

    /// The undecided readings of the step open now, which a repeat is averaged with.
    pub fn repeats(&self) -> &[Arc<Given>] {
        match (&self.stage, &self.at) {
            (Stage::Confirming { given, .. }, _) => given,
            (_, At::Step(step)) if self.reopened.is_none() && self.lead.is_none() => {
                let visit = self.open_visit(*step);
                self.answers.get(&visit).map_or(&[], Vec::as_slice)
            }
            _ => &[],
        }
    }

    /// Steps on the path that were put off.
    pub fn parked(&self) -> Vec<usize> {
        self.path()
            .filter(|(_, g)| matches!(g, Given::Cannot { reason: super::Reason::Later, .. }))
            .map(|(s, _)| s)
            .collect()
    }

    /// Whether the cautions of the open step, or of the finding before a repair, are confirmed.
    pub fn cautions_confirmed(&self, id: &str) -> bool {
        self.confirmed_cautions.as_deref() == Some(id)
    }

    /// The facts of the car, once the walk has begun.
    pub fn facts(&self) -> Option<&CarFacts> {
        self.facts.as_ref()
    }

    pub(super) fn open_visit(&self, step: usize) -> Visit {
        let before = self.path.iter().filter(|v| v.0 == step).count();
        (step, u32::try_from(before).unwrap_or(u32::MAX))
    }
}

/// The latest results along a path, for choose-steps; they grow as the path is followed.
#[derive(Default)]
pub(super) struct Along(Vec<(Key, Latest)>);

impl Along {
    /// Those along the whole path of a state.
    pub fn path_of(tree: &Tree, state: &State) -> Self {
        let mut along = Self::default();
        for visit in &state.path {
            along.add(tree, state, *visit);
        }
        along
    }

    /// Goes one visit further. A step that could not be done has no result, and an earlier one stands.
    pub fn add(&mut self, tree: &Tree, state: &State, visit: Visit) {
        let given = state.last(&visit);
        let (key, latest) = match (&tree.steps[visit.0].kind, given) {
            (StepKind::Read(read), Some(Given::Read { taken })) => {
                (Key::Reading(read.reading, read.at), Latest::Verdict(taken.verdict))
            }
            (StepKind::Observe { observation, .. }, Some(Given::Answered { outcome, .. })) => {
                let outcome = observation.outcome(outcome);
                let latest = outcome.map_or(Latest::NotTested, |o| Latest::Outcome(*o));
                (Key::Observation(*observation), latest)
            }
            _ => return,
        };
        match self.0.iter_mut().find(|(k, _)| *k == key) {
            Some(known) => known.1 = latest,
            None => self.0.push((key, latest)),
        }
    }
}

impl Results for Along {
    fn latest(&self, key: Key) -> Latest {
        self.0.iter().find(|(k, _)| *k == key).map_or(Latest::NotTested, |(_, latest)| *latest)
    }
}
