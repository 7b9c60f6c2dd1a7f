//! `cases` and `report` on a folder: list, filter, export, hand over, take in, count, verify.

use super::{FILTER, FILTER_GAUGE_ONLY, HOSE, Walked, trees, walked};
use crate::commands::run;
use faultwalk::case::{Entry, rechained};
use serde_json::Value;
use std::path::Path;

fn write(folder: &Path, id: &str, case: &Walked, change: impl Fn(&mut faultwalk::case::Header)) {
    let entries = case.lines.iter().map(|l| {
        let mut entry = l.entry.clone();
        if let Entry::Header(header) = &mut entry {
            id.clone_into(&mut header.id);
            change(header);
        }
        (entry, l.time)
    });
    std::fs::write(folder.join(format!("{id}.jsonl")), rechained(entries).unwrap()).unwrap();
}

/// Three real cases, one of them open, and one of practice.
fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    write(at, "case-a", &walked(FILTER, Vec::new()), |_| {});
    write(at, "case-b", &walked(FILTER_GAUGE_ONLY, Vec::new()), |h| h.complaint = Some("dies hot".into()));
    let mut open = walked(HOSE, Vec::new());
    open.lines.truncate(8);
    write(at, "case-c", &open, |_| {});
    write(at, "case-d", &walked(FILTER, Vec::new()), |h| h.simulated = true);
    folder
}

fn json(args: &[&str], folder: &Path) -> Value {
    let mut all = vec!["cases"];
    all.extend(args);
    all.extend(["--cases", folder.to_str().unwrap(), "--json"]);
    serde_json::from_str(&run(&all, 0).0).unwrap()
}

fn ids(args: &[&str], folder: &Path) -> Vec<String> {
    let list = json(args, folder);
    let mut ids: Vec<String> =
        list["cases"].as_array().unwrap().iter().map(|c| c["case"].as_str().unwrap().to_owned()).collect();
    ids.sort();
    ids
}

#[test]
fn a_report_of_no_case_points_to_the_list_of_them() {
    let folder = tempfile::tempdir().unwrap();
    let (_, said) = run(&["report", "--cases", folder.path().to_str().unwrap()], 2);
    assert!(said.contains("found none; 'faultwalk cases' lists them"), "{said}");
}

#[test]
fn the_list_is_filtered_and_never_mixes_practice_with_real_cases() {
    let folder = folder();
    let at = folder.path();
    assert_eq!(ids(&[], at), ["case-a", "case-b", "case-c"]);
    assert_eq!(ids(&["--practice"], at), ["case-d"]);
    assert_eq!(ids(&["--state", "open"], at), ["case-c"]);
    assert_eq!(ids(&["--state", "closed"], at), ["case-a", "case-b"]);
    assert_eq!(ids(&["--text", "DIES HOT"], at), ["case-b"]);
    assert_eq!(
        ids(&["--text", "orchard"], at),
        ["case-a", "case-b"],
        "the car's name, from the journal itself"
    );
    assert_eq!(ids(&["--tree", "no-such"], at), Vec::<String>::new());
    let (text, _) = run(&["cases", "--cases", at.to_str().unwrap()], 0);
    assert!(
        text.contains("case-a") && text.contains("goes lean on hills") && text.contains("and 1 practice"),
        "{text}"
    );
    assert!(!text.contains("case-d"));
    let (text, _) = run(&["cases", "--practice", "--cases", at.to_str().unwrap()], 0);
    assert!(text.contains("case-d") && text.contains("SIMULATED"), "{text}");
}

