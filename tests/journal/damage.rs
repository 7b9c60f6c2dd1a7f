//! Requirements 2 and 6: damaged, cut, foreign and newer files.

use super::sim::{EROFS, Fault, Sim};
use super::{Toy, folder, header, numbers, walk};
use faultwalk::case::{Case, CaseError, Entry, Header, Notice, ReadOnly};
use jiff::{Timestamp, ToSpan};
use std::path::{Path, PathBuf};

const ID: &str = "20260101-080000-test";

fn file() -> PathBuf {
    Path::new("/cases").join(format!("{ID}.jsonl"))
}

/// A journal of a header and `count` events.
fn journal(count: u64) -> Vec<u8> {
    let sim = Sim::default();
    let mut case: Case<Toy> = folder(&sim).create(Header { id: ID.into(), ..header() }).unwrap();
    for n in 1..=count {
        case.append(walk(n)).unwrap();
    }
    sim.content(&file()).unwrap()
}

/// Where each line ends, its newline included.
fn ends(bytes: &[u8]) -> Vec<usize> {
    bytes.iter().enumerate().filter(|(_, b)| **b == b'\n').map(|(at, _)| at + 1).collect()
}

fn on_disk(bytes: &[u8]) -> Sim {
    let sim = Sim::default();
    sim.put(&file(), bytes);
    sim
}

/// The bytes of every side file.
fn set_aside(sim: &Sim) -> Vec<u8> {
    let sides = sim.names().into_iter().filter(|n| n.to_string_lossy().contains(".torn-"));
    sides.flat_map(|n| sim.content(&n).unwrap()).collect()
}

fn tail_notices(case: &Case<Toy>) -> usize {
    case.notices()
        .iter()
        .filter(|n| matches!(n, Notice::TailSetAside { .. } | Notice::TailIgnored { .. }))
        .count()
}

/// Opens damaged bytes and checks everything that must hold whatever the damage: what is shown is a prefix, not a byte is
/// gone, a tail is reported once, and if the case can be written it can be gone on with. Returns how many events survived
/// and whether it could be written.
fn open_damaged(bytes: &[u8], what: &str) -> Option<(usize, bool)> {
    let sim = on_disk(bytes);
    let case = match folder(&sim).resume::<Toy>(ID) {
        Ok(case) => case,
        Err(error) => {
            assert!(matches!(error, CaseError::NoHeader { .. } | CaseError::Newer { .. }), "{what}: {error}");
            assert_eq!(sim.content(&file()).unwrap(), bytes, "{what}: touched");
            return None;
        }
    };
    let kept = numbers(&case);
    assert!(kept.iter().copied().eq(1..=kept.len() as u64), "{what}: {kept:?}");
    let now = sim.content(&file()).unwrap();
    assert_eq!([now.clone(), set_aside(&sim)].concat(), bytes, "{what}: bytes are gone");
    let writable = case.read_only().is_none();
    if !writable {
        assert!(matches!(case.read_only(), Some(ReadOnly::Damaged { .. })), "{what}");
        assert_eq!(now, bytes, "{what}: touched");
        return Some((kept.len(), false));
    }
    assert_eq!(tail_notices(&case), usize::from(now.len() < bytes.len()), "{what}");
    drop(case);
    let mut case = folder(&sim).resume::<Toy>(ID).unwrap();
    assert_eq!(tail_notices(&case), 0, "{what}: reported twice");
    assert_eq!(numbers(&case), kept, "{what}");
    let next = kept.len() as u64 + 1;
    case.append(walk(next)).unwrap();
    drop(case);
    assert_eq!(numbers(&folder(&sim).view(ID).unwrap()).len() as u64, next, "{what}");
    Some((kept.len(), true))
}

