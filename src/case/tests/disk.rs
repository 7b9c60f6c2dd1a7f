//! The operations on the real file system.

use crate::case::files::{replace, write_all};
use crate::case::*;
use std::io;
use std::path::Path;

/// Takes what `takes` says, call by call.
struct Stubborn {
    takes: Vec<io::Result<usize>>,
    got: Vec<u8>,
}

impl Handle for Stubborn {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let taken = self.takes.remove(0)?;
        self.got.extend_from_slice(&bytes[..taken.min(bytes.len())]);
        Ok(taken)
    }
    fn sync_data(&mut self) -> io::Result<()> {
        Ok(())
    }
    fn sync_all(&mut self) -> io::Result<()> {
        Ok(())
    }
    fn set_length(&mut self, _: u64) -> io::Result<()> {
        Ok(())
    }
    fn length(&self) -> io::Result<u64> {
        Ok(0)
    }
}

#[test]
fn a_write_goes_on_where_it_was_cut_and_stops_where_it_fails() {
    let all = |takes: Vec<io::Result<usize>>| {
        let mut handle = Stubborn { takes, got: Vec::new() };
        let outcome = write_all(&mut handle, b"abcdef").map_err(|e| e.kind());
        (outcome, handle.got, handle.takes.len())
    };
    assert_eq!(all(vec![Ok(6)]), (Ok(()), b"abcdef".to_vec(), 0));
    assert_eq!(all(vec![Ok(2), Ok(1), Ok(3)]), (Ok(()), b"abcdef".to_vec(), 0));
    let interrupted = || Err(io::ErrorKind::Interrupted.into());
    assert_eq!(all(vec![interrupted(), Ok(4), interrupted(), Ok(2)]), (Ok(()), b"abcdef".to_vec(), 0));
    assert_eq!(all(vec![Ok(4), Ok(0), Ok(2)]), (Err(io::ErrorKind::WriteZero), b"abcd".to_vec(), 1));
    let full = || Err(io::ErrorKind::StorageFull.into());
    assert_eq!(all(vec![Ok(1), full(), Ok(5)]), (Err(io::ErrorKind::StorageFull), b"a".to_vec(), 1));
    // A system that says it took more than it was given is not believed beyond the end.
    assert_eq!(all(vec![Ok(9)]), (Ok(()), b"abcdef".to_vec(), 0));
}

#[test]
fn beginning_and_end_of_a_file_are_read_without_what_lies_between() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("file");
    std::fs::write(&path, b"0123456789").unwrap();
    let ends = |head, tail| {
        let ends = Disk.ends(&path, head, tail).unwrap();
        assert_eq!(ends.length, 10);
        (String::from_utf8(ends.head).unwrap(), String::from_utf8(ends.tail).unwrap())
    };
    for (head, tail, found) in [
        (3, 2, ("012", "89")),
        (10, 4, ("0123456789", "6789")),
        (9, 4, ("012345678", "6789")),
        (11, 20, ("0123456789", "0123456789")),
        (4, 20, ("0123", "0123456789")),
        (0, 0, ("", "")),
        (0, 3, ("", "789")),
    ] {
        assert_eq!(ends(head, tail), (found.0.to_owned(), found.1.to_owned()), "{head} and {tail}");
    }
    assert_eq!(Disk.read(&path).unwrap(), b"0123456789");
    let error = Disk.read(folder.path()).unwrap_err();
    assert_eq!((error.kind(), error.to_string()), (io::ErrorKind::InvalidInput, "not a regular file".into()));
    Disk.rewrite(&path, 8, b"xy").unwrap();
    assert_eq!(std::fs::read(&path).unwrap(), b"01234567xy");
    let long = std::fs::File::create(folder.path().join("long")).unwrap();
    let largest = 256 * 1024 * 1024;
    long.set_len(largest + 1).unwrap();
    let error = Disk.read(&folder.path().join("long")).unwrap_err();
    assert_eq!(
        (error.kind(), error.to_string()),
        (io::ErrorKind::FileTooLarge, "larger than 256 MiB".into())
    );
    let mut names = Disk.list(folder.path()).unwrap();
    names.sort();
    assert_eq!(names, ["file", "long"]);
}

