//! How long the belief takes: all cars of a rig, one reading, one ranking. Run with `cargo bench --bench belief`.
//!
//! For reference: as many balances of the sound car as a draw takes, one after the other; one exponential and one logarithm for
//! each simulated car; and for each car and test one addition into a table.

// A bench that can't read its rig has nothing to measure.
#![allow(clippy::unwrap_used, missing_docs)]

use faultwalk::belief::{Available, Belief, Evidence, Particles};
use faultwalk::instrument::Uncertainty;
use faultwalk::physics::solve;
use faultwalk::rig::Rig;
use faultwalk::table::{self, Table};
use faultwalk::terms::{Condition, Observation, Reading, Tool};
use std::hint::black_box;
use std::sync::Arc;

fn rig() -> Rig {
    let text = std::fs::read_to_string("fixtures/rigs/orchard-pickup.yaml").unwrap();
    Rig::parse("orchard-pickup.yaml", &text).unwrap()
}

fn reading() -> Evidence {
    Evidence::Reading {
        reading: Reading::RailPressure,
        condition: Condition::Load,
        si: 330e3,
        uncertainty: Uncertainty { shared: 8_000.0, own: 2_000.0 },
        tool: Tool::PressureGauge,
        at_least: false,
        times: 1,
    }
}

fn main() {
    divan::main();
}

#[divan::bench(args = [32, 256], sample_count = 5)]
fn draw(per_fault: usize) -> usize {
    Particles::draw(&rig(), per_fault, 1).len()
}

#[divan::bench(args = [32, 256], sample_count = 5)]
fn reference_balances(bencher: divan::Bencher, per_fault: usize) {
    let rig = rig();
    let cars = Particles::draw(&rig, 1, 1).len() * per_fault;
    bencher.bench_local(|| {
        let solved = |_| Condition::ALL.iter().filter(|c| solve(black_box(&rig.car), **c).is_ok()).count();
        (0..cars).map(solved).sum::<usize>()
    });
}

#[divan::bench]
fn reference_a_logarithm_for_each_car(bencher: divan::Bencher) {
    let cars = Particles::draw(&rig(), 256, 1).len();
    let weights: Vec<f64> = (0..cars).map(|i| i as f64 / cars as f64 + 0.1).collect();
    bencher.bench_local(|| black_box(&weights).iter().map(|w| w.exp().ln()).sum::<f64>());
}

#[divan::bench]
fn reference_an_addition_for_each_car_and_test(bencher: divan::Bencher) {
    let particles = Particles::draw(&rig(), 256, 1);
    let (cars, faults) = (particles.len(), particles.faults().len());
    let tests = Belief::new(Arc::new(particles)).rank(&Available::default()).len();
    assert!(tests > Observation::ALL.len(), "{tests} tests");
    let weights = vec![1.0 / cars as f64; cars];
    let bins: Vec<u8> = (0..=255).cycle().map(|b: u8| b % 32).take(cars).collect();
    let mut table = vec![[0.0; 32]; faults];
    bencher.bench_local(|| {
        for _ in 0..tests {
            let blocks = black_box(&weights).chunks(256).zip(bins.chunks(256));
            for ((weights, bins), row) in blocks.zip(&mut table) {
                weights.iter().zip(bins).for_each(|(w, b)| row[usize::from(*b)] += w);
            }
        }
        table[0][0]
    });
}

#[divan::bench]
fn take_one_reading(bencher: divan::Bencher) {
    let belief = Belief::new(Arc::new(Particles::draw(&rig(), 256, 1)));
    bencher.with_inputs(|| belief.clone()).bench_local_values(|mut belief| {
        belief.take(reading());
        belief
    });
}

#[divan::bench]
fn rank(bencher: divan::Bencher) {
    let belief = Belief::new(Arc::new(Particles::draw(&rig(), 256, 1)));
    bencher.bench_local(|| belief.rank(&Available::default()));
}

/// The posterior of a plain table of five faults and four tests after two outcomes.
#[divan::bench]
fn posterior_of_a_table(bencher: divan::Bencher) {
    let text = std::fs::read_to_string("fixtures/tables/no-prime.json").unwrap();
    let (table, _) = Table::from_json(&text).unwrap();
    let seen = table::Evidence::parse(&table, &["fuse=good", "relay-swap=no-change"]).unwrap();
    bencher.bench_local(|| table.posterior(black_box(&seen)).unwrap());
}
