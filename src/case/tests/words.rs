//! What is said to the person.

use crate::case::error::io_words;
use crate::case::*;
use std::io;
use std::path::PathBuf;

#[test]
fn every_error_says_what_where_why_and_what_to_do() {
    let path = PathBuf::from("/c/a\u{202e}.jsonl");
    let seen = "/c/a{U+202E}.jsonl";
    let name = "x\u{1b}".to_owned();
    let pairs = [
        (
            CaseError::NotFound { name: name.clone(), folder: "/c".into() },
            "there is no case 'x{U+001B}' in /c; `faultwalk cases` lists those there are".to_owned(),
        ),
        (
            CaseError::Ambiguous { name, fits: vec!["xa".into(), "xb".into()] },
            "'x{U+001B}' is the beginning of several cases: xa, xb; type more of the name".to_owned(),
        ),
        (
            CaseError::NoFolder,
            "expected a folder for cases, but neither XDG_DATA_HOME nor HOME names one; give it with --cases FOLDER".to_owned(),
        ),
        (CaseError::io("read", &path, &io::ErrorKind::NotFound.into()), format!("could not read {seen}: it is not there")),
        (
            CaseError::Newer { path: path.clone(), found: "journal version 2".into() },
            format!("{seen} was written by a newer program (journal version 2); it was not touched; open it with that program"),
        ),
        (
            CaseError::NoHeader { path: path.clone() },
            format!(
                "{seen} does not begin with the header of a case; it was not touched; if it was one, its first record is \
                 damaged and a copy made earlier is needed"
            ),
        ),
        (
            CaseError::ReadOnly { path: path.clone(), why: ReadOnly::Asked },
            format!("{seen} can only be read: it was opened to be read"),
        ),
        (
            CaseError::NotKept { path: path.clone(), why: "the disk is full".into() },
            format!(
                "not saved: {seen} takes no more, because the disk is full; what is on the screen is not kept; copy the case \
                 to another folder and go on there"
            ),
        ),
        (
            CaseError::NotStorable { why: "it has no kind".into() },
            "not saved: the entry can't be stored, because it has no kind".to_owned(),
        ),
        (CaseError::Exists { path }, format!("{seen} is there already and was not touched; choose another name")),
        (
            CaseError::Forked { id: "a".into(), common: 4, here: 1, there: 2 },
            "case a went on in two places: after 4 common records there are 1 here and 2 in the file; nothing was changed; \
             keep both by importing into another folder"
                .to_owned(),
        ),
    ];
    for (error, words) in pairs {
        assert_eq!(error.to_string(), words);
    }
}

#[test]
fn a_systems_error_is_said_in_plain_words() {
    for (kind, words) in [
        (io::ErrorKind::StorageFull, "the disk is full"),
        (io::ErrorKind::QuotaExceeded, "the disk is full"),
        (io::ErrorKind::ReadOnlyFilesystem, "the disk can only be read"),
        (io::ErrorKind::PermissionDenied, "there is no permission for it"),
        (io::ErrorKind::NotFound, "it is not there"),
        (io::ErrorKind::AlreadyExists, "it is there already"),
    ] {
        assert_eq!(io_words(&kind.into()), words);
        assert_eq!(io_words(&io::Error::new(kind, "Something Else (os error 3)")), words);
    }
    assert_eq!(io_words(&io::Error::other("Odd Thing (os error 999)")), "odd thing");
    assert_eq!(io_words(&io::Error::other("Odd")), "odd");
}

#[test]
fn why_a_case_can_only_be_read_and_what_was_noticed_is_said() {
    let holder = Holder { pid: 7, host: "pc\u{1b}\n".into(), since: "now\t".into() };
    assert_eq!(holder.to_string(), "process 7 on pc{U+001B} since now");
    assert_eq!(Holder::read(&holder.to_bytes()), Some(holder.clone()));
    assert_eq!(Holder::read(b"somebody"), None);
    for (why, words) in [
        (ReadOnly::Asked, "it was opened to be read"),
        (
            ReadOnly::HeldBy(Some(holder)),
            "it is being written by process 7 on pc{U+001B} since now; close it there first",
        ),
        (ReadOnly::HeldBy(None), "another program is writing it; close it there first"),
        (
            ReadOnly::Damaged { seq: 3, byte: 99 },
            "record 3 (byte 99) is damaged and valid records follow it; what stands before it is shown; nothing was changed; go \
             on from a copy made earlier, or export what is readable into a new case",
        ),
        (ReadOnly::Storage("the disk is full".into()), "it can't be written, because the disk is full"),
    ] {
        assert_eq!(why.to_string(), words);
    }
    for (notice, words) in [
        (
            Notice::TailSetAside { bytes: 12, to: "/c/a.torn-1\u{7}".into() },
            "the last write was cut off; its 12 bytes were moved to /c/a.torn-1{U+0007}; every record before it is kept; check \
             whether the last thing you did is there",
        ),
        (
            Notice::TailIgnored { bytes: 12 },
            "the last 12 bytes are no whole record and are not shown; nothing was changed",
        ),
        (
            Notice::ClockBack { at: vec![2, 3] },
            "the clock had been set back at record 2, 3; the order of records is right",
        ),
        (
            Notice::NoLocks,
            "this folder has no locks; make sure that nobody else has the case open, or the second of two writers stops being \
             saved",
        ),
    ] {
        assert_eq!(notice.to_string(), words);
    }
}
