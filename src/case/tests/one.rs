//! One journal, one case, one copy.

use super::{Any, event, folder, header, journal};
use crate::case::*;
use jiff::Timestamp;
use serde_json::{Value, json};
use std::sync::Arc;

#[test]
fn a_header_stands_only_at_the_beginning_and_a_viewer_keeps_nothing() {
    let (_at, cases) = folder();
    let mut case: Case<Value> = cases.create(header("a")).unwrap();
    let error = case.append(Entry::Header(header("b"))).err().unwrap();
    assert_eq!(
        error.to_string(),
        "not saved: the entry can't be stored, because a header is only the first record"
    );
    case.append(event(1)).unwrap();
    assert_eq!((case.id(), case.lines().len(), case.events().count()), ("a", 2, 1));
    assert_eq!((case.header().id.as_str(), case.header().tree.as_str()), ("a", "t"));
    case.refresh().unwrap();
    assert_eq!(case.read_only(), None, "a writer stays one");
    let mut viewer: Case<Value> = cases.view("a").unwrap();
    assert!(viewer.append(event(2)).is_err());
    let error = viewer.save_drafts(&[Draft::default()]).unwrap_err();
    assert!(matches!(error, CaseError::ReadOnly { why: ReadOnly::Asked, .. }), "{error}");
    assert_eq!(viewer.stopped(), None);
    let exists = viewer.copy_out(case.path(), Vec::new()).unwrap_err();
    assert!(matches!(exists, CaseError::Exists { .. }), "{exists}");
}

#[test]
fn half_typed_text_that_came_with_a_case_is_that_of_its_last_records() {
    let (at, cases) = folder();
    let draft = |text: &str| Draft { step: None, field: "note".into(), text: text.into() };
    let mut case: Case<Value> = cases.create(header("a")).unwrap();
    case.append(Entry::Draft(draft("old"))).unwrap();
    case.append(event(1)).unwrap();
    assert_eq!(case.drafts(), []);
    case.append(Entry::Draft(draft("first"))).unwrap();
    case.append(Entry::Draft(draft("second"))).unwrap();
    assert_eq!(case.drafts(), [draft("first"), draft("second")]);
    case.save_drafts(&[draft("beside")]).unwrap();
    assert_eq!(case.drafts(), [draft("beside")]);
    std::fs::write(at.path().join("a.draft"), b"no drafts").unwrap();
    assert_eq!(
        case.drafts(),
        [draft("first"), draft("second")],
        "what can't be read is as if it were not there"
    );
    std::fs::remove_file(at.path().join("a.draft")).unwrap();
    std::fs::create_dir(at.path().join("a.draft")).unwrap();
    let error = case.save_drafts(&[]).unwrap_err().to_string();
    assert!(error.starts_with("could not keep the half-typed text in "), "{error}");
}

#[test]
fn a_journal_is_not_begun_where_one_is_or_somebody_else_begins_it() {
    let at = tempfile::tempdir().unwrap();
    let path = at.path().join("a.jsonl");
    let files: Arc<dyn Files> = Arc::new(Disk);
    let create = || Journal::<Any>::create(&files, &path, event(0), Timestamp::UNIX_EPOCH);
    let holder = Holder::this();
    let lock = Disk.lock(&path.with_extension("lock"), &holder.to_bytes()).unwrap();
    let error = create().err().unwrap();
    assert_eq!(error, CaseError::ReadOnly { path: path.clone(), why: ReadOnly::HeldBy(Some(holder)) });
    drop(lock);
    let (mut journal, line) = create().unwrap();
    assert_eq!((line.seq, line.entry, line.clock_back), (0, event(0), false));
    let line = journal.append(event(1), Timestamp::from_nanosecond(-1_500_000).unwrap()).unwrap();
    assert_eq!((line.seq, line.time.as_nanosecond(), line.clock_back), (1, -1_000_000, true));
    let line = journal.append(event(2), Timestamp::UNIX_EPOCH).unwrap();
    assert!(!line.clock_back, "the latest time before it is the same");
    assert_eq!(journal.stopped(), None);
    drop(journal);
    assert_eq!(create().err().unwrap(), CaseError::Exists { path: path.clone() });
    let other = at.path().join("no/a.jsonl");
    let error = Journal::<Any>::create(&files, &other, event(0), Timestamp::UNIX_EPOCH).err().unwrap();
    assert_eq!(error.to_string(), format!("could not create the case {}: it is not there", other.display()));
    let opened = Journal::<Any>::open(&files, &path).unwrap();
    assert_eq!(opened.lines.len(), 3);
    assert_eq!(opened.notices, [Notice::ClockBack { at: vec![1] }]);
    assert!(opened.journal.is_ok());
    std::fs::write(&path, b"").unwrap();
    drop(opened);
    let empty = Journal::<Any>::open(&files, &path).unwrap();
    assert_eq!((empty.journal.err(), empty.lines.len()), (Some(ReadOnly::Damaged { seq: 0, byte: 0 }), 0));
}

