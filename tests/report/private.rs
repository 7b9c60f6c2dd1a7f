//! Requirement 12: nothing that points to a person, a car's papers or a computer leaves in a shared copy, and what is for the
//! agent alone is in no report.

use super::{FILTER, trees, walked};
use faultwalk::case::{Entry, Person, PersonalData};
use faultwalk::report::{html, markdown};
use faultwalk::text::Personal;
use faultwalk::walk::Event;
use std::path::Path;

/// Each kind of personal detail with a value that stands nowhere else.
const CANARIES: &[(Personal, &str)] = &[
    (Personal::Name, "Quillon Vantervelde"),
    (Personal::Phone, "+1 555 010 0142"),
    (Personal::Mail, "quillon@canary.example"),
    (Personal::Address, "17 Canary Wharfside Lane"),
    (Personal::Plate, "CNR 4242"),
    (Personal::Vin, "1CNRY23EFGH456789"),
    (Personal::Host, "canary-bench-seven"),
    (Personal::User, "canaryuser"),
    (Personal::Path, "/home/canaryuser/cars"),
];
const READER: &str = "Ottoline Brackwater";
const SECRET: &str = "the caller sounds unsure of himself";
const AGENT_NOTE: &str = "CANARY-AGENT-NOTE";

/// What must not be found: every canary, and each word of the names.
fn forbidden() -> Vec<String> {
    let mut all: Vec<String> = CANARIES.iter().map(|(_, value)| (*value).to_owned()).collect();
    all.extend([SECRET, "Quillon", "Vantervelde", "Ottoline", "Brackwater"].map(str::to_owned));
    all
}

fn entries() -> Vec<Entry> {
    let mut all: Vec<Entry> = CANARIES
        .iter()
        .map(|(field, value)| Entry::Personal(PersonalData { field: *field, value: (*value).to_owned() }))
        .collect();
    all.push(Entry::Person(Person {
        measured: Some(READER.into()),
        typed: Some(CANARIES[0].1.into()),
        by_phone: true,
    }));
    let said: Vec<&str> = CANARIES.iter().map(|(_, value)| *value).collect();
    let note = |text: String, private| Entry::Walk(Event::NoteAdded { step: None, text, private });
    all.push(note(format!("told by {READER}: call {}", said.join(", ")), false));
    all.push(note(SECRET.into(), true));
    all
}

/// A folder of cases with one in it.
fn folder(bytes: &[u8]) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("20260202-case.jsonl"), bytes).unwrap();
    folder
}

fn bytes_of(case: &super::Walked) -> Vec<u8> {
    let entries = case.lines.iter().map(|l| (l.entry.clone(), l.time));
    faultwalk::case::rechained(entries).unwrap()
}

fn text(path: &Path) -> &str {
    path.to_str().unwrap()
}

#[test]
fn requirement_12_a_shared_copy_holds_no_canary() {
    let case = walked(FILTER, entries());
    let bytes = bytes_of(&case);
    for word in forbidden() {
        assert!(
            String::from_utf8_lossy(&bytes).contains(&word),
            "the test itself: {word} is in the original"
        );
    }
    let folder = folder(&bytes);
    let to = folder.path().join("shared.txt");
    let cases = text(folder.path());
    crate::commands::run(&["cases", "share", "20260202", "--to", text(&to), "--cases", cases], 0);
    let shared = std::fs::read_to_string(&to).unwrap();
    let (rows, _) = crate::commands::run(
        &["cases", "export", "--format", "csv", "--cases", cases, "--trees", text(&trees())],
        0,
    );
    let (objects, _) =
        crate::commands::run(&["cases", "export", "--cases", cases, "--trees", text(&trees())], 0);
    let lines = faultwalk::case::scan::<Entry>(shared.as_bytes()).lines;
    assert_eq!(lines.len(), case.lines.len() - 1, "the private note is gone and nothing else");
    let copy = super::Walked { lines, ..case };
    let r = copy.report();
    assert!(r.shared && markdown(&r).contains("copy with personal data left out"));
    let forms = [shared, rows, objects, markdown(&r), html(&r).unwrap(), serde_json::to_string(&r).unwrap()];
    for (form, name) in forms.iter().zip(["copy", "csv", "jsonl", "markdown", "html", "json"]) {
        for word in forbidden() {
            assert!(!form.to_lowercase().contains(&word.to_lowercase()), "{name} holds {word}");
        }
        assert!(!form.contains(AGENT_NOTE), "{name}");
    }
    assert!(forms[0].contains("<name-"), "the copy still shows that one person is spoken of");
}

#[test]
fn requirement_12_agent_notes_and_personal_records_are_in_no_report() {
    let mut more = entries();
    // Without the note that names everybody, which is no record of its own kind.
    more.retain(|e| !matches!(e, Entry::Walk(Event::NoteAdded { private: false, .. })));
    let r = walked(FILTER, more).report();
    for form in [markdown(&r), html(&r).unwrap(), serde_json::to_string(&r).unwrap()] {
        for word in forbidden() {
            assert!(!form.contains(&word), "{word}");
        }
        assert!(!form.contains(AGENT_NOTE) && !form.contains("Fit the gauge now."));
    }
}
