//! The folder of cases.

use super::{Any, event, folder, header, journal};
use crate::case::*;
use jiff::Timestamp;
use serde_json::{Value, json};

#[test]
fn only_plain_names_are_ids() {
    let (at, cases) = folder();
    let longest = "a".repeat(64);
    for id in ["a", "0", "a-b-1", &longest] {
        assert!(cases.create::<Value>(header(id)).is_ok(), "{id}");
    }
    for id in ["-a", "A", "a_b", "a.b", "a/b", "ä", &format!("{longest}a"), " "] {
        let error = cases.create::<Value>(header(id)).err().unwrap();
        assert!(matches!(error, CaseError::NotFound { .. }), "{id}: {error}");
    }
    for name in ["A.jsonl", "-a.jsonl", "ajsonl", ".jsonl", "b.jsonl.new"] {
        std::fs::write(at.path().join(name), b"").unwrap();
    }
    assert_eq!(cases.list().unwrap().len(), 4);
    assert_eq!(cases.find("a").unwrap(), "a", "a whole name before any that begins with it");
    assert_eq!(cases.find("a-").unwrap(), "a-b-1");
    for n in 0..9 {
        cases.create::<Value>(header(&format!("many-{n}"))).unwrap();
    }
    let Err(CaseError::Ambiguous { fits, .. }) = cases.find("many") else { panic!("several fit") };
    assert_eq!((fits.len(), fits[0].as_str()), (8, "many-0"));
    let Err(CaseError::Ambiguous { .. }) = cases.find("") else { panic!("nothing is asked for") };
    let (_at, one) = folder();
    one.create::<Value>(header("only")).unwrap();
    assert!(one.find("").is_err(), "an empty name is no beginning");
}

#[test]
fn a_list_shows_each_case_from_both_ends_of_its_file() {
    let (at, cases) = folder();
    let put =
        |name: &str, bytes: &[u8]| std::fs::write(at.path().join(format!("{name}.jsonl")), bytes).unwrap();
    let summary = |name: &str| cases.list().unwrap().into_iter().find(|c| c.id == name).unwrap();
    let second = |n| Timestamp::from_second(n).unwrap();
    let lines = |rig: String, events: Vec<Any>| {
        let first =
            Entry::Header(Header { rig, complaint: Some("lean".into()), simulated: true, ..header("x") });
        rechained(std::iter::once(first).chain(events).zip((0..).map(second))).unwrap()
    };
    let closed = || Entry::Walk(json!({"event": "closed"}));
    let odds = || Entry::Odds(Odds { model: String::new(), candidates: Vec::new() });
    for (length, name) in [(10, "short"), (9_000, "long"), (500_000, "longer")] {
        let bytes = lines("r".repeat(length), vec![event(1), event(2)]);
        put(name, &bytes);
        let found = summary(name);
        assert_eq!((found.state, found.records, found.rig.len()), (CaseState::Open, 3, length), "{name}");
        assert_eq!((found.created, found.changed), (Some(second(0)), Some(second(2))));
        assert_eq!((found.bytes, found.simulated), (bytes.len() as u64, true));
        assert_eq!((found.tree.as_str(), found.complaint.as_deref()), ("t", Some("lean")));
        assert_eq!(found.path, at.path().join(format!("{name}.jsonl")));
    }
    put("huge", &lines("r".repeat(1_100_000), vec![event(1)]));
    assert_eq!(summary("huge").state, CaseState::NoHeader);
    put("alone", &lines(String::new(), Vec::new()));
    let found = summary("alone");
    assert_eq!((found.state, found.records, found.changed), (CaseState::Open, 1, Some(second(0))));
    for (name, events, state) in [
        ("closed", vec![event(1), closed()], CaseState::Closed),
        ("scored", vec![closed(), odds()], CaseState::Closed),
        ("reopened", vec![closed(), event(2)], CaseState::Open),
    ] {
        put(name, &lines(String::new(), events));
        assert_eq!(summary(name).state, state, "{name}");
    }
    // A last record may be longer than what is read of an ordinary one.
    let note = |n: usize| Entry::Walk(json!({"event": "note", "text": "x".repeat(n)}));
    let score = |n: usize| Entry::Extra(Extra { about: "score".into(), data: json!("x".repeat(n)) });
    for (name, events, state, records) in [
        ("noted", vec![event(1), note(9_000)], CaseState::Open, 3),
        ("long-score", vec![event(1), closed(), score(9_000)], CaseState::Closed, 4),
        ("long-scores", vec![closed(), score(3_000), score(3_000)], CaseState::Closed, 4),
        ("beyond", vec![closed(), score(1_100_000)], CaseState::Open, 1),
    ] {
        put(name, &lines(String::new(), events));
        assert_eq!((summary(name).state, summary(name).records), (state, records), "{name}");
    }
    let torn = [&lines(String::new(), vec![event(1), closed()])[..], b"{\"seq\":3,"].concat();
    put("torn", &torn);
    assert_eq!((summary("torn").state, summary("torn").records), (CaseState::Closed, 3));
    for (name, bytes) in [("none", &b"{\"seq\":0}\n"[..]), ("cut", b"{\"seq\":0,"), ("empty", b"")] {
        put(name, bytes);
        assert_eq!(summary(name).state, CaseState::NoHeader, "{name}");
    }
    let newer = String::from_utf8(lines(String::new(), Vec::new()))
        .unwrap()
        .replace("\"version\":1", "\"version\":7");
    put("newer", newer.as_bytes());
    assert_eq!(summary("newer").state, CaseState::Newer("journal version 7, known are 1 to 1".into()));
    put("strange", b"{\"event\":{\"version\":8}}\n");
    assert_eq!(summary("strange").state, CaseState::Newer("journal version 8, known are 1 to 1".into()));
    // The newest first, those nobody can date last.
    let order: Vec<_> = cases.list().unwrap().into_iter().map(|c| c.created).collect();
    assert!(order.windows(2).all(|w| w[0] >= w[1]), "{order:?}");
}

