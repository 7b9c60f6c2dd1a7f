//! An id that is none: every command says which there are, the nearest first.

use super::run;

/// The error of a run that ends with bad usage, wrapped lines joined.
#[track_caller]
fn refused(args: &[&str]) -> String {
    let (out, errors) = run(args, 2);
    assert!(out.is_empty(), "{out}");
    errors.split_whitespace().collect::<Vec<_>>().join(" ")
}

const RIG: &str = "fixtures/rigs/orchard-pickup.yaml";

#[test]
fn an_unknown_id_of_an_option_lists_the_known_ones_and_the_nearest() {
    for (args, near, known) in [
        (vec!["expect", RIG, "--fault", "pump-wron"], "did you mean 'pump-worn'?", "feed-filter-blocked"),
        (vec!["expect", RIG, "--fault", "filter"], "'filter' is no fault", "feed-filter-blocked"),
        (vec!["expect", RIG, "--at", "idel"], "did you mean 'idle'?", "hot-prime"),
        (vec!["trees", "--complaint", "leen"], "did you mean 'lean'?", "rich"),
        (vec!["practice", "--tools", "multimetre"], "did you mean 'multimeter'?", "vacuum-gauge"),
        (vec!["supply", RIG, "--induction", "blow-trough"], "did you mean 'blow-through'?", "draw-through"),
        (vec!["prove", "--list", "--fault", "pump-wron"], "did you mean 'pump-worn'?", "feed-filter-blocked"),
        (vec!["prove", "--list", "--tools", "eye"], "'eye' is no tool", "multimeter"),
    ] {
        let errors = refused(&args);
        assert!(errors.contains(near), "{args:?}: {errors}");
        let (_, list) = errors.split_once("There are:").unwrap_or_else(|| panic!("{args:?}: {errors}"));
        assert!(list.contains(known), "{args:?}: {errors}");
    }
}

#[test]
fn the_help_says_which_severity_a_fault_without_one_takes_and_so_does_the_result() {
    let (help, _) = run(&["expect", "--help"], 0);
    let flat = help.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flat.contains("from 0 to 1; 0.6 when left out"), "{help}");
    let (out, _) = run(&["expect", RIG, "--fault", "feed-filter-blocked"], 0);
    assert!(out.contains("(severity 0.6)"), "{out}");
    let given = run(&["expect", RIG, "--fault", "feed-filter-blocked=0.6"], 0).0;
    assert_eq!(out, given);
}

#[test]
fn an_unknown_tree_is_named_with_the_nearest_and_where_they_are_listed() {
    for command in ["draw", "walk", "practice", "prove"] {
        let errors = refused(&[command, "nothing"]);
        assert!(errors.contains("no tree has that id"), "{command}: {errors}");
        assert!(errors.contains("'faultwalk trees' lists them"), "{command}: {errors}");
        assert!(!errors.contains("error: error") && !errors.contains("nothing.yaml"), "{command}: {errors}");
        let errors = refused(&[command, "run-lean"]);
        assert!(errors.contains("did you mean 'runs-lean'?"), "{command}: {errors}");
    }
}

#[test]
fn a_tree_that_is_wrong_is_one_error_not_an_error_of_an_error() {
    let errors = refused(&["draw", "fixtures/bad/dangling-target-misspelt.yaml"]);
    assert!(errors.starts_with("error[dangling-target]"), "{errors}");
}

#[test]
fn a_file_that_is_no_tree_is_told_what_it_is_and_how_a_tree_begins() {
    let folder = tempfile::tempdir().unwrap();
    let empty = folder.path().join("empty.yaml");
    std::fs::write(&empty, "").unwrap();
    for (file, found) in [
        ("README.md", "found neither a line 'tree: ID' nor 'procedure: ID'"),
        (RIG, "found a rig file"),
        ("Cargo.toml", "found neither a line 'tree: ID' nor 'procedure: ID'"),
        (empty.to_str().unwrap(), "found an empty file"),
    ] {
        let (out, errors) = run(&["check", file], 1);
        let text = format!("{out}{errors}");
        assert!(text.contains(&format!("expected a tree or a procedure, {found}")), "{file}: {text}");
        assert!(text.contains("a tree begins with the lines"), "{file}: {text}");
        assert!(!text.contains("contributor guide"), "{file}: {text}");
        assert!(text.contains(": 1 error, "), "one thing is wrong with {file}: {text}");
    }
}

#[test]
fn without_a_case_the_list_says_how_to_begin_one_and_a_filter_says_it_filtered() {
    let folder = tempfile::tempdir().unwrap();
    let cases = folder.path().to_str().unwrap();
    let (out, _) = run(&["cases", "--cases", cases], 0);
    assert!(out.starts_with("No case is kept in") && out.contains("'faultwalk' begins one"), "{out}");
    let (out, _) = run(&["cases", "--cases", cases, "--text", "hills"], 0);
    assert!(out.contains("without --text, --state and --tree all are listed"), "{out}");
}

#[test]
fn a_test_that_a_table_does_not_have_is_answered_with_those_it_has() {
    let table = "fixtures/tables/no-prime.json";
    for (piece, near) in [("fus=good", "did you mean 'fuse'?"), ("aquarium=good", "it has ")] {
        let errors = refused(&["odds", table, "--evidence", piece]);
        assert!(errors.contains(near) && errors.contains("fuse, "), "{errors}");
    }
}

#[test]
fn a_list_of_one_fault_says_of_each_car_without_it_why() {
    let rigs = tempfile::tempdir().unwrap();
    for (file, text) in [("a", ""), ("b", "filter: {drop: 2 kPa, at: 200 L/h}\nengine: {power: 100 hp}\n")] {
        let text = format!("format: 1\nrig: car {file}\n{text}");
        std::fs::write(rigs.path().join(format!("{file}.yaml")), text).unwrap();
    }
    let rigs = rigs.path().to_str().unwrap();
    let args = ["prove", "runs-lean", "--list", "--fault", "feed-filter-blocked", "--rigs", rigs];
    let said = String::from_utf8(super::faultwalk(&args).stdout).unwrap();
    let of = |car: &str| {
        let rest = said.split(&format!(" on {car}: ")).nth(1).unwrap_or_else(|| panic!("{said}"));
        rest.lines().skip(1).take_while(|l| l.starts_with("  ")).collect::<Vec<_>>().join("\n")
    };
    assert_eq!(of("car a"), "  cannot have it: this rig states no filter", "{said}");
    assert!(of("car b").starts_with("  nobody would notice it here"), "{said}");
    let args = ["prove", "electrical-only", "--list", "--fault", "pump-seized", "--rigs", rigs];
    let said = String::from_utf8(super::faultwalk(&args).stdout).unwrap();
    assert!(said.contains("pump-seized=") && !said.contains("nobody") && !said.contains("cannot"), "{said}");
}
