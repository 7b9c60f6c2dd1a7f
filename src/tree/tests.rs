//! Files good and bad: what is taken, and that all that is wrong is found at its place.

use super::*;
use std::fmt::Write as _;
use std::time::{Duration, Instant};

const GOOD: &str = r"format: 1
tree: lamp-dim
title: A small tree
complaints: [lean]
start: supply
finds: [feed-filter-blocked, no-fault]
steps:
  supply:
    do: Key on, engine off. Read the gauge.
    read: rail-pressure
    at: prime
    with: pressure-gauge
    places: [rail-tap]
    expect: {by: model, tolerance: 17 kPa}
    low: look
    within: fine
    high: look
    undecided: {retry: 1, next: look}
    cautions: [fuel-under-pressure]
    minutes: 2
    cannot: {next: look}
  look:
    do: Cut the filter open. Look inside.
    observe: filter-by-eye
    answers: {clean: {next: which}, blocked: {next: filter}}
    cannot: {next: give-up}
  which:
    choose:
      - {when: {induction: [natural, draw-through], returns: yes, was: {rail-pressure@prime: low}}, next: wait}
    else: {next: give-up}
  wait:
    do: Wait with the key off.
    timer: 10 min
    next: give-up
findings:
  filter:
    fault: feed-filter-blocked
    says: The filter is blocked.
    remedy: Replace it.
    confirm: {repeat: supply, expect: within}
  fine:
    fault: no-fault
    says: The supply is right.
handovers:
  give-up:
    says: The supply is low.
    advice: Measure behind the filter.
    narrowed: [pump-worn]
";

fn file(text: &str) -> SourceFile {
    read_text("trees/lamp-dim.yaml", text.as_bytes()).unwrap()
}

fn wrong(text: &str) -> Vec<(&'static str, usize, usize)> {
    load(&file(text)).expect_err("the file is refused").iter().map(|d| (d.rule, d.line, d.column)).collect()
}