#[test]
fn an_export_has_one_row_a_step_in_both_forms() {
    let folder = folder();
    let (cases, trees) = (folder.path().to_str().unwrap(), trees());
    let trees = trees.to_str().unwrap();
    let (csv, _) = run(&["cases", "export", "--format", "csv", "--cases", cases, "--trees", trees], 0);
    let (jsonl, _) = run(&["cases", "export", "--format", "jsonl", "--cases", cases, "--trees", trees], 0);
    let mut reader = csv::Reader::from_reader(csv.as_bytes());
    let heading: Vec<String> = reader.headers().unwrap().iter().map(str::to_owned).collect();
    assert_eq!(heading, faultwalk::report::COLUMNS);
    let records: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    let objects: Vec<Value> = jsonl.lines().map(|l| serde_json::from_str(l).unwrap()).collect();
    assert_eq!(records.len(), objects.len());
    let column = |name: &str| heading.iter().position(|h| h == name).unwrap();
    for (record, object) in records.iter().zip(&objects) {
        let keys: Vec<&String> = object.as_object().unwrap().keys().collect();
        assert_eq!(keys, heading.iter().collect::<Vec<_>>());
        assert_eq!(Some(&record[column("case")]), object["case"].as_str());
        assert_ne!(&record[column("case")], "case-d", "no practice");
    }
    let outlet =
        objects.iter().find(|o| o["case"] == "case-a" && o["reading"] == "pump-outlet-pressure").unwrap();
    assert_eq!((&outlet["verdict"], &outlet["unit"]), (&Value::from("high"), &Value::from("kPa")));
    assert!(outlet["value"].as_f64() > outlet["high"].as_f64());
    assert_eq!(
        (&outlet["fault"], &outlet["confirmed"]),
        (&Value::from("feed-filter-blocked"), &Value::from(true))
    );
    let skipped = objects.iter().find(|o| o["case"] == "case-b" && o["step"] == "volts").unwrap();
    assert_eq!(
        (&skipped["verdict"], &skipped["not_tested"]),
        (&Value::from("not-tested"), &Value::from("no-tool"))
    );
    assert!(skipped["value"].is_null());
    let open = objects.iter().find(|o| o["case"] == "case-c").unwrap();
    assert_eq!((&open["end"], &open["finding"]), (&Value::from("open"), &Value::Null));
}

#[test]
fn statistics_count_findings_cures_and_what_was_skipped() {
    let folder = folder();
    let trees = trees();
    let all = json(&["statistics", "--trees", trees.to_str().unwrap()], folder.path());
    assert_eq!((&all["cases"], &all["findings"], &all["open"]), (&3.into(), &2.into(), &1.into()));
    let found = all["found"].as_array().unwrap();
    assert_eq!(found.len(), 1);
    assert_eq!(found[0]["fault"], "feed-filter-blocked");
    let counts =
        ["cases", "confirmed", "not_cured", "not_measured_again"].map(|k| found[0][k].as_u64().unwrap());
    assert_eq!(counts, [2, 1, 0, 1]);
    let skipped: Vec<&str> =
        all["skipped"].as_array().unwrap().iter().map(|s| s["step"].as_str().unwrap()).collect();
    assert_eq!(skipped, ["short-walk: manifold", "short-walk: volts"]);
    assert_eq!(all["skipped"][0]["reasons"]["no-tool"], 1);
    // Minutes by hand from the tree: a: leak 2, fit 6, prime 1, idle 2, manifold 2, volts 3, outlet 4, repair 15, joints seen
    // again 2, outlet again 4, gauge out 3 = 44; b: without manifold, volts, repair, joints and the second outlet: 18. Median and
    // mean 31.
    assert_eq!((all["median_minutes"].as_f64(), all["mean_minutes"].as_f64()), (Some(31.0), Some(31.0)));
    let (text, _) = run(
        &[
            "cases",
            "statistics",
            "--cases",
            folder.path().to_str().unwrap(),
            "--trees",
            trees.to_str().unwrap(),
        ],
        0,
    );
    assert!(text.contains("feed filter blocked") && text.contains("short-walk: volts (no-tool 1)"), "{text}");
    // With trees that do not hold the one walked, the end is not known rather than guessed.
    let all = json(&["statistics"], folder.path());
    assert_eq!((&all["unknown"], &all["findings"]), (&3.into(), &0.into()));
}

