//! Hand-over and shared copies.

use super::{Toy, folder, header, numbers, walk};
use crate::journal::sim::Sim;
use faultwalk::case::{
    Case, CaseError, CaseFolder, Draft, Entry, Header, Imported, Person, PersonalData, ReadOnly, Tail, scan,
    shared_copy,
};
use faultwalk::text::{Personal, Redactor};
use faultwalk::walk::{Event, Reason};

const ID: &str = "20260101-080000-copy";

fn two_folders() -> (tempfile::TempDir, CaseFolder, CaseFolder) {
    let both = tempfile::tempdir().unwrap();
    let here = CaseFolder::open(Some(&both.path().join("here"))).unwrap();
    let there = CaseFolder::open(Some(&both.path().join("there"))).unwrap();
    (both, here, there)
}

#[test]
fn a_hand_over_is_one_file_and_nothing_is_asked_again() {
    let (both, here, there) = two_folders();
    let file = both.path().join("for you.jsonl");
    let mut case: Case<Toy> = here.create(Header { id: ID.into(), ..header() }).unwrap();
    case.append(walk(1)).unwrap();
    let draft = Draft { step: Some("fit".into()), field: "reading".into(), text: "43.".into() };
    case.save_drafts(std::slice::from_ref(&draft)).unwrap();
    here.export::<Toy>(ID, &file).unwrap();
    assert!(
        matches!(here.export::<Toy>(ID, &file), Err(CaseError::Exists { .. })),
        "what is there is not replaced"
    );
    assert_eq!(case.lines().len(), 2, "the original stays as it is");
    drop(case);

    assert_eq!(there.import::<Toy>(&file).unwrap(), Imported::New(ID.into()));
    assert_eq!(there.import::<Toy>(&file).unwrap(), Imported::Known(ID.into()));
    let mut case: Case<Toy> = there.resume(ID).unwrap();
    assert_eq!(case.header(), here.view::<Toy>(ID).unwrap().header());
    assert_eq!((numbers(&case), case.drafts()), (vec![1], vec![draft.clone()]));
    case.append(walk(2)).unwrap();
    assert!(case.drafts().is_empty(), "it has become a reading");
    drop(case);

    let back = both.path().join("back.jsonl");
    there.export::<Toy>(ID, &back).unwrap();
    assert_eq!(here.import::<Toy>(&back).unwrap(), Imported::Continued(ID.into(), 2));
    assert_eq!(numbers(&here.view::<Toy>(ID).unwrap()), [1, 2]);
    assert_eq!(here.view::<Toy>(ID).unwrap().drafts(), [draft], "what was typed here is still beside it");

    let mut case: Case<Toy> = here.resume(ID).unwrap();
    case.append(walk(3)).unwrap();
    let mut other: Case<Toy> = there.resume(ID).unwrap();
    other.append(walk(4)).unwrap();
    drop((case, other));
    let forked = both.path().join("forked.jsonl");
    there.export::<Toy>(ID, &forked).unwrap();
    let before = std::fs::read(here.path().join(format!("{ID}.jsonl"))).unwrap();
    let error = here.import::<Toy>(&forked).err().unwrap();
    assert_eq!(error, CaseError::Forked { id: ID.into(), common: 4, here: 1, there: 1 });
    assert_eq!(std::fs::read(here.path().join(format!("{ID}.jsonl"))).unwrap(), before);
}

#[test]
fn a_case_that_is_open_is_not_replaced_by_an_import() {
    let (both, here, there) = two_folders();
    let case: Case<Toy> = here.create(Header { id: ID.into(), ..header() }).unwrap();
    let file = both.path().join("a.jsonl");
    here.export::<Toy>(ID, &file).unwrap();
    there.import::<Toy>(&file).unwrap();
    there.resume::<Toy>(ID).unwrap().append(walk(1)).unwrap();
    let on = both.path().join("b.jsonl");
    there.export::<Toy>(ID, &on).unwrap();
    let error = here.import::<Toy>(&on).err().unwrap();
    assert!(matches!(error, CaseError::ReadOnly { why: ReadOnly::HeldBy(_), .. }), "{error}");
    drop(case);
    assert_eq!(here.import::<Toy>(&on).unwrap(), Imported::Continued(ID.into(), 1));
}

#[test]
fn what_is_no_case_or_damaged_is_not_imported() {
    let (both, here, _) = two_folders();
    let case: Case<Toy> = here.create(Header { id: ID.into(), ..header() }).unwrap();
    let whole = std::fs::read(case.path()).unwrap();
    for (name, bytes) in [("empty", Vec::new()), ("text", b"hello\n".to_vec()), ("cut", whole[..50].to_vec())]
    {
        let path = both.path().join(name);
        std::fs::write(&path, bytes).unwrap();
        assert!(matches!(here.import::<Toy>(&path), Err(CaseError::NoHeader { .. })), "{name}");
    }
    assert!(matches!(here.import::<Toy>(&both.path().join("none")), Err(CaseError::Io { .. })));
}

