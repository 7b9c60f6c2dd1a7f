//! Words, edges and accidents of the room, one by one; the tests at every byte and every call are in `tests/journal`.

mod disk;
mod folder;
mod lines;
mod one;
mod words;

use super::*;
use jiff::Timestamp;
use serde_json::{Value, json};

type Any = Entry<Value>;

fn event(n: u64) -> Any {
    Entry::Walk(json!({"n": n}))
}

fn header(id: &str) -> Header {
    Header { version: 1, id: id.into(), tree: "t".into(), ..Header::default() }
}

fn folder() -> (tempfile::TempDir, CaseFolder) {
    let at = tempfile::tempdir().unwrap();
    let cases = CaseFolder::open(Some(at.path())).unwrap();
    (at, cases)
}

/// A journal of a header and `count` events, as bytes.
fn journal(id: &str, count: u64) -> Vec<u8> {
    let first = Entry::Header(header(id));
    let entries = std::iter::once(first).chain((1..=count).map(event));
    rechained(entries.map(|e| (e, Timestamp::UNIX_EPOCH))).unwrap()
}
