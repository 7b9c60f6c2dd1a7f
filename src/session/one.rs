//! The session itself: asks, takes, judges, keeps, moves on.

use super::error::SessionError;
use super::expectation::{Expectation, expectation};
use super::facts::car_facts;
use super::step_view::StepView;
use crate::case::{Case, Entry as Line};
use crate::quantity::UnitSystem;
use crate::rig::Rig;
use crate::terms::{Place, State as CarState};
use crate::tree::{Finding, Handover, Read, StepKind, Tree};
use crate::walk::{self, At, Event, Given, Reason, State, Taken};
use std::cell::RefCell;
use std::collections::HashMap;
use std::sync::Arc;

/// A case opened again after so many minutes asks the cautions of its open step again.
const LONG_PAUSE: i64 = 10;

/// What is asked now.
#[derive(Debug, Clone)]
pub enum Ask<'a> {
    /// A step of the walk.
    Step(Box<StepView<'a>>),
    /// A finding: repair it, or take it as it is.
    Finding(&'a Finding),
    /// A hand-over.
    Handover(&'a Handover),
    /// The step that proves the repair of a finding.
    Confirm(&'a Finding, Box<StepView<'a>>),
    /// The repair did not cure it.
    NotCured(&'a Finding),
    /// A step that puts a state back.
    Undo(CarState, Box<StepView<'a>>),
    /// All answers are looked through before closing.
    Review,
    /// Fuel was smelt or seen.
    Leak,
    /// Work stands still.
    Paused,
    /// The end.
    Closed,
    /// The tree leads nowhere.
    Broken(&'a str),
}

/// Where a walk stands, without what led there.
#[derive(Debug, Clone)]
pub struct Bookmark {
    state: State,
    place: Option<Place>,
}

impl Bookmark {
    /// The state of the walk.
    pub fn state(&self) -> &State {
        &self.state
    }
}

type Known = HashMap<(usize, Option<Place>), Option<Arc<Expectation>>>;

/// One case in progress: the one door for every front.
pub struct Session {
    rig: Arc<Rig>,
    /// The car with the instruments used before, the first first.
    earlier: Vec<Arc<Rig>>,
    tree: Arc<Tree>,
    state: State,
    events: Vec<Event>,
    case: Option<Case>,
    units: UnitSystem,
    place: Option<Place>,
    doubted: Option<String>,
    known: RefCell<Known>,
    /// The event from which on a confirmed caution is taken for known: where the case was opened.
    pub(super) opened_at: usize,
}

impl Session {
    /// Begins a walk; with a case, every event is kept on disk before it counts.
    ///
    /// # Errors
    /// [`SessionError::NotKept`] or [`SessionError::Refused`].
    pub fn begin(
        rig: Arc<Rig>,
        tree: Arc<Tree>,
        case: Option<Case>,
        units: UnitSystem,
    ) -> Result<Self, SessionError> {
        let mut session = Self::empty(rig, tree, case, units);
        let begun = Event::Begun {
            tree: session.tree.id.clone(),
            digest: session.tree.digest.clone(),
            facts: car_facts(&session.rig),
        };
        session.send(begun)?;
        Ok(session)
    }

    /// Takes up a case where it stood.
    ///
    /// # Errors
    /// [`SessionError::Refused`] where the journal does not fit the tree.
    pub fn resume(
        rig: Arc<Rig>,
        tree: Arc<Tree>,
        case: Case,
        units: UnitSystem,
    ) -> Result<Self, SessionError> {
        let events: Vec<Event> = case.events().cloned().collect();
        let mut session = Self::empty(rig, tree, Some(case), units);
        if events.is_empty() {
            let begun = Event::Begun {
                tree: session.tree.id.clone(),
                digest: session.tree.digest.clone(),
                facts: car_facts(&session.rig),
            };
            session.send(begun)?;
            return Ok(session);
        }
        session.state = walk::replay(&session.tree, &events).map_err(|(_, refusal)| refusal)?;
        session.place = events.iter().rev().find_map(|e| match e {
            Event::Read { taken, .. } if taken.log.is_none() => taken.place,
            _ => None,
        });
        for event in &events {
            if let Some(rig) = session.with_event(event)? {
                session.use_rig(rig);
            }
        }
        session.opened_at = events.len();
        session.events = events;
        if session.case().is_some_and(|case| case.rested(LONG_PAUSE)) {
            session.state.ask_cautions_again();
        }
        Ok(session)
    }

    /// A session that stands where `events` lead, with nothing kept: for reports and for looking back.
    ///
    /// # Errors
    /// [`SessionError::Refused`] where they do not fit the tree.
    pub fn replay(
        rig: Arc<Rig>,
        tree: Arc<Tree>,
        events: impl IntoIterator<Item = Event>,
    ) -> Result<Self, SessionError> {
        let mut session = Self::empty(rig, tree, None, UnitSystem::Metric);
        for event in events {
            session.send(event)?;
        }
        Ok(session)
    }

    /// Begins another walk on the same car and tree without a case on disk; what the model expects is not worked out again.
    ///
    /// # Errors
    /// [`SessionError::Refused`].
    pub fn begin_again(&mut self) -> Result<(), SessionError> {
        let begun = Event::Begun {
            tree: self.tree.id.clone(),
            digest: self.tree.digest.clone(),
            facts: car_facts(&self.rig),
        };
        self.state = State::default();
        self.events.clear();
        self.case = None;
        self.place = None;
        if !self.earlier.is_empty() {
            self.rig = self.earlier.swap_remove(0);
            self.earlier.clear();
            self.known.borrow_mut().clear();
        }
        self.send(begun)
    }

    /// Where this session stands, to come back to.
    pub fn bookmark(&self) -> Bookmark {
        Bookmark { state: self.state.clone(), place: self.place }
    }

    /// Goes back, or on, to where a session on the same car and tree stood. Nothing is kept of it on disk and its events are gone:
    /// for walks that nobody looks back on.
    pub fn turn_to(&mut self, mark: &Bookmark) {
        self.state.clone_from(&mark.state);
        self.place = mark.place;
        self.doubted = None;
        self.events.clear();
        self.case = None;
    }

    fn empty(rig: Arc<Rig>, tree: Arc<Tree>, case: Option<Case>, units: UnitSystem) -> Self {
        Self {
            rig,
            earlier: Vec::new(),
            tree,
            state: State::default(),
            events: Vec::new(),
            case,
            units,
            place: None,
            doubted: None,
            known: RefCell::default(),
            opened_at: 0,
        }
    }

    /// From here on the car with other instruments; what is expected depends on them.
    fn use_rig(&mut self, rig: Arc<Rig>) {
        self.earlier.push(std::mem::replace(&mut self.rig, rig));
        self.known.borrow_mut().clear();
    }

    /// The car with the instruments used before, the first first.
    pub(super) fn earlier_rigs(&self) -> &[Arc<Rig>] {
        &self.earlier
    }

    /// The car as the case began with it, whatever instruments came later: what its events are replayed from.
    pub fn begun_with(&self) -> &Arc<Rig> {
        self.earlier.first().unwrap_or(&self.rig)
    }

    /// The car.
    pub fn rig(&self) -> &Arc<Rig> {
        &self.rig
    }

    /// The tree.
    pub fn tree(&self) -> &Arc<Tree> {
        &self.tree
    }

    /// Where the walk stands.
    pub fn state(&self) -> &State {
        &self.state
    }

    /// Everything that happened, in order.
    pub fn events(&self) -> &[Event] {
        &self.events
    }

    /// The case on disk, if one is kept.
    pub fn case(&self) -> Option<&Case> {
        self.case.as_ref()
    }

    /// The case on disk, to keep what is not of the walk.
    pub fn case_mut(&mut self) -> Option<&mut Case> {
        self.case.as_mut()
    }

    /// Gives the case back, ending the session.
    pub fn into_case(self) -> Option<Case> {
        self.case
    }

    /// The units a bare number takes.
    pub fn units(&self) -> UnitSystem {
        self.units
    }

    /// Changes the units.
    pub fn set_units(&mut self, units: UnitSystem) {
        self.units = units;
    }

    /// Takes an event: checked by the walk, then kept on disk, then counted.
    ///
    /// # Errors
    /// [`SessionError::Refused`] or [`SessionError::NotKept`]; the session stands where it stood.
    pub fn send(&mut self, event: Event) -> Result<(), SessionError> {
        let next = walk::step(&self.tree, &self.state, &event)?;
        let other = self.with_event(&event)?;
        if let Some(case) = &mut self.case {
            case.append(Line::Walk(event.clone())).map_err(SessionError::NotKept)?;
        }
        self.state = next;
        if let Some(rig) = other {
            self.use_rig(rig);
        }
        self.events.push(event);
        self.doubted = None;
        Ok(())
    }

    /// The expectation of a read-step with the gauge at `place`, solved once.
    ///
    /// # Errors
    /// [`SessionError::Model`].
    pub fn expected(
        &self,
        step: usize,
        place: Option<Place>,
    ) -> Result<Option<Arc<Expectation>>, SessionError> {
        let StepKind::Read(read) = &self.tree.steps[step].kind else { return Ok(None) };
        if let Some(known) = self.known.borrow().get(&(step, place)) {
            return Ok(known.clone());
        }
        let solved = expectation(&self.rig, read, place)?;
        let solved = solved.map(|e| Arc::new(Expectation { takes: self.tree.steps[step].timer, ..e }));
        self.known.borrow_mut().insert((step, place), solved.clone());
        Ok(solved)
    }

    pub(super) fn place_for(&self, read: &Read) -> Option<Place> {
        self.place.filter(|p| read.places.contains(p)).or_else(|| read.places.first().copied())
    }

    /// What is asked now.
    pub fn ask(&self) -> Ask<'_> {
        match self.state.at() {
            At::Step(step) => Ask::Step(Box::new(self.view(*step))),
            At::Finding(finding) => Ask::Finding(&self.tree.findings[*finding]),
            At::Handover(handover) => Ask::Handover(&self.tree.handovers[*handover]),
            At::Confirm { finding, step } => {
                Ask::Confirm(&self.tree.findings[*finding], Box::new(self.view(*step)))
            }
            At::NotCured(finding) => Ask::NotCured(&self.tree.findings[*finding]),
            At::Undo { state, step } => Ask::Undo(*state, Box::new(self.view(*step))),
            At::Review => Ask::Review,
            At::Leak => Ask::Leak,
            At::Paused => Ask::Paused,
            At::Closed => Ask::Closed,
            At::NotBegun => Ask::Broken("the walk has not begun"),
            At::Broken(why) => Ask::Broken(why),
        }
    }

    /// The step open now.
    fn open(&self) -> Result<(usize, String), SessionError> {
        let index = self.state.open_step();
        index
            .map(|i| (i, self.tree.steps[i].id.clone()))
            .ok_or_else(|| SessionError::NoAnswer("No step is open now.".into()))
    }

    /// Confirms the cautions of the step open now, or of the finding before its repair.
    ///
    /// # Errors
    /// As for [`Session::send`].
    pub fn confirm_cautions(&mut self) -> Result<(), SessionError> {
        let (step, cautions) = if let At::Finding(f) = self.state.at() {
            (self.tree.findings[*f].id.clone(), self.tree.findings[*f].cautions.clone())
        } else {
            let (index, id) = self.open()?;
            let cautions = self.cautions_of(index);
            (id, cautions)
        };
        self.send(Event::CautionConfirmed { step, cautions })
    }

    /// Understands and judges what is being typed, for a live echo; nothing is taken.
    ///
    /// # Errors
    /// Any [`SessionError`].
    pub fn preview(&self, text: &str, place: Option<Place>) -> Result<Taken, SessionError> {
        let (index, _) = self.open()?;
        self.judge(index, text, place, true)
    }

    /// Takes a reading as typed, with the gauge at `place` (its last place when none is given); `log` takes what a data log has
    /// for the step.
    ///
    /// # Errors
    /// Any [`SessionError`]; a doubtful text is taken when it is given a second time.
    pub fn read(&mut self, text: &str, place: Option<Place>) -> Result<Taken, SessionError> {
        let (index, step) = self.open()?;
        let confirmed = self.doubted.as_deref() == Some(text.trim());
        let taken = match self.judge(index, text, place, confirmed) {
            Ok(taken) => taken,
            Err(error) => {
                if let SessionError::Entry(super::EntryError::Doubtful { .. }) = &error {
                    self.doubted = Some(text.trim().to_owned());
                }
                return Err(error);
            }
        };
        self.send(Event::Read { step, taken: Arc::new(taken.clone()) })?;
        if taken.log.is_none() {
            self.place = taken.place.or(self.place);
        }
        Ok(taken)
    }

    /// Takes an answer to the observation of the step open now.
    ///
    /// # Errors
    /// Any [`SessionError`].
    pub fn answer(&mut self, text: &str) -> Result<String, SessionError> {
        let (index, step) = self.open()?;
        let StepKind::Observe { observation, .. } = self.tree.steps[index].kind else {
            return Err(SessionError::NoAnswer("This step asks for no answer.".into()));
        };
        let outcome = self.outcome_of(observation, text)?;
        let typed = text.trim().to_owned();
        self.send(Event::Answered { step, observation, outcome: outcome.clone(), typed })?;
        Ok(outcome)
    }

    /// The step open now is done.
    ///
    /// # Errors
    /// As for [`Session::send`].
    pub fn done(&mut self) -> Result<(), SessionError> {
        let (_, step) = self.open()?;
        self.send(Event::Done { step })
    }

    /// The step open now can't be done.
    ///
    /// # Errors
    /// As for [`Session::send`].
    pub fn cannot(&mut self, reason: Reason, note: Option<String>) -> Result<(), SessionError> {
        let (_, step) = self.open()?;
        self.send(Event::CannotDo { step, reason, note })
    }

    /// Corrects what an earlier step gave: a reading or an answer as typed.
    ///
    /// # Errors
    /// Any [`SessionError`].
    pub fn change(&mut self, step: &str, text: &str, place: Option<Place>) -> Result<(), SessionError> {
        let Some(index) = self.tree.step_index(step) else {
            return Err(SessionError::NoAnswer(format!("There is no step {step}.")));
        };
        let given = match &self.tree.steps[index].kind {
            StepKind::Observe { observation, .. } => {
                let outcome = self.outcome_of(*observation, text)?;
                Given::Answered { outcome, typed: text.trim().to_owned() }
            }
            StepKind::Read(_) => Given::Read { taken: Arc::new(self.judge(index, text, place, true)?) },
            _ => Given::Done,
        };
        self.send(Event::Changed { step: step.to_owned(), given })
    }
}
