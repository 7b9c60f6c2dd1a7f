//! `odds TABLE` as a whole: the JSON shape, the text, every refusal.

use crate::commands::run;
use serde_json::Value;

const TABLE: &str = "fixtures/tables/no-prime.json";

fn json(args: &[&str]) -> Value {
    let (out, errors) = run(&[&["odds"], args, &["--json"]].concat(), 0);
    assert!(errors.is_empty(), "{errors}");
    serde_json::from_str(&out).unwrap_or_else(|e| panic!("{e}: {out}"))
}

/// A table of the test's own, kept while the file is.
fn written(text: &str) -> (tempfile::NamedTempFile, String) {
    let file = tempfile::NamedTempFile::new().unwrap();
    std::fs::write(file.path(), text).unwrap();
    let path = file.path().to_str().unwrap().to_owned();
    (file, path)
}

#[test]
fn the_answer_has_its_documented_shape() {
    let answer = json(&[TABLE, "--evidence", "fuse=good"]);
    let keys: Vec<&String> = answer.as_object().unwrap().keys().collect();
    assert_eq!(keys, ["posterior", "entropy_bits", "evidence_probability", "ranking", "best"]);
    // What is left is 0.7: relay 0.25, trigger 0.15, connector 0.1, pump 0.2.
    let p = |fault: &str| answer["posterior"][fault].as_f64().unwrap();
    assert_eq!(p("pump-fuse-open"), 0.0);
    for (fault, prior) in [
        ("pump-relay-open", 0.25),
        ("pump-trigger-missing", 0.15),
        ("pump-connector-open", 0.1),
        ("pump-seized", 0.2),
    ] {
        assert!((p(fault) - prior / 0.7).abs() < 1e-12, "{fault}");
    }
    assert!((answer["evidence_probability"].as_f64().unwrap() - 0.7).abs() < 1e-12);
    let bits = |p: f64| -p * p.log2();
    let entropy: f64 = [0.25, 0.15, 0.1, 0.2].into_iter().map(|p| bits(p / 0.7)).sum();
    assert!((answer["entropy_bits"].as_f64().unwrap() - entropy).abs() < 1e-12);
    let ranking = answer["ranking"].as_array().unwrap();
    let order: Vec<&str> = ranking.iter().map(|r| r["test"].as_str().unwrap()).collect();
    assert_eq!(order, ["relay-swap", "trigger", "pump-voltage"]);
    let gain = bits(0.25 / 0.7) + bits(0.45 / 0.7);
    assert!((ranking[0]["gain_bits"].as_f64().unwrap() - gain).abs() < 1e-12);
    assert!((ranking[0]["gain_per_cost"].as_f64().unwrap() - gain / 3.0).abs() < 1e-12);
    assert_eq!(answer["best"], "relay-swap");
}

#[test]
fn several_pieces_of_evidence_are_given_either_way() {
    let repeated = json(&[TABLE, "--evidence", "fuse=good", "--evidence", "trigger=present"]);
    let listed = json(&[TABLE, "--evidence", "fuse=good", "trigger=present"]);
    assert_eq!(repeated, listed);
    assert_eq!(repeated["ranking"].as_array().unwrap().len(), 2);
}

#[test]
fn when_nothing_gains_best_is_null() {
    let answer = json(&[TABLE, "--evidence", "fuse=open"]);
    assert_eq!(answer["best"], Value::Null);
    assert_eq!(answer["entropy_bits"], 0.0);
    assert_eq!(answer["posterior"]["pump-fuse-open"], 1.0);
    let (text, _) = run(&["odds", TABLE, "--evidence", "fuse=open"], 0);
    assert!(text.contains("next: nothing"), "{text}");
}

/// Each reference table through the program, with the cost and bound of the file.
#[test]
fn the_optimum_of_every_reference_table_is_printed() {
    let file: Value =
        serde_json::from_str(include_str!("../../fixtures/reference/diagnosis/d_test_sequencing.json"))
            .unwrap();
    let cases = file["cases"].as_array().unwrap();
    for case in cases {
        let (_keep, path) = written(&case["table"].to_string());
        let answer = json(&[&path, "--optimum"]);
        for (key, expected) in [
            ("expected_cost", &case["optimal_expected_cost"]),
            ("lower_bound", &case["huffman_cost_bound"]),
            ("greedy_cost", &case["greedy_eig_per_cost_expected_cost"]),
        ] {
            let (found, expected) = (answer[key].as_f64().unwrap(), expected.as_f64().unwrap());
            assert!((found - expected).abs() < 1e-9, "{}: {key} {found} {expected}", case["id"]);
        }
        assert_eq!(answer["plan"], case["optimal_tree"], "{}", case["id"]);
    }
    assert_eq!(cases.len(), 5);
}

