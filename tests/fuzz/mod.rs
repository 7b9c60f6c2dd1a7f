//! Requirement 13: what must hold for any bytes, tried with random ones and with good files hurt at random. The fuzz targets
//! in this folder, a package of their own outside the build, try the same functions for as long as one likes.

#[path = "targets/holds/mod.rs"]
mod holds;

use proptest::prelude::*;
use proptest::sample::Index;
use std::path::Path;

/// Good texts that a random change is made to.
const NUMBERS: &[&str] = &[
    "43.5 psi",
    "3,5 bar",
    "1,234",
    "-12,345 kPa",
    "20 inHg vacuum",
    "45 kPa abs",
    "14.7psia",
    "1e6 Pa",
    "−2 °C",
    "0.05",
    "5 %",
    "14.7 AFR",
    "36 lb/h",
    "1.5e-3",
    "+.5 V",
    "10 mΩ",
    "1e308 bar",
];
const TEXTS: &[&str] = &[
    "=1+1",
    "[a](javascript:alert(1))",
    "<b>&amp;</b>",
    "a@b.example www.c.example",
    "| a | `b` |",
    "555-0142",
    "fuel\u{202e}pmup\u{200b}\u{0}",
    "1ABCD23EFGH456789",
    "AB12 CDE",
    "'-2,5",
    "# one\r\n> two",
    "$a$ ~~b~~ [^1]: c",
];
const KEYS: &[&str] = &[
    "goes lean\n\ngg",
    "goes lean\n\nggyy\ny\n43.5 psi\n",
    "\x06\x1b\x1b",
    "lean\n\n\x09\x09300 hp\n",
    "\x18y",
    "\x05words\n",
];
const LOGS: &[&str] = &[
    "Time (s),RPM,Fuel Pressure (kPa),MAP (kPa)\n0.0,850,244,45\n0.5,851,244.5,45\n1.0,850,244,44\n",
    "Zeit;Drehzahl;Kraftstoffdruck;Bordspannung\ns;1/min;bar;V\n0,0;800;3,0;14,1\n0,1;801;3,1;14,0\n",
    "timestamp\tFP psi\tBoost (psi)\n12:00:00.1\t43.5\t-8\n12:00:00.2\t43\t-8.1\n",
];

fn files(folder: &str) -> Vec<Vec<u8>> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
    let mut paths: Vec<_> =
        std::fs::read_dir(root).unwrap().map(|e| e.unwrap().path()).filter(|p| p.is_file()).collect();
    paths.sort();
    paths.iter().map(|p| std::fs::read(p).unwrap()).collect()
}

fn bytes(texts: &[&str]) -> Vec<Vec<u8>> {
    texts.iter().map(|t| t.as_bytes().to_vec()).collect()
}

/// One change: a byte replaced, put in or taken out, or a piece doubled.
fn change(bytes: &mut Vec<u8>, kind: u8, at: Index, byte: u8) {
    if bytes.is_empty() {
        return bytes.push(byte);
    }
    let at = at.index(bytes.len());
    match kind {
        0 => bytes[at] = byte,
        1 => bytes.insert(at, byte),
        2 => drop(bytes.remove(at)),
        _ => {
            let piece = bytes[at..(at + usize::from(byte)).min(bytes.len())].to_vec();
            bytes.splice(at..at, piece);
        }
    }
}

/// Bytes by chance, or one of `good` with up to eight changes.
fn near(good: Vec<Vec<u8>>) -> impl Strategy<Value = Vec<u8>> {
    let changes = prop::collection::vec((0u8..4, any::<Index>(), any::<u8>()), 0..8);
    let hurt = (prop::sample::select(good), changes).prop_map(|(mut bytes, changes)| {
        for (kind, at, byte) in changes {
            change(&mut bytes, kind, at, byte);
        }
        bytes
    });
    prop_oneof![4 => hurt, 1 => prop::collection::vec(any::<u8>(), 0..200)]
}

/// Tries `holds` on `cases` inputs made from `good`.
fn tried(cases: u32, good: Vec<Vec<u8>>, holds: fn(&[u8])) {
    let mut runner = proptest::test_runner::TestRunner::new(ProptestConfig {
        cases,
        failure_persistence: None,
        ..ProptestConfig::default()
    });
    let outcome = runner.run(&near(good), |bytes| {
        holds(&bytes);
        Ok(())
    });
    outcome.unwrap_or_else(|why| panic!("{why}"));
}

#[test]
fn requirement_13_any_bytes_as_a_number() {
    tried(20_000, bytes(NUMBERS), holds::numbers);
}

#[test]
fn requirement_13_any_bytes_as_a_tree() {
    tried(400, [files("trees"), files("fixtures/bad")].concat(), holds::tree);
}

#[test]
fn requirement_13_any_bytes_as_a_rig() {
    tried(400, files("fixtures/rigs"), holds::rig);
}

#[test]
fn requirement_13_any_bytes_as_a_journal() {
    tried(2_000, files("fixtures/journals"), holds::journal);
}

#[test]
fn requirement_13_any_bytes_as_a_log() {
    tried(1_000, bytes(LOGS), holds::log);
}

#[test]
fn requirement_13_any_bytes_through_the_sanitiser_and_the_escapers() {
    tried(4_000, bytes(TEXTS), holds::text);
}

#[test]
fn requirement_13_any_bytes_as_keys() {
    tried(48, bytes(KEYS), holds::keys);
}

/// Each function has its target, and no target is forgotten here.
#[test]
fn requirement_13_every_function_is_a_fuzz_target() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fuzz");
    let manifest = std::fs::read_to_string(root.join("Cargo.toml")).unwrap();
    let here = std::fs::read_to_string(root.join("mod.rs")).unwrap();
    let targets: Vec<&str> =
        manifest.lines().filter_map(|l| l.strip_prefix("path = \"targets/")?.strip_suffix(".rs\"")).collect();
    assert_eq!(targets.len(), 7);
    for target in targets {
        let source = std::fs::read_to_string(root.join(format!("targets/{target}.rs"))).unwrap();
        assert!(source.contains(&format!("holds::{target}(data)")), "{target}");
        assert!(here.contains(&format!(", holds::{target});")), "{target} is not tried in the test run");
    }
}
