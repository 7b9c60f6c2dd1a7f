//! Requirement 4 on file systems of the test's own: one that is full, one that can only be read. Each is mounted for a child
//! process alone (Linux, `unshare(1)`), so nothing of it is seen outside and nothing is left.

use super::{Toy, again_as_child, header, numbers, walk};
use faultwalk::case::{Case, CaseError, CaseFolder, Draft, Header, ReadOnly};
use std::path::{Path, PathBuf};
use std::process::Command;

const ID: &str = "20260101-080000-full";
const FOLDER: &str = "FAULTWALK_TEST_MOUNTED_FOLDER";

/// The folder of a child, or none in the parent.
fn mounted() -> Option<PathBuf> {
    std::env::var_os(FOLDER).map(PathBuf::from)
}

/// Runs the test `name` again as a child that has `mount` done on `folder`. Where the system lets nobody mount, that is said and only
/// the parent's part of the test counts; the same errors come from the faulty file operations in `crash` on any machine.
fn with_mount(name: &str, mount: &str, folder: &Path) -> bool {
    let unshare = |script: &str| {
        let mut command = Command::new("unshare");
        command.args(["--map-root-user", "--mount", "sh", "-c", script]).env(FOLDER, folder);
        command
    };
    if !unshare("mount -t tmpfs none /tmp").status().is_ok_and(|s| s.success()) {
        return false;
    }
    let child = again_as_child(name);
    let script = format!("{mount} && exec \"$0\" \"$@\"");
    let output = unshare(&script).arg(child.get_program()).args(child.get_args()).output().unwrap();
    let said = String::from_utf8_lossy(&output.stdout) + String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success() && said.contains("1 passed"), "{said}");
    true
}

#[cfg(target_os = "linux")]
#[test]
fn requirement_04_on_a_full_disk_nothing_is_called_kept_that_is_not_and_the_case_goes_on_elsewhere() {
    let name = "journal::mounted::requirement_04_on_a_full_disk_nothing_is_called_kept_that_is_not_and_the_case_goes_on_elsewhere";
    if let Some(folder) = mounted() {
        let full = CaseFolder::open(Some(&folder.join("small"))).unwrap();
        let mut case: Case<Toy> = full.create(Header { id: ID.into(), ..header() }).unwrap();
        let mut kept = 0;
        let error = loop {
            match case.append(walk(kept + 1)) {
                Ok(_) => kept += 1,
                Err(error) => break error,
            }
        };
        assert!(kept > 20, "{kept}");
        let said = error.to_string();
        assert!(matches!(error, CaseError::NotKept { .. }) && said.contains("the disk is full"), "{said}");
        assert_eq!(case.stopped(), Some("the disk is full"));
        assert_eq!(numbers(&full.view(ID).unwrap()).len() as u64, kept, "what was kept is shown");
        let large = Draft { text: "x".repeat(100_000), ..Draft::default() };
        let error = case.save_drafts(&[large]).unwrap_err().to_string();
        assert!(error.contains("the disk is full"), "{error}");

        let elsewhere = folder.join(format!("large/{ID}.jsonl"));
        case.copy_out(&elsewhere, vec![walk(kept + 1)]).unwrap();
        case.append(walk(kept + 2)).unwrap();
        assert_eq!(numbers(&case).len() as u64, kept + 2);
        drop(case);
        // Opened where it is full: everything kept is there, and either a write still has room or it is said that it has not.
        let mut case: Case<Toy> = full.resume(ID).unwrap();
        assert_eq!(numbers(&case).len() as u64, kept);
        let outcome = (0..100).try_for_each(|n| case.append(walk(kept + 1 + n)).map(drop));
        assert!(outcome.unwrap_err().to_string().contains("the disk is full"));
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    for name in ["small", "large"] {
        std::fs::create_dir(folder.path().join(name)).unwrap();
    }
    let mount = format!("mount -t tmpfs -o size=64k none \"${FOLDER}/small\"");
    if with_mount(name, &mount, folder.path()) {
        let there = CaseFolder::open(Some(&folder.path().join("large"))).unwrap();
        let saved = numbers(&there.resume(ID).unwrap());
        assert!(saved.len() > 22 && saved.iter().copied().eq(1..=saved.len() as u64), "{saved:?}");
    } else {
        eprintln!("not tried: this system lets nobody mount a file system");
    }
}

#[cfg(target_os = "linux")]
#[test]
fn requirement_04_a_disk_that_can_only_be_read_shows_the_case_and_says_why_it_stays_so() {
    let name = "journal::mounted::requirement_04_a_disk_that_can_only_be_read_shows_the_case_and_says_why_it_stays_so";
    if let Some(folder) = mounted() {
        let cases = CaseFolder::open(Some(&folder)).unwrap();
        let mut case: Case<Toy> = cases.resume(ID).unwrap();
        assert_eq!(numbers(&case), [1]);
        assert_eq!(case.read_only(), Some(&ReadOnly::Storage("the disk can only be read".into())));
        let error = case.append(walk(2)).err().unwrap().to_string();
        assert!(error.contains("it can't be written, because the disk can only be read"), "{error}");
        let error = cases.create::<Toy>(header()).err().unwrap().to_string();
        assert!(
            error.starts_with("could not create the case") && error.contains("can only be read"),
            "{error}"
        );
        let error = CaseFolder::open(Some(&folder.join("deeper"))).err().unwrap().to_string();
        assert!(error.contains("can only be read"), "{error}");
        assert_eq!(cases.list().unwrap().len(), 1);
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let cases = CaseFolder::open(Some(folder.path())).unwrap();
    let mut case: Case<Toy> = cases.create(Header { id: ID.into(), ..header() }).unwrap();
    case.append(walk(1)).unwrap();
    let path = case.path().to_owned();
    drop(case);
    let before = std::fs::read(&path).unwrap();
    let mount = format!("mount --bind \"${FOLDER}\" \"${FOLDER}\" && mount -o remount,bind,ro \"${FOLDER}\"");
    if !with_mount(name, &mount, folder.path()) {
        eprintln!("not tried: this system lets nobody mount a file system");
    }
    assert_eq!(std::fs::read(&path).unwrap(), before);
}
