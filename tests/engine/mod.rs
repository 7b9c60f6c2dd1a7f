//! The engine on a small tree: where answers lead, what is refused, what comes back, and that a case is its events.

mod early;
mod leak;
mod repair;

use faultwalk::library::Library;
use faultwalk::terms::{
    Induction, LoadBy, PressureModel, PumpType, State as CarState, Station, SupplyStyle, Tip,
};
use faultwalk::tree::{CarFacts, Step, StepKind, Tree, Verdict, render_all};
use faultwalk::walk::{At, Band, Ending, Event, Given, Reason, State, Taken, replay, step};
use proptest::prelude::*;
use std::path::Path;
use std::sync::Arc;
use std::sync::LazyLock;

static TREE: LazyLock<Tree> = LazyLock::new(|| {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/trees-small");
    Library::open(&folder).unwrap().tree("small-lean").map_err(|e| render_all(&e)).unwrap()
});

fn begun() -> Event {
    Event::Begun {
        tree: TREE.id.clone(),
        digest: TREE.digest.clone(),
        facts: CarFacts {
            induction: Induction::Natural,
            tip: Tip::AbovePlates,
            style: SupplyStyle::Return,
            reference: Station::Open,
            load_by: LoadBy::Manifold,
            pressure_model: PressureModel::Constant,
            pump_type: PumpType::Turbine,
            returns: true,
            filter: true,
            strainer: true,
            holds: true,
            boosted: false,
            trims_at: Vec::new(),
        },
    }
}

/// A walk with the events it took.
#[derive(Clone)]
struct Walked {
    state: State,
    events: Vec<Event>,
}

impl Walked {
    fn new() -> Self {
        let mut walked = Self { state: State::default(), events: Vec::new() };
        walked.take(begun()).unwrap();
        walked
    }

    fn take(&mut self, event: Event) -> Result<(), String> {
        self.state = step(&TREE, &self.state, &event).map_err(|r| r.to_string())?;
        self.events.push(event);
        Ok(())
    }

    fn open(&self) -> Option<&'static Step> {
        self.state.open_step().map(|i| &TREE.steps[i])
    }

    fn id(&self) -> &'static str {
        self.open().map_or("none", |s| &s.id)
    }

    /// Confirms cautions, then gives what the open step asks for.
    fn give(&mut self, given: &Given) -> Result<(), String> {
        let open = self.open().ok_or("no step is open")?;
        if !open.cautions.is_empty() {
            self.take(Event::CautionConfirmed { step: open.id.clone(), cautions: open.cautions.clone() })?;
        }
        self.take(event(open, given))
    }

    fn done(&mut self) {
        self.give(&Given::Done).unwrap();
    }

    fn answer(&mut self, outcome: &str) {
        self.give(&Given::Answered { outcome: outcome.into(), typed: outcome.into() }).unwrap();
    }

    fn read(&mut self, verdict: Verdict) {
        let taken = taken(self.open().unwrap(), verdict);
        self.give(&Given::Read { taken }).unwrap();
    }

    /// To the supply reading, the gauge fitted and its joints dry.
    fn fitted() -> Self {
        let mut walked = Self::new();
        walked.answer("none");
        for _ in 0..5 {
            walked.done();
        }
        assert_eq!(walked.id(), "fit/joints");
        walked.answer("none");
        assert_eq!(walked.id(), "supply");
        walked
    }
}

fn taken(step: &Step, verdict: Verdict) -> Arc<Taken> {
    let StepKind::Read(read) = &step.kind else { panic!("{} reads nothing", step.id) };
    Arc::new(Taken {
        reading: read.reading,
        condition: read.at,
        typed: "51 psi".into(),
        si: 351_632.6,
        unit: "psi".into(),
        datum: None,
        place: read.places.first().copied(),
        instrument: "0..100 psi".into(),
        u: 6_000.0,
        band: Band { low: Some(390_000.0), high: Some(420_000.0), expected: Some(405_000.0) },
        verdict,
        probability: 0.98,
        log: None,
    })
}

fn event(step: &Step, given: &Given) -> Event {
    let id = step.id.clone();
    match given {
        Given::Done => Event::Done { step: id },
        Given::Read { taken } => Event::Read { step: id, taken: taken.clone() },
        Given::Answered { outcome, typed } => {
            let observation = match step.kind {
                StepKind::Observe { observation, .. } => observation,
                _ => faultwalk::terms::Observation::FuelInTank,
            };
            Event::Answered { step: id, observation, outcome: outcome.clone(), typed: typed.clone() }
        }
        Given::Cannot { reason, note } => Event::CannotDo { step: id, reason: *reason, note: note.clone() },
    }
}

