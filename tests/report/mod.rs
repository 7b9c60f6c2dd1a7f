//! Findings reports: golden, the same bytes every time, inert whatever was typed, nothing personal, nothing skipped shown as
//! passed. And what `cases` does with a folder of them.

mod cases;
mod golden;
mod hostile;
mod page;
mod private;
mod schema;

use faultwalk::case::{Entry, Header, Line, digest_of, rechained, scan};
use faultwalk::library::Library;
use faultwalk::quantity::UnitSystem;
use faultwalk::report::{Report, build, html, markdown};
use faultwalk::rig::Rig;
use faultwalk::session::{Driven, FaultyCar, Session, Simulated, drive};
use faultwalk::terms::{Fault, Tool};
use faultwalk::tree::Tree;
use faultwalk::walk::Event;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A path in the repository.
fn root(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

/// The folder of the small tree these cases walk.
fn trees() -> PathBuf {
    root("fixtures/report/trees")
}

fn tree() -> Tree {
    Library::open(&trees()).unwrap().tree("short-walk").unwrap()
}

fn rig_text(name: &str) -> String {
    std::fs::read_to_string(root(&format!("fixtures/rigs/{name}.yaml"))).unwrap()
}

fn rig(name: &str) -> Rig {
    Rig::parse(name, &rig_text(name)).unwrap()
}

/// A case walked by a simulated car, and everything a report is made from.
struct Walked {
    lines: Vec<Line<Entry>>,
    tree: Tree,
    rig: Rig,
}

/// Which case.
#[derive(Clone, Copy)]
struct Case<'a> {
    rig: &'a str,
    faults: &'a [(Fault, f64)],
    tools: Option<&'a [Tool]>,
    repaired: bool,
}

/// A journal with these entries, one every half minute from a fixed time.
fn journal(entries: Vec<Entry>) -> Vec<u8> {
    let begun = 1_770_000_000;
    let timed = entries.into_iter().enumerate().map(|(i, entry)| {
        let second = begun + 30 * i64::try_from(i).unwrap();
        (entry, jiff::Timestamp::from_second(second).unwrap())
    });
    rechained(timed).unwrap()
}

fn header(rig: &str, complaint: &str, tree: &Tree) -> Header {
    Header {
        version: 1,
        id: "20260202-case".into(),
        tree: tree.id.clone(),
        tree_digest: tree.digest.clone(),
        program: "0.0.0".into(),
        complaint: Some(complaint.into()),
        rig: rig_text(rig),
        rig_digest: digest_of(&rig_text(rig)),
        ..Header::default()
    }
}

/// The walk's events of a case, by a simulated car with the faults in it.
fn events(case: Case<'_>) -> Vec<Event> {
    let (tree, rig) = (Arc::new(tree()), Arc::new(rig(case.rig)));
    let car = FaultyCar::new(&rig, case.faults).unwrap();
    let sound = FaultyCar::new(&rig, &[]).unwrap();
    let source = Simulated { bench: &car, tools: case.tools, repaired: case.repaired.then_some(&sound) };
    let mut session = Session::begin(rig.clone(), tree, None, UnitSystem::Metric).unwrap();
    let driven = drive(&mut session, &source).unwrap();
    assert!(matches!(driven, Driven::Closed), "{driven:?}");
    session.events().to_vec()
}

fn walked(case: Case<'_>, more: Vec<Entry>) -> Walked {
    let tree = tree();
    let mut entries = vec![Entry::Header(header(case.rig, "goes lean on hills", &tree))];
    let mut events = events(case).into_iter();
    // What is added stands after the beginning, as if said at the first step.
    entries.extend(events.next().map(Entry::Walk));
    entries.extend(more);
    entries.extend(events.map(Entry::Walk));
    let lines = scan::<Entry>(&journal(entries)).lines;
    Walked { lines, tree, rig: rig(case.rig) }
}

impl Walked {
    fn report(&self) -> Report {
        build(&self.lines, &self.tree, &self.rig).unwrap()
    }
}

/// A filter that lets too little through, found, replaced and measured again.
const FILTER: Case<'static> =
    Case { rig: "orchard-pickup", faults: &[(Fault::FeedFilterBlocked, 0.7)], tools: None, repaired: true };
