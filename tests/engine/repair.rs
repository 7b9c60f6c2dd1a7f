//! What the walk leads through beside its path: up to a repair that opens a line, from it to dry joints, the gauge to where the repair
//! is proved, and the joints once a leak was mended. On the trees that ship.

use faultwalk::belief::{Key, Particles};
use faultwalk::library::Library;
use faultwalk::quantity::UnitSystem;
use faultwalk::rig::Rig;
use faultwalk::session::{FaultyCar, Session, Simulated, turn};
use faultwalk::terms::{Caution, Complaint, Condition, Fault, LoadBy, Observation, Reading, State, Station};
use faultwalk::terms::{SupplyStyle, Tool};
use faultwalk::tree::{Edge, Expect, StateSet, Step, StepKind, Target, Tree};
use faultwalk::walk::{Aim, At, Ending, Event, Reason, makes_safe, may_conclude, never_waits};
use std::sync::Arc;

pub(super) fn trees() -> Vec<Arc<Tree>> {
    let library = Library::embedded();
    let ids = library.trees().into_iter().filter_map(|t| t.heading.tree);
    let trees: Vec<Arc<Tree>> = ids.map(|id| Arc::new(library.tree(&id).unwrap())).collect();
    assert!(trees.len() > 10);
    trees
}

pub(super) fn rig(name: &str) -> Arc<Rig> {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("fixtures/rigs/{name}.yaml"));
    Arc::new(Rig::parse(name, &std::fs::read_to_string(path).unwrap()).unwrap())
}

pub(super) fn begun(rig: &Arc<Rig>, tree: &str) -> Session {
    let tree = Arc::new(Library::embedded().tree(tree).unwrap());
    Session::begin(rig.clone(), tree, None, UnitSystem::Metric).unwrap()
}

pub(super) fn looks_for_leaks(step: &Step) -> bool {
    matches!(step.kind, StepKind::Observe { observation: Observation::FuelSmellOrLeak, .. })
}

/// Walks on while `on` holds; whether it stopped because it holds no more.
pub(super) fn walk_while(
    session: &mut Session,
    car: &Simulated,
    mut on: impl FnMut(&Session) -> bool,
) -> bool {
    for _ in 0..2_000 {
        if !on(session) {
            return true;
        }
        if turn(session, car).unwrap_or_else(|(at, e)| panic!("{at}: {e}")).is_some() {
            return false;
        }
    }
    panic!("the walk does not end");
}

const READY: [State; 4] = [State::PumpDisabled, State::Depressurised, State::EngineCool, State::BatteryOff];

#[test]
fn every_tree_knows_how_its_lines_are_made_safe_before_a_repair_and_seen_dry_after_it() {
    let (mut repairs, mut words) = (0, 0);
    for tree in trees() {
        let opens = |f: &&faultwalk::tree::Finding| f.remedy.is_some() && f.opens_line();
        let opening = tree.findings.iter().filter(opens).count();
        if tree.undo_of(State::LineOpen).is_none() {
            // A tree that opens no line of its own has no steps to lead by: the remedy says it.
            for found in tree.findings.iter().filter(opens) {
                words += 1;
                let remedy = found.remedy.as_deref().unwrap().to_lowercase();
                for word in ["disable the pump", "battery negative off", "see every joint dry on prime"] {
                    assert!(remedy.contains(word), "{}: {}: {word}", tree.id, found.id);
                }
            }
            continue;
        }
        repairs += opening;
        for gauge in [false, true] {
            let mut held = StateSet::EMPTY;
            held.insert(State::NoLeakSeen);
            if gauge {
                held.insert(State::GaugeFitted);
            }
            let steps = makes_safe(&tree, held).unwrap_or_else(|| panic!("{}: nothing makes safe", tree.id));
            let steps: Vec<&Step> = steps.into_iter().map(|i| &tree.steps[i]).collect();
            let made = |state: State| steps.iter().position(|s| s.makes.contains(&state));
            let at = READY.map(|s| made(s).unwrap_or_else(|| panic!("{}: {s} is not made", tree.id)));
            let relieved = steps.iter().position(|s| s.at == Some(Condition::Crank)).unwrap();
            assert!(at[0] < relieved && relieved < at[1], "{}: zero is seen after the relief", tree.id);
            let on_gauge = steps[at[1]].requires.contains(&State::GaugeFitted);
            assert_eq!(on_gauge, gauge, "{}: zero is seen on the gauge that is fitted", tree.id);
            assert!(steps.iter().all(|s| !s.makes.contains(&State::LineOpen)));
        }
        let mut target = tree.undo_of(State::LineOpen).unwrap().start;
        let mut seen = Vec::new();
        while let Target::Step(i) = target {
            let step = &tree.steps[i];
            seen.push(step);
            assert!(seen.len() < 20, "{}", tree.id);
            target = match &step.kind {
                StepKind::Include(include) => include.entry.unwrap(),
                StepKind::Do { .. } => *step.target(Edge::Next).unwrap(),
                _ => *step.target(Edge::Answer(0)).unwrap(),
            };
        }
        let last = seen.last().unwrap();
        assert!(matches!(target, Target::Undone), "{}", tree.id);
        assert!(looks_for_leaks(last) && last.at == Some(Condition::Prime), "{}: {}", tree.id, last.id);
    }
    assert!(repairs > 100 && words > 0, "{repairs} {words}");
}