fn cannot(reason: Reason) -> Given {
    Given::Cannot { reason, note: None }
}

#[test]
fn answers_lead_to_the_finding_and_the_repair_to_the_end() {
    let mut w = Walked::fitted();
    w.read(Verdict::Low);
    assert_eq!(w.id(), "volts");
    w.read(Verdict::Within);
    assert_eq!(w.id(), "filter-by-eye", "the choose-step was passed by what the gauge said");
    w.answer("blocked");
    let At::Finding(finding) = *w.state.at() else { panic!("{:?}", w.state.at()) };
    assert_eq!(TREE.findings[finding].id, "filter");
    assert!(w.take(Event::Repaired { note: None }).unwrap_err().contains("cautions"));
    let cautions = TREE.findings[finding].cautions.clone();
    w.take(Event::CautionConfirmed { step: "filter".into(), cautions }).unwrap();
    w.take(Event::Repaired { note: None }).unwrap();
    assert_eq!((w.id(), matches!(w.state.at(), At::Confirm { .. })), ("supply", true));
    w.read(Verdict::Within);
    assert_eq!(w.state.ending(), Some(Ending::Finding { finding, confirmed: Some(true) }));
    assert_eq!(w.id(), "undo/gauge-fitted/pump-off", "the gauge is taken off before the end");
    for _ in 0..4 {
        w.done();
    }
    assert!(w.take(Event::Closed).is_err(), "nothing closes before all is put back");
    w.answer("none");
    assert_eq!(*w.state.at(), At::Review);
    assert!(!w.state.held().contains(CarState::GaugeFitted) && w.state.not_undone().is_empty());
    w.take(Event::Closed).unwrap();
    assert!(w.take(Event::Back).is_err());
}

#[test]
fn a_repair_that_does_not_cure_leads_on() {
    let mut w = Walked::fitted();
    w.read(Verdict::High);
    let At::Finding(finding) = *w.state.at() else { panic!("{:?}", w.state.at()) };
    w.take(Event::Repaired { note: None }).unwrap();
    w.read(Verdict::High);
    assert_eq!(*w.state.at(), At::NotCured(finding));
    assert_eq!(w.state.ending(), Some(Ending::Finding { finding, confirmed: Some(false) }));
    w.take(Event::StartedAgain).unwrap();
    while w.id() != "leak" {
        let open = w.open().unwrap();
        if matches!(open.kind, StepKind::Observe { .. }) { w.answer("none") } else { w.done() }
    }
    assert_eq!(w.state.path().count(), 0, "the second walk begins without answers");
}

#[test]
fn an_undecided_reading_is_repeated_as_often_as_the_tree_says() {
    let mut w = Walked::fitted();
    w.read(Verdict::Undecided);
    assert_eq!((w.id(), w.state.repeats().len()), ("supply", 1));
    w.read(Verdict::Undecided);
    assert_eq!(w.id(), "volts");
    w.read(Verdict::Within);
    assert_eq!(w.id(), "filter-by-eye", "undecided counts for 'was'");
}

#[test]
fn a_step_is_refused_unless_its_states_hold_and_its_cautions_are_confirmed() {
    let mut w = Walked::new();
    w.answer("none");
    w.done();
    w.done();
    assert_eq!(w.id(), "fit/open");
    assert!(w.take(Event::Done { step: "fit/open".into() }).unwrap_err().contains("cautions"));
    assert!(w.take(Event::Done { step: "fit/connect".into() }).unwrap_err().contains("fit/open"));
    // Fuel is smelt while the gauge sits: its joints no longer count as checked.
    let mut w = Walked::fitted();
    w.take(Event::LeakReported { note: None }).unwrap();
    assert_eq!(*w.state.at(), At::Leak);
    assert!(w.give(&Given::Done).is_err());
    w.take(Event::LeakMended { note: None }).unwrap();
    let given = Given::Read { taken: taken(TREE.step("supply").unwrap(), Verdict::Within) };
    let why = w.give(&given).unwrap_err();
    assert!(why.contains("joints leak-checked") && why.contains("take up fit/joints again"), "{why}");
    w.take(Event::TakenUp { step: "fit/joints".into() }).unwrap();
    w.answer("none");
    assert_eq!(w.id(), "supply");
    w.give(&given).unwrap();
    assert!(matches!(w.state.at(), At::Finding(_)));
}