/// The same with nothing at hand but the pressure gauge.
const FILTER_GAUGE_ONLY: Case<'static> = Case {
    rig: "orchard-pickup",
    faults: &[(Fault::FeedFilterBlocked, 0.7)],
    tools: Some(&[Tool::PressureGauge]),
    repaired: false,
};
/// A reference hose that is off on a car with port injection.
const HOSE: Case<'static> =
    Case { rig: "mill-road-sedan", faults: &[(Fault::ReferenceHoseOff, 1.0)], tools: None, repaired: false };

#[test]
fn the_same_journal_tree_and_rig_give_the_same_bytes() {
    let case = walked(FILTER, Vec::new());
    let forms = || {
        let r = case.report();
        [markdown(&r), html(&r).unwrap(), serde_json::to_string(&r).unwrap()]
    };
    let first = forms();
    let alone = rayon::ThreadPoolBuilder::new().num_threads(1).build().unwrap();
    assert_eq!(first, alone.install(forms), "on one thread");
    // From the same bytes read again, and from a tree and a rig loaded again.
    let again = walked(FILTER, Vec::new());
    let r = again.report();
    assert_eq!(first, [markdown(&r), html(&r).unwrap(), serde_json::to_string(&r).unwrap()]);
}

#[test]
fn requirement_25_what_was_skipped_is_not_tested_and_never_passed() {
    let r = walked(FILTER_GAUGE_ONLY, Vec::new()).report();
    for title in ["manifold vacuum, idling", "voltage at the pump"] {
        let rows: Vec<_> = r.steps.iter().filter(|s| s.title == title).collect();
        assert_eq!(rows.len(), 1, "{title}");
        assert!(rows[0].not_tested && rows[0].verdict.as_deref() == Some("not tested"), "{:?}", rows[0]);
        assert!(rows[0].against.is_none() && rows[0].probability.is_none());
        assert!(r.not_tested.contains(&format!("{title}: not tested: no tool for it")), "{:?}", r.not_tested);
        assert!(!r.ruled_out.iter().any(|o| o.by.contains("voltage") || o.by.contains("manifold")));
    }
    let text = markdown(&r);
    let passed = |line: &&str| {
        line.contains("voltage at the pump") && (line.contains("within") || line.contains("passed"))
    };
    assert_eq!(text.lines().filter(passed).count(), 0, "{text}");
    assert!(text.contains("## Not tested (never to be read as passed)"));
    assert!(html(&r).unwrap().contains("Not tested (never to be read as passed)"));
    assert!(markdown(&walked(FILTER, Vec::new()).report()).find("## Not tested").is_none());
}

#[test]
fn the_finding_the_proof_and_the_pictures_are_those_of_the_case() {
    let r = walked(FILTER, Vec::new()).report();
    assert_eq!(r.conclusion.fault.as_deref(), Some("feed-filter-blocked"));
    assert_eq!(r.conclusion.confirmed, Some(true));
    assert!(r.conclusion.sure.is_some_and(|s| s > 0.9), "{:?}", r.conclusion);
    // The joints are looked at again once the line was open.
    let [joints, pair] = r.before_after.as_slice() else { panic!("{:?}", r.before_after) };
    assert_eq!((joints.before.step.as_str(), pair.before.step.as_str()), ("leak", "outlet"));
    assert_eq!(
        (pair.before.verdict.as_deref(), pair.after.verdict.as_deref()),
        (Some("high"), Some("within"))
    );
    assert!(
        r.ruled_out.iter().chain(&r.less_likely).flat_map(|o| &o.faults).any(|f| f == Fault::PumpWorn.name()),
        "{:?}, {:?}",
        r.ruled_out,
        r.less_likely
    );
    // What set a fault aside goes by the name of its step.
    let named = |by: &str| r.steps.iter().any(|s| by.starts_with(&format!("{}: ", s.title)));
    assert!(r.ruled_out.iter().all(|o| named(&o.by)), "{:?}", r.ruled_out);
    assert!(r.odds.first().is_some_and(|o| o.fault == "feed-filter-blocked" && o.after > o.before));
    let outlet = r.circuit.iter().find(|s| s.name == "pump outlet").unwrap();
    assert!(outlet.off && outlet.readings[0].ends_with("high"), "{outlet:?}");
    // Only what was read before the repair stands in the drawing.
    assert_eq!(outlet.readings.len(), 1);
}

