//! Requirements 4 and 5 on the real file system, and where cases lie.

use super::{Toy, again_as_child, header, numbers, walk};
use faultwalk::case::{Case, CaseError, CaseFolder, CaseState, Draft, Header, Notice, ReadOnly, data_folder};
use std::ffi::OsString;
use std::path::{Path, PathBuf};

const ID: &str = "20260101-080000-real";

#[test]
fn requirement_05_the_second_opener_reads_and_is_told_who_writes() {
    let folder = tempfile::tempdir().unwrap();
    let cases = CaseFolder::open(Some(folder.path())).unwrap();
    let mut writer: Case<Toy> = cases.create(Header { id: ID.into(), ..header() }).unwrap();
    writer.append(walk(1)).unwrap();
    let mut second: Case<Toy> = cases.resume(ID).unwrap();
    let Some(ReadOnly::HeldBy(Some(holder))) = second.read_only().cloned() else {
        panic!("{:?}", second.read_only())
    };
    assert_eq!(holder.pid, std::process::id());
    assert!(!holder.host.is_empty());
    assert!(holder.since.parse::<jiff::Timestamp>().is_ok(), "{}", holder.since);
    let error = second.append(walk(2)).err().unwrap().to_string();
    assert!(
        error.contains(&format!("being written by process {} on {}", holder.pid, holder.host)),
        "{error}"
    );
    assert!(second.save_drafts(&[Draft::default()]).is_err());
    assert!(second.notices().is_empty());

    writer.append(walk(2)).unwrap();
    assert_eq!(numbers(&second), [1]);
    second.refresh().unwrap();
    assert_eq!(numbers(&second), [1, 2]);
    assert!(matches!(second.read_only(), Some(ReadOnly::HeldBy(_))));

    drop(writer);
    let mut third: Case<Toy> = cases.resume(ID).unwrap();
    assert_eq!(third.read_only(), None);
    third.append(walk(3)).unwrap();
    let viewer: Case<Toy> = cases.view(ID).unwrap();
    assert_eq!((numbers(&viewer), viewer.read_only()), (vec![1, 2, 3], Some(&ReadOnly::Asked)));
}

#[test]
fn requirement_05_a_record_half_written_by_the_writer_is_no_accident_to_the_reader() {
    let folder = tempfile::tempdir().unwrap();
    let cases = CaseFolder::open(Some(folder.path())).unwrap();
    let writer: Case<Toy> = cases.create(Header { id: ID.into(), ..header() }).unwrap();
    let whole = std::fs::read(writer.path()).unwrap();
    std::fs::write(writer.path(), [&whole[..], b"{\"seq\":1,\"ti"].concat()).unwrap();
    let reader: Case<Toy> = cases.resume(ID).unwrap();
    assert_eq!((reader.lines().len(), reader.notices().len()), (1, 0));
    drop(writer);
    assert_eq!(cases.view::<Toy>(ID).unwrap().notices(), [Notice::TailIgnored { bytes: 12 }]);
}

const LIMITED: &str = "FAULTWALK_TEST_LIMITED_FOLDER";

/// The system cuts a write short and refuses the next one, as a full disk does: the greatest size of a file is limited
/// for a child process, with the signal for it ignored so that the call fails instead (POSIX `ulimit -f`, `SIGXFSZ`).
#[cfg(unix)]
#[test]
fn requirement_04_a_write_the_system_cuts_short_is_not_called_kept() {
    if let Some(folder) = std::env::var_os(LIMITED) {
        let mut case: Case<Toy> = CaseFolder::open(Some(Path::new(&folder))).unwrap().resume(ID).unwrap();
        for n in 1.. {
            if let Err(error) = case.append(walk(n)) {
                eprintln!("kept {}\nfailed {error}", n - 1);
                return;
            }
        }
    }
    let folder = tempfile::tempdir().unwrap();
    let cases = CaseFolder::open(Some(folder.path())).unwrap();
    let path = cases.create::<Toy>(Header { id: ID.into(), ..header() }).unwrap().path().to_owned();
    let child =
        again_as_child("journal::real::requirement_04_a_write_the_system_cuts_short_is_not_called_kept");
    let script = "trap '' XFSZ; ulimit -f 8; exec \"$0\" \"$@\"";
    let output = std::process::Command::new("sh")
        .args(["-c", script])
        .arg(child.get_program())
        .args(child.get_args())
        .env(LIMITED, folder.path())
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&output.stderr);
    let kept: u64 = said.lines().find_map(|l| l.strip_prefix("kept ")).expect(&said).parse().unwrap();
    let failure = said.lines().find_map(|l| l.strip_prefix("failed ")).expect(&said);
    assert!(failure.starts_with("not saved: ") && failure.contains("file too large"), "{failure}");
    assert!(kept > 3, "{said}");
    let torn = std::fs::read(&path).unwrap().split(|b| *b == b'\n').next_back().unwrap().len();
    assert!(torn > 0, "the write was cut short");
    let mut case: Case<Toy> = cases.resume(ID).unwrap();
    assert_eq!(numbers(&case).len() as u64, kept);
    let [Notice::TailSetAside { bytes, to }] = case.notices() else { panic!("{:?}", case.notices()) };
    assert_eq!((*bytes, std::fs::read(to).unwrap().len()), (torn, torn));
    case.append(walk(kept + 1)).unwrap();
}

