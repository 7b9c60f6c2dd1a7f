//! What every gauge should read: against balances worked by hand, a second implementation, and what must always hold.

mod altitude;
mod always;
mod bad_input;
mod by_hand;
mod independent;

use faultwalk::physics::{Car, Solution, solve};
use faultwalk::quantity::{Dimension, UnitSystem};
use faultwalk::rig::Rig;
use faultwalk::terms::{Condition, Reading};
use std::path::{Path, PathBuf};

/// A folder of the repository.
pub fn folder(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

/// Reads a rig file that must be sound.
#[track_caller]
pub fn rig(path: &Path) -> Rig {
    let text = std::fs::read_to_string(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    Rig::parse(&path.display().to_string(), &text).unwrap_or_else(|e| panic!("{e}"))
}

/// Every file of a folder with that ending, sorted, by its stem.
pub fn files(path: &str, ending: &str) -> Vec<(String, PathBuf)> {
    let mut found: Vec<(String, PathBuf)> = std::fs::read_dir(folder(path))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|p| p.extension().is_some_and(|e| e == ending))
        .map(|p| (p.file_stem().unwrap().to_str().unwrap().to_owned(), p))
        .collect();
    found.sort();
    found
}

/// Every rig that ships.
pub fn rigs() -> Vec<(String, Rig)> {
    let rigs: Vec<_> = files("fixtures/rigs", "yaml").into_iter().map(|(n, p)| (n, rig(&p))).collect();
    assert!(rigs.len() >= 15, "only {} rigs found", rigs.len());
    rigs
}

/// Whether a condition exists for this car.
pub fn exists(car: &Car, condition: Condition) -> bool {
    condition != Condition::Pinched || car.regulator.style.has_return()
}

/// Solves, or fails with the place.
#[track_caller]
pub fn solved(name: &str, car: &Car, condition: Condition) -> Solution {
    solve(car, condition).unwrap_or_else(|e| panic!("{name} at {condition}: {e}"))
}

/// A reading as the fixtures give it: kPa, L/h, V, A, m, and trim in percent.
pub fn shown(reading: Reading, si: f64) -> f64 {
    UnitSystem::Metric.unit_for(reading.dimension()).from_si(si)
}

/// Smallest difference that counts, in the unit of [`shown`]: readings near zero are differences of large numbers.
pub fn floor(reading: Reading) -> f64 {
    match reading.dimension() {
        Dimension::Pressure | Dimension::VolumeFlow => 0.01,
        Dimension::Share => 0.02,
        _ => 0.001,
    }
}

/// `found` against `expected`, both in the unit of [`shown`], within a share or the floor.
#[track_caller]
pub fn agree(place: &str, reading: Reading, found: f64, expected: f64, share: f64) {
    let allowed = (share * expected.abs()).max(floor(reading));
    assert!(
        (found - expected).abs() <= allowed,
        "{place}, {reading}: found {found}, expected {expected}, apart by {:.3e}, allowed {allowed:.3e}",
        (found - expected).abs()
    );
}