/// Replaces `from` once in the good tree; says what is found wrong, as "rule line:column".
fn check(from: &str, to: &str, expected: &[(&'static str, usize, usize)]) {
    assert!(GOOD.contains(from), "'{from}' is in the good tree");
    let text = GOOD.replacen(from, to, 1);
    let found = load(&file(&text)).expect_err(&format!("'{from}' as '{to}' is refused"));
    let places: Vec<_> = found.iter().map(|d| (d.rule, d.line, d.column)).collect();
    assert_eq!(places, expected, "'{from}' as '{to}':\n{}", render_all(&found));
    for d in &found {
        assert!(d.excerpt.is_some() && d.why.is_some() && d.hint.is_some(), "{d:?}");
    }
}

#[test]
fn a_good_file_becomes_a_document() {
    let d = load(&file(GOOD)).map_err(|e| render_all(&e)).unwrap();
    assert_eq!((d.id.as_str(), d.kind, d.steps.len(), d.findings.len()), ("lamp-dim", FileKind::Tree, 4, 2));
    let StepKind::Read(read) = &d.steps[0].kind else { panic!("the first step reads") };
    assert_eq!((read.low.as_deref(), read.within.as_str(), read.undecided.retry), (Some("look"), "fine", 1));
    let Expect::Model { tolerance: Some(t) } = &read.expect else { panic!("by model") };
    assert!((t.si - 17_000.0).abs() < 1e-9);
    assert_eq!(d.steps[0].tools, [crate::terms::Tool::PressureGauge]);
    let StepKind::Choose { arms, .. } = &d.steps[2].kind else { panic!("the third step chooses") };
    assert_eq!(arms[0].when.returns, Some(true));
    assert_eq!(arms[0].when.was[0].0.to_string(), "rail-pressure@prime");
    assert_eq!(d.steps[3].timer, Some(600.0));
}

#[test]
fn each_defect_is_found_by_its_rule_at_its_place() {
    check("format: 1", "format: 2", &[("format", 1, 9)]);
    check("format: 1", "format: 01", &[("wrong-shape", 1, 9)]);
    check("tree: lamp-dim", "tree: Lamp_Dim", &[("bad-id", 2, 7)]);
    check("complaints: [lean]", "complaints: [leen]", &[("unknown-term", 4, 14)]);
    check("complaints: [lean]", "complaints: lean", &[("wrong-shape", 4, 13)]);
    check("complaints: [lean]", "exits: [lean]", &[("stray-key", 4, 1)]);
    check("start: supply", "start: suply", &[("dangling-target", 5, 8)]);
    check("    with: pressure-gauge\n", "", &[("missing-key", 8, 3)]);
    check("    with: pressure-gauge", "    with: 7", &[("unknown-term", 12, 11)]);
    check("    within: fine", "    withn: fine", &[("unknown-key", 16, 5)]);
    check("17 kPa", "17 V", &[("bad-quantity", 14, 36)]);
    check("17 kPa", "17", &[("bad-quantity", 14, 36)]);
    check("    low: look", "    low: lock", &[("dangling-target", 15, 10)]);
    check("retry: 1", "retry: 010", &[("wrong-shape", 18, 24)]);
    check("retry: 1, ", "", &[("missing-key", 18, 5)]);
    check("[fuel-under-pressure]", "[fuel-under-presure]", &[("unknown-term", 19, 16)]);
    check("    minutes: 2", "    minutes: -2", &[("bad-quantity", 20, 14)]);
    check("blocked: {next: filter}", "clogged: {next: filter}", &[("unknown-term", 25, 37)]);
    check("returns: yes", "returns: maybe", &[("unknown-term", 29, 62)]);
    check("rail-pressure@prime: low", "rail-pressure@prim: low", &[("unknown-term", 29, 73)]);
    check("rail-pressure@prime: low", "rail-pressure@prime: dry", &[("unknown-term", 29, 94)]);
    check("    timer: 10 min", "    timer: 10 kPa", &[("bad-quantity", 33, 12)]);
    check("    timer: 10 min", "    low: give-up", &[("stray-key", 33, 5)]);
    check("    timer: 10 min", "    observe: cap-opened", &[("missing-key", 31, 3), ("step-kind", 34, 5)]);
}

#[test]
fn findings_and_names_are_checked_too() {
    check("    fault: feed-filter-blocked", "    fault: feed-filter-bloked", &[("unknown-term", 37, 12)]);
    check("    remedy: Replace it.\n", "", &[("missing-key", 36, 3)]);
    check("repeat: supply", "repeat: which", &[("bad-confirm", 40, 23)]);
    check("expect: within}", "expect: dry}", &[("bad-confirm", 40, 39)]);
    check(
        "  give-up:\n    says",
        "  look:\n    says",
        &[
            ("dangling-target", 26, 20),
            ("dangling-target", 30, 18),
            ("dangling-target", 34, 11),
            ("id-taken", 45, 3),
        ],
    );
    check("title: A small tree", "title: A small\u{202e} tree", &[("hidden-character", 3, 8)]);
    check("title: A small tree", "title: ", &[("wrong-shape", 3, 6)]);
}

#[test]
fn everything_wrong_is_reported_at_once_in_the_order_of_the_file() {
    let text = GOOD
        .replace("with: pressure-gauge", "with: presure-gauge")
        .replace("within: fine", "within: fin")
        .replace("next: wait", "next: weit")
        .replace("fault: no-fault", "falt: no-fault")
        .replace("advice:", "advise:");
    assert_eq!(
        wrong(&text),
        [
            ("unknown-term", 12, 11),
            ("dangling-target", 16, 13),
            ("dangling-target", 29, 107),
            ("unknown-key", 42, 5),
            ("unknown-key", 47, 5),
        ]
    );
    let found = load(&file(&text)).unwrap_err();
    assert_eq!(found[0].hint.as_deref(), Some("did you mean 'pressure-gauge'?"));
    assert_eq!(found[4].hint.as_deref(), Some("did you mean 'advice'?"));
}

#[test]
fn requirement_07_duplicate_keys_are_refused_wherever_they_stand() {
    check("tree: lamp-dim", "tree: lamp-dim\ntree: lamp-dim", &[("duplicate-key", 3, 1)]);
    check("  wait:\n", "  look:\n", &[("duplicate-key", 31, 3)]);
    check("    minutes: 2", "    minutes: 2\n    minutes: 3", &[("duplicate-key", 21, 5)]);
    check("clean: {next: which}", "clean: {next: which}, clean: {next: which}", &[("duplicate-key", 25, 37)]);
}

#[test]
fn what_the_language_never_takes_is_refused() {
    check("start: supply", "start: &s supply", &[("anchor", 5, 8)]);
    check("start: supply", "start: !!str supply", &[("tag", 5, 8)]);
    assert!(wrong(&format!("{GOOD}---\nformat: 1\n")).contains(&("several-documents", 49, 1)));
    assert!(wrong("a: &a [x]\nb: *a\n").iter().filter(|w| w.0 == "anchor").count() == 2);
    assert!(wrong("tree: [unclosed").iter().any(|w| w.0 == "yaml"));
    for text in ["[unclosed", "just words", "- a list\n", "rig: a car\n"] {
        assert_eq!(wrong(text), [("not-a-tree", 1, 1)], "{text}");
    }
    assert!(!wrong("").is_empty());
    let include =
        GOOD.replace("    timer: 10 min\n    next: give-up", "    include: ../x\n    exits: {a: give-up}");
    assert!(wrong(&include).contains(&("unsafe-include", 33, 14)), "{:?}", wrong(&include));
}

#[test]
fn requirement_07_hostile_files_are_refused_within_a_second() {
    let mut bomb = String::from("a0: &a0 [x, x, x, x, x, x, x, x, x]\n");
    for i in 1..40 {
        writeln!(bomb, "a{i}: &a{i} [*a{p}, *a{p}, *a{p}, *a{p}, *a{p}, *a{p}, *a{p}, *a{p}]", p = i - 1)
            .unwrap();
    }
    let mut stairs = String::new();
    for i in 0..1500 {
        writeln!(stairs, "{}a:", " ".repeat(i)).unwrap();
    }
    for (rule, text) in [
        ("too-deep", "[".repeat(200_000)),
        ("too-deep", "{a: ".repeat(200_000)),
        ("too-deep", "- ".repeat(200_000)),
        ("too-deep", "? ".repeat(200_000)),
        ("too-deep", stairs),
        ("anchor", bomb),
    ] {
        let begun = Instant::now();
        let found = load(&file(&text)).unwrap_err();
        assert!(begun.elapsed() < Duration::from_secs(1), "{rule} took {:?}", begun.elapsed());
        assert!(found.iter().any(|d| d.rule == rule), "{rule}: {:?}", found.first());
    }
}

#[test]
fn a_heading_is_read_without_the_steps() {
    let h = heading(&file(GOOD)).unwrap();
    assert_eq!((h.tree.as_deref(), h.title.as_str()), (Some("lamp-dim"), "A small tree"));
    let broken = GOOD.replace("  supply:\n", "  supply: [\n");
    assert_eq!(heading(&file(&broken)).unwrap().finds.len(), 2);
}

#[test]
fn the_schema_names_every_key() {
    let schema = serde_json::to_string(&schema()).unwrap();
    for key in ["format", "procedure", "undecided", "trims-at", "narrowed", "pump-worn", "rail-pressure"] {
        assert!(schema.contains(&format!("\"{key}\"")), "{key}");
    }
}

#[test]
fn the_second_pass_agrees_with_the_first_on_good_files() {
    let (root, refused) = node::read(GOOD);
    assert!(refused.is_empty());
    let shaped = shape::check(&root.unwrap(), raw::schema().as_value());
    assert!(shaped.wrong.is_empty(), "{:?}", shaped.wrong);
    let second: raw::RawFile = serde_json::from_value(shaped.clean).unwrap();
    assert_eq!(second, serde_yaml::from_str::<raw::RawFile>(GOOD).unwrap());
}
