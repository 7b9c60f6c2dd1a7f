//! What a folder of cases shows of each without reading it whole.

use super::files::Files;
use super::line::{Rfc3339, newer, newer_than_known};
use jiff::Timestamp;
use serde::Deserialize;
use std::path::{Path, PathBuf};

/// How a case stands, as far as its first and last line tell.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum CaseState {
    /// It goes on.
    Open,
    /// It was closed by the person.
    Closed,
    /// Its first record is not whole: it was never begun, or is damaged.
    NoHeader,
    /// A newer program wrote it.
    Newer(String),
    /// It could not be read; why, in words.
    Unreadable(String),
}

/// One case of a folder, without its content. Nothing is verified here.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CaseSummary {
    /// The id, which is the file's name.
    pub id: String,
    /// The file.
    pub path: PathBuf,
    /// When it was begun.
    pub created: Option<Timestamp>,
    /// When it was last added to, as far as the last line tells.
    pub changed: Option<Timestamp>,
    /// The tree's id.
    pub tree: String,
    /// The complaint.
    pub complaint: Option<String>,
    /// The rig file's text, as kept in the case.
    pub rig: String,
    /// Whether the car is simulated.
    pub simulated: bool,
    /// Length of the journal in bytes.
    pub bytes: u64,
    /// How many records it has, as far as the last line tells.
    pub records: u64,
    /// How it stands.
    pub state: CaseState,
}

/// Enough of a file's beginning for a header without its rig.
const HEAD: usize = 8 * 1024;
/// Enough of a file's end for any ordinary last record.
const TAIL: usize = 4 * 1024;
/// As far as is read for a longer first or last record.
const LONGEST: usize = 1024 * 1024;

#[derive(Deserialize)]
struct First {
    time: Rfc3339,
    event: HeaderPart,
}

#[derive(Deserialize)]
struct HeaderPart {
    #[serde(default)]
    version: u64,
    #[serde(default)]
    tree: String,
    #[serde(default)]
    complaint: Option<String>,
    #[serde(default)]
    rig: String,
    #[serde(default)]
    simulated: bool,
}

#[derive(Deserialize)]
struct Last {
    seq: u64,
    time: Rfc3339,
    kind: String,
    event: serde_json::Value,
}

/// The end of a journal.
struct Lasts {
    /// Its last record.
    any: Option<Last>,
    /// What happened last in the walk; odds or a score may be written after it.
    walk: Option<serde_json::Value>,
}

impl Lasts {
    fn of(tail: &[u8]) -> Self {
        let lines = tail.split(|b| *b == b'\n').rev();
        let mut lines = lines.filter_map(|l| serde_json::from_slice::<Last>(l).ok());
        let mut any = lines.next();
        let is_walk = |l: &Last| l.kind == "walk";
        let walk = match &mut any {
            Some(last) if is_walk(last) => Some(last.event.take()),
            _ => lines.find(is_walk).map(|l| l.event),
        };
        Self { any, walk }
    }
}

/// The summary of the case at `path`; never fails, the state says what is wrong.
pub(super) fn summary(files: &dyn Files, path: &Path, id: &str) -> CaseSummary {
    let mut found = CaseSummary {
        id: id.to_owned(),
        path: path.to_owned(),
        created: None,
        changed: None,
        tree: String::new(),
        complaint: None,
        rig: String::new(),
        simulated: false,
        bytes: 0,
        records: 0,
        state: CaseState::NoHeader,
    };
    let mut ends = match files.ends(path, HEAD, TAIL) {
        Ok(ends) => ends,
        Err(e) => {
            found.state = CaseState::Unreadable(super::error::io_words(&e));
            return found;
        }
    };
    found.bytes = ends.length;
    if !ends.head.contains(&b'\n') && ends.length > HEAD as u64 {
        // A long rig makes a long header; this once the file is read as far as headers can go.
        match files.ends(path, LONGEST, TAIL) {
            Ok(more) => ends = more,
            Err(e) => found.state = CaseState::Unreadable(super::error::io_words(&e)),
        }
    }
    let Some(first) = ends.head.split_inclusive(|b| *b == b'\n').next().filter(|l| l.ends_with(b"\n")) else {
        return found;
    };
    let Ok(header) = serde_json::from_slice::<First>(first) else {
        found.state = newer(first).map_or(CaseState::NoHeader, CaseState::Newer);
        return found;
    };
    if let Some(version) = newer_than_known(header.event.version) {
        found.state = CaseState::Newer(version);
        return found;
    }
    found.created = Some(header.time.0);
    found.changed = found.created;
    found.tree = header.event.tree;
    found.complaint = header.event.complaint;
    found.rig = header.event.rig;
    found.simulated = header.event.simulated;
    found.records = 1;
    found.state = CaseState::Open;
    let mut last = Lasts::of(&ends.tail);
    if last.walk.is_none() && ends.length > TAIL as u64 {
        // A long note, or what a room above keeps after the event that closes a case.
        last = files.ends(path, 0, LONGEST).map_or(last, |more| Lasts::of(&more.tail));
    }
    if let Some(last) = last.any {
        found.changed = Some(last.time.0);
        found.records = last.seq + 1;
    }
    if last.walk.as_ref().and_then(|e| e.get("event")).and_then(serde_json::Value::as_str) == Some("closed") {
        found.state = CaseState::Closed;
    }
    found
}
