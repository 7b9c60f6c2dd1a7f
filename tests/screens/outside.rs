//! The program from outside: line by line, with pipes for a terminal, in an empty home folder.

use super::Bench;
use faultwalk::case::{Case, CaseFolder, Entry};
use serde_json::Value;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant};

/// The longest anything may take on a busy machine before it counts as hung.
const PATIENCE: Duration = Duration::from_mins(2);

fn trees() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/trees/short-walk")
}

fn program(home: &Path, more: &[(&str, &str)]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_faultwalk"));
    command.env_clear().env("HOME", home).env("LC_ALL", "C.UTF-8").env("TERM", "dumb");
    command.envs(more.iter().copied());
    command
}

/// Runs it on `input`, which then ends.
#[track_caller]
fn fed(mut command: Command, input: &str) -> Output {
    let mut child =
        command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    // A program that ends without reading everything breaks the pipe, which is its right.
    let _ = child.stdin.take().unwrap().write_all(input.as_bytes());
    let until = Instant::now() + PATIENCE;
    while child.try_wait().unwrap().is_none() {
        if Instant::now() > until {
            child.kill().unwrap();
            panic!("it hangs on {input:?}");
        }
        std::thread::sleep(Duration::from_millis(5));
    }
    child.wait_with_output().unwrap()
}

/// The events of the only case in a folder, as they stand in the journal.
fn events(cases: &Path) -> Vec<Value> {
    let folder = CaseFolder::open(Some(cases)).unwrap();
    let list = folder.list().unwrap();
    assert_eq!(list.len(), 1);
    let case: Case = folder.view(&list[0].id).unwrap();
    let walk = case.lines().iter().filter_map(|l| match &l.entry {
        Entry::Walk(event) => Some(serde_json::to_value(event).unwrap()),
        _ => None,
    });
    walk.collect()
}

/// The whole short walk, line by line.
const WALK: &str = "goes lean on hills\n1\nbegin\nunderstood\nnone\nunderstood\ndone\n20 psi\nblocked\nunderstood\nrepaired\nunderstood\nnone\n36 psi\ndone\nclose\n";

#[test]
fn requirement_20_line_by_line_every_flow_and_the_same_journal() {
    let home = tempfile::tempdir().unwrap();
    let mut command = program(home.path(), &[("FAULTWALK_PLAIN", "1")]);
    command.arg("--trees").arg(trees());
    let out = fed(command, WALK);
    let said = String::from_utf8(out.stdout).unwrap();
    assert!(out.status.success(), "{said}\n{}", String::from_utf8_lossy(&out.stderr));
    assert!(!said.contains('\u{1b}') && !said.contains('\r'), "the cursor was moved:\n{said}");
    assert!(said.contains("Finding: The feed filter lets too little through."), "{said}");

    let mut b = Bench::new(80, 24);
    b.keys("goes lean on hills<enter><enter>gg").keys("yy1<enter>y<enter>20 psi<enter>2<enter>");
    b.keys("<enter>y<enter>y1<enter>36 psi<enter><enter>c").sees("Closed");
    let by_line = events(&home.path().join(".local/share/faultwalk/cases"));
    assert_eq!(by_line, events(&b.home().join("cases")));
}

#[test]
fn requirement_20_a_case_begun_on_the_screens_goes_on_line_by_line() {
    let mut b = Bench::at_reading(80, 24);
    b.keys("<c-q>").sees("What is wrong with the car?");
    let mut command = program(b.home(), &[]);
    command.args(["--plain", "--trees"]).arg(trees()).arg("--cases").arg(b.home().join("cases"));
    let out = fed(command, "cases\n1\nresume\n20 psi\nquit\n");
    let said = String::from_utf8(out.stdout).unwrap();
    assert!(said.contains("20 psi is low") && said.contains("filter by eye"), "{said}");
    b.keys("<down><enter>").sees("filter by eye").sees("20 psi ▼ low");
}

