//! Copies of a case: a hand-over that another person opens with nothing asked again, and a copy without personal data.

use super::entry::{Entry, Stored};
use super::error::CaseError;
use super::files::{Files, replace};
use super::line::{Digest, Line, digest_of, encode, scan, to_millisecond};
use crate::text::{Personal, Redactor};
use jiff::Timestamp;
use serde_json::Value;
use std::io;
use std::path::Path;

/// What an import did.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Imported {
    /// The case is new here.
    New(String),
    /// The case was here and has gone on by that many records.
    Continued(String, usize),
    /// All of it was here already.
    Known(String),
}

impl Imported {
    /// The case's id.
    pub fn id(&self) -> &str {
        match self {
            Self::New(id) | Self::Continued(id, _) | Self::Known(id) => id,
        }
    }
}

/// The bytes of a journal with these entries, chained anew.
///
/// # Errors
/// [`CaseError::NotStorable`].
pub fn rechained<E: Stored>(entries: impl Iterator<Item = (E, Timestamp)>) -> Result<Vec<u8>, CaseError> {
    let mut bytes = Vec::new();
    extend(&mut bytes, 0, Digest::NONE, entries)?;
    Ok(bytes)
}

/// Adds entries from `next` on to the bytes of a journal whose last digest is `last`.
fn extend<E: Stored>(
    bytes: &mut Vec<u8>,
    next: u64,
    mut last: Digest,
    entries: impl Iterator<Item = (E, Timestamp)>,
) -> Result<(), CaseError> {
    for (seq, (entry, time)) in (next..).zip(entries) {
        let (line, digest) =
            encode(seq, to_millisecond(time), &entry, &last).map_err(|why| CaseError::NotStorable { why })?;
        bytes.extend_from_slice(&line);
        last = digest;
    }
    Ok(())
}

/// The bytes of a copy: the records `lines` with `more` entries after them. The records are taken as they stand in the
/// file `original`, so that their digests stay even where this program would write them differently; if that can't be
/// read or is not the same any more, they are written anew from memory.
pub(super) fn copied<W: Stored>(
    lines: &[Line<Entry<W>>],
    original: Option<&[u8]>,
    more: impl Iterator<Item = (Entry<W>, Timestamp)>,
) -> Result<Vec<u8>, CaseError> {
    let as_it_stands = original.and_then(|bytes| {
        let end = bytes
            .iter()
            .enumerate()
            .filter(|(_, b)| **b == b'\n')
            .map(|(at, _)| at + 1)
            .nth(lines.len().checked_sub(1)?)?;
        let same = scan::<Entry<W>>(&bytes[..end]).lines;
        (same.last()?.digest == lines.last()?.digest).then(|| bytes[..end].to_vec())
    });
    let Some(mut bytes) = as_it_stands else {
        return rechained(lines.iter().map(|l| (l.entry.clone(), l.time)).chain(more));
    };
    let last = lines.last().map_or(Digest::NONE, |l| l.digest);
    extend(&mut bytes, lines.len() as u64, last, more)?;
    Ok(bytes)
}

/// Writes a file that is either there with all of `bytes` or not there; what has the name is not replaced.
pub(super) fn write_new(files: &dyn Files, path: &Path, bytes: &[u8]) -> Result<(), CaseError> {
    match files.ends(path, 0, 0) {
        Err(e) if e.kind() == io::ErrorKind::NotFound => {}
        _ => return Err(CaseError::Exists { path: path.to_owned() }),
    }
    replace(files, path, bytes, true).map_err(|e| CaseError::io("write", path, &e))
}

/// The bytes of a copy in which names, phone numbers, addresses, plates, VINs and notes for the agent alone are left out or
/// replaced by tokens; the original is not touched. `also` may change or leave out further entries before that.
///
/// Walk events with `"private": true` are left out; every text in all others is scanned ([`Redactor::redact`]). Tell
/// `redactor` beforehand of this computer's and account's names.
///
/// # Errors
/// [`CaseError::NotStorable`] if an entry with its texts replaced is no entry any more.
pub fn shared_copy<W: Stored>(
    lines: &[Line<Entry<W>>],
    redactor: &mut Redactor,
    also: impl Fn(&Entry<W>) -> Option<Entry<W>>,
) -> Result<Vec<u8>, CaseError> {
    // Names are told of first, because a note may speak of somebody before the record that names them.
    for line in lines {
        match &line.entry {
            Entry::Personal(data) => {
                redactor.token(data.field, &data.value);
            }
            Entry::Person(person) => {
                for name in [&person.measured, &person.typed].into_iter().flatten() {
                    redactor.token(Personal::Name, name);
                }
            }
            _ => {}
        }
    }
    let mut kept = Vec::new();
    for line in lines {
        let Some(entry) = also(&line.entry) else { continue };
        if let Some(entry) = without_personal(entry, redactor)? {
            kept.push((entry, line.time));
        }
    }
    rechained(kept.into_iter())
}

fn without_personal<W: Stored>(
    entry: Entry<W>,
    redactor: &mut Redactor,
) -> Result<Option<Entry<W>>, CaseError> {
    Ok(match entry {
        Entry::Personal(mut data) => {
            data.value = redactor.token(data.field, &data.value);
            Some(Entry::Personal(data))
        }
        Entry::Person(mut person) => {
            for name in [&mut person.measured, &mut person.typed].into_iter().flatten() {
                *name = redactor.token(Personal::Name, name);
            }
            Some(Entry::Person(person))
        }
        Entry::Header(mut header) => {
            header.shared = true;
            header.id.push_str("-shared");
            header.complaint = header.complaint.map(|c| redactor.redact(&c));
            header.site.values_mut().for_each(|v| *v = redactor.redact(v));
            let rig = redactor.redact(&header.rig);
            if rig != header.rig {
                header.rig_digest = digest_of(&rig);
                header.rig = rig;
            }
            Some(Entry::Header(header))
        }
        Entry::Walk(event) => redacted(&event, redactor)?.map(Entry::Walk),
        Entry::Extra(extra) => redacted(&extra, redactor)?.map(Entry::Extra),
        Entry::Draft(mut draft) => {
            draft.text = redactor.redact(&draft.text);
            Some(Entry::Draft(draft))
        }
        Entry::Odds(odds) => Some(Entry::Odds(odds)),
    })
}

fn redacted<T: Stored>(whole: &T, redactor: &mut Redactor) -> Result<Option<T>, CaseError> {
    let not_storable = |e: serde_json::Error| CaseError::NotStorable { why: e.to_string() };
    let mut value = serde_json::to_value(whole).map_err(not_storable)?;
    if value.get("private") == Some(&Value::Bool(true)) {
        return Ok(None);
    }
    redact_texts(&mut value, redactor);
    serde_json::from_value(value).map(Some).map_err(not_storable)
}

fn redact_texts(value: &mut Value, redactor: &mut Redactor) {
    // A file is often named after a person or a car.
    if let Some(Value::String(file)) = value.get_mut("file") {
        *file = redactor.token(Personal::Path, file);
    }
    match value {
        Value::String(text) => *text = redactor.redact(text),
        Value::Array(items) => items.iter_mut().for_each(|v| redact_texts(v, redactor)),
        Value::Object(fields) => fields.values_mut().for_each(|v| redact_texts(v, redactor)),
        _ => {}
    }
}