#[test]
fn a_torn_tail_finds_a_file_of_its_own_and_is_not_set_aside_twice() {
    let at = tempfile::tempdir().unwrap();
    let path = at.path().join("a.jsonl");
    let whole = journal("a", 1);
    let side = |n: u32| path.with_extension(format!("torn-{n}"));
    let files: Arc<dyn Files> = Arc::new(Disk);
    let open = || Journal::<Any>::open(&files, &path).unwrap().notices;
    let set = |to| [Notice::TailSetAside { bytes: 5, to }];
    for (tail, to) in [("tail1", 1), ("tail2", 2), ("tail1", 1), ("tail3", 3)] {
        std::fs::write(&path, [&whole[..], tail.as_bytes()].concat()).unwrap();
        assert_eq!(open(), set(side(to)), "{tail}");
        assert_eq!(std::fs::read(side(to)).unwrap(), tail.as_bytes());
        assert_eq!(std::fs::read(&path).unwrap(), whole);
    }
    assert_eq!(open(), []);
}

#[cfg(target_os = "linux")]
#[test]
fn who_writes_is_named_by_process_computer_and_time() {
    let this = Holder::this();
    let host = std::fs::read_to_string("/proc/sys/kernel/hostname").unwrap();
    assert_eq!((this.pid, this.host.as_str()), (std::process::id(), host.trim()));
    let since: Timestamp = this.since.parse().unwrap();
    assert!((0..60).contains(&Timestamp::now().duration_since(since).as_secs()), "{since}");
    assert_eq!(Holder::read(&this.to_bytes()), Some(this));
}

#[test]
fn a_case_is_copied_from_memory_where_its_own_file_is_gone_or_another() {
    for hurt in [None, Some(&b"{\"seq\":0}\n{\"seq\":1}\n"[..]), Some(b"cut"), Some(b"")] {
        let (at, cases) = folder();
        let mut case: Case<Value> = cases.create(header("a")).unwrap();
        case.append(event(1)).unwrap();
        let kept = case.lines().to_vec();
        match hurt {
            None => std::fs::remove_file(case.path()).unwrap(),
            Some(bytes) => std::fs::write(case.path(), bytes).unwrap(),
        }
        let to = at.path().join("elsewhere.jsonl");
        let unsaved = if hurt.is_some() {
            let error = case.append(event(2)).err().unwrap();
            assert!(matches!(error, CaseError::NotKept { .. }), "{error}");
            vec![event(2)]
        } else {
            case.append(event(2)).unwrap();
            Vec::new()
        };
        case.copy_out(&to, unsaved).unwrap();
        assert_eq!(case.lines()[..2], kept);
        assert_eq!((case.lines()[2].entry.clone(), case.lines().len()), (event(2), 3));
        case.append(event(3)).unwrap();
        assert_eq!(scan::<Any>(&std::fs::read(&to).unwrap()).lines.len(), 4);
    }
}

#[test]
fn a_copy_that_somebody_else_has_taken_or_a_folder_in_its_place_changes_nothing() {
    let (at, cases) = folder();
    let mut case: Case<Value> = cases.create(header("a")).unwrap();
    let taken = at.path().join("b.jsonl");
    let lock = Disk.lock(&taken.with_extension("lock"), b"").unwrap();
    let error = case.copy_out(&taken, vec![event(1)]).unwrap_err();
    assert_eq!(error, CaseError::ReadOnly { path: taken.clone(), why: ReadOnly::HeldBy(None) });
    assert_eq!((case.path(), case.lines().len()), (&*at.path().join("a.jsonl"), 1));
    case.append(event(2)).unwrap();
    drop(lock);
    let error = cases.export::<Value>("a", at.path()).unwrap_err();
    assert_eq!(error, CaseError::Exists { path: at.path().to_owned() });
    let below = at.path().join("a.jsonl/b");
    assert!(cases.export::<Value>("a", &below).is_err(), "below a file is no place");
}

