//! Lines and their digests.

use super::{Any, folder, journal};
use crate::case::line::{encode, newer, newer_than_known, to_millisecond};
use crate::case::*;
use jiff::Timestamp;
use serde_json::{Value, json};

/// A line chained as it should be to `before`, whatever stands in it.
fn forged(before: &[u8], body: &str) -> Vec<u8> {
    use sha2::{Digest as _, Sha256};
    let last = scan::<Any>(before).lines.last().unwrap().digest;
    let digest = Digest(Sha256::new().chain_update(last.0).chain_update(body).finalize().into());
    [before, format!("{body},\"digest\":\"{digest}\"}}\n").as_bytes()].concat()
}

#[test]
fn digests_are_those_of_the_standard_and_only_whole_ones_are_read() {
    // FIPS 180-4, the example of one block.
    let abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
    assert_eq!(digest_of("abc"), abc);
    assert_eq!(format!("{:?}", Digest::NONE), "0".repeat(64));
    let good = journal("a", 1);
    let text = String::from_utf8(good.clone()).unwrap();
    let last = &text[text.len() - 67..text.len() - 3];
    for wrong in
        [last.to_uppercase(), "g".repeat(64), format!("{}g", &last[1..]), "`".repeat(64), ":".repeat(64)]
    {
        if wrong == last {
            continue;
        }
        let hurt = text.replace(last, &wrong);
        assert_eq!(scan::<Any>(hurt.as_bytes()).tail, Tail::Torn, "{wrong}");
    }
}

#[test]
fn a_chained_line_that_is_no_record_is_not_taken() {
    let good = journal("a", 1);
    let time = "\"time\":\"2026-01-01T00:00:00.000Z\"";
    let right = forged(&good, &format!("{{\"seq\":2,{time},\"kind\":\"walk\",\"event\":7"));
    assert_eq!(scan::<Any>(&right).tail, Tail::Clean);
    for (body, what) in [
        (format!("{{\"seq\":3,{time},\"kind\":\"walk\",\"event\":7"), "another number"),
        (format!("{{\"seq\":2,{time},\"kind\":\"walk\",\"event\":7,\"more\":1"), "a key too many"),
        (format!("{{\"seq\":2,{time},\"kind\":\"walk\""), "no event"),
        ("{\"seq\":2,\"time\":\"yesterday\",\"kind\":\"walk\",\"event\":7".to_owned(), "no time"),
        (format!("{{\"seq\":2,{time},\"kind\":\"walk\",\"event\":"), "cut"),
        (format!(" {{\"seq\":2,{time},\"kind\":\"walk\",\"event\":7"), "another beginning"),
    ] {
        let found = scan::<Any>(&forged(&good, &body));
        assert_eq!((found.lines.len(), found.good, found.tail), (2, good.len(), Tail::Torn), "{what}");
    }
    let unknown = forged(&good, &format!("{{\"seq\":2,{time},\"kind\":\"dream\",\"event\":7"));
    assert_eq!(scan::<Any>(&unknown).tail, Tail::Newer("record 2 of kind 'dream'".into()));
    let unnamed = forged(&good, &format!("{{\"seq\":2,{time},\"kind\":null,\"event\":7"));
    assert_eq!(scan::<Any>(&unnamed).tail, Tail::Newer("record 2 of kind ''".into()));
}

#[test]
fn a_copy_keeps_records_as_they_stand_though_this_program_would_write_them_otherwise() {
    let (at, cases) = folder();
    let time = "\"time\":\"2026-01-01T00:00:00.000Z\"";
    let body = format!("{{\"seq\":2,{time},\"kind\":\"walk\",\"event\":{{ \"n\": 2 }}");
    let bytes = forged(&journal("a", 1), &body);
    std::fs::write(at.path().join("a.jsonl"), &bytes).unwrap();
    let to = at.path().join("b.jsonl");
    cases.export::<Value>("a", &to).unwrap();
    assert_eq!(std::fs::read(&to).unwrap(), bytes);
}

