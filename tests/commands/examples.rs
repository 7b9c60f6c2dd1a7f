//! The examples of the help work in an empty folder, with nothing but the program.

use faultwalk::cli::command;
use std::path::Path;
use std::process::{Command, Stdio};

/// Runs a line as a shell would, in this folder; `> FILE` is kept there.
fn shell(folder: &Path, line: &str) -> (Option<i32>, String) {
    let program = env!("CARGO_BIN_EXE_faultwalk");
    let line = line.replacen("faultwalk", program, 1);
    let output = Command::new("sh")
        .args(["-c", &line])
        .current_dir(folder)
        .env_clear()
        .env("HOME", folder)
        .stdin(Stdio::null())
        .output()
        .unwrap();
    (output.status.code(), String::from_utf8_lossy(&output.stderr).into_owned())
}

#[test]
fn the_examples_of_the_help_work_with_nothing_but_the_program() {
    let folder = tempfile::tempdir().unwrap();
    let whole = command();
    let mut ran = 0;
    for name in ["example", "expect", "supply", "walk", "odds", "trees", "schema", "draw", "calc", "check"] {
        let command = whole.find_subcommand(name).unwrap_or_else(|| panic!("there is no {name}"));
        let help = command.get_after_help().map(ToString::to_string).unwrap_or_default();
        for line in help.lines().filter(|l| l.starts_with("  faultwalk")) {
            let line = line.trim().split("  ").next().unwrap();
            // Without answers a person is asked on a terminal; a file of one's own has to be there first.
            let asks = name == "walk" && line.contains("--rig") && !line.contains("--answers");
            let own = line.contains("mine") || line.contains("my-trees") || line.contains(" | ");
            if asks || own {
                continue;
            }
            let (code, errors) = shell(folder.path(), line);
            assert_eq!(code, Some(0), "{line}\n{errors}");
            ran += 1;
        }
    }
    assert!(ran > 14, "{ran} examples ran");
    for (file, of) in [("car.yaml", "expect car.yaml"), ("my-tree.yaml", "check my-tree.yaml")] {
        assert!(folder.path().join(file).exists(), "{file}");
        let (code, errors) = shell(folder.path(), &format!("faultwalk {of}"));
        assert_eq!(code, Some(0), "{of}: {errors}");
    }
}