#[test]
fn requirement_02_every_truncation_and_flip_keeps_earlier_records() {
    let whole = journal(8);
    let ends = ends(&whole);
    let lines = ends.len();
    for cut in 0..whole.len() {
        let complete = ends.iter().filter(|e| **e <= cut).count();
        let found = open_damaged(&whole[..cut], &format!("cut at {cut}"));
        let expected = complete.checked_sub(1).map(|events| (events, true));
        assert_eq!(found, expected, "cut at {cut}");
    }
    let mut changed = whole.clone();
    for at in 0..whole.len() {
        let line = ends.iter().filter(|e| **e <= at).count();
        for bit in 0..8 {
            changed[at] = whole[at] ^ (1 << bit);
            let found = open_damaged(&changed, &format!("bit {bit} of byte {at}"));
            let expected = line.checked_sub(1).map(|events| (events, line == lines - 1));
            assert_eq!(found, expected, "bit {bit} of byte {at} in line {line}");
        }
        changed[at] = whole[at];
    }
}

#[test]
fn requirement_02_a_zeroed_or_garbled_tail_is_set_aside() {
    let whole = journal(6);
    let ends = ends(&whole);
    for length in 1..whole.len() - ends[0] {
        let from = whole.len() - length;
        let complete = ends.iter().filter(|e| **e <= from).count();
        let mut zeroed = whole.clone();
        zeroed[from..].fill(0);
        assert_eq!(open_damaged(&zeroed, &format!("{length} zeros")), Some((complete - 1, true)));
        let mut garbled = whole.clone();
        garbled[from..]
            .iter_mut()
            .zip(0u32..)
            .for_each(|(b, n)| *b ^= (n.wrapping_mul(2_654_435_761) >> 24) as u8 | 1);
        assert_eq!(open_damaged(&garbled, &format!("{length} garbled")), Some((complete - 1, true)));
        let longer = [&whole[..], &vec![0; length]].concat();
        assert_eq!(open_damaged(&longer, &format!("{length} zeros after")), Some((6, true)));
    }
}

#[test]
fn requirement_02_a_record_cut_out_swapped_or_doubled_is_not_accepted() {
    let whole = journal(6);
    let ends = ends(&whole);
    let lines: Vec<&[u8]> = whole.split_inclusive(|b| *b == b'\n').collect();
    for n in 1..lines.len() - 2 {
        let without: Vec<u8> = [&lines[..n], &lines[n + 1..]].concat().concat();
        assert_eq!(open_damaged(&without, "one cut out"), Some((n - 1, false)));
        let doubled: Vec<u8> = [&lines[..=n], &lines[n..]].concat().concat();
        assert_eq!(open_damaged(&doubled, "one doubled"), Some((n, false)));
        let mut swapped = lines.clone();
        swapped.swap(n, n + 1);
        let (events, _) = open_damaged(&swapped.concat(), "two swapped").unwrap();
        assert_eq!(events, n - 1);
    }
    let sim = on_disk(&[&whole[..ends[2]], b"{}\n", &whole[ends[2]..]].concat());
    let case = folder(&sim).resume::<Toy>(ID).unwrap();
    let message = case.read_only().unwrap().to_string();
    assert!(message.starts_with(&format!("record 3 (byte {}) is damaged", ends[2])), "{message}");
}

#[test]
fn requirement_06_a_clock_set_back_changes_no_order_and_is_flagged() {
    let sim = Sim::default();
    let noon: Timestamp = "2026-01-01T12:00:00Z".parse().unwrap();
    let mut case: Case<Toy> = folder(&sim).create_at(Header { id: ID.into(), ..header() }, noon).unwrap();
    for (n, minutes) in [(1, 1), (2, -90), (3, -80), (4, 2)] {
        case.append_at(walk(n), noon + minutes.minutes()).unwrap();
    }
    let flags = |case: &Case<Toy>| case.lines().iter().map(|l| l.clock_back).collect::<Vec<_>>();
    assert_eq!(flags(&case), [false, false, true, true, false]);
    drop(case);
    let case = folder(&sim).resume::<Toy>(ID).unwrap();
    assert_eq!(numbers(&case), [1, 2, 3, 4]);
    assert_eq!(flags(&case), [false, false, true, true, false]);
    assert_eq!(case.notices(), [Notice::ClockBack { at: vec![2, 3] }]);
    assert!(case.notices()[0].to_string().contains("set back at record 2, 3"));
}

