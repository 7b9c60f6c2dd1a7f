//! A reading from a data log on the step screen.

use super::Bench;
use faultwalk::case::{Case, CaseFolder};
use faultwalk::library::Library;
use faultwalk::quantity::UnitSystem;
use faultwalk::rig::Rig;
use faultwalk::session::Session;
use faultwalk::tree::StepKind;
use faultwalk::walk::{LogFile, Logged};
use std::path::Path;
use std::sync::Arc;

/// A bench before the step that reads the gauge, with a log kept with its case that has the reading.
fn with_a_log(columns: u16, rows: u16) -> Bench {
    let mut b = Bench::at_reading(columns, rows);
    // The program ends, so that its case can be written; `log --into` does the same.
    b.killed_and_started_again();
    let cases = CaseFolder::open(Some(&b.home().join("cases"))).unwrap();
    let id = cases.list().unwrap()[0].id.clone();
    let case: Case = cases.resume(&id).unwrap();
    let trees = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/trees/short-walk");
    let tree = Library::open(&trees).unwrap().tree(&case.header().tree).unwrap();
    let rig = Rig::parse("rig", &case.header().rig).unwrap();
    let mut session = Session::resume(Arc::new(rig), Arc::new(tree), case, UnitSystem::Metric).unwrap();
    let open = session.state().open_step().unwrap();
    let StepKind::Read(read) = session.tree().steps[open].kind.clone() else {
        panic!("a reading is asked for")
    };
    let logged = Logged {
        reading: read.reading,
        condition: read.at,
        place: None,
        si: 140e3,
        spread: 2e3,
        stretches: 3,
        seconds: 42.0,
        remark: None,
    };
    session.keep_log(LogFile { file: "drive.csv".into(), digest: "d".into() }, vec![logged]).unwrap();
    drop(session);
    b.keys("<down><enter>");
    b
}

#[test]
fn a_log_is_offered_and_only_a_typed_word_takes_it() {
    let mut b = with_a_log(80, 24);
    b.sees("Step 3, supply pressure").sees("From the log drive.csv: 140 kPa ± 2, 42 s steady.");
    b.sees("Type log to take it");
    // Enter alone takes nothing.
    b.keys("<enter>").sees("Nothing is typed yet").sees("Step 3, supply pressure");
    b.keys("log").sees("that is 140 kPa = 20.31 psi").sees("low by");
    b.keys("<enter>").sees("Kept: 140 kPa (log) is low").sees("filter by eye").sees("140 kPa (log) ▼ low");
    // Back again the word stands there, so that leaving it as it is changes nothing.
    b.keys("<c-p>").sees("supply pressure").sees("> log").keys("<enter>").sees("filter by eye");
}

#[test]
fn an_offer_has_room_on_a_small_screen_and_waits_for_the_caution() {
    let mut b = with_a_log(40, 20);
    b.sees("From the log").sees("Type log");
    let mut b = Bench::begun(80, 24);
    b.sees_not("From the log");
}
