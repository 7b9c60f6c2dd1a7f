//! The program as a whole: usage errors, exit codes, completions, manual, a reader that goes away.

mod complaints;
mod examples;
mod ids;
mod units;

use std::process::{Command, Output, Stdio};

/// Runs the program in an empty folder with an empty home.
pub fn faultwalk(args: &[&str]) -> Output {
    let home = tempfile::tempdir().unwrap();
    Command::new(env!("CARGO_BIN_EXE_faultwalk"))
        .args(args)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .env_clear()
        .env("HOME", home.path())
        .stdin(Stdio::null())
        .output()
        .unwrap()
}

/// Everything about a run, for the message of a failing test.
pub fn transcript(args: &[&str], output: &Output) -> String {
    format!(
        "faultwalk {}\nexit: {:?}\n--- stdout\n{}\n--- stderr\n{}",
        args.join(" "),
        output.status.code(),
        String::from_utf8_lossy(&output.stdout),
        String::from_utf8_lossy(&output.stderr)
    )
}

/// Runs the program, asserts its exit code and gives stdout and stderr.
#[track_caller]
pub fn run(args: &[&str], code: i32) -> (String, String) {
    let output = faultwalk(args);
    assert_eq!(output.status.code(), Some(code), "{}", transcript(args, &output));
    (
        String::from_utf8(output.stdout).expect("stdout is UTF-8"),
        String::from_utf8(output.stderr).expect("stderr is UTF-8"),
    )
}

#[test]
fn help_and_version_are_no_errors() {
    let (help, errors) = run(&["--help"], 0);
    assert!(help.contains("completions") && errors.is_empty(), "{help}");
    let (version, _) = run(&["--version"], 0);
    assert_eq!(version, format!("faultwalk {}\n", env!("CARGO_PKG_VERSION")));
}

#[test]
fn an_unknown_command_is_named_with_its_neighbour() {
    let (out, errors) = run(&["completion", "bash"], 2);
    assert!(out.is_empty());
    assert!(errors.contains("'completions'"), "{errors}");
}

#[test]
fn practice_takes_the_word_plain_and_is_line_by_line() {
    for args in [&["practice", "--plain", "--seed", "1"][..], &["--plain", "practice", "--seed", "1"]] {
        let (out, errors) = run(args, 0);
        assert!(out.contains("PRACTICE on a simulated car, exercise 1"), "{out}{errors}");
    }
}

#[test]
fn trees_stand_in_a_line_each_and_one_that_is_named_whole() {
    let (table, _) = run(&["trees"], 0);
    let rows: Vec<&str> = table.lines().collect();
    assert!(rows.iter().all(|r| r.chars().count() <= 100), "{table}");
    assert_eq!(rows.len(), 3 + faultwalk::library::Library::embedded().trees().len(), "{table}");
    assert!(
        rows[0].starts_with("tree") && table.contains("runs-lean") && !table.contains("pump worn"),
        "{table}"
    );
    let (whole, _) = run(&["trees", "runs-lean"], 0);
    assert!(whole.starts_with("runs-lean: Runs lean") && whole.contains("finds 63: "), "{whole}");
    assert!(!whole.contains("electrical-only"), "{whole}");
    let (_, errors) = run(&["trees", "runs-leen"], 2);
    assert!(errors.contains("did you mean 'runs-lean'?"), "{errors}");
}

#[test]
fn a_rig_file_that_is_none_is_said_before_anything_opens() {
    let (out, errors) = run(&["--plain", "--rig", "no/such/car.yaml"], 3);
    assert!(out.is_empty() && errors.contains("no/such/car.yaml"), "{errors}");
    let (out, _) = run(&["--plain", "--rig", "fixtures/rigs/orchard-pickup.yaml"], 0);
    assert!(out.contains("What is wrong with the car?"), "{out}");
}

#[test]
fn every_shell_gets_completions_that_know_the_commands() {
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let (script, _) = run(&["completions", shell], 0);
        assert!(script.contains("manual"), "{shell}: {script}");
    }
}

#[test]
fn the_manual_is_a_page_and_a_folder_of_pages() {
    let (page, _) = run(&["manual"], 0);
    assert!(page.contains(".TH faultwalk 1"), "{page}");
    let folder = tempfile::tempdir().unwrap();
    let (listed, _) = run(&["manual", "--out", folder.path().to_str().unwrap()], 0);
    assert!(listed.lines().count() >= 3, "{listed}");
    for path in listed.lines() {
        let text = std::fs::read_to_string(path).unwrap();
        assert!(text.contains(".SH SYNOPSIS"), "{path}: {text}");
    }
}

#[test]
fn a_folder_that_can_not_be_made_is_exit_three() {
    let file = tempfile::NamedTempFile::new().unwrap();
    let inside = file.path().join("pages");
    let (_, errors) = run(&["manual", "--out", inside.to_str().unwrap()], 3);
    assert!(errors.starts_with("error: could not make the folder"), "{errors}");
}

#[cfg(target_os = "linux")]
#[test]
fn a_reader_that_goes_away_is_no_error_and_a_full_disk_is() {
    let mut child = Command::new(env!("CARGO_BIN_EXE_faultwalk"))
        .args(["completions", "bash"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert!(output.stderr.is_empty(), "{}", String::from_utf8_lossy(&output.stderr));
    assert_eq!(output.status.code(), Some(0));

    let full = std::fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
    let output = Command::new(env!("CARGO_BIN_EXE_faultwalk"))
        .args(["completions", "bash"])
        .stdout(full)
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(3));
    assert!(String::from_utf8_lossy(&output.stderr).contains("could not write the output"));
}

#[test]
fn what_stands_before_a_command_and_would_count_for_nothing_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let cases = folder.path().to_str().unwrap();
    let (_, said) = run(&["--cases", cases, "cases"], 2);
    assert!(said.contains("behind the command"), "{said}");
    run(&["cases", "--cases", cases], 0);
    run(&["--no-color", "cases", "--cases", cases], 0);
}
