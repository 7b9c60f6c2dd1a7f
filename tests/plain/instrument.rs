//! Another instrument in the middle of a case: readings from there on are judged by it, those before stay as they were taken.

use super::{model, rig, session, talk};
use faultwalk::belief::Evidence;
use faultwalk::case::{Case, CaseFolder, Header};
use faultwalk::library::Library;
use faultwalk::session::Session;
use faultwalk::terms::{Condition, Fault, Reading, Tool};
use faultwalk::walk::Given;

/// A walk on a sound car that has come to this step.
fn at_step(id: &str) -> Session {
    let walked = model(&rig("orchard-pickup"), "runs-lean", Fault::NoFault, 0.0);
    let replayed = (0..=walked.events().len()).map(|n| {
        let events = walked.events()[..n].iter().cloned();
        Session::replay(walked.rig().clone(), walked.tree().clone(), events).unwrap()
    });
    let open = |s: &Session| s.state().open_step().map(|i| s.tree().steps[i].id.clone());
    let mut found = replayed.filter(|s| open(s).as_deref() == Some(id));
    found.next().unwrap()
}

/// The readings as evidence: condition, uncertainty, tool.
fn rails(session: &Session) -> Vec<(Condition, f64, Tool)> {
    let all = session.evidence().into_iter();
    let of = |e| match e {
        Evidence::Reading { reading: Reading::RailPressure, condition, uncertainty, tool, .. } => {
            Some((condition, uncertainty.total(), tool))
        }
        _ => None,
    };
    all.filter_map(of).collect()
}

#[test]
fn from_a_change_on_readings_are_judged_by_the_other_gauge() {
    let mut one = at_step("steady/prime");
    let rig = one.rig().clone();
    let at = |s: &Session| s.tree().steps[s.state().open_step().unwrap()].id.clone();
    let (_, text) = talk(
        &mut one,
        &["understood", "instrument", "instrument class 3 of 4", "instrument colour red"].map(str::to_owned),
    );
    assert!(text.contains("range of the pressure gauge: "), "{text}");
    assert!(text.contains("class of the pressure gauge"), "{text}");
    assert!(text.contains("Error: class of the pressure gauge: "), "{text}");
    assert!(text.contains("expected one of range, class, graduation, found 'colour'"), "{text}");
    assert_eq!(*one.rig(), rig, "what is wrong changes nothing: {text}");

    let expected = |s: &Session| s.expected(s.state().open_step().unwrap(), None).unwrap().unwrap();
    let coarse = expected(&one);
    let (_, text) = talk(&mut one, &[format!("{} kPa", coarse.band.expected.unwrap() / 1e3)]);
    assert!(text.contains("within"), "{text}");
    assert_eq!(at(&one), "steady/idle");
    let (_, text) = talk(&mut one, &["understood", "instrument class 0.25 % of span"].map(str::to_owned));
    assert!(text.contains("class of the pressure gauge: 0.25 % of span"), "{text}");
    let fine = expected(&one);
    assert_eq!(fine.instrument.name, "pressure gauge 0 to 100 psi");
    assert!(fine.uncertainty < 0.5 * coarse.uncertainty, "{fine:?} {coarse:?}");
    talk(&mut one, &[format!("{} kPa", fine.band.expected.unwrap() / 1e3)]);

    let rails = rails(&one);
    let of = |at: Condition| rails.iter().find(|r| r.0 == at).copied().unwrap();
    let (prime, idle) = (of(Condition::Prime), of(Condition::Idle));
    assert_eq!(
        (prime.2, idle.2),
        (Tool::PressureGauge, Tool::SecondGauge),
        "another gauge errs in its own way"
    );
    assert!(idle.1 < 0.5 * prime.1, "{prime:?} {idle:?}");
    let taken = |id: &str| {
        let mut path = one.state().path();
        let found = path.find_map(|(i, g)| match g {
            Given::Read { taken } if one.tree().steps[i].id == id => Some(taken.instrument.clone()),
            _ => None,
        });
        found.unwrap()
    };
    assert!(taken("steady/prime").starts_with("pressure gauge,"), "{}", taken("steady/prime"));
    assert!(taken("steady/idle").starts_with("pressure gauge 0 to 100 psi,"), "{}", taken("steady/idle"));
}

#[test]
fn a_case_taken_up_again_goes_on_with_the_gauge_it_had_and_its_report_says_so() {
    let rig = rig("orchard-pickup");
    let folder = tempfile::tempdir().unwrap();
    let cases = CaseFolder::open(Some(folder.path())).unwrap();
    let tree = session(&rig, "runs-lean").tree().clone();
    let header = Header { tree: tree.id.clone(), tree_digest: tree.digest.clone(), ..Header::default() };
    let case: Case = cases.create(header).unwrap();
    let id = case.id().to_owned();
    let units = faultwalk::quantity::UnitSystem::Metric;
    let mut one = Session::begin(rig.clone(), tree.clone(), Some(case), units).unwrap();
    let facts = vec![("instruments.pressure.range".to_owned(), "0..60 psi".to_owned())];
    one.change_instrument(facts).unwrap();
    assert!(one.change_instrument(vec![("engine.power".to_owned(), "9 hp".to_owned())]).is_err());
    let with = one.rig().clone();
    drop(one);

    let case: Case = cases.resume(&id).unwrap();
    let report = faultwalk::report::build(case.lines(), &tree, &rig).unwrap();
    assert!(
        report
            .notes
            .iter()
            .any(|n| n == "from here on another instrument: range of the pressure gauge 0..60 psi"),
        "{:?}",
        report.notes
    );
    let mut again = Session::resume(rig.clone(), tree, case, units).unwrap();
    assert_eq!(again.rig(), &with);
    again.begin_again().unwrap();
    assert_eq!(again.rig(), &rig, "another walk begins with the gauge of the rig file");
}

