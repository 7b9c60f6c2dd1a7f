//! Proving one small tree on one rig at the size of the kept summary. For reference, drawing and solving the cars of that rig once,
//! as the belief beside each walk has them.

// A bench that can't read its rig has nothing to measure.
#![allow(clippy::unwrap_used, missing_docs)]

use faultwalk::belief::Particles;
use faultwalk::library::Library;
use faultwalk::prove::{Effort, Person, Reader, authored, prove, run, run_cars};
use faultwalk::rig::Rig;
use faultwalk::terms::Fault;
use faultwalk::tree::Tree;
use std::sync::Arc;

const EFFORT: Effort = Effort { samples: 1, seed: 1, particles: 64 };

const PERSON: Person = Person { reader: Reader::Careful, advised: false, tools: None };

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

/// Twenty proof cars of every fault of the rig on two trees, walked together; for reference, one by one.
#[divan::bench(sample_count = 3, sample_size = 1)]
fn proof_cars_together(bencher: divan::Bencher) {
    let (trees, rig) = ([tree("electrical-only"), tree("runs-lean")], rig());
    bencher.bench_local(|| authored(&trees, &rig, (20, 1), PERSON).len());
}

/// The same cars one by one.
#[divan::bench(sample_count = 3, sample_size = 1)]
fn proof_cars_one_by_one(bencher: divan::Bencher) {
    let (trees, rig) = ([tree("electrical-only"), tree("runs-lean")], rig());
    bencher.bench_local(|| {
        let walk = |t| run_cars(t, &rig, Fault::ALL, (20, 1), PERSON).len();
        trees.iter().map(walk).sum::<usize>()
    });
}
