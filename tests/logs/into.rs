//! Readings of a log kept with a case: offered, never taken silently, marked as what they are.

use super::command::file;
use super::make::{Parts, RECORDER, Recorder};
use super::sweep::rig;
use crate::commands::run;
use faultwalk::belief::Evidence;
use faultwalk::case::{Case, CaseFolder, Entry, Header, digest_of, scan, shared_copy};
use faultwalk::library::Library;
use faultwalk::quantity::UnitSystem;
use faultwalk::report::{build, html, markdown};
use faultwalk::session::{Driven, FaultyCar, Reply, Session, Simulated, Source, drive, end_id};
use faultwalk::terms::{Condition, Fault, Place, Reading, Tool};
use faultwalk::text::Redactor;
use faultwalk::tree::{Step, StepKind};
use faultwalk::walk::{Event, Given, LogFile, Logged};
use std::cell::RefCell;
use std::path::Path;
use std::sync::Arc;

const RIG: &str = "mill-road-sedan";
const ID: &str = "20260101-080000-logs";

fn create(folder: &Path, tree: &str) {
    let text =
        std::fs::read_to_string(format!("{}/fixtures/rigs/{RIG}.yaml", env!("CARGO_MANIFEST_DIR"))).unwrap();
    let tree = Library::embedded().tree(tree).unwrap();
    let header = Header {
        id: ID.into(),
        tree: tree.id.clone(),
        tree_digest: tree.digest.clone(),
        rig_digest: digest_of(&text),
        rig: text,
        ..Header::default()
    };
    CaseFolder::open(Some(folder)).unwrap().create::<Event>(header).unwrap();
}

fn session(folder: &Path) -> Session {
    let case: Case = CaseFolder::open(Some(folder)).unwrap().resume(ID).unwrap();
    let tree = Library::embedded().tree(&case.header().tree).unwrap();
    Session::resume(Arc::new(rig(RIG)), Arc::new(tree), case, UnitSystem::Metric).unwrap()
}

/// Takes from the log what it has, each once, and measures everything else on the simulated car.
struct FromLog<'a> {
    car: Simulated<'a>,
    left: RefCell<Vec<(Reading, Condition)>>,
}

impl Source for FromLog<'_> {
    fn reply(&self, step: &Step, after_repair: bool) -> Option<Reply> {
        if let StepKind::Read(read) = &step.kind {
            let mut left = self.left.borrow_mut();
            if let Some(at) = left.iter().position(|wanted| *wanted == (read.reading, read.at)) {
                left.remove(at);
                return Some(Reply::Text("log".into()));
            }
        }
        self.car.reply(step, after_repair)
    }
}

fn taken_from_log(session: &Session) -> Vec<(String, faultwalk::walk::Taken)> {
    let tree = session.tree();
    let taken = session.state().record().filter_map(|(i, g)| match g {
        Given::Read { taken } if taken.log.is_some() => {
            Some((tree.steps[i].id.clone(), taken.as_ref().clone()))
        }
        _ => None,
    });
    taken.collect()
}

