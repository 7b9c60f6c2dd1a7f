//! One line of a journal, its digest, and the check of a whole file.

use super::entry::{JOURNAL_VERSION, Stored};
use jiff::Timestamp;
use serde::Deserialize;
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::Value;
use sha2::{Digest as _, Sha256};
use std::fmt;

/// A SHA-256 digest; shown and read as 64 lower-case hexadecimal digits.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
pub struct Digest(pub [u8; 32]);

impl Digest {
    /// What the first line's digest is chained to.
    pub const NONE: Self = Self([0; 32]);

    fn chained(&self, body: &[u8]) -> Self {
        Self(Sha256::new().chain_update(self.0).chain_update(body).finalize().into())
    }

    fn from_hex(text: &[u8; 64]) -> Option<Self> {
        let digit = |b: u8| match b {
            b'0'..=b'9' => Some(b - b'0'),
            b'a'..=b'f' => Some(b - b'a' + 10),
            _ => None,
        };
        let mut out = [0; 32];
        for (byte, pair) in out.iter_mut().zip(text.chunks(2)) {
            *byte = digit(pair[0])? << 4 | digit(pair[1])?;
        }
        Some(Self(out))
    }
}

impl fmt::Display for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|b| write!(f, "{b:02x}"))
    }
}

impl fmt::Debug for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{self}")
    }
}

/// SHA-256 of a text, in hexadecimal, as used for trees and rigs.
pub fn digest_of(text: &str) -> String {
    Digest(Sha256::digest(text.as_bytes()).into()).to_string()
}

/// A record as it stands in a journal.
#[derive(Debug, Clone, PartialEq)]
pub struct Line<E> {
    /// Its place, from 0. This and nothing else is the order.
    pub seq: u64,
    /// When it was written, to the millisecond, by the clock of that computer.
    pub time: Timestamp,
    /// What happened.
    pub entry: E,
    /// The digest that ends the line.
    pub digest: Digest,
    /// Whether an earlier record has a later time: the clock was set back.
    pub clock_back: bool,
}

/// What follows the last good record of a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Tail {
    /// Nothing.
    Clean,
    /// Bytes that are no record, and no record after them: a write that was cut off.
    Torn,
    /// A bad record with a valid one after it: damage, not a cut-off write.
    Damaged,
    /// A whole record, chained as it should be, of a kind or version this program does not know.
    Newer(String),
}

/// A file of records, checked.
#[derive(Debug, Clone, PartialEq)]
pub struct Scan<E> {
    /// Every record up to the first that is not whole.
    pub lines: Vec<Line<E>>,
    /// How many bytes they take.
    pub good: usize,
    /// What comes after them.
    pub tail: Tail,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Body {
    seq: u64,
    time: Rfc3339,
    kind: Value,
    event: Value,
}

/// A time as RFC 3339 text.
pub(super) struct Rfc3339(pub(super) Timestamp);

impl<'de> Deserialize<'de> for Rfc3339 {
    fn deserialize<D: serde::Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let text = <std::borrow::Cow<'_, str>>::deserialize(from)?;
        text.parse().map(Self).map_err(serde::de::Error::custom)
    }
}

const MARK: &[u8] = b",\"digest\":\"";
const START: &[u8] = b"{\"seq\":";
const END: &[u8] = b"\"}";
const SUFFIX: usize = MARK.len() + 64 + END.len();

/// Splits a line without its newline into the bytes the digest covers and the digest.
fn split(line: &[u8]) -> Option<(&[u8], Digest)> {
    let (body, end) = line.split_at_checked(line.len().checked_sub(SUFFIX)?)?;
    let (hex, end) = end.strip_prefix(MARK)?.split_first_chunk()?;
    (body.starts_with(START) && end == END).then_some(())?;
    Some((body, Digest::from_hex(hex)?))
}

fn entry<E: DeserializeOwned>(kind: Value, event: Value) -> Result<E, String> {
    let mut tagged = serde_json::Map::new();
    tagged.insert("kind".into(), kind);
    tagged.insert("event".into(), event);
    serde_json::from_value(Value::Object(tagged)).map_err(|e| e.to_string())
}

fn body<E: Serialize>(seq: u64, time: Timestamp, entry: &E) -> Result<String, String> {
    let value = serde_json::to_value(entry).map_err(|e| e.to_string())?;
    let Value::Object(mut tagged) = value else { return Err("it has no kind".into()) };
    let kind = tagged.remove("kind").ok_or("it has no kind")?;
    let event = tagged.remove("event").unwrap_or(Value::Null);
    Ok(format!("{{\"seq\":{seq},\"time\":\"{time:.3}\",\"kind\":{kind},\"event\":{event}"))
}