#[test]
fn requirement_21_piped_or_closed_input_never_hangs_and_each_end_has_its_code() {
    let home = tempfile::tempdir().unwrap();
    let none = fed(program(home.path(), &[]), "");
    assert_eq!(none.status.code(), Some(2));
    let said = String::from_utf8(none.stderr).unwrap();
    assert!(said.contains("expected a terminal") && said.contains("--plain"), "{said}");
    // Cut off anywhere, the dialogue ends and what was given is kept.
    for (at, _) in WALK.match_indices('\n') {
        let home = tempfile::tempdir().unwrap();
        let mut command = program(home.path(), &[]);
        command.args(["--plain", "--trees"]).arg(trees());
        let out = fed(command, &WALK[..=at]);
        assert_eq!(out.status.code(), Some(0), "after {:?}", &WALK[..=at]);
        assert!(out.stderr.is_empty(), "{}", String::from_utf8_lossy(&out.stderr));
    }
}

#[test]
fn requirement_21_a_reader_that_goes_away_is_quiet() {
    let home = tempfile::tempdir().unwrap();
    let mut command = program(home.path(), &[]);
    command.args(["--plain", "--trees"]).arg(trees());
    let mut child =
        command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    drop(child.stdout.take());
    let _ = child.stdin.take().unwrap().write_all(WALK.as_bytes());
    let out = child.wait_with_output().unwrap();
    assert!(out.stderr.is_empty(), "{}", String::from_utf8_lossy(&out.stderr));
}

#[test]
fn requirement_21_json_is_nothing_but_json() {
    let home = tempfile::tempdir().unwrap();
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let rig = root.join("fixtures/rigs/orchard-pickup.yaml");
    for command in [&["supply"][..], &["expect"]] {
        let mut run = program(home.path(), &[]);
        run.args(command).arg(&rig).arg("--json");
        let out = fed(run, "");
        assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
        serde_json::from_slice::<Value>(&out.stdout).unwrap();
    }
}

#[test]
fn requirement_29_completions_and_manual_come_from_an_empty_home() {
    let home = tempfile::tempdir().unwrap();
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let mut command = program(home.path(), &[]);
        command.args(["completions", shell]);
        let out = fed(command, "");
        assert!(out.status.success());
        let script = String::from_utf8(out.stdout).unwrap();
        for word in ["supply", "report", "plain"] {
            assert!(script.contains(word), "{shell} knows nothing of {word}");
        }
    }
    let pages = home.path().join("man");
    let mut command = program(home.path(), &[]);
    command.args(["manual", "--out"]).arg(&pages);
    assert!(fed(command, "").status.success());
    let first = std::fs::read_to_string(pages.join("faultwalk.1")).unwrap();
    assert!(first.contains(".TH") && first.contains("plain"), "{first}");
    let made: Vec<_> = std::fs::read_dir(home.path()).unwrap().map(|e| e.unwrap().file_name()).collect();
    assert_eq!(made, ["man"], "something else was written into the home folder");
}

#[test]
fn requirement_29_what_is_kept_lies_in_the_folders_of_the_xdg_specification() {
    let cases_under = |home: &Path, more: &[(&str, &str)]| {
        let mut command = program(home, more);
        command.args(["--plain", "--trees"]).arg(trees());
        assert!(fed(command, "goes lean\n1\nbegin\n").status.success());
    };
    let home = tempfile::tempdir().unwrap();
    cases_under(home.path(), &[]);
    assert!(home.path().join(".local/share/faultwalk/cases").is_dir());
    let data = tempfile::tempdir().unwrap();
    let home = tempfile::tempdir().unwrap();
    cases_under(home.path(), &[("XDG_DATA_HOME", data.path().to_str().unwrap())]);
    assert!(data.path().join("faultwalk/cases").is_dir());
    assert!(!home.path().join(".local").exists());
    // A relative path is to be ignored (XDG Base Directory Specification 0.8, "Environment variables").
    let home = tempfile::tempdir().unwrap();
    cases_under(home.path(), &[("XDG_DATA_HOME", "not/absolute")]);
    assert!(home.path().join(".local/share/faultwalk/cases").is_dir());
}