#[test]
fn a_shared_copy_leaves_no_text_unscanned() {
    let at = Timestamp::UNIX_EPOCH;
    let rig = "name: of 555-0142\n";
    let first = Header {
        complaint: Some("call 555-0142".into()),
        site: [("altitude".to_owned(), "at 555-0143".to_owned())].into(),
        rig: rig.into(),
        rig_digest: digest_of(rig),
        ..header("a")
    };
    let entries: Vec<Any> = vec![
        Entry::Header(first),
        Entry::Walk(json!({"text": ["555-0142", {"deep": "555-0144"}], "n": 5, "private": false})),
        Entry::Walk(json!({"text": "mine", "private": true})),
        Entry::Extra(Extra {
            about: "score".into(),
            data: json!({"said": "555-0143", "file": "muster.csv", "files": {"file": 7}}),
        }),
        Entry::Odds(Odds {
            model: "1".into(),
            candidates: vec![Candidate { fault: "f".into(), probability: 0.5 }],
        }),
        Entry::Draft(Draft { text: "555-0145".into(), ..Draft::default() }),
    ];
    let bytes = rechained(entries.into_iter().map(|e| (e, at))).unwrap();
    let lines = scan::<Any>(&bytes).lines;
    let mut redactor = crate::text::Redactor::new();
    let copy = scan::<Any>(&shared_copy(&lines, &mut redactor, |e| Some(e.clone())).unwrap());
    assert_eq!(copy.lines.len(), 5);
    let text: String = copy.lines.iter().map(|l| serde_json::to_string(&l.entry).unwrap()).collect();
    assert!(!text.contains("555") && !text.contains("mine"), "{text}");
    assert!(!text.contains("muster") && text.contains("{\"file\":7}"), "{text}");
    let Entry::Header(header) = &copy.lines[0].entry else { panic!("no header") };
    assert_eq!(
        (header.shared, header.id.as_str(), header.complaint.as_deref()),
        (true, "a-shared", Some("call <phone-1>"))
    );
    assert_eq!(
        (header.site["altitude"].as_str(), header.rig.as_str()),
        ("at <phone-2>", "name: of <phone-1>\n")
    );
    assert_eq!(header.rig_digest, digest_of(&header.rig));
    assert_eq!(
        copy.lines[1].entry,
        Entry::Walk(json!({"text": ["<phone-1>", {"deep": "<phone-3>"}], "n": 5, "private": false}))
    );
    assert_eq!(copy.lines[3].entry, lines[4].entry, "odds are no text");
    // A rig without anything personal keeps its digest, whatever that is.
    let plain = Header { rig: "plain".into(), rig_digest: "as it was".into(), ..header_of(&lines) };
    let plain = vec![Line { entry: Entry::Header(plain), ..lines[0].clone() }];
    let copy = scan::<Any>(&shared_copy(&plain, &mut redactor, |e| Some(e.clone())).unwrap());
    let Entry::Header(header) = &copy.lines[0].entry else { panic!("no header") };
    assert_eq!(header.rig_digest, "as it was");
}

#[test]
fn what_is_named_later_is_left_out_of_what_was_said_before() {
    let at = Timestamp::UNIX_EPOCH;
    let entries: Vec<Any> = vec![
        Entry::Header(header("a")),
        Entry::Walk(json!({"text": "Muster waits at 7 Sample Lane"})),
        Entry::Person(Person { measured: Some("Ada Muster".into()), ..Person::default() }),
        Entry::Personal(PersonalData {
            field: crate::text::Personal::Address,
            value: "7 Sample Lane".into(),
        }),
    ];
    let lines = scan::<Any>(&rechained(entries.into_iter().map(|e| (e, at))).unwrap()).lines;
    let mut redactor = crate::text::Redactor::new();
    let copy = scan::<Any>(&shared_copy(&lines, &mut redactor, |e| Some(e.clone())).unwrap());
    let text: String = copy.lines.iter().map(|l| serde_json::to_string(&l.entry).unwrap()).collect();
    assert!(!text.contains("Muster") && !text.contains("Sample Lane"), "{text}");
}

fn header_of(lines: &[Line<Any>]) -> Header {
    let Entry::Header(header) = &lines[0].entry else { panic!("no header") };
    header.clone()
}