#[test]
fn a_handle_appends_cuts_and_knows_its_length() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("deep/er/file");
    Disk.make_folder(path.parent().unwrap()).unwrap();
    Disk.make_folder(path.parent().unwrap()).unwrap();
    assert!(Disk.make_folder(&path.with_file_name("x\0")).is_err());
    assert!(Disk.make_folder(Path::new("")).is_err(), "no name is no folder");
    let mut handle = Disk.create_new(&path).unwrap();
    assert!(Disk.create_new(&path).is_err_and(|e| e.kind() == io::ErrorKind::AlreadyExists));
    assert_eq!(handle.write(b"abc").unwrap(), 3);
    let mut second = Disk.append(&path).unwrap();
    assert_eq!(second.write(b"de").unwrap(), 2);
    assert_eq!((handle.length().unwrap(), second.length().unwrap()), (5, 5));
    handle.set_length(4).unwrap();
    handle.sync_data().unwrap();
    handle.sync_all().unwrap();
    assert_eq!(std::fs::read(&path).unwrap(), b"abcd");
    assert!(Disk.make_folder(&path).is_err(), "a file stands where the folder belongs");
    assert!(Disk.append(&path.with_file_name("none")).is_err());
    Disk.rename(&path, &path.with_file_name("other")).unwrap();
    Disk.sync_folder(path.parent().unwrap()).unwrap();
    Disk.sync_folder(Path::new("")).unwrap();
    assert!(Disk.sync_folder(&path.with_file_name("none")).is_err());
    Disk.remove(&path.with_file_name("other")).unwrap();
    assert_eq!(Disk.list(path.parent().unwrap()).unwrap(), Vec::<String>::new());
}

/// A device takes what is written and can't be synced (`fsync(2)`, EINVAL): that nothing was made lasting is not hidden.
#[cfg(target_os = "linux")]
#[test]
fn a_sync_that_the_system_refuses_is_no_sync() {
    let mut handle = Disk.append(Path::new("/dev/null")).unwrap();
    write_all(handle.as_mut(), b"abc").unwrap();
    assert_eq!(handle.sync_data().unwrap_err().kind(), io::ErrorKind::InvalidInput);
    assert_eq!(handle.sync_all().unwrap_err().kind(), io::ErrorKind::InvalidInput);
}

#[test]
fn programs_that_make_the_folder_at_the_same_moment_all_have_it() {
    let folder = tempfile::tempdir().unwrap();
    for round in 0..100 {
        let path = folder.path().join(format!("{round}/a/b"));
        let start = std::sync::Barrier::new(4);
        std::thread::scope(|scope| {
            let made: Vec<_> = (0..4)
                .map(|_| {
                    scope.spawn(|| {
                        start.wait();
                        Disk.make_folder(&path)
                    })
                })
                .collect();
            for thread in made {
                thread.join().unwrap().unwrap();
            }
        });
        assert!(path.is_dir());
    }
}

#[test]
fn a_lock_is_free_again_once_dropped_and_tells_who_holds_it() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.lock");
    std::fs::write(&path, b"what somebody left long ago, longer than the new holder's").unwrap();
    let held = Disk.lock(&path, b"me").unwrap();
    assert!(matches!(held, Lock::Held(_)));
    assert_eq!(std::fs::read(&path).unwrap(), b"me");
    assert!(matches!(Disk.lock(&path, b"you").unwrap(), Lock::Busy(who) if who == b"me"));
    drop(held);
    assert!(matches!(Disk.lock(&path, b"you").unwrap(), Lock::Held(_)));
    assert!(Disk.lock(&folder.path().join("no/a.lock"), b"me").is_err());
}

#[test]
fn a_file_is_replaced_whole_or_not_at_all() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.draft");
    std::fs::write(folder.path().join("a.draft.new"), b"left by a kill").unwrap();
    for (bytes, lasting) in [(&b"one"[..], false), (b"two", true)] {
        replace(&Disk, &path, bytes, lasting).unwrap();
        assert_eq!(std::fs::read(&path).unwrap(), bytes);
        assert_eq!(Disk.list(folder.path()).unwrap(), ["a.draft"]);
    }
    let taken = folder.path().join("folder");
    std::fs::create_dir(&taken).unwrap();
    std::fs::write(taken.join("x"), b"").unwrap();
    assert!(replace(&Disk, &taken, b"three", true).is_err());
    let mut names = Disk.list(folder.path()).unwrap();
    names.sort();
    assert_eq!(names, ["a.draft", "folder"], "nothing half-written stays behind");
}
