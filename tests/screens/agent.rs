//! The agent's view: several cases at once, a case handed over, the lines for a ticket, and that nothing half-done is lost on the way.

use super::Bench;
use faultwalk::case::{CaseFolder, Header, digest_of};
use faultwalk::library::Library;
use faultwalk::tui::Prompt;
use faultwalk::walk::Event;
use std::path::PathBuf;

/// Begins another case from the start screen.
fn another(b: &mut Bench, complaint: &str) {
    b.keys(complaint).keys("<enter><enter>gg").sees("fuel smell");
}

#[test]
fn several_cases_are_open_and_one_key_goes_round_them() {
    let mut b = Bench::at_reading(80, 24);
    b.keys("<c-n>").sees("No other case was opened yet").sees("Step 3, supply pressure");
    b.keys("<tab>20 ps<c-q>").sees("What is wrong with the car?");
    another(&mut b, "lean on the flat");
    b.sees("case 2 of 2").sees("lean on the flat");
    b.keys("<c-n>").sees("case 1 of 2").sees("reading > 20 ps").sees("gauge at: T after the filter");
    b.keys("<c-n>").sees("case 2 of 2").sees("DANGER 1 of 2");
    b.keys("<esc>e").sees("case 1 of 2").sees("reading > 20 ps");
    // From the start the same key goes back to them.
    b.keys("<c-q>").sees("What is wrong with the car?").keys("<c-n>").sees("case 1 of 2");
}

#[test]
fn a_case_that_is_opened_from_its_own_list_stays_writable() {
    let mut b = Bench::at_reading(80, 24);
    b.keys("<c-v><enter>").sees("Step 3, supply pressure").sees_not("read only");
    b.keys("20 psi<enter>").sees("filter by eye");
}

#[test]
fn a_case_that_cannot_be_opened_leaves_the_one_before_as_it_was() {
    let mut b = Bench::at_reading(80, 24);
    std::fs::write(b.home().join("cases/20200101-000000-aaaa.jsonl"), "no journal\n").unwrap();
    b.keys("20 psi<c-v>20200101").sees("not begun, or damaged").keys("<enter>").sees("Cases, latest first");
    b.keys("<esc>").sees("Step 3, supply pressure").sees("reading > 20 psi");
    assert!(matches!(b.app.model().prompt, Prompt::Step(_)));
}

#[test]
fn the_place_of_the_gauge_and_the_answer_picked_outlive_a_kill() {
    let mut b = Bench::at_reading(80, 24);
    b.keys("<tab>").sees("gauge at: T after the filter");
    b.draft_time();
    b.killed_and_started_again();
    b.keys("<down><enter>").sees("gauge at: T after the filter").keys("20 psi<enter>").sees("filter by eye");
    b.sees_not("> 1 ").keys("<down>").sees("> 1 ").keys("<down>").sees("> 2 ");
    b.draft_time();
    b.killed_and_started_again();
    b.keys("<down><enter>").sees("> 2 ");
}

#[test]
fn a_note_half_written_outlives_a_kill_and_leaving_without_a_look_at_it() {
    let mut b = Bench::at_reading(80, 24);
    b.keys("<c-e>hose is soft");
    b.draft_time();
    b.killed_and_started_again();
    b.keys("<down><enter>").sees("Step 3").keys("<c-q>").sees("What is wrong");
    b.keys("<down><enter>").sees("Step 3").keys("<c-e>").sees("note > hose is soft");
}

#[test]
fn a_case_handed_over_goes_on_elsewhere_with_nothing_asked_again() {
    let mut b = Bench::at_reading(80, 24);
    b.keys("20 ps<c-r>h").sees("Another agent goes on with this file");
    let file = files(&b, "case");
    assert_eq!(file.len(), 1, "{file:?}");
    let mut other = Bench::new(80, 24);
    for _ in 0..3 {
        other.keys("<down>");
    }
    other.sees("> A case file handed over").keys("<enter>").sees("A case handed over");
    other.keys("<enter>").sees("Nothing is typed yet");
    other.keys("/no/such/file<enter>").sees("could not read").sees("> /no/such/file");
    for _ in 0.."/no/such/file".len() {
        other.keys("<bs>");
    }
    other.send(faultwalk::tui::Msg::Paste(file[0].display().to_string()));
    other.keys("<enter>").sees("Step 3, supply pressure").sees("reading > 20 ps").sees("Taken in.");
    other.keys("i<enter>").sees("filter by eye");
}

