//! How long one balance takes, over every supply style and condition. Run with `cargo bench --bench balance`.
//!
//! The aim is a median of at most 10 µs over all styles. For reference, the loss in one line at one flow: what a balance reckons at
//! each trial for each of its lines.

// A bench that can't read its rigs has nothing to measure.
#![allow(clippy::unwrap_used, missing_docs)]

use divan::{Bencher, black_box};
use faultwalk::physics::{Car, line_drop, solve};
use faultwalk::rig::Rig;
use faultwalk::terms::{Condition, SupplyStyle};

/// Every rig that ships.
fn cars() -> Vec<Car> {
    let mut paths: Vec<_> =
        std::fs::read_dir("fixtures/rigs").unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    paths
        .iter()
        .map(|p| Rig::parse(&p.display().to_string(), &std::fs::read_to_string(p).unwrap()).unwrap().car)
        .collect()
}

fn exists(car: &Car, condition: Condition) -> bool {
    condition != Condition::Pinched || car.regulator.style.has_return()
}

fn main() {
    divan::main();
}

/// Solves the cars in the conditions, one after the other, a balance an iteration.
fn measure(bencher: Bencher, cars: &[Car], conditions: &[Condition]) {
    let pairs: Vec<(Car, Condition)> = cars
        .iter()
        .flat_map(|car| conditions.iter().map(|c| (car.clone(), *c)))
        .filter(|(car, condition)| exists(car, *condition))
        .collect();
    assert!(!pairs.is_empty());
    let mut next = (0..pairs.len()).cycle();
    bencher
        .with_inputs(|| next.next().map_or(0, |i| i))
        .bench_local_values(|i| solve(black_box(&pairs[i].0), pairs[i].1).unwrap().rail);
}

/// For reference: one line at one flow.
#[divan::bench(sample_count = 2_000, sample_size = 256)]
fn reference_one_line(bencher: Bencher) {
    let line = cars()[0].feed;
    bencher.bench_local(|| line_drop(black_box(&line), 740.0, 0.6e-6, 1.5e-6, black_box(40e-6)));
}

/// Every rig in every condition.
#[divan::bench(sample_count = 2_000, sample_size = 16)]
fn all(bencher: Bencher) {
    measure(bencher, &cars(), Condition::ALL);
}

#[divan::bench(args = [
    SupplyStyle::Return,
    SupplyStyle::BypassBeforeRail,
    SupplyStyle::Deadhead,
    SupplyStyle::Module,
    SupplyStyle::SpeedControlled,
], sample_count = 1_000, sample_size = 16)]
fn style(bencher: Bencher, style: SupplyStyle) {
    let cars: Vec<Car> = cars().into_iter().filter(|car| car.regulator.style == style).collect();
    measure(bencher, &cars, Condition::ALL);
}

#[divan::bench(args = [Condition::Prime, Condition::Idle, Condition::Load], sample_count = 1_000, sample_size = 16)]
fn condition(bencher: Bencher, condition: Condition) {
    measure(bencher, &cars(), &[condition]);
}