#[test]
fn cautions_confirmed_before_a_pause_are_asked_again_after_it() {
    let mut w = Walked::new();
    w.answer("none");
    w.done();
    w.done();
    let open = TREE.step("fit/open").unwrap();
    let confirmed = Event::CautionConfirmed { step: open.id.clone(), cautions: open.cautions.clone() };
    w.take(confirmed.clone()).unwrap();
    w.take(Event::Paused).unwrap();
    w.take(Event::Resumed).unwrap();
    assert_eq!(w.id(), "fit/open");
    assert!(!w.state.cautions_confirmed("fit/open"));
    assert!(w.take(Event::Done { step: "fit/open".into() }).unwrap_err().contains("cautions"));
    w.take(confirmed).unwrap();
    w.take(Event::Done { step: "fit/open".into() }).unwrap();
    // The same without a pause in the journal: the case lay closed for long.
    let mut state = w.state.clone();
    state.ask_cautions_again();
    assert_eq!((state.at(), state.held()), (w.state.at(), w.state.held()));
}

#[test]
fn a_step_keeps_its_number_whatever_is_given_again() {
    let mut w = Walked::fitted();
    let before = w.state.numbers().len();
    let open = w.state.open_step().unwrap();
    assert_eq!(w.state.number_of(open), before + 1);
    w.read(Verdict::Undecided);
    assert_eq!(w.state.number_of(open), before + 1, "read once more it is the same step");
    w.read(Verdict::Low);
    let next = w.state.open_step().unwrap();
    assert_eq!(w.state.number_of(next), before + 2);
    w.take(Event::Back).unwrap();
    assert_eq!(w.state.number_of(w.state.open_step().unwrap()), before + 1);
}

#[test]
fn a_leak_at_the_joints_proves_nothing_and_hands_over() {
    let mut w = Walked::new();
    w.answer("none");
    for _ in 0..5 {
        w.done();
    }
    w.answer("leak");
    assert!(!w.state.held().contains(CarState::LeakChecked));
    let At::Handover(handover) = *w.state.at() else { panic!("{:?}", w.state.at()) };
    assert_eq!(TREE.handovers[handover].id, "fit/leaking");
    w.take(Event::HandedOver { note: None }).unwrap();
    assert_eq!(w.id(), "undo/gauge-fitted/pump-off");
    w.give(&cannot(Reason::NoAccess)).unwrap();
    assert_eq!(*w.state.at(), At::Review);
    assert!(w.state.not_undone().contains(CarState::GaugeFitted), "what stays on the car is said");
    assert_eq!(w.state.ending(), Some(Ending::Handover(handover)));
}

#[test]
fn an_undoing_that_cannot_be_done_never_holds_a_case_up() {
    let mut w = Walked::fitted();
    w.take(Event::HandedOver { note: None }).unwrap();
    w.done();
    assert!(w.open().unwrap().cannot.is_none(), "this step has no way on of its own");
    w.give(&cannot(Reason::Unsafe)).unwrap();
    assert!(w.state.not_undone().contains(CarState::GaugeFitted));
    assert_eq!(w.id(), "undo/pump-disabled/pump-on", "what the undoing made is put back as well");
}

#[test]
fn going_back_keeps_answers_and_sets_aside_those_off_the_path() {
    let mut w = Walked::fitted();
    w.read(Verdict::Low);
    w.read(Verdict::Within);
    let before = w.clone();
    w.take(Event::Back).unwrap();
    w.take(Event::Back).unwrap();
    assert_eq!(w.id(), "supply");
    assert!(matches!(w.state.kept(), Some(Given::Read { .. })));
    w.read(Verdict::High);
    assert!(matches!(w.state.at(), At::Finding(_)));
    let aside: Vec<&str> = w.state.set_aside().map(|(i, _)| TREE.steps[i].id.as_str()).collect();
    assert_eq!(aside, ["volts"]);
    w.take(Event::Changed {
        step: "supply".into(),
        given: Given::Read { taken: taken(TREE.step("supply").unwrap(), Verdict::Low) },
    })
    .unwrap();
    assert_eq!(w.id(), "filter-by-eye", "the answer set aside came back with the path");
    assert_eq!(w.state.path().count(), before.state.path().count());
}