#[test]
fn a_log_is_kept_offered_taken_by_a_word_and_stands_in_the_report_as_what_it_is() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let log = file(at, Fault::RegulatorSetLow, &RECORDER);
    let cases = at.join("cases");
    let cases_text = cases.to_str().unwrap();
    create(&cases, "runs-lean");
    let (said, errors) = run(&["log", &log, "--into", ID, "--cases", cases_text, "--at", "inlet-adapter"], 0);
    assert!(errors.is_empty(), "{errors}");
    for part in
        ["car: ", "Kept with the case 20260101-080000-logs", "offered at: ", "Nothing counts yet", "--resume"]
    {
        assert!(said.contains(part), "{part} in\n{said}");
    }
    // Kept means on disk, and nothing more: the walk stands where it stood and nothing is believed.
    let mut walked = session(&cases);
    assert_eq!(walked.state().record().len(), 0);
    assert!(walked.evidence().is_empty());
    let digest = digest_of(&std::fs::read_to_string(&log).unwrap());
    let kept = walked.events().iter().find_map(|e| match e {
        Event::LogRead { log, readings } => Some((log.clone(), readings.clone())),
        _ => None,
    });
    let (from, readings) = kept.unwrap();
    assert_eq!(from, LogFile { file: "invented.csv".into(), digest: digest.clone() });
    let prime = readings
        .iter()
        .find(|r| (r.reading, r.condition) == (Reading::RailPressure, Condition::Prime))
        .unwrap()
        .clone();
    assert!(
        prime.spread > 0.0 && prime.seconds > 3.0 && prime.place == Some(Place::InletAdapter),
        "{prime:?}"
    );

    let rig = rig(RIG);
    let car = FaultyCar::new(&rig, &[(Fault::RegulatorSetLow, 1.0)]).unwrap();
    let source = FromLog {
        car: Simulated { bench: &car, tools: None, repaired: None },
        left: RefCell::new(vec![
            (Reading::RailPressure, Condition::Prime),
            (Reading::BatteryVoltage, Condition::Idle),
        ]),
    };
    let driven = drive(&mut walked, &source).unwrap();
    assert!(matches!(driven, Driven::Closed), "{driven:?}");
    let taken = taken_from_log(&walked);
    let (_, first) =
        taken.iter().find(|(_, t)| t.reading == Reading::RailPressure).expect("taken from the log");
    assert_eq!((first.si, first.place), (prime.si, Some(Place::InletAdapter)));
    assert_eq!(
        first.log.as_ref().map(|l| (l.log.digest.as_str(), l.spread)),
        Some((digest.as_str(), prime.spread))
    );
    assert!(first.instrument.starts_with("data log, "), "{}", first.instrument);
    assert!(first.u >= prime.spread, "what the log strays by is not less certain than that");
    assert_eq!(first.verdict.id(), "low");
    // The walk ends where it does by gauge alone, in less time.
    let mut by_gauge =
        Session::begin(Arc::new(rig.clone()), walked.tree().clone(), None, UnitSystem::Metric).unwrap();
    drive(&mut by_gauge, &Simulated { bench: &car, tools: None, repaired: None }).unwrap();
    assert_eq!(end_id(&walked), end_id(&by_gauge));
    assert!(walked.state().minutes() < by_gauge.state().minutes());

    let case = walked.case().unwrap();
    let report = build(case.lines(), walked.tree(), &rig).unwrap();
    let rows: Vec<_> = report.steps.iter().filter(|r| r.from_log.is_some()).collect();
    assert_eq!(rows.len(), taken.len());
    assert!(rows.iter().all(|r| r.given.ends_with(", from a data log")), "{rows:?}");
    assert_eq!(report.logs.len(), 1);
    assert_eq!((report.logs[0].readings, report.logs[0].taken), (readings.len(), taken.len()));
    let text = markdown(&report);
    assert!(
        text.contains("from a data log") && text.contains("## Data logs") && text.contains(&digest),
        "{text}"
    );
    assert!(text.contains("From the data log: set pressure: OFF."), "{text}");
    let page = html(&report).unwrap();
    assert!(page.contains("from a data log") && page.contains(&digest));
    // A file is named after a car or a person often enough: its name stays at home.
    let bytes = shared_copy(case.lines(), &mut Redactor::new(), |e| Some(e.clone())).unwrap();
    let shared = String::from_utf8(bytes.clone()).unwrap();
    assert!(
        !shared.contains("invented.csv") && shared.contains("<path-1>") && shared.contains(&digest),
        "{shared}"
    );
    let shared = build(&scan::<Entry>(&bytes).lines, walked.tree(), &rig).unwrap();
    assert_eq!(shared.logs[0].taken, taken.len());
}

/// The first step that a log has something for, with its cautions still to be confirmed, after everything before it was
/// measured at the car.
fn at_an_offer(walked: &mut Session, car: &Simulated) -> String {
    for _ in 0..100 {
        let (step, due) = match walked.ask() {
            faultwalk::session::Ask::Step(view) if view.offer.is_some() => return view.step.id.clone(),
            faultwalk::session::Ask::Step(view) => (view.step.clone(), !view.cautions_due.is_empty()),
            other => panic!("{other:?}"),
        };
        if due {
            walked.confirm_cautions().unwrap();
        }
        match (&step.kind, car.reply(&step, false)) {
            (StepKind::Read(_), Some(Reply::Text(text))) => drop(walked.read(&text, None).unwrap()),
            (StepKind::Observe { .. }, Some(Reply::Text(text))) => drop(walked.answer(&text).unwrap()),
            (StepKind::Do { .. }, _) => walked.done().unwrap(),
            (_, reply) => panic!("{}: {reply:?}", step.id),
        }
    }
    panic!("nothing was offered");
}

fn logged(reading: Reading, condition: Condition, si: f64) -> Logged {
    Logged { reading, condition, place: None, si, spread: 1_000.0, stretches: 2, seconds: 30.0, remark: None }
}

fn named(digest: &str) -> LogFile {
    LogFile { file: format!("{digest}.csv"), digest: digest.into() }
}

fn begun() -> (Session, faultwalk::rig::Rig) {
    let rig = rig(RIG);
    let tree = Library::embedded().tree("runs-lean").unwrap();
    (Session::begin(Arc::new(rig.clone()), Arc::new(tree), None, UnitSystem::Metric).unwrap(), rig)
}