#[test]
fn a_repair_is_done_on_a_safe_line_and_nothing_runs_after_it_before_the_joints_were_seen_dry() {
    let (mut led, mut moved, mut flooded) = (0, 0, 0);
    for name in ["orchard-pickup", "mill-road-sedan", "chapel-estate"] {
        let rig = rig(name);
        let sound = FaultyCar::new(&rig, &[]).unwrap();
        let mut session = begun(&rig, "runs-lean");
        for fault in session.tree().finds.clone() {
            let Ok(car) = FaultyCar::new(&rig, &[(fault, 0.9)]) else { continue };
            let car = Simulated { bench: &car, tools: None, repaired: Some(&sound) };
            session.begin_again().unwrap();
            if !walk_while(&mut session, &car, |s| !matches!(s.state().at(), At::Finding(_))) {
                continue;
            }
            let At::Finding(finding) = *session.state().at() else { panic!() };
            let found = session.tree().findings[finding].clone();
            if found.remedy.is_none() || !found.opens_line() {
                continue;
            }
            session.confirm_cautions().unwrap();
            if found.cautions.contains(&Caution::FloodedCylinder) {
                // The pressure is used up by cranking, and this engine must not be cranked. Its joints are looked at all the same.
                assert_eq!(*session.state().at(), At::Finding(finding), "{fault}");
                session.send(Event::Repaired { note: None }).unwrap();
                let look = &session.tree().steps[session.state().open_step().unwrap()];
                assert!(looks_for_leaks(look) && look.at == Some(Condition::Prime), "{fault}: {}", look.id);
                flooded += 1;
                continue;
            }
            assert!(matches!(session.state().at(), At::Step(_)), "{name}, {fault}: not led");
            assert!(session.send(Event::Repaired { note: None }).is_err(), "the line is not safe yet");
            assert!(walk_while(&mut session, &car, |s| matches!(s.state().at(), At::Step(_))));
            assert_eq!(*session.state().at(), At::Finding(finding), "the finding stands again");
            assert!(session.state().cautions_confirmed(&found.id));
            for state in READY {
                assert!(session.state().held().contains(state), "{name}, {fault}: {state}");
            }
            session.send(Event::Repaired { note: None }).unwrap();
            led += 1;
            assert!(session.state().held().contains(State::LineOpen));
            assert!(walk_while(&mut session, &car, |s| {
                let proof = matches!(s.state().at(), At::Confirm { .. });
                if let Some(step) = s.state().open_step().map(|i| &s.tree().steps[i])
                    && step.at.is_some_and(Condition::pressurises)
                {
                    let held = s.state().held();
                    assert!(!held.contains(State::LineOpen), "{name}, {fault}: {}", step.id);
                    assert!(!held.contains(State::PumpDisabled), "{name}, {fault}: {}", step.id);
                    assert!(looks_for_leaks(step) || held.contains(State::LeakChecked), "{}", step.id);
                }
                !proof
            }));
            assert!(session.state().holds(State::LeakChecked));
            if session.state().gauge_moved() {
                moved += 1;
                let faultwalk::session::Ask::Confirm(_, view) = session.ask() else { panic!() };
                assert_eq!(view.gauge_move, None, "it was led through");
            }
            assert!(!walk_while(&mut session, &car, |_| true));
            if fault == Fault::LiftPumpFailed {
                // The sound car of the model has no lift pump to be heard.
                continue;
            }
            let ending = session.state().ending();
            assert_eq!(ending, Some(Ending::Finding { finding, confirmed: Some(true) }), "{name}, {fault}");
            let again = session.events().to_vec();
            let again = Session::replay(rig.clone(), session.tree().clone(), again).unwrap();
            assert_eq!(again.state(), session.state());
        }
    }
    assert!(
        led > 20 && moved > 1 && flooded > 0,
        "{led} led, {moved} with the gauge moved, {flooded} flooded"
    );
}

