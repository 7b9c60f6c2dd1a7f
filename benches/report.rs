//! Making the reports of one whole case: a blocked filter found, replaced and measured again. For reference, its journal parsed as
//! plain JSON, and as records with their digests checked.

// A bench that can't read its rig has nothing to measure.
#![allow(clippy::unwrap_used, missing_docs)]

use faultwalk::case::{Entry, Header, digest_of, rechained, scan};
use faultwalk::library::Library;
use faultwalk::quantity::UnitSystem;
use faultwalk::report::{Report, build, html, markdown};
use faultwalk::rig::Rig;
use faultwalk::session::{FaultyCar, Session, Simulated, drive};
use faultwalk::terms::Fault;
use faultwalk::tree::Tree;
use std::path::Path;
use std::sync::Arc;

struct Case {
    journal: Vec<u8>,
    tree: Arc<Tree>,
    rig: Arc<Rig>,
}

fn case() -> Case {
    let text = std::fs::read_to_string("fixtures/rigs/orchard-pickup.yaml").unwrap();
    let rig = Arc::new(Rig::parse("orchard-pickup.yaml", &text).unwrap());
    let library = Library::open(Path::new("fixtures/report/trees")).unwrap();
    let tree = Arc::new(library.tree("short-walk").unwrap());
    let car = FaultyCar::new(&rig, &[(Fault::FeedFilterBlocked, 0.7)]).unwrap();
    let sound = FaultyCar::new(&rig, &[]).unwrap();
    let source = Simulated { bench: &car, tools: None, repaired: Some(&sound) };
    let mut session = Session::begin(rig.clone(), tree.clone(), None, UnitSystem::Metric).unwrap();
    drive(&mut session, &source).unwrap();
    let header = Header {
        version: 1,
        id: "case".into(),
        tree: tree.id.clone(),
        tree_digest: tree.digest.clone(),
        rig_digest: digest_of(&text),
        rig: text,
        ..Header::default()
    };
    let walk = session.events().iter().cloned().map(Entry::Walk);
    let entries = std::iter::once(Entry::Header(header)).chain(walk);
    let journal = rechained(entries.map(|e| (e, jiff::Timestamp::UNIX_EPOCH))).unwrap();
    Case { journal, tree, rig }
}

fn report(case: &Case) -> Report {
    build(&scan::<Entry>(&case.journal).lines, &case.tree, &case.rig).unwrap()
}

fn main() {
    divan::main();
}

#[divan::bench]
fn reference_plain_json(bencher: divan::Bencher) {
    let case = case();
    bencher.bench_local(|| {
        let lines = case.journal.split(|b| *b == b'\n').filter(|l| !l.is_empty());
        lines.map(|l| serde_json::from_slice::<serde_json::Value>(l).unwrap()).collect::<Vec<_>>()
    });
}

#[divan::bench]
fn records(bencher: divan::Bencher) {
    let case = case();
    bencher.bench_local(|| scan::<Entry>(&case.journal));
}

#[divan::bench(sample_count = 20)]
fn from_journal_to_report(bencher: divan::Bencher) {
    let case = case();
    bencher.bench_local(|| report(&case));
}

#[divan::bench]
fn as_html(bencher: divan::Bencher) {
    let report = report(&case());
    bencher.bench_local(|| html(&report).unwrap());
}

#[divan::bench]
fn as_markdown(bencher: divan::Bencher) {
    let report = report(&case());
    bencher.bench_local(|| markdown(&report));
}