#[test]
fn cautions_come_first_and_a_log_is_taken_once() {
    let (mut walked, rig) = begun();
    let rail = |si| vec![logged(Reading::RailPressure, Condition::Prime, si)];
    walked.keep_log(named("a"), rail(250e3)).unwrap();
    let car = FaultyCar::new(&rig, &[(Fault::RegulatorSetLow, 1.0)]).unwrap();
    let car = Simulated { bench: &car, tools: None, repaired: None };
    let step = at_an_offer(&mut walked, &car);
    let error = walked.read("log", None).unwrap_err().to_string();
    assert!(error.contains("confirm the cautions"), "{error}");
    walked.confirm_cautions().unwrap();
    // Looking at it takes nothing.
    let seen = walked.preview("LOG", None).unwrap();
    assert_eq!((seen.si, seen.typed.as_str()), (250e3, "250 kPa"));
    assert!(
        walked
            .evidence()
            .iter()
            .all(|e| !matches!(e, Evidence::Reading { reading: Reading::RailPressure, .. }))
    );
    // The latest log counts; the same one read again stands in place of what it gave before.
    walked.keep_log(named("b"), rail(260e3)).unwrap();
    assert_eq!(walked.preview("log", None).unwrap().si, 260e3);
    walked.keep_log(named("b"), Vec::new()).unwrap();
    assert_eq!(walked.preview("log", None).unwrap().si, 250e3);
    let before = walked.state().minutes();
    walked.read("log", None).unwrap();
    assert_eq!(walked.state().minutes(), before, "nobody spent a minute on it");
    // It counts, as another instrument than the gauge.
    let counted = walked.evidence().into_iter().find_map(|e| match e {
        Evidence::Reading { reading: Reading::RailPressure, si, uncertainty, tool, .. } => {
            Some((si, uncertainty.own, tool))
        }
        _ => None,
    });
    let (si, own, tool) = counted.expect("counted");
    assert_eq!((si, tool), (250e3, Tool::SecondGauge));
    assert!(own >= 1_000.0, "{own}");
    // No other step takes it again: an accusing reading is measured twice, not read twice.
    let index = walked.tree().step_index(&step).unwrap();
    let again = |s: &Step| matches!(&s.kind, StepKind::Read(r) if (r.reading, r.at) == (Reading::RailPressure, Condition::Prime));
    let tree = walked.tree().clone();
    let others = tree.steps.iter().enumerate().filter(|(i, s)| *i != index && again(s));
    assert!(others.clone().count() >= 1, "the tree measures the prime pressure at more than one step");
    for (other, _) in others {
        assert!(walked.offer(other).is_none());
    }
    // Looked at again, it can be left as it is.
    walked.send(Event::Back).unwrap();
    assert_eq!(walked.state().open_step(), Some(index));
    assert!(walked.offer(index).is_some());
}

#[test]
fn what_is_so_at_the_car_now_is_never_read_off_a_log() {
    let (mut walked, _) = begun();
    let all: Vec<Logged> = [Condition::Prime, Condition::Idle, Condition::Raised, Condition::Load]
        .into_iter()
        .flat_map(|c| [Reading::RailPressure, Reading::Lambda, Reading::Trim].map(|r| logged(r, c, 1.0)))
        .collect();
    walked.keep_log(named("a"), all).unwrap();
    let tree = walked.tree().clone();
    let offered: Vec<&str> = (0..tree.steps.len())
        .filter(|i| walked.offer(*i).is_some())
        .map(|i| tree.steps[i].id.as_str())
        .collect();
    assert!(offered.iter().any(|id| id.ends_with("/load")), "{offered:?}");
    for (i, step) in tree.steps.iter().enumerate() {
        if !step.makes.is_empty() || step.origin.id == "raised" && step.id.contains("ready/") {
            assert!(walked.offer(i).is_none(), "{}", step.id);
        }
    }
    assert!(
        tree.steps.iter().any(|s| s.id.ends_with("ready/raised")),
        "the tree looks at the mixture before a load run"
    );
}

