//! Loading and checking a library of 10,000 steps against the bare parse of the same files into an ignored value.
//!
//! The library is generated: a hundred trees of a hundred steps, in which looks, readings, choices and do-steps follow each
//! other as in the shipped trees.

// A benchmark that cannot set up its files has nobody else to tell.
#![allow(clippy::expect_used, missing_docs)]

use faultwalk::library::Library;
use faultwalk::lint;
use std::fmt::Write as _;

fn main() {
    divan::main();
}

const TREES: usize = 100;
const ROUNDS: usize = 24;

fn tree(number: usize) -> String {
    let mut text = format!(
        "format: 1\ntree: generated-{number}\ntitle: Generated {number}\ncomplaints: [lean]\nstart: smell\n\
finds: [vacuum-leak]\nsteps:\n  smell:\n    title: fuel smell or leak\n    do: Walk round the car with the key off. \
Look under it for wet fuel.\n    observe: fuel-smell-or-leak\n    makes: [no-leak-seen]\n    cautions: [fuel-leak, \
fuel-vapour]\n    minutes: 2\n    answers:\n      none: {{next: trim-0}}\n      leak: {{next: leaking}}\n    cannot: \
{{next: leaking}}\n"
    );
    for i in 0..ROUNDS {
        let next = if i + 1 == ROUNDS { "vacuum".to_owned() } else { format!("trim-{}", i + 1) };
        let _ = write!(
            text,
            "  trim-{i}:\n    title: trim at idle {i}\n    do: Let the engine idle warm. Read trim {i} off the display, live \
plus learned.\n    tell: Idling warm, what is the trim?\n    why: The trim says how much fuel is added.\n    read: trim\n    at: \
idle\n    with: controller-display\n    expect: {{by: model}}\n    requires: [no-leak-seen]\n    cautions: [running-engine, \
moving-parts]\n    minutes: 2\n    low: unclear\n    within: which-{i}\n    high: which-{i}\n    undecided: {{retry: 1, next: \
unclear}}\n    cannot: {{next: unclear}}\n  which-{i}:\n    choose:\n      - {{when: {{induction: natural}}, next: smoke-{i}}}\n      \
- {{when: {{induction: draw-through, was: {{trim@idle: high}}}}, next: cap-{i}}}\n    else: {{next: unclear}}\n  \
smoke-{i}:\n    title: smoke in the intake {i}\n    do: Fill the intake with smoke from the machine. Look at every joint.\n    \
observe: smoke-test\n    tools: [smoke-machine]\n    cautions: [smoke-test]\n    minutes: 15\n    answers:\n      tight: {{next: \
cap-{i}}}\n      leaking: {{next: cap-{i}}}\n    cannot: {{next: unclear}}\n  cap-{i}:\n    title: hose looked at {i}\n    do: \
Follow the hose from end to end.\n    minutes: 1\n    next: {next}\n"
        );
    }
    text.push_str(
        "  smoke:\n    title: smoke once more\n    do: Fill the intake with smoke from the machine. Look at every joint.\n    \
observe: smoke-test\n    tools: [smoke-machine]\n    cautions: [smoke-test]\n    minutes: 15\n    answers:\n      tight: {next: \
unclear}\n      leaking: {next: unclear}\n    cannot: {next: unclear}\nfindings:\n  vacuum:\n    fault: vacuum-leak\n    says: \
The engine draws air past the throttle.\n    remedy: Renew the gasket or the hose that leaks.\n    confirm: {repeat: smoke, \
expect: tight}\n    cautions: [hot-parts]\n    minutes: 60\nhandovers:\n  leaking:\n    says: Fuel is leaking, or nobody could \
look.\n    advice: Key off, get clear, let nobody start it.\n  unclear:\n    says: The mixture is off, and nothing here says \
why.\n    advice: Read the fuel pressure next. Buy no part on this.\n    narrowed: [vacuum-leak]\n",
    );
    text
}

fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder for the generated library");
    for i in 0..TREES {
        std::fs::write(folder.path().join(format!("generated-{i}.yaml")), tree(i)).expect("a generated file");
    }
    folder
}

/// The bare parse: read each file, parse it, keep nothing.
#[divan::bench(sample_count = 10)]
fn bare_parse(bencher: divan::Bencher) {
    let folder = folder();
    let paths: Vec<_> = std::fs::read_dir(folder.path())
        .expect("the folder")
        .filter_map(|e| e.ok().map(|e| e.path()))
        .collect();
    bencher.bench_local(|| {
        for path in &paths {
            let text = std::fs::read_to_string(path).expect("a generated file");
            let _: serde::de::IgnoredAny = serde_yaml::from_str(&text).expect("good YAML");
        }
    });
}

/// Everything `check` does with them.
#[divan::bench(sample_count = 10)]
fn load_and_check(bencher: divan::Bencher) {
    let folder = folder();
    let library = Library::open(folder.path()).expect("the folder");
    bencher.bench_local(|| {
        let checked = lint::check_library(&library);
        assert!(checked.steps >= 9_700, "{} steps", checked.steps);
        assert!(!lint::has_errors(&checked.diagnostics));
        checked
    });
}