#[test]
fn a_suspect_is_set_aside_only_where_no_single_slip_brings_it_back() {
    for case in [FILTER, FILTER_GAUGE_ONLY, HOSE] {
        let r = walked(case, Vec::new()).report();
        let names = |all: &[faultwalk::report::RuledOut]| -> Vec<String> {
            all.iter().flat_map(|o| o.faults.clone()).collect()
        };
        let (aside, less) = (names(&r.ruled_out), names(&r.less_likely));
        assert!(!less.is_empty() && aside.iter().all(|name| !less.contains(name)), "{aside:?}, {less:?}");
        for text in [markdown(&r), html(&r).unwrap()] {
            assert!(text.contains("Which reading made what less likely"));
            assert_eq!(text.contains("Which reading ruled out what"), !aside.is_empty());
        }
    }
}

#[test]
fn the_slope_tells_a_reference_hose_that_is_off() {
    // Injectors in the ports: the rail must follow the manifold one to one. With the hose off it stands still.
    let r = walked(HOSE, Vec::new()).report();
    let slope = r.slope.unwrap();
    assert_eq!((slope.along.as_str(), slope.right), ("manifold pressure", 1.0));
    assert!(slope.measured.is_some_and(|m| m.abs() < 0.2), "{slope:?}");
    let idle = slope.points.iter().find(|p| p.condition == "warm idle").unwrap();
    assert!(idle.at_measured && idle.rail_kpa - idle.right_kpa > 30.0, "{idle:?}");
    // The pressure line of the ledger at idle: across the injector is what the rail gauge says plus the depth of the manifold.
    let ledger = r.ledger.iter().find(|l| l.condition == "warm idle").unwrap();
    let line = ledger.lines.iter().find(|l| l.cause == "pressure across the injector").unwrap();
    let (measured, sound) = (line.measured.unwrap(), line.sound);
    // The car stands at sea level: 101.325 kPa by the U.S. Standard Atmosphere, 1976.
    let across = |rail_kpa: f64| rail_kpa + 101.325 - idle.at_kpa;
    let expected = sound * (across(idle.rail_kpa) / across(idle.right_kpa)).sqrt();
    assert!((measured / expected - 1.0).abs() < 0.02, "{measured} against {expected}");
    assert!(
        ledger.trim_explained.is_some_and(|t| t < -3.0),
        "a rail that stands too high takes fuel away: {ledger:?}"
    );
}

#[test]
fn requirement_28_a_simulated_car_is_marked_on_every_page() {
    let mut case = walked(FILTER, Vec::new());
    if let Some(Entry::Header(header)) = case.lines.first_mut().map(|l| &mut l.entry) {
        header.simulated = true;
    }
    let r = case.report();
    let text = markdown(&r);
    let said: Vec<usize> = text.match_indices("SIMULATED CAR").map(|(at, _)| at).collect();
    assert!(text.lines().next().unwrap().contains("SIMULATED CAR"));
    assert!(said.len() >= 3 && *said.last().unwrap() > text.len() - 120, "first lines and last");
    let page = html(&r).unwrap();
    assert!(page.contains("<title>SIMULATED CAR: "));
    assert!(page.contains("<p class=\"simulated\">SIMULATED CAR: practice, no real car was measured.</p>"));
    let print = page.split("@media print").nth(1).unwrap();
    assert!(print.contains(".simulated { position: fixed;"), "printed again on each page");
    let real = walked(FILTER, Vec::new()).report();
    assert!(!html(&real).unwrap().contains("SIMULATED CAR") && !markdown(&real).contains("SIMULATED"));
}

#[test]
fn what_could_not_be_put_back_is_said() {
    let mut all = events(FILTER);
    // The gauge can't be taken out: its step is given up instead of done.
    for event in &mut all {
        if let Event::Done { step } = event
            && step.starts_with("undo/")
        {
            *event =
                Event::CannotDo { step: step.clone(), reason: faultwalk::walk::Reason::NoAccess, note: None };
        }
    }
    let tree = tree();
    let mut entries = vec![Entry::Header(header("orchard-pickup", "lean", &tree))];
    entries.extend(all.into_iter().map(Entry::Walk));
    let lines = scan::<Entry>(&journal(entries)).lines;
    let r = Walked { lines, tree, rig: rig("orchard-pickup") }.report();
    assert_eq!(r.not_put_back, [faultwalk::terms::State::GaugeFitted.name()]);
    assert!(markdown(&r).contains("## NOT put back") && html(&r).unwrap().contains("<h2>NOT put back</h2>"));
    assert_eq!(r.complaint.as_deref(), Some("runs lean"), "an id of the vocabulary is said in words");
}
