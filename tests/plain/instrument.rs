//! Another instrument in the middle of a case: readings from there on are judged by it, those before stay as they were taken.

use super::{model, rig, session, talk};
use faultwalk::belief::Evidence;
use faultwalk::case::{Case, CaseFolder, Header};
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
    assert_eq!(fine.instrument.name, "pressure gauge 2");
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
    assert!(taken("steady/idle").starts_with("pressure gauge 2,"), "{}", taken("steady/idle"));
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