/// At the finding of a blocked filter, its cautions confirmed.
pub(super) fn at_repair(rig: &Arc<Rig>) -> Session {
    let mut session = begun(rig, "runs-lean");
    let car = FaultyCar::new(rig, &[(Fault::FeedFilterBlocked, 0.9)]).unwrap();
    let car = Simulated { bench: &car, tools: None, repaired: None };
    assert!(walk_while(&mut session, &car, |s| !matches!(s.state().at(), At::Finding(_))));
    session.confirm_cautions().unwrap();
    session
}

/// Confirms the cautions of the open step and does it.
pub(super) fn does(session: &mut Session) {
    let step = session.tree().steps[session.state().open_step().unwrap()].clone();
    if !step.cautions.is_empty() {
        session.confirm_cautions().unwrap();
    }
    if looks_for_leaks(&step) { session.answer("none").map(|_| ()) } else { session.done() }.unwrap();
}

#[test]
fn what_leads_to_a_repair_may_be_left_and_then_the_repair_waits() {
    let rig = rig("orchard-pickup");
    let mut session = at_repair(&rig);
    does(&mut session);
    assert!(session.state().held().contains(State::PumpDisabled));
    assert!(session.send(Event::Back).is_err());
    session.cannot(Reason::NoAccess, None).unwrap();
    let At::Finding(finding) = *session.state().at() else { panic!("{:?}", session.state().at()) };
    let id = session.tree().findings[finding].id.clone();
    assert!(!session.state().cautions_confirmed(&id));
    assert!(session.send(Event::Repaired { note: None }).is_err());
    session.send(Event::Accepted { note: None }).unwrap();
    let At::Undo { state, .. } = *session.state().at() else { panic!("{:?}", session.state().at()) };
    assert_eq!(state, State::PumpDisabled, "what was begun is put back");
}

#[test]
fn what_safety_or_the_gauges_truth_rests_on_is_never_put_off() {
    for tree in trees() {
        for step in &tree.steps {
            let looked = |o: Observation| matches!(step.kind, StepKind::Observe { observation, .. } if observation == o);
            let zero = looked(Observation::GaugeZero) || step.makes.contains(&State::Depressurised);
            if zero || looks_for_leaks(step) || step.makes.contains(&State::LeakChecked) {
                assert!(never_waits(step), "{}: {}", tree.id, step.id);
            }
        }
    }
    let rig = rig("orchard-pickup");
    let sound = FaultyCar::new(&rig, &[]).unwrap();
    let car = Simulated { bench: &sound, tools: None, repaired: None };
    let mut session = begun(&rig, "runs-lean");
    let zero = |s: &Session| s.state().open_step().is_some_and(|i| s.tree().steps[i].origin.id == "zero");
    assert!(walk_while(&mut session, &car, |s| !zero(s)));
    let before = session.state().clone();
    let why = session.cannot(Reason::Later, None).unwrap_err().to_string();
    assert!(why.contains("not put off"), "{why}");
    assert_eq!(*session.state(), before);
    // Where it was not seen before, it is seen with the line open.
    session.cannot(Reason::NoAccess, None).unwrap();
    let open =
        |s: &Session| s.state().open_step().is_some_and(|i| s.tree().steps[i].origin.id == "zero-open");
    assert!(walk_while(&mut session, &car, |s| !open(s)));
    assert!(session.state().held().contains(State::LineOpen));
}

#[test]
fn a_repair_is_proved_by_what_a_sound_car_shows_and_under_a_title_that_fits_one() {
    let mut proofs = 0;
    for tree in trees() {
        for found in &tree.findings {
            let Some(confirm) = &found.confirm else { continue };
            let step = &tree.steps[confirm.repeat];
            proofs += 1;
            assert!(
                !step.name().contains("silent"),
                "{}: {} is proved by {}",
                tree.id,
                found.id,
                step.name()
            );
            if let StepKind::Read(read) = &step.kind
                && !matches!(read.expect, Expect::Model { .. })
            {
                // The model takes the battery's voltage as given and so has none to give.
                assert_eq!(read.reading, Reading::BatteryVoltage, "{}: {}", tree.id, found.id);
            }
        }
    }
    assert!(proofs > 100);
}

