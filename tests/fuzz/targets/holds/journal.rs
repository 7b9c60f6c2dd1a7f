//! Journals.

use faultwalk::case::{Entry, Header, Line, Tail, rechained, scan};
use faultwalk::walk::Event;
use jiff::Timestamp;

/// A journal of a header and three notes.
fn whole() -> Vec<u8> {
    let first = Entry::Header(Header { version: 1, id: "case".into(), ..Header::default() });
    let note = |n: u32| Event::NoteAdded { step: None, text: format!("{{\"seq\":{n}"), private: false };
    let entries = std::iter::once(first).chain((1..4).map(|n| Entry::Walk(note(n))));
    rechained(entries.map(|e| (e, Timestamp::UNIX_EPOCH))).unwrap_or_default()
}

fn is_prefix(of: &[Line<Entry>], lines: &[Line<Entry>]) -> bool {
    lines.len() <= of.len() && lines.iter().zip(of).all(|(a, b)| a == b)
}

/// Whatever the bytes: what is read is numbered from 0 and reads the same again. Written after a good journal they take
/// nothing of it away; laid over one they change no record that is still read.
pub fn journal(data: &[u8]) {
    let found = scan::<Entry>(data);
    assert!(found.good <= data.len());
    assert!(found.lines.iter().zip(0..).all(|(line, n)| line.seq == n));
    let again = scan::<Entry>(&data[..found.good]);
    assert_eq!((again.lines, again.good, again.tail), (found.lines, found.good, Tail::Clean));

    let whole = whole();
    let original = scan::<Entry>(&whole).lines;
    assert_eq!(original.len(), 4);
    let longer = scan::<Entry>(&[&whole[..], data].concat());
    assert!(longer.good >= whole.len() && longer.lines[..4] == original, "a record is gone");
    if let [at, over @ ..] = data {
        let mut hurt = whole.clone();
        let at = usize::from(*at) * whole.len() / 256;
        hurt.iter_mut().skip(at).zip(over).for_each(|(b, x)| *b ^= x);
        let read = scan::<Entry>(&hurt);
        assert!(is_prefix(&original, &read.lines), "a changed record was taken for good");
        let untouched = whole[..at].split(|b| *b == b'\n').count() - 1;
        let newer = matches!(read.tail, Tail::Newer(_));
        assert!(read.lines.len() >= untouched || newer, "an untouched record is gone");
    }
}