#[test]
fn a_step_put_off_is_parked_and_can_be_taken_up() {
    let mut w = Walked::fitted();
    w.give(&cannot(Reason::Later)).unwrap();
    assert_eq!(w.id(), "volts");
    let parked: Vec<&str> = w.state.parked().into_iter().map(|i| TREE.steps[i].id.as_str()).collect();
    assert_eq!(parked, ["supply"]);
    w.take(Event::TakenUp { step: "supply".into() }).unwrap();
    w.read(Verdict::Within);
    assert!(w.state.parked().is_empty() && matches!(w.state.at(), At::Finding(_)));
}

#[test]
fn a_leak_mended_after_a_repair_does_not_lock_its_proof() {
    let mut w = Walked::fitted();
    w.read(Verdict::Low);
    w.read(Verdict::Within);
    w.answer("blocked");
    let At::Finding(filter) = *w.state.at() else { panic!("{:?}", w.state.at()) };
    let found = &TREE.findings[filter];
    w.take(Event::CautionConfirmed { step: found.id.clone(), cautions: found.cautions.clone() }).unwrap();
    w.take(Event::Repaired { note: None }).unwrap();
    w.take(Event::LeakReported { note: None }).unwrap();
    assert!(w.open().is_none(), "nothing is asked while fuel leaks");
    w.take(Event::LeakMended { note: None }).unwrap();
    assert_eq!(w.id(), "fit/joints", "the joints come first");
    w.answer("none");
    assert_eq!(w.id(), "supply");
    w.read(Verdict::Within);
    assert_eq!(w.state.ending(), Some(Ending::Finding { finding: filter, confirmed: Some(true) }));
    assert_eq!(replay(&TREE, &w.events).unwrap(), w.state);
}

#[test]
fn what_a_corrected_answer_left_at_the_car_is_put_back_before_a_step_it_does_not_go_with() {
    let mut w = Walked::new();
    w.answer("none");
    w.done();
    assert!(w.state.held().contains(CarState::PumpDisabled));
    w.take(Event::Changed { step: "fit/pump-off".into(), given: cannot(Reason::NoTool) }).unwrap();
    assert_eq!(w.id(), "volts", "no gauge is to be fitted now, and the pump is still disabled");
    let given = Given::Read { taken: taken(TREE.step("volts").unwrap(), Verdict::Within) };
    let why = w.give(&given).unwrap_err();
    assert!(why.contains("must be put back: pump disabled; the pump cannot run"), "{why}");
    w.take(Event::UndoBegun { state: CarState::PumpDisabled }).unwrap();
    w.done();
    assert_eq!((w.id(), w.state.held().contains(CarState::PumpDisabled)), ("volts", false));
    w.give(&given).unwrap();
}

#[test]
fn what_does_not_fit_is_refused_and_changes_nothing() {
    let mut w = Walked::fitted();
    let before = w.state.clone();
    let mut nan = (*taken(TREE.step("supply").unwrap(), Verdict::Low)).clone();
    nan.si = f64::NAN;
    for event in [
        Event::Done { step: "supply".into() },
        Event::Read { step: "volts".into(), taken: taken(TREE.step("volts").unwrap(), Verdict::Low) },
        Event::Read { step: "supply".into(), taken: Arc::new(nan) },
        Event::Repaired { note: None },
        Event::Closed,
        Event::StartedAgain,
        Event::LeakMended { note: None },
        Event::TakenUp { step: "nowhere".into() },
        Event::UndoBegun { state: CarState::PlugsOut },
        begun(),
    ] {
        let why = w.take(event.clone()).expect_err(&format!("{event:?}"));
        assert!(why.len() > 10, "{why}");
        assert_eq!(w.state, before);
    }
    w.read(Verdict::Low);
    let high = Given::Read { taken: taken(TREE.step("volts").unwrap(), Verdict::High) };
    assert!(w.give(&high).unwrap_err().contains("no way on"), "only a lower limit is there");
    let mut other = begun();
    if let Event::Begun { digest, .. } = &mut other {
        digest.replace_range(0..1, "x");
    }
    assert!(step(&TREE, &State::default(), &other).unwrap_err().to_string().contains("another version"));
}