#[test]
fn damage_is_told_from_a_torn_write_by_what_follows() {
    let whole = journal("a", 4);
    let lines: Vec<&[u8]> = whole.split_inclusive(|b| *b == b'\n').collect();
    let tail = |pieces: &[&[u8]]| scan::<Any>(&pieces.concat()).tail;
    // Lines of nothing, and the beginning of a line, before the next one that is good.
    assert_eq!(tail(&[lines[0], b"\n", lines[1]]), Tail::Damaged);
    assert_eq!(tail(&[lines[0], b"{\"seq\":1,", lines[1]]), Tail::Damaged);
    assert_eq!(
        tail(&[lines[0], lines[2]]),
        Tail::Torn,
        "nobody can tell that one is missing in front of the last"
    );
    assert_eq!(tail(&[lines[0], lines[2], lines[3]]), Tail::Damaged);
    assert_eq!(tail(&[lines[0], &lines[1][..20], lines[2], &lines[3][..30]]), Tail::Torn);
    assert_eq!(tail(&[lines[0], &[0; 300], lines[1]]), Tail::Damaged);
    assert_eq!(tail(&[lines[0], lines[1], lines[1]]), Tail::Torn, "the same once more is chained to nothing");
    // The last line without its newline is not a whole record.
    assert_eq!(tail(&[lines[0], &lines[1][..lines[1].len() - 1]]), Tail::Torn);
    assert_eq!(tail(&[]), Tail::Clean);
}

/// An entry that is read in small letters and taken for the same as any other.
#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
#[serde(tag = "kind", content = "event", rename_all = "kebab-case")]
enum Loose {
    Words(#[serde(deserialize_with = "small")] String),
}
impl PartialEq for Loose {
    fn eq(&self, _: &Self) -> bool {
        true
    }
}
fn small<'de, D: serde::Deserializer<'de>>(from: D) -> Result<String, D::Error> {
    <String as serde::Deserialize>::deserialize(from).map(|text| text.to_lowercase())
}

/// An entry that holds nothing but a number.
#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
#[serde(tag = "kind", content = "event")]
enum Odd {
    Number(f64),
}
impl PartialEq for Odd {
    fn eq(&self, other: &Self) -> bool {
        let (Self::Number(a), Self::Number(b)) = (self, other);
        a == b
    }
}

#[test]
fn what_cannot_come_back_is_not_stored() {
    let stored = |why: &str| Err::<(), String>(why.to_owned());
    let time = Timestamp::UNIX_EPOCH;
    let none = encode(1, time, &json!(5), &Digest::NONE).map(drop);
    assert_eq!(none, stored("it has no kind"));
    let none = encode(1, time, &json!({"event": 5}), &Digest::NONE).map(drop);
    assert_eq!(none, stored("it has no kind"));
    assert!(encode(1, time, &Odd::Number(0.1), &Digest::NONE).is_ok());
    assert!(encode(1, time, &Odd::Number(f64::NAN), &Digest::NONE).is_err());
    // What counts as the same must also be written the same, or a copy would have other digests.
    assert!(encode(1, time, &Loose::Words("half a turn".into()), &Digest::NONE).is_ok());
    let other = encode(1, time, &Loose::Words("Half a turn".into()), &Digest::NONE).map(drop);
    assert_eq!(other, stored("it does not come back as it was"));
    let fine = Timestamp::from_nanosecond(1_234_567_891).unwrap();
    assert_eq!(to_millisecond(fine).as_nanosecond(), 1_234_000_000);
    assert_eq!(newer_than_known(u64::from(JOURNAL_VERSION)), None);
    assert_eq!(newer_than_known(0), None);
    assert_eq!(newer_than_known(9).as_deref(), Some("journal version 9, known are 1 to 1"));
    assert_eq!(
        newer(b"{\"event\":{\"version\":2,\"more\":[]},\"x\":1}").as_deref(),
        Some("journal version 2, known are 1 to 1")
    );
    for none in [
        &b"{\"event\":{\"version\":1}}"[..],
        b"{\"event\":{\"version\":\"2\"}}",
        b"{\"version\":2}",
        b"",
        b"2",
    ] {
        assert_eq!(newer(none), None);
    }
}