#[test]
fn after_a_repair_only_a_new_log_counts() {
    let (mut walked, rig) = begun();
    let rail = |si| vec![logged(Reading::RailPressure, Condition::Prime, si)];
    walked.keep_log(named("before"), rail(250e3)).unwrap();
    let car = FaultyCar::new(&rig, &[(Fault::RegulatorSetLow, 1.0)]).unwrap();
    let source = Simulated { bench: &car, tools: None, repaired: Some(&car) };
    // Up to the repair, and no further.
    let mut other = begun().0;
    drive(&mut other, &source).unwrap();
    let upto = other.events().iter().position(|e| matches!(e, Event::Repaired { .. })).unwrap();
    for event in &other.events()[1..=upto] {
        walked.send(event.clone()).unwrap();
    }
    let open = walked.state().open_step().expect("the step that proves the repair");
    assert!(walked.offer(open).is_none());
    let error = walked.keep_log(named("before"), rail(300e3)).unwrap_err().to_string();
    assert!(
        error.contains("before.csv was read before the repair") && error.contains("record a new one"),
        "{error}"
    );
    let StepKind::Read(read) = walked.tree().steps[open].kind.clone() else { panic!("a reading proves it") };
    walked.keep_log(named("after"), vec![logged(read.reading, read.at, 300e3)]).unwrap();
    assert!(walked.offer(open).is_some());
}

#[test]
fn a_column_in_doubt_is_left_out_and_the_way_is_said() {
    let folder = tempfile::tempdir().unwrap();
    // With the pump never standing nothing shows whether the rail is measured from the air or from vacuum.
    let log = file(folder.path(), Fault::NoFault, &Recorder { parts: Parts::Running, ..RECORDER });
    let cases = folder.path().join("cases");
    let cases = cases.to_str().unwrap();
    create(Path::new(cases), "runs-lean");
    let (said, _) = run(&["log", &log, "--into", ID, "--cases", cases], 0);
    assert!(said.contains("IN DOUBT"), "the test wants a column in doubt: {said}");
    assert!(
        said.contains("rail pressure, warm idle: left out, as its column is in doubt; say by --map"),
        "{said}"
    );
    let map = "Fuel Pressure (kPa)=rail-pressure:kPa gauge";
    let json = run(&["log", &log, "--into", ID, "--cases", cases, "--map", map, "--json"], 0).0;
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    let kept = json["case"]["readings"].as_array().unwrap();
    let rail = kept.iter().find(|r| r["reading"] == "rail-pressure" && r["condition"] == "idle").unwrap();
    assert!(rail["steps"].as_array().is_some_and(|s| !s.is_empty()), "{rail}");
    // What the controller senses of the manifold is not what a vacuum gauge would read.
    assert!(
        kept.iter().any(|r| r["reading"] == "sensed-pressure")
            && !kept.iter().any(|r| r["reading"] == "manifold-pressure")
    );
    assert_eq!(json["case"]["left_out"], serde_json::json!([]));
}

#[test]
fn a_case_that_takes_nothing_more_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let log = file(folder.path(), Fault::NoFault, &RECORDER);
    let cases = folder.path().join("cases");
    let cases_text = cases.to_str().unwrap();
    let (_, error) = run(&["log", &log, "--into", "no-such", "--cases", cases_text], 2);
    assert!(error.contains("no-such"), "{error}");
    create(&cases, "runs-lean");
    let (_, error) = run(&["log", &log, "--into", ID, "--rig", "fixtures/rigs/mill-road-sedan.yaml"], 2);
    assert!(error.contains("--rig") && error.contains("--into"), "{error}");
    // Somebody else has it open.
    let held = session(&cases);
    let (_, error) = run(&["log", &log, "--into", ID, "--cases", cases_text], 3);
    assert!(error.contains("is being written by"), "{error}");
    drop(held);
    let mut closed = session(&cases);
    closed.send(Event::HandedOver { note: None }).unwrap();
    closed.send(Event::Closed).unwrap();
    drop(closed);
    let (_, error) = run(&["log", &log, "--into", ID, "--cases", cases_text], 2);
    assert!(error.contains("the case is closed"), "{error}");
}

#[test]
fn the_line_dialogue_offers_it_after_the_cautions_and_marks_it() {
    let (mut walked, rig) = begun();
    walked.keep_log(named("drive"), vec![logged(Reading::RailPressure, Condition::Prime, 250e3)]).unwrap();
    let car = FaultyCar::new(&rig, &[(Fault::RegulatorSetLow, 1.0)]).unwrap();
    at_an_offer(&mut walked, &Simulated { bench: &car, tools: None, repaired: None });
    let mut out = Vec::new();
    let mut input = std::io::Cursor::new("understood\nlog\nrecord\nback\nquit\n");
    faultwalk::plain::run(&mut walked, &mut input, &mut out).unwrap();
    let text = String::from_utf8(out).unwrap();
    let caution = text.find("WARNING").unwrap();
    let offer = text.find("From the log drive.csv: 250 kPa ± 1, 30 s steady. Type log to take it").unwrap();
    assert!(caution < offer, "{text}");
    assert!(text.contains("250 kPa (log) is low, expected"), "{text}");
    assert!(text.contains(": 250 kPa (log) low"), "{text}");
    assert!(text.contains("It gave before: 250 kPa (log) low."), "{text}");
}