#[test]
fn a_clamp_has_its_own_caution_and_not_that_of_a_probe() {
    let mut clamps = 0;
    for tree in trees() {
        for step in &tree.steps {
            let StepKind::Read(read) = &step.kind else { continue };
            let (clamp, probe) = (
                step.cautions.contains(&Caution::ClampOnWire),
                step.cautions.contains(&Caution::LiveCircuit),
            );
            if read.with == Tool::ClampMeter {
                clamps += 1;
                assert!(clamp && !probe, "{}: {}", tree.id, step.id);
            } else {
                assert!(!clamp, "{}: {}", tree.id, step.id);
            }
        }
    }
    assert!(clamps > 10);
}

#[test]
fn what_this_car_has_not_got_is_not_asked_for() {
    let mut asked = [0; 3];
    for file in
        std::fs::read_dir(std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/rigs")).unwrap()
    {
        let name = file.unwrap().path().file_stem().unwrap().to_string_lossy().into_owned();
        let rig = rig(&name);
        let car = &rig.car;
        let (style, load_by) = (car.regulator.style, car.controller.load_by);
        let open = car.regulator.reference == Station::Open;
        let sound = FaultyCar::new(&rig, &[]).unwrap();
        let mut session = begun(&rig, "runs-lean");
        walk_while(&mut session, &Simulated { bench: &sound, tools: None, repaired: None }, |s| {
            if let Some(step) = s.state().open_step().map(|i| &s.tree().steps[i])
                && let StepKind::Observe { observation, .. } = step.kind
            {
                match observation {
                    Observation::LoadSensorHose => {
                        asked[0] += 1;
                        assert_eq!(load_by, LoadBy::Manifold, "{name}");
                    }
                    Observation::ReferenceHoseRouting => {
                        asked[1] += 1;
                        assert_ne!(style, SupplyStyle::Module, "{name}");
                        assert_eq!(step.name().contains("open to air"), open, "{name}: {}", step.name());
                    }
                    Observation::LiftPumpSound => {
                        asked[2] += 1;
                        assert!(car.pump.lift <= 0.05, "{name}: the pump sits above the fuel");
                    }
                    _ => {}
                }
            }
            !matches!(s.state().at(), At::Review)
        });
    }
    assert!(asked[0] > 10 && asked[1] > 10, "{asked:?}");
}

#[test]
fn an_engine_that_does_not_start_is_offered_no_test_with_it_running_before_it_was_seen_to_run() {
    let rig = rig("orchard-pickup");
    let crowd = Arc::new(Particles::draw(&rig, 16, 1));
    let running = |session: &Session| {
        let belief = session.belief(&crowd);
        let needs = |k: Key| matches!(k, Key::Reading(_, condition) if condition.running());
        session.suggestions(&belief).iter().filter(|s| needs(s.key)).count()
    };
    let mut session = begun(&rig, "no-pressure");
    assert!(session.tree().complaints.contains(&Complaint::NoStart));
    assert_eq!(running(&session), 0);
    assert!(running(&begun(&rig, "runs-lean")) > 0, "another tree is about an engine that runs");
    let sound = FaultyCar::new(&rig, &[]).unwrap();
    let car = Simulated { bench: &sound, tools: None, repaired: None };
    let runs = |s: &Session| {
        let mut record = s.state().record();
        record.any(|(i, _)| s.tree().steps[i].at.is_some_and(Condition::running))
    };
    let mut turns = 0;
    assert!(walk_while(&mut session, &car, |s| {
        turns += 1;
        assert!(runs(s) || turns % 8 > 0 || running(s) == 0);
        !runs(s)
    }));
    assert!(running(&session) > 0, "it was seen to run");
}

#[test]
fn what_is_named_before_a_gauge_was_fitted_is_proved_on_one_that_is_fitted_after_the_repair() {
    let (mut cars, mut zeros) = (0, 0);
    for name in ["orchard-pickup", "mill-road-sedan", "coast-hatch"] {
        let rig = rig(name);
        let sound = FaultyCar::new(&rig, &[]).unwrap();
        for fault in [Fault::ReturnLineRestricted, Fault::LinesSwapped] {
            let Ok(car) = FaultyCar::new(&rig, &[(fault, 0.9)]) else { continue };
            let car = Simulated { bench: &car, tools: None, repaired: Some(&sound) };
            let mut session = begun(&rig, "runs-lean");
            let tree = session.tree().clone();
            let reads_gauge = |f: &faultwalk::tree::Finding| {
                let proof = f.confirm.as_ref().map(|c| &tree.steps[c.repeat]);
                proof.is_some_and(|s| s.requires.contains(&State::GaugeFitted))
            };
            let of = |f: &faultwalk::tree::Finding| f.fault == fault && f.opens_line() && reads_gauge(f);
            let finding = tree.findings.iter().position(of).unwrap();
            let hoses = |s: &Session| {
                let seen = |i: usize| match tree.steps[i].kind {
                    StepKind::Observe { observation, .. } => observation == Observation::HosesByEye,
                    _ => false,
                };
                s.state().path().any(|(i, _)| seen(i))
            };
            assert!(walk_while(&mut session, &car, |s| !hoses(s)));
            assert!(!session.state().held().contains(State::GaugeFitted));
            assert!(may_conclude(&tree, session.state(), finding), "{name}, {fault}");
            let id = tree.findings[finding].id.clone();
            session.send(Event::Concluded { finding: id, probability: 0.996 }).unwrap();
            let (mut order, mut fitted_at) = (Vec::new(), None);
            assert!(walk_while(&mut session, &car, |s| {
                if let Some(step) = s.state().open_step().map(|i| &s.tree().steps[i]) {
                    if step.at.is_some_and(Condition::pressurises) {
                        let held = s.state().held();
                        assert!(!held.contains(State::LineOpen), "{name}, {fault}: {}", step.id);
                        assert!(looks_for_leaks(step) || s.state().holds(State::LeakChecked), "{}", step.id);
                    }
                    if order.last() != Some(&step.id) {
                        order.push(step.id.clone());
                    }
                    if step.makes.contains(&State::GaugeFitted) && fitted_at.is_none() {
                        assert!(s.state().held().contains(State::LineOpen), "the repair has opened the line");
                        assert_eq!(s.state().aim(), Some(Aim::Proof));
                        fitted_at = Some(order.len());
                    }
                }
                !matches!(s.state().at(), At::Confirm { .. })
            }));
            assert!(fitted_at.is_some(), "{name}, {fault}: no gauge was fitted in {order:?}");
            assert!(session.state().held().contains(State::GaugeFitted));
            assert!(session.state().holds(State::LeakChecked));
            let of_zero = |i: usize| {
                matches!(tree.steps[i].kind, StepKind::Observe { observation: Observation::GaugeZero, .. })
            };
            zeros += usize::from(session.state().record().any(|(i, _)| of_zero(i)));
            assert!(!walk_while(&mut session, &car, |_| true));
            let ending = session.state().ending();
            assert_eq!(ending, Some(Ending::Finding { finding, confirmed: Some(true) }), "{name}, {fault}");
            assert!(
                session.state().held().is_empty() || !session.state().held().contains(State::GaugeFitted)
            );
            let again = Session::replay(rig.clone(), tree.clone(), session.events().to_vec()).unwrap();
            assert_eq!(again.state(), session.state());
            cars += 1;
        }
    }
    assert!(cars > 3 && zeros == cars, "{cars} cars, the zero of {zeros} gauges seen");
}

#[test]
fn nothing_that_needs_a_gauge_to_prove_it_is_named_where_nobody_has_one() {
    let rig = rig("orchard-pickup");
    let car = FaultyCar::new(&rig, &[(Fault::ReturnLineRestricted, 0.9)]).unwrap();
    let car = Simulated { bench: &car, tools: Some(&[Tool::Multimeter]), repaired: None };
    let mut session = begun(&rig, "runs-lean");
    let tree = session.tree().clone();
    let gauge = |i: usize| tree.steps[i].tools.contains(&Tool::PressureGauge);
    let named: Vec<usize> = (0..tree.findings.len())
        .filter(|f| {
            let proof = tree.findings[*f].confirm.as_ref().map(|c| &tree.steps[c.repeat]);
            proof.is_some_and(|s| s.requires.contains(&State::GaugeFitted))
        })
        .collect();
    let may = |s: &Session| named.iter().filter(|f| may_conclude(&tree, s.state(), **f)).count();
    assert!(walk_while(&mut session, &car, |s| may(s) == 0));
    assert!(walk_while(&mut session, &car, |s| !s.state().record().any(|(i, _)| gauge(i))));
    assert_eq!(may(&session), 0, "no gauge at hand");
}