#[test]
fn a_file_is_taken_in_as_far_as_it_is_whole() {
    let (at, cases) = folder();
    let file = at.path().join("given");
    let take = |bytes: &[u8]| {
        std::fs::write(&file, bytes).unwrap();
        cases.import::<Value>(&file)
    };
    let whole = journal("a", 4);
    let ends: Vec<usize> =
        whole.iter().enumerate().filter(|(_, b)| **b == b'\n').map(|(at, _)| at + 1).collect();
    let mut damaged = whole.clone();
    damaged[ends[1] + 20] ^= 1;
    let error = take(&damaged).unwrap_err();
    let why = ReadOnly::Damaged { seq: 2, byte: ends[1] };
    assert_eq!(error, CaseError::ReadOnly { path: file.clone(), why });
    let text = String::from_utf8(whole.clone()).unwrap();
    let newer = take(text.replace("\"version\":1", "\"version\":2").as_bytes()).unwrap_err();
    assert_eq!(
        newer,
        CaseError::Newer { path: file.clone(), found: "journal version 2, known are 1 to 1".into() }
    );
    assert_eq!(take(&journal("A", 1)).unwrap_err(), CaseError::NoHeader { path: file.clone() });
    let headless = rechained([(event(1), Timestamp::UNIX_EPOCH)].into_iter()).unwrap();
    assert_eq!(take(&headless).unwrap_err(), CaseError::NoHeader { path: file.clone() });
    assert_eq!(cases.list().unwrap(), []);

    let torn = take(&whole[..ends[2] + 10]).unwrap();
    assert_eq!((&torn, torn.id()), (&Imported::New("a".into()), "a"));
    assert_eq!(std::fs::read(at.path().join("a.jsonl")).unwrap(), &whole[..ends[2]]);
    let more = take(&whole).unwrap();
    assert_eq!((&more, more.id()), (&Imported::Continued("a".into(), 2), "a"));
    let known = take(&whole[..ends[1]]).unwrap();
    assert_eq!((&known, known.id()), (&Imported::Known("a".into()), "a"));
    assert_eq!(std::fs::read(at.path().join("a.jsonl")).unwrap(), whole);
}