/// The line for an entry with its newline, and its digest.
///
/// # Errors
/// In words, if the entry does not come back from the line as it went in (a number that is not finite becomes `null`).
pub(super) fn encode<E: Stored>(
    seq: u64,
    time: Timestamp,
    entry_in: &E,
    previous: &Digest,
) -> Result<(Vec<u8>, Digest), String> {
    let text = body(seq, time, entry_in)?;
    let back: Body = serde_json::from_str(&format!("{text}}}")).map_err(|e| e.to_string())?;
    let again: E = entry(back.kind, back.event)?;
    if again != *entry_in || body(seq, time, &again)? != text {
        return Err("it does not come back as it was".into());
    }
    let digest = previous.chained(text.as_bytes());
    let mut line = text.into_bytes();
    line.extend_from_slice(MARK);
    line.extend_from_slice(format!("{digest}\"}}\n").as_bytes());
    Ok((line, digest))
}

/// Cuts a time to what a line stores of it.
pub(super) fn to_millisecond(time: Timestamp) -> Timestamp {
    Timestamp::from_millisecond(time.as_millisecond()).unwrap_or(time)
}

/// The version a file says it has, if its first line says one, whatever else is wrong with it.
pub(super) fn version_of(first_line: &[u8]) -> Option<u64> {
    #[derive(Deserialize)]
    struct Event {
        version: u64,
    }
    #[derive(Deserialize)]
    struct First {
        event: Event,
    }
    serde_json::from_slice::<First>(first_line).ok().map(|f| f.event.version)
}

/// Whether a file says of itself that it is newer than this program.
pub(super) fn newer(first_line: &[u8]) -> Option<String> {
    version_of(first_line).and_then(newer_than_known)
}

/// What to say of a version, if it is newer than this program.
pub(super) fn newer_than_known(version: u64) -> Option<String> {
    (version > u64::from(JOURNAL_VERSION))
        .then(|| format!("journal version {version}, known are 1 to {JOURNAL_VERSION}"))
}

/// Reads every record of `bytes` up to the first that is not whole, and says what follows. Nothing is changed.
pub fn scan<E: DeserializeOwned>(bytes: &[u8]) -> Scan<E> {
    let mut found = Scan { lines: Vec::new(), good: 0, tail: Tail::Clean };
    let first = bytes.split(|b| *b == b'\n').next().unwrap_or_default();
    if let Some(found_version) = newer(first) {
        found.tail = Tail::Newer(found_version);
        return found;
    }
    let mut previous = Digest::NONE;
    let mut latest = Timestamp::MIN;
    while found.good < bytes.len() {
        let rest = &bytes[found.good..];
        let end = rest.iter().position(|b| *b == b'\n');
        let whole = end.and_then(|end| {
            let (body, digest) = split(&rest[..end])?;
            (previous.chained(body) == digest).then_some((end, body, digest))
        });
        let parsed = whole.and_then(|(end, body, digest)| {
            let parsed: Body = serde_json::from_slice(&[body, b"}"].concat()).ok()?;
            (parsed.seq == found.lines.len() as u64).then_some((end, parsed, digest))
        });
        let Some((end, parsed, digest)) = parsed else {
            found.tail = if later_valid(rest, &previous) { Tail::Damaged } else { Tail::Torn };
            break;
        };
        let kind = parsed.kind.as_str().unwrap_or_default().to_owned();
        let Ok(entry) = entry(parsed.kind, parsed.event) else {
            found.tail = Tail::Newer(format!("record {} of kind '{kind}'", parsed.seq));
            break;
        };
        let time = parsed.time.0;
        found.lines.push(Line { seq: parsed.seq, time, entry, digest, clock_back: time < latest });
        latest = latest.max(time);
        previous = digest;
        found.good += end + 1;
    }
    found
}

/// Whether a valid record comes after the bad one `tail` begins with.
///
/// The one after a bad record is chained to a digest that may itself be damaged, so both the digest written before it and
/// the digest the bad record should have had are tried; and that of the last good record, should the bad bytes be none of ours.
fn later_valid(tail: &[u8], last_good: &Digest) -> bool {
    let starts: Vec<usize> =
        tail.windows(START.len()).enumerate().filter(|(_, w)| *w == START).map(|(at, _)| at).collect();
    let computed = |end: usize| end.checked_sub(SUFFIX + 1).map(|e| last_good.chained(&tail[..e]));
    starts.iter().enumerate().filter(|(_, at)| **at > 0).any(|(n, &at)| {
        let region = &tail[at..starts.get(n + 1).copied().unwrap_or(tail.len())];
        let before = at.checked_sub(END.len() + 1).map_or(&[][..], |end| &tail[..end]);
        let written = before.last_chunk().and_then(Digest::from_hex);
        // Where the bad record's own beginning is bad, so is any digest of it.
        let candidates = [written, if n == 1 { computed(at) } else { None }, Some(*last_good)];
        let ends = [region.len(), region.len().saturating_sub(1)];
        ends.iter()
            .filter_map(|end| split(&region[..*end]))
            .any(|(body, digest)| candidates.iter().flatten().any(|c| c.chained(body) == digest))
    })
}