/// The short walk at its reading, kept on disk so that it has a report.
fn kept_at_reading(folder: &std::path::Path) -> (CaseFolder, Session) {
    let rig = rig("orchard-pickup");
    let files =
        Library::open(&std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/trees/short-walk"));
    let tree = std::sync::Arc::new(files.unwrap().tree("short-walk").unwrap());
    let cases = CaseFolder::open(Some(folder)).unwrap();
    let header = Header { tree: tree.id.clone(), tree_digest: tree.digest.clone(), ..Header::default() };
    let case: Case = cases.create(header).unwrap();
    let mut one = Session::begin(rig, tree, Some(case), faultwalk::quantity::UnitSystem::Metric).unwrap();
    talk(&mut one, &["understood", "none", "understood", "done", "understood"].map(str::to_owned));
    (cases, one)
}

#[test]
fn what_was_read_before_a_change_is_reported_and_weighed_as_it_was_taken() {
    let folder = tempfile::tempdir().unwrap();
    let (_, mut one) = kept_at_reading(folder.path());
    let expected = one.expected(one.state().open_step().unwrap(), None).unwrap().unwrap();
    let edge = expected.band.high.unwrap() / 1e3;
    let (_, text) = talk(&mut one, &[format!("{edge} kPa"), "instrument class 0.25 % of span".to_owned()]);
    assert!(text.contains("undecided"), "{text}");
    let middle = expected.band.expected.unwrap() / 1e3;
    let (_, text) = talk(&mut one, &[format!("{middle} kPa"), "report".to_owned()]);
    assert!(
        text.contains("is within"),
        "a repeat with another gauge is not averaged with what the first one showed: {text}"
    );
    assert!(text.contains("what the instrument can prove"), "{text}");
    assert!(!text.contains("this version would set another band"), "{text}");

    // What is reckoned beside a case starts from the car it began with, and comes to the same.
    let again = Session::replay(one.begun_with().clone(), one.tree().clone(), one.events().to_vec()).unwrap();
    assert_eq!((again.rig(), again.evidence()), (one.rig(), one.evidence()));
}

#[test]
fn an_instrument_that_measures_nothing_or_would_burst_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let (_, mut one) = kept_at_reading(folder.path());
    let before = one.rig().clone();
    for (line, said) in [
        ("instrument graduation 11 psi", "at most a tenth of its range"),
        ("instrument range 0..1 bar", "a gauge driven past its end may burst"),
        ("instrument range", "expected what it is now after 'range', such as 0..100 psi; found nothing"),
        ("instrument xx", "expected one of range, class, graduation, found 'xx'"),
    ] {
        let (_, text) = talk(&mut one, &[line.to_owned()]);
        assert!(text.contains("Error:") && text.contains(said), "{line}: {text}");
        assert_eq!(*one.rig(), before, "{line}");
    }
    let error =
        faultwalk::rig::Rig::parse("car", "format: 1\ninstruments: {pressure: {graduation: 50 psi}}\n");
    assert!(error.unwrap_err().to_string().contains("instruments.pressure.graduation"));

    // No pointer goes beyond its scale: asked about, and kept as at least that where the end is typed.
    let (_, text) = talk(&mut one, &["instrument range 0..70 psi", "80 psi"].map(str::to_owned));
    assert!(
        text.contains("lies beyond the scale of the pressure gauge 0 to 70 psi, which ends at 70 psi"),
        "{text}"
    );
    let (_, text) = talk(&mut one, &["> 70 psi".to_owned()]);
    assert!(text.contains("is high"), "{text}");
}

#[test]
fn a_gauge_taken_up_again_is_the_one_it_was_and_keeps_its_name() {
    let folder = tempfile::tempdir().unwrap();
    let (_, mut one) = kept_at_reading(folder.path());
    let first = one.rig().instruments.pressure.clone();
    let own = one.rig().facts.iter().find(|f| f.path == "instruments.pressure.class").unwrap().text.clone();
    let (_, text) = talk(&mut one, &["instrument class 0.25 % of span".to_owned()]);
    let second = one.rig().instruments.pressure.clone();
    assert_ne!(second.name, first.name, "{text}");
    talk(&mut one, &[format!("instrument class {own}")]);
    assert_eq!(one.rig().instruments.pressure, first);
    talk(&mut one, &["instrument class 0.25 % of span".to_owned()]);
    assert_eq!(one.rig().instruments.pressure, second);
}

#[test]
fn a_report_made_at_a_finding_names_it() {
    let folder = tempfile::tempdir().unwrap();
    let (_, mut one) = kept_at_reading(folder.path());
    let (_, text) = talk(&mut one, &["20 psi", "blocked", "report"].map(str::to_owned));
    assert!(text.contains("The feed filter lets too little through. Not repaired yet."), "{text}");
    assert!(!text.contains("not at its end"), "{text}");
}