#[test]
fn every_event_is_one_line_that_reads_back_the_same() {
    let mut w = Walked::fitted();
    w.read(Verdict::Low);
    w.give(&cannot(Reason::NoTool)).unwrap();
    w.take(Event::Paused).unwrap();
    for event in &w.events {
        let line = serde_json::to_string(event).unwrap();
        assert!(!line.contains('\n') && line.len() < 700, "{line}");
        assert_eq!(&serde_json::from_str::<Event>(&line).unwrap(), event, "{line}");
    }
}

/// A likely or an unlikely event, picked by numbers.
fn picked(w: &Walked, pick: u8, detail: usize) -> Event {
    let some_step = || TREE.steps[detail % TREE.steps.len()].clone();
    let open = if pick < 200 { w.open().cloned() } else { None };
    let at = open.unwrap_or_else(some_step);
    let verdict = Verdict::ALL[detail % 4];
    let natural = match &at.kind {
        StepKind::Read(_) => Given::Read { taken: taken(&at, verdict) },
        StepKind::Observe { observation, .. } => {
            let outcome = observation.outcomes()[detail % observation.outcomes().len()].id;
            Given::Answered { outcome: outcome.into(), typed: outcome.into() }
        }
        _ => Given::Done,
    };
    match pick % 20 {
        0..=7 => event(&at, &natural),
        8 => event(&at, &cannot(Reason::ALL[detail % 4])),
        9 => Event::Back,
        10 => Event::Changed { step: some_step().id, given: natural },
        11 => Event::TakenUp { step: some_step().id },
        12 => Event::Repaired { note: None },
        13 => Event::Accepted { note: None },
        14 if detail.is_multiple_of(3) => Event::HandedOver { note: None },
        15 => Event::StartedAgain,
        16 if detail.is_multiple_of(4) => Event::LeakReported { note: None },
        17 => Event::LeakMended { note: None },
        18 => Event::UndoBegun { state: CarState::ALL[detail % CarState::ALL.len()] },
        19 if detail.is_multiple_of(2) => Event::Closed,
        _ => Event::CautionConfirmed { step: at.id.clone(), cautions: at.cautions },
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn random_events_never_break_the_engine_and_what_was_taken_replays(
        picks in proptest::collection::vec((any::<u8>(), 0..10_000_usize), 1..120)
    ) {
        let mut w = Walked::new();
        for (pick, detail) in picks {
            if pick < 200 && let Some(open) = w.open() && !open.cautions.is_empty() {
                let (step, cautions) = (open.id.clone(), open.cautions.clone());
                w.take(Event::CautionConfirmed { step, cautions }).unwrap();
            }
            let event = picked(&w, pick, detail);
            let before = w.state.clone();
            if w.take(event).is_err() {
                prop_assert_eq!(&w.state, &before);
            }
            prop_assert!(!matches!(w.state.at(), At::Broken(_)), "{:?}", w.state.at());
        }
        let again = replay(&TREE, &w.events).map_err(|(i, r)| TestCaseError::fail(format!("{i}: {r}")))?;
        prop_assert_eq!(again, w.state);
    }

    #[test]
    fn back_and_the_same_answers_return_to_the_same_state(
        picks in proptest::collection::vec(0..10_000_usize, 1..14), back in 1..8_usize
    ) {
        let mut w = Walked::new();
        for detail in picks {
            if !matches!(w.state.at(), At::Step(_)) { break }
            if let Some(open) = w.open() && !open.cautions.is_empty() {
                let (step, cautions) = (open.id.clone(), open.cautions.clone());
                w.take(Event::CautionConfirmed { step, cautions }).unwrap();
            }
            let event = picked(&w, 0, detail);
            // A verdict this step has no way on from is refused; any other is taken.
            let _ = w.take(event);
        }
        let before = w.clone();
        let (mut gone_back, at) = (0, before.state.at().clone());
        while gone_back < back && w.take(Event::Back).is_ok() {
            gone_back += 1;
        }
        if let Some(kept) = w.state.kept().cloned() {
            let open = w.open().unwrap();
            w.take(event(open, &kept)).unwrap();
        }
        prop_assert_eq!(w.state.at(), &at);
        prop_assert_eq!(w.state.held(), before.state.held());
        prop_assert_eq!(w.state.minutes(), before.state.minutes());
        prop_assert!(w.state.path().eq(before.state.path()));
    }
}