#[test]
fn a_case_handed_over_is_taken_in_whole() {
    let (here, there) = (folder(), tempfile::tempdir().unwrap());
    let file = there.path().join("for-desk-two.jsonl");
    let (here, file) = (here.path(), file.to_str().unwrap());
    let new = there.path().join("cases");
    let new = new.to_str().unwrap();
    run(&["cases", "hand-over", "case-c", "--to", file, "--cases", here.to_str().unwrap()], 0);
    let (said, _) = run(&["cases", "take-in", file, "--cases", new], 0);
    assert!(said.contains("case-c is taken in"), "{said}");
    let (before, after) = (here.join("case-c.jsonl"), Path::new(new).join("case-c.jsonl"));
    assert_eq!(std::fs::read(before).unwrap(), std::fs::read(after).unwrap());
    // Neither a file nor a case is written over.
    let (_, error) =
        run(&["cases", "hand-over", "case-c", "--to", file, "--cases", here.to_str().unwrap()], 3);
    assert!(error.contains("is there already"), "{error}");
    let (said, _) = run(&["cases", "take-in", file, "--cases", new], 0);
    assert!(said.contains("was here already"), "{said}");
}

#[test]
fn verify_says_where_a_journal_differs() {
    let folder = folder();
    let cases = folder.path().to_str().unwrap();
    let (said, _) = run(&["report", "case-a", "--verify", "--cases", cases], 0);
    assert!(said.contains("fits the one before it"), "{said}");
    let path = folder.path().join("case-a.jsonl");
    let whole = std::fs::read_to_string(&path).unwrap();
    // A reading changed by hand in the middle.
    let line = whole.lines().position(|l| l.contains("\"reading\":\"rail-pressure\"")).unwrap();
    let changed: Vec<String> = whole
        .lines()
        .enumerate()
        .map(|(i, l)| if i == line { l.replacen("\"si\":3", "\"si\":4", 1) } else { l.to_owned() })
        .collect();
    assert_ne!(changed[line], whole.lines().nth(line).unwrap());
    std::fs::write(&path, changed.join("\n") + "\n").unwrap();
    let (said, _) = run(&["report", "case-a", "--verify", "--cases", cases], 1);
    assert!(said.contains(&format!("record {line} (line {}", line + 1)), "{said}");
    let found: Value =
        serde_json::from_str(&run(&["report", "case-a", "--verify", "--cases", cases, "--json"], 1).0)
            .unwrap();
    assert_eq!((&found["in_order"], &found["records"]), (&false.into(), &line.into()));
    // The last line cut off.
    std::fs::write(&path, &whole[..whole.len() - 10]).unwrap();
    let (said, _) = run(&["report", "case-a", "--verify", "--cases", cases], 1);
    assert!(said.contains("a write that was cut off"), "{said}");
}

#[test]
fn a_report_comes_in_every_form_and_a_missing_case_is_named() {
    let folder = folder();
    let trees = trees();
    let base = ["--cases", folder.path().to_str().unwrap(), "--trees", trees.to_str().unwrap()];
    let report = |format: &str| {
        let args = [&["report", "case-a", "--format", format][..], &base[..]].concat();
        run(&args, 0).0
    };
    assert!(report("md").starts_with("# Findings report: orchard pickup"));
    super::page::read(report("html").trim_end()).unwrap();
    let json: Value = serde_json::from_str(&report("json")).unwrap();
    assert_eq!(json["conclusion"]["fault"], "feed-filter-blocked");
    let (_, error) = run(&[&["report", "nothing-here"][..], &base[..]].concat(), 2);
    assert!(error.contains("there is no case 'nothing-here'"), "{error}");
    let (_, error) = run(&["report", "case-a", base[0], base[1]], 2);
    assert!(error.contains("short-walk"), "{error}");
}