#[test]
fn a_case_is_found_by_its_beginning_and_listed_with_what_is_wrong() {
    let folder = tempfile::tempdir().unwrap();
    let cases = CaseFolder::open(Some(&folder.path().join("a/b"))).unwrap();
    for (id, at) in [("20260101-080000-aaaa", 1), ("20260101-090000-bbbb", 2)] {
        let time = jiff::Timestamp::from_second(at).unwrap();
        let case = cases.create_at::<Toy>(Header { id: id.into(), simulated: at == 2, ..header() }, time);
        case.unwrap().append_at(walk(1), jiff::Timestamp::from_second(100).unwrap()).unwrap();
    }
    let mut closing: Case<faultwalk::walk::Event> =
        cases.create(Header { id: "closing".into(), rig: "x".repeat(20_000), ..header() }).unwrap();
    closing.append(faultwalk::case::Entry::Walk(faultwalk::walk::Event::Closed)).unwrap();
    let score = faultwalk::case::Extra { about: "score".into(), data: 3.into() };
    closing.append(faultwalk::case::Entry::Extra(score)).unwrap();
    std::fs::write(cases.path().join("cut.jsonl"), b"{\"seq\":0,").unwrap();
    std::fs::write(cases.path().join("no case.jsonl"), b"").unwrap();
    std::fs::create_dir(cases.path().join("folder.jsonl")).unwrap();
    let listed = cases.list().unwrap();
    let states: Vec<_> = listed.iter().map(|c| (c.id.as_str(), c.state.clone(), c.records)).collect();
    assert_eq!(
        states[..3],
        [
            ("closing", CaseState::Closed, 3),
            ("20260101-090000-bbbb", CaseState::Open, 2),
            ("20260101-080000-aaaa", CaseState::Open, 2),
        ]
    );
    assert_eq!(
        states[3..],
        [("folder", CaseState::Unreadable("not a regular file".into()), 0), ("cut", CaseState::NoHeader, 0),]
    );
    assert_eq!((listed[1].simulated, listed[2].simulated), (true, false));
    assert_eq!(listed[1].changed.unwrap().as_second(), 100);
    assert_eq!(listed[1].complaint.as_deref(), Some("load"));

    assert_eq!(cases.find("20260101-09").unwrap(), "20260101-090000-bbbb");
    assert!(matches!(cases.find("2026"), Err(CaseError::Ambiguous { fits, .. }) if fits.len() == 2));
    for name in ["", "../cut", "/etc/passwd", "nothing"] {
        assert!(cases.find(name).is_err(), "{name}");
    }
    assert!(cases.create::<Toy>(Header { id: "../out".into(), ..header() }).is_err());
    let twice = cases.create::<Toy>(Header { id: "closing".into(), ..header() }).err().unwrap();
    assert!(matches!(twice, CaseError::ReadOnly { .. }), "{twice}");
    drop(closing);
    let twice = cases.create::<Toy>(Header { id: "closing".into(), ..header() }).err().unwrap();
    assert!(matches!(twice, CaseError::Exists { .. }), "{twice}");
}

#[test]
fn new_ids_differ_within_one_second() {
    let folder = tempfile::tempdir().unwrap();
    let cases = CaseFolder::open(Some(folder.path())).unwrap();
    let time = jiff::Timestamp::from_second(1_767_254_400).unwrap();
    let ids: Vec<String> =
        (0..20).map(|_| cases.create_at::<Toy>(header(), time).unwrap().id().to_owned()).collect();
    assert!(ids.iter().all(|id| id.starts_with("20260101-080000-") && id.len() == 20), "{ids:?}");
    // Each letter is by chance: twenty times the same, or in none of twenty another than the first, is beyond chance.
    let letters: Vec<&[u8]> = ids.iter().map(|id| &id.as_bytes()[16..]).collect();
    for at in 0..4 {
        assert!(letters.iter().any(|l| l[at] != letters[0][at]), "{ids:?}");
        assert!(at == 0 || letters.iter().any(|l| l[at] != l[0]), "{ids:?}");
    }
}

#[test]
fn cases_lie_in_the_data_folder_of_the_account() {
    let folder = |data: Option<&str>, home: Option<&str>| {
        data_folder(|name| match name {
            "XDG_DATA_HOME" => data.map(OsString::from),
            "HOME" => home.map(OsString::from),
            _ => None,
        })
    };
    let at = |path: &str| Some(PathBuf::from(path));
    assert_eq!(folder(Some("/d"), Some("/h")), at("/d/faultwalk/cases"));
    assert_eq!(folder(None, Some("/h")), at("/h/.local/share/faultwalk/cases"));
    // A relative path in the variable is to be ignored (XDG Base Directory Specification 0.8, Basics).
    assert_eq!(folder(Some("relative"), Some("/h")), at("/h/.local/share/faultwalk/cases"));
    assert_eq!(folder(Some(""), Some("/h")), at("/h/.local/share/faultwalk/cases"));
    assert_eq!(folder(None, None), None);
}

#[test]
fn half_typed_text_survives_and_is_no_part_of_the_journal() {
    let folder = tempfile::tempdir().unwrap();
    let cases = CaseFolder::open(Some(folder.path())).unwrap();
    let case: Case<Toy> = cases.create(Header { id: ID.into(), ..header() }).unwrap();
    let before = std::fs::read(case.path()).unwrap();
    let drafts = [
        Draft { step: Some("fit".into()), field: "reading".into(), text: "43.\n\u{1b}".into() },
        Draft::default(),
    ];
    case.save_drafts(&drafts[1..]).unwrap();
    case.save_drafts(&drafts).unwrap();
    drop(case);
    let case: Case<Toy> = cases.resume(ID).unwrap();
    assert_eq!(case.drafts(), drafts);
    assert_eq!(std::fs::read(case.path()).unwrap(), before);
    case.save_drafts(&[]).unwrap();
    case.save_drafts(&[]).unwrap();
    assert!(case.drafts().is_empty());
}
