//! Proving one small tree on one rig at the size of the kept summary. For reference, drawing and solving the cars of that rig once,
//! as the belief beside each walk has them.

// A bench that can't read its rig has nothing to measure.
#![allow(clippy::unwrap_used, missing_docs)]

use faultwalk::belief::Particles;
use faultwalk::library::Library;
use faultwalk::prove::{Effort, prove, run};
use faultwalk::rig::Rig;
use faultwalk::tree::Tree;
use std::sync::Arc;

const EFFORT: Effort = Effort { samples: 1, seed: 1, particles: 64 };

fn rig() -> Arc<Rig> {
    let text = std::fs::read_to_string("fixtures/rigs/orchard-pickup.yaml").unwrap();
    Arc::new(Rig::parse("orchard-pickup.yaml", &text).unwrap())
}

fn tree(id: &str) -> Arc<Tree> {
    Arc::new(Library::embedded().tree(id).unwrap())
}

fn main() {
    divan::main();
}

#[divan::bench(sample_count = 5, sample_size = 1)]
fn reference_cars_of_the_rig() -> usize {
    Particles::draw(&rig(), EFFORT.particles, 1).len()
}

#[divan::bench(sample_count = 3, sample_size = 1)]
fn electrical_only_on_one_rig(bencher: divan::Bencher) {
    let (tree, rig) = (tree("electrical-only"), rig());
    bencher.bench_local(|| prove(&tree, &rig, EFFORT));
}

/// Every fault the tree claims at three severities, without noise.
#[divan::bench(args = ["electrical-only", "runs-lean"], sample_count = 3, sample_size = 1)]
fn walks_without_noise(bencher: divan::Bencher, id: &str) {
    let (tree, rig) = (tree(id), rig());
    bencher.bench_local(|| run(&tree, &rig, &tree.finds, None).len());
}