fn files(b: &Bench, ending: &str) -> Vec<PathBuf> {
    let all = std::fs::read_dir(b.home().join("cases")).unwrap().map(|e| e.unwrap().path());
    all.filter(|p| p.extension().is_some_and(|e| e == ending)).collect()
}

#[test]
fn five_lines_for_a_ticket_say_how_the_case_stands_and_leave_out_what_is_private() {
    let mut b = Bench::new(100, 30);
    b.keys("goes lean on hills, call 555-867-5309<enter><enter>gg").keys("yy1<enter>y<enter>");
    b.keys("<c-e>caller is cross<tab><enter>").sees("Note kept");
    b.keys("20 psi<enter>").odds_come();
    b.keys("<c-t>").sees("Problem: Goes lean on hills, call <phone-1>").sees("Done: 3 steps in about");
    b.sees("supply pressure 20 psi low")
        .sees("Result: not found yet; likeliest so far:")
        .sees("Next: filter by eye");
    b.sees_not("cross").keys("s").sees("The five lines are at");
    let file = files(&b, "txt");
    let text = std::fs::read_to_string(&file[0]).unwrap();
    let names: Vec<&str> = text.lines().map(|l| l.split(':').next().unwrap()).collect();
    assert_eq!(names, ["Problem", "Done", "Result", "Ruled out", "Next"]);
    assert!(!text.contains("cross") && !text.contains("5309"), "{text}");
    b.keys("<esc>2<enter>")
        .sees("Finding")
        .keys("<c-t>")
        .sees("Result: The feed filter lets too little through.");
    b.sees("Not repaired yet.");
}

#[test]
fn the_odds_follow_a_reading_at_once() {
    let mut b = Bench::at_reading(120, 40);
    b.odds_come();
    let before = b.app.model().circuit.clone().unwrap();
    b.keys("20 psi<enter>").sees("filter by eye");
    let after = b.app.model().circuit.clone().unwrap();
    let odds =
        |c: &faultwalk::tui::Circuit| c.parts.iter().map(|p| (p.state, p.odds.clone())).collect::<Vec<_>>();
    assert_ne!(odds(&before), odds(&after), "a pressure far too low moves nothing");
}

#[test]
fn requirement_28_a_simulated_car_is_marked_on_every_screen() {
    let mut b = Bench::new(80, 24);
    let trees = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/trees/short-walk");
    let tree = Library::open(&trees).unwrap().tree("short-walk").unwrap();
    let rig = "format: 1\nrig: practice car\n";
    let header = Header {
        tree: tree.id.clone(),
        tree_digest: tree.digest.clone(),
        rig: rig.into(),
        rig_digest: digest_of(rig),
        complaint: Some("goes lean".into()),
        simulated: true,
        ..Header::default()
    };
    drop(CaseFolder::open(Some(&b.home().join("cases"))).unwrap().create::<Event>(header).unwrap());
    b.killed_and_started_again();
    b.sees("Go on with SIMULATED practice car").keys("<down><enter>");
    for keys in super::storms::SCREENS {
        b.keys("<esc><esc>");
        for (columns, rows) in [(120, 40), (80, 24), (40, 20), (30, 10)] {
            b.send(faultwalk::tui::Msg::Resize(columns, rows));
            b.sees("SIMULATED");
        }
        b.keys(keys);
        for (columns, rows) in [(120, 40), (80, 24), (40, 20), (30, 10)] {
            b.send(faultwalk::tui::Msg::Resize(columns, rows));
            let first = b.screen().lines().next().unwrap().to_owned();
            assert!(first.contains("SIMULATED"), "after {keys:?} at {columns}x{rows}: {first}");
        }
    }
    b.send(faultwalk::tui::Msg::Resize(80, 24));
    b.keys("<esc><esc><c-r>").odds_come().sees("SIMULATED CAR").keys("<esc><c-t>").sees("SIMULATED CAR");
    b.keys("<esc><c-v>").sees("SIMULATED practice car");
}
