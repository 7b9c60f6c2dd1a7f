//! How long the belief takes: all cars of a rig, one reading, one ranking. Run with `cargo bench --bench belief`.

// A bench that can't read its rig has nothing to measure.
#![allow(clippy::unwrap_used, missing_docs)]

use faultwalk::belief::{Available, Belief, Evidence, Particles};
use faultwalk::instrument::Uncertainty;
use faultwalk::rig::Rig;
use faultwalk::terms::{Condition, Reading, Tool};
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