/// By hand: 1 + 0.7·3 + 0.45·4 + 0.3·6 = 6.7; the code lengths of 0.3, 0.25, 0.2, 0.15, 0.1 average 2.25, so no order
/// costs less than 1 + 3 + 0.25·4 = 5.
#[test]
fn the_text_says_the_same() {
    let (text, errors) = run(&["odds", TABLE, "--optimum"], 0);
    assert!(errors.is_empty());
    let expected = "\
fault                      odds
pump-fuse-open         30.000 %
pump-relay-open        25.000 %
pump-seized            20.000 %
pump-trigger-missing   15.000 %
pump-connector-open    10.000 %
2.228 bits of doubt; probability of the evidence 1

test                  gain, bits      cost  gain per cost
fuse                      0.8813         1         0.8813
relay-swap                0.8113         3         0.2704
trigger                   0.6098         4         0.1525
pump-voltage              0.7219         6         0.1203
next: fuse

cheapest order, expected cost   6.7
best gain per cost each time    6.7
no order costs less than        5

test fuse
  good: test relay-swap
    no-change: test trigger
      present: test pump-voltage
        none: pump-connector-open
        full: pump-seized
      missing: pump-trigger-missing
    runs: pump-relay-open
  open: pump-fuse-open
";
    assert_eq!(text, expected, "{text}");
}

#[test]
fn wrong_evidence_is_exit_two_and_says_what_there_is() {
    for (evidence, part) in [
        ("fuze=open", "the table has no test 'fuze'; did you mean 'fuse'?"),
        ("fuse=blown", "test 'fuse' has no outcome 'blown'; it has good, open"),
        ("fuse", "expected evidence as TEST=OUTCOME, found 'fuse'"),
    ] {
        let (out, errors) = run(&["odds", TABLE, "--evidence", evidence, "--json"], 2);
        assert!(out.is_empty(), "{out}");
        assert!(errors.starts_with("error: ") && errors.contains(part), "{errors}");
    }
}

#[test]
fn impossible_evidence_is_exit_two_and_names_the_piece() {
    let (out, errors) = run(&["odds", TABLE, "--evidence", "fuse=open", "relay-swap=runs"], 2);
    assert!(out.is_empty());
    assert!(errors.contains("impossible") && errors.contains("'relay-swap=runs'"), "{errors}");
}

#[test]
fn a_noisy_table_has_odds_but_no_optimum() {
    let noisy = std::fs::read_to_string(TABLE).unwrap().replacen("[0, 1]", "[0.1, 0.9]", 1);
    let (_keep, path) = written(&noisy);
    assert!(json(&[&path])["best"].is_string());
    let (_, errors) = run(&["odds", &path, "--optimum"], 2);
    assert!(errors.contains("not certain for fault 'pump-fuse-open'"), "{errors}");
}

#[test]
fn a_table_that_is_none_says_everything_that_is_wrong() {
    let bad = std::fs::read_to_string(TABLE)
        .unwrap()
        .replace("\"prior\": 0.3", "\"prior\": -0.3")
        .replace("\"cost\": 4", "\"cost\": -4")
        .replacen("\"pump-seized\": [1, 0]", "\"pump-siezed\": [1, 0]", 1);
    let (_keep, path) = written(&bad);
    let (out, errors) = run(&["odds", &path], 2);
    assert!(out.is_empty());
    for part in [
        "'pump-fuse-open': expected a prior above 0",
        "'trigger': expected a cost above 0",
        "did you mean 'pump-seized'?",
    ] {
        assert!(errors.contains(part), "{part}: {errors}");
    }
    for text in ["", "[]", "{\"faults\": 3}", "\u{0}", "{\"faults\":[]"] {
        let (_keep, path) = written(text);
        let (_, errors) = run(&["odds", &path], 2);
        assert!(errors.contains("expected a table"), "{text}: {errors}");
    }
}

#[test]
fn a_table_that_is_not_there_is_exit_three() {
    let (_, errors) = run(&["odds", "no/such/table.json"], 3);
    assert_eq!(errors, "error: could not read no/such/table.json: there is no such file; check the path\n");
    let (_, errors) = run(&["odds", "fixtures"], 3);
    assert!(errors.contains("folder"), "{errors}");
}

#[test]
fn rounded_rows_are_scaled_with_a_note_and_json_stays_pure() {
    let rounded = std::fs::read_to_string(TABLE).unwrap().replacen("[0, 1]", "[0.333, 0.666]", 1);
    let (_keep, path) = written(&rounded);
    let (out, errors) = run(&["odds", &path, "--json"], 0);
    assert!(serde_json::from_str::<Value>(&out).is_ok());
    assert!(errors.starts_with("note: ") && errors.contains("scaled to a sum of 1"), "{errors}");
}

#[test]
fn hidden_characters_in_ids_do_not_reach_the_terminal() {
    let turned = std::fs::read_to_string(TABLE).unwrap().replace("pump-seized", "pump\u{202e}dezies");
    let (_keep, path) = written(&turned);
    let (out, _) = run(&["odds", &path], 0);
    assert!(!out.contains('\u{202e}'), "{out}");
    let (_, errors) = run(&["odds", &path, "--evidence", "fu\u{202e}se=open"], 2);
    assert!(!errors.contains('\u{202e}'), "{errors}");
}
