//! Cars walked together come to where each comes alone.

use faultwalk::library::Library;
use faultwalk::prove::{
    End, Injected, METER_ONLY, Person, ProofCar, Reader, Walker, authored, run_cars, together,
};
use faultwalk::quantity::UnitSystem;
use faultwalk::rig::Rig;
use faultwalk::session::{Bench, Session};
use faultwalk::terms::{Fault, Tool};
use faultwalk::tree::Tree;
use std::collections::BTreeSet;
use std::sync::Arc;

const PERSON: Person = Person { reader: Reader::Slipping, advised: false, tools: None };

fn rig(name: &str) -> Arc<Rig> {
    let path = format!("{}/fixtures/rigs/{name}.yaml", env!("CARGO_MANIFEST_DIR"));
    Arc::new(Rig::parse(name, &std::fs::read_to_string(path).unwrap()).unwrap())
}

fn tree(id: &str) -> Arc<Tree> {
    Arc::new(Library::embedded().tree(id).unwrap())
}

/// Walks the same cars both ways and compares them one by one; what the ends were, and how many walks read something twice.
fn compare(id: &str, rig_name: &str, careful: bool, tools: Option<&[Tool]>) -> (BTreeSet<String>, usize) {
    let (tree, rig) = (tree(id), rig(rig_name));
    let cars: Vec<ProofCar> = Fault::ALL
        .iter()
        .flat_map(|fault| (0..3).filter_map(|seed| ProofCar::draw(&rig, *fault, 40 + seed).ok()))
        .map(|car| if careful { car.carefully() } else { car })
        .collect();
    let mut walker = Walker::new(&tree, &rig);
    let mut twice = 0;
    let alone: Vec<_> = cars
        .iter()
        .map(|car| {
            let (fault, severity) = car.fault();
            let outcome = walker.on(car, Injected { fault, severity }, tools, None);
            let undecided = |(_, gave): &(String, String)| gave.ends_with("undecided");
            twice += usize::from(outcome.path.iter().any(undecided));
            (outcome, walker.decided_by_reading())
        })
        .collect();
    for car in &cars {
        car.rewind();
    }
    let benches: Vec<&dyn Bench> = cars.iter().map(|car| car as &dyn Bench).collect();
    let mut session = Session::begin(rig.clone(), tree, None, UnitSystem::Metric).unwrap();
    let came = together(&mut session, &benches, tools);
    assert_eq!(came.len(), alone.len());
    let mut ends = BTreeSet::new();
    for (came, (outcome, by_reading)) in came.iter().zip(&alone) {
        let injected = outcome.injected;
        assert_eq!(came.end, outcome.end, "{id} on {rig_name}, {injected:?}");
        assert!((came.minutes - outcome.minutes).abs() < 1e-6, "{id} on {rig_name}, {injected:?}");
        assert_eq!(came.by_reading, *by_reading, "{id} on {rig_name}, {injected:?}");
        ends.insert(match &came.end {
            End::Finding { id, .. } | End::Handover { id, .. } => id.clone(),
            End::Failed(why) => panic!("{id} on {rig_name}, {injected:?}: {why}"),
        });
    }
    (ends, twice)
}

#[test]
fn cars_walked_together_come_to_where_each_comes_alone() {
    for (id, rig_name) in [("runs-lean", "orchard-pickup"), ("leaks-down", "harbour-roadster")] {
        let (ends, twice) = compare(id, rig_name, true, None);
        assert!(ends.len() > 10, "{ends:?}");
        assert!(twice > 0, "no car of {rig_name} was read twice");
        compare(id, rig_name, false, None);
    }
}

#[test]
fn they_do_so_with_few_tools() {
    compare("runs-rich", "depot-van", false, Some(METER_ONLY));
}

#[test]
fn the_counts_are_those_of_the_cars_one_by_one() {
    let (tree, rig) = (tree("electrical-only"), rig("orchard-pickup"));
    let counted = authored(std::slice::from_ref(&tree), &rig, (3, 9), PERSON).remove(0);
    for (fault, cell) in &counted.claimed {
        let alone = run_cars(&tree, &rig, &[*fault], (3, 9), PERSON);
        assert_eq!(cell.walks, alone.len() as u64, "{fault}");
        assert_eq!(cell.right, alone.iter().filter(|o| o.right()).count() as u64, "{fault}");
        assert_eq!(cell.wrong, alone.iter().filter(|o| o.wrong()).count() as u64, "{fault}");
        let minutes: f64 = alone.iter().map(|o| o.minutes).sum();
        assert!((cell.minutes - minutes).abs() < 1e-6, "{fault}");
    }
    assert!(counted.claimed.len() > 10);
    let others: Vec<Fault> =
        Fault::ALL.iter().copied().filter(|f| !counted.claimed.contains_key(f)).collect();
    let alone = run_cars(&tree, &rig, &others, (3, 9), PERSON);
    assert_eq!(counted.others.walks, alone.len() as u64);
    assert_eq!(counted.others.wrong, alone.iter().filter(|o| o.wrong()).count() as u64);
}