/// A case of the real walk with everything in it that must not leave the house.
fn personal_case() -> (Sim, Case<Event>) {
    let sim = Sim::default();
    // A fixed time, because the milliseconds of now may spell part of a phone number.
    let noon: jiff::Timestamp = "2026-01-01T12:00:00Z".parse().unwrap();
    let complaint = Some("lean; Ada Muster will call from 555-0142".to_owned());
    let mut case: Case<Event> = folder(&sim)
        .create_at(
            Header { id: ID.into(), complaint, rig: "# for a.muster@mail.example\n".into(), ..header() },
            noon,
        )
        .unwrap();
    let note = |text: &str, private| Event::NoteAdded { step: None, text: text.into(), private };
    let by =
        Person { measured: Some("Ada Muster".into()), typed: Some("Bo Beispiel".into()), by_phone: true };
    for entry in [
        Entry::Walk(note("Muster says it ran at 43.5 psi, VIN 1ABCD23EFGH456789", false)),
        Entry::Walk(note("CANARY the caller is annoyed", true)),
        Entry::Person(by),
        Entry::Personal(PersonalData { field: Personal::Address, value: "7 Sample Lane".into() }),
        Entry::Personal(PersonalData { field: Personal::Plate, value: "AB12 CDE".into() }),
        Entry::Walk(Event::CannotDo {
            step: "fit".into(),
            reason: Reason::NoAccess,
            note: Some("the car, ab12 cde, stands at 7 sample lane on pc-1 of bo".into()),
        }),
        Entry::Draft(Draft { text: "call +1 555 010 0199".into(), ..Draft::default() }),
    ] {
        case.append_at(entry, noon).unwrap();
    }
    (sim, case)
}

#[test]
fn requirement_12_a_shared_copy_leaves_out_persons_and_notes_for_the_agent() {
    let (sim, case) = personal_case();
    let before = sim.content(case.path()).unwrap();
    let mut redactor = Redactor::new();
    redactor.token(Personal::Host, "pc-1");
    redactor.token(Personal::User, "bo");
    let copy = shared_copy(case.lines(), &mut redactor, |e| Some(e.clone())).unwrap();
    let text = String::from_utf8(copy.clone()).unwrap();
    // Digests aside: their digits may spell anything.
    let lower: String = text
        .lines()
        .filter_map(|l| l.split_once(",\"digest\":\""))
        .map(|(body, _)| body.to_lowercase() + "\n")
        .collect();
    assert_eq!(lower.lines().count(), case.lines().len() - 1);
    for canary in [
        "muster",
        "ada",
        "beispiel",
        "555",
        "1abcd23",
        "canary",
        "annoyed",
        "sample lane",
        "ab12",
        "pc-1",
        "0199",
        "of bo",
    ] {
        assert!(!lower.contains(canary), "{canary} in {text}");
    }
    let scanned = scan::<Entry<Event>>(&copy);
    assert_eq!((scanned.tail, scanned.lines.len()), (Tail::Clean, case.lines().len() - 1));
    let Entry::Header(header) = &scanned.lines[0].entry else { panic!("no header") };
    assert!(header.shared);
    assert_eq!(header.id, format!("{ID}-shared"));
    assert_eq!(header.rig_digest, faultwalk::case::digest_of(&header.rig));
    assert!(text.contains("ran at 43.5 psi, VIN <vin-1>"), "what was measured stays: {text}");
    let plates = text.matches("<plate-1>").count();
    assert_eq!(plates, 2, "the same plate is the same token in the field and in the note: {text}");
    assert_eq!(sim.content(case.path()).unwrap(), before, "the original is not touched");
}

#[test]
fn a_hook_leaves_out_more() {
    let (_, case) = personal_case();
    let only_walk = |e: &Entry<Event>| matches!(e, Entry::Walk(_) | Entry::Header(_)).then(|| e.clone());
    let copy = shared_copy(case.lines(), &mut Redactor::new(), only_walk).unwrap();
    assert_eq!(scan::<Entry<Event>>(&copy).lines.len(), 3);
}

#[test]
fn requirement_03_an_export_that_was_said_to_be_written_survives_a_power_cut() {
    let (sim, case) = personal_case();
    let path = std::path::Path::new("/cases/for-you.jsonl");
    folder(&sim).export::<Event>(ID, path).unwrap();
    let written = sim.content(path).unwrap();
    assert!(!written.is_empty() && case.stopped().is_none());
    for seed in 0..20 {
        assert_eq!(sim.crash(seed).content(path).unwrap(), written, "seed {seed}");
    }
}

#[test]
fn requirement_12_a_shared_copy_is_a_file_that_lasts_and_replaces_none() {
    let (sim, case) = personal_case();
    let path = std::path::Path::new("/cases/shared.jsonl");
    folder(&sim).export_shared::<Event>(ID, path, &mut Redactor::new()).unwrap();
    let written = sim.content(path).unwrap();
    let scanned = scan::<Entry<Event>>(&written);
    assert_eq!((scanned.tail, scanned.lines.len()), (Tail::Clean, case.lines().len() - 1));
    assert!(!String::from_utf8(written.clone()).unwrap().contains("Muster"));
    for seed in 0..20 {
        assert_eq!(sim.crash(seed).content(path).unwrap(), written, "seed {seed}");
    }
    let again = folder(&sim).export_shared::<Event>(ID, path, &mut Redactor::new());
    assert_eq!(again, Err(CaseError::Exists { path: path.to_owned() }));
    assert_eq!(sim.content(path).unwrap(), written);
}