#[test]
fn requirement_02_a_tail_that_cannot_be_set_aside_stays_where_it_is() {
    let bytes = [&journal(2)[..], b"torn"].concat();
    let sim = on_disk(&bytes);
    let cases = folder(&sim);
    // The calls of opening are: list, beginning, lock, content, append, and then the side file.
    sim.plan(5, Fault::Errno(EROFS));
    let case: Case<Toy> = cases.resume(ID).unwrap();
    assert!(sim.unplan());
    assert_eq!(case.read_only(), Some(&ReadOnly::Storage("the disk can only be read".into())));
    assert_eq!((numbers(&case), case.notices()), (vec![1, 2], &[Notice::TailIgnored { bytes: 4 }][..]));
    assert_eq!((sim.content(&file()).unwrap(), set_aside(&sim)), (bytes, Vec::new()));
}

#[test]
fn requirement_06_a_newer_journal_is_refused_untouched() {
    let text = String::from_utf8(journal(2)).unwrap();
    // With the rig's text in it a header is long.
    let newer = text
        .replacen("\"version\":1", "\"version\":2", 1)
        .replace("\"rig\":\"pump: in-tank", &format!("\"rig\":\"{}", "pump: in-tank\\n".repeat(3_000)));
    assert!(newer.lines().next().unwrap().len() > 40_000);
    let sim = on_disk(newer.as_bytes());
    let error = folder(&sim).resume::<Toy>(ID).err().unwrap();
    assert!(matches!(error, CaseError::Newer { .. }));
    assert!(error.to_string().contains("newer program (journal version 2"), "{error}");
    assert_eq!(sim.names(), [file()], "not even a lock file beside it");
    assert_eq!(sim.content(&file()).unwrap(), newer.as_bytes());
}

#[test]
fn requirement_06_a_whole_record_of_an_unknown_kind_is_taken_for_a_newer_one() {
    let toy = journal(2);
    let sim = on_disk(&toy);
    let error = folder(&sim).resume::<faultwalk::walk::Event>(ID).err().unwrap();
    assert!(error.to_string().contains("record 1 of kind 'walk'"), "{error}");
    assert_eq!(sim.content(&file()).unwrap(), toy);
}

#[test]
fn requirement_06_every_released_version_opens() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/journals");
    let mut seen = 0;
    for version in 1..=faultwalk::case::JOURNAL_VERSION {
        let bytes = std::fs::read(root.join(format!("version-{version}.jsonl"))).unwrap();
        let sim = on_disk(&bytes);
        let case = folder(&sim).resume::<faultwalk::walk::Event>(ID).unwrap();
        assert_eq!(case.header().version, version);
        assert!(case.read_only().is_none());
        assert_eq!(case.lines().len(), ends(&bytes).len());
        let taken = case.events().find_map(|e| match e {
            faultwalk::walk::Event::Read { taken, .. } => Some(taken.clone()),
            _ => None,
        });
        assert_eq!(taken.unwrap().typed, "43.5 psi");
        assert_eq!(sim.content(&file()).unwrap(), bytes);
        seen += 1;
    }
    assert_eq!(seen, std::fs::read_dir(root).unwrap().count(), "a fixture of a version nobody knows");
}

#[test]
fn a_number_that_is_not_finite_is_refused_before_anything_is_written() {
    let sim = Sim::default();
    let mut case: Case<Toy> = folder(&sim).create(Header { id: ID.into(), ..header() }).unwrap();
    let before = sim.content(&file()).unwrap();
    // A missing limit is `null` in JSON too, so one that is not a number must not become a missing one.
    for (value, limit) in
        [(f64::NAN, None), (f64::INFINITY, None), (1.0, Some(f64::NAN)), (1.0, Some(f64::INFINITY))]
    {
        let error = case.append(Entry::Walk(Toy { value, limit, ..Toy::nth(1) })).err().unwrap();
        assert!(matches!(error, CaseError::NotStorable { .. }), "{error}");
    }
    assert_eq!(sim.content(&file()).unwrap(), before);
    case.append(walk(1)).unwrap();
}
