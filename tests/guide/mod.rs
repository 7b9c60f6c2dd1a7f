//! The contributor guide says what the program is: tables generated from the code may not drift.

use faultwalk::rig::{FIELDS, Field, Kind};
use std::fmt::Write;
use std::path::Path;

fn guide() -> String {
    std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("DEVELOPERS.md")).unwrap()
}

/// The lines between `<!-- NAME -->` and `<!-- end of NAME -->`.
#[track_caller]
fn block<'a>(text: &'a str, name: &str) -> &'a str {
    let (start, end) = (format!("<!-- {name} -->\n"), format!("<!-- end of {name} -->"));
    let from = text.find(&start).unwrap_or_else(|| panic!("no {start}")) + start.len();
    &text[from..from + text[from..].find(&end).unwrap_or_else(|| panic!("no {end}"))]
}

fn takes(field: &Field) -> String {
    match field.kind {
        Kind::Text => "text".to_owned(),
        Kind::Quantity(dimension) => dimension.name().to_owned(),
        Kind::Flow => "flow by volume or mass".to_owned(),
        Kind::Number => "number".to_owned(),
        Kind::Choice(ids) => ids.iter().map(|id| format!("`{id}`")).collect::<Vec<_>>().join(", "),
        Kind::YesNo => "`yes` or `no`".to_owned(),
        Kind::Conditions => "list of conditions".to_owned(),
        Kind::Curve => "rows of rise, flow, current".to_owned(),
        Kind::Range => "range".to_owned(),
        Kind::Accuracy => "accuracy class or statement".to_owned(),
        Kind::Tools => "list of tools".to_owned(),
    }
}

#[test]
fn the_table_of_rig_keys_is_the_one_the_program_has() {
    let mut table = "| key | what it is | takes | default |\n|---|---|---|---|\n".to_owned();
    for field in FIELDS {
        let default = if field.default.is_empty() { "–" } else { field.default };
        writeln!(table, "| `{}` | {} | {} | {default} |", field.path, field.label, takes(field)).unwrap();
    }
    let text = guide();
    let kept = block(&text, "rig keys");
    assert!(kept == table, "put this between the marks in DEVELOPERS.md:\n{table}");
}

/// Every file of the model stands in its chapter, and nothing stands there that is gone.
#[test]
fn the_chapter_on_the_model_names_every_file() {
    let text = guide();
    let mut named: Vec<String> = block(&text, "model files")
        .lines()
        .filter_map(|line| line.strip_prefix("| `")?.split('`').next())
        .map(str::to_owned)
        .collect();
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/physics");
    let mut there: Vec<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| name != "mod.rs")
        .collect();
    named.sort();
    there.sort();
    assert_eq!(named, there);
}

fn sources(folder: &Path, found: &mut Vec<String>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources(&path, found);
        } else if path.extension().is_some_and(|e| e == "rs") {
            found.push(std::fs::read_to_string(&path).unwrap());
        }
    }
}

/// The requirements are numbered 1 to 30, and a test says in its name which of them it holds.
#[test]
fn every_requirement_has_a_test_named_after_it_and_none_is_left_out() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut texts = Vec::new();
    sources(&root.join("src"), &mut texts);
    sources(&root.join("tests"), &mut texts);
    let mut named = std::collections::BTreeSet::new();
    for line in texts.iter().flat_map(|t| t.lines()) {
        let ignored = line.trim_start().starts_with("#[ignore");
        assert!(!ignored, "a test that is not run holds nothing: {line}");
        if let Some(name) = line.trim_start().strip_prefix("fn requirement_") {
            named.extend(name.split('_').take(3).filter_map(|n| n.parse::<u32>().ok()));
        }
    }
    let missing: Vec<u32> = (1..=30).filter(|n| !named.contains(n)).collect();
    assert!(missing.is_empty(), "no test is named after requirement {missing:?}");
}
