//! A tree that states its own likelihoods: the belief of a walk is that of the plain table, and the table is that of `odds`.

use super::rig;
use crate::commands::run;
use faultwalk::belief::{Available, Key, OTHER_PRIOR, Particles, SLIP};
use faultwalk::library::Library;
use faultwalk::quantity::UnitSystem;
use faultwalk::session::Session;
use faultwalk::table::{Evidence, Table, Test};
use faultwalk::terms::{Condition, Fault, Observation, Reading, State};
use faultwalk::tree::{SourceFile, Tree};
use serde_json::Value;
use std::sync::Arc;

const FILE: &str = "fixtures/stated-likelihood.yaml";
/// The priors and the rows of the file, written out: smell (none, leak), fuel (low, enough, unknown), fuse (good, open), battery (low, within).
const FAULTS: [(Fault, f64); 4] = [
    (Fault::PumpFuseOpen, 0.3),
    (Fault::PumpRelayOpen, 0.4),
    (Fault::FuelLevelLow, 0.2),
    (Fault::NoFault, 0.1),
];
const SMELL: [f64; 2] = [0.98, 0.02];
const FUEL: [[f64; 3]; 4] = [[0.05, 0.85, 0.1], [0.05, 0.85, 0.1], [0.8, 0.1, 0.1], [0.05, 0.85, 0.1]];
const FUSE: [[f64; 2]; 4] = [[0.05, 0.95], [1.0, 0.0], [1.0, 0.0], [1.0, 0.0]];
const BATTERY: [[f64; 2]; 4] = [[0.2, 0.8], [0.4, 0.6], [0.2, 0.8], [0.2, 0.8]];

fn tree() -> Arc<Tree> {
    let text: Arc<str> = std::fs::read_to_string(FILE).unwrap().into();
    Arc::new(Library::embedded().tree_from(&SourceFile { name: FILE.into(), text }).unwrap())
}

/// The same table with the reader's slips, and what is in no catalogue as one more fault.
fn table(other: bool) -> Table {
    let mut faults: Vec<(String, f64)> = FAULTS.iter().map(|(f, p)| (f.id().to_owned(), *p)).collect();
    if other {
        for fault in &mut faults {
            fault.1 *= 1.0 - OTHER_PRIOR;
        }
        faults.push(("other".into(), OTHER_PRIOR));
    }
    let test = |id: &str, outcomes: &[&str], rows: &[Vec<f64>]| {
        let even = 1.0 / outcomes.len() as f64;
        let read = |row: &Vec<f64>| row.iter().map(|p| (1.0 - SLIP) * p + SLIP * even).collect();
        let mut rows: Vec<Vec<f64>> = rows.iter().map(read).collect();
        if other {
            rows.push(vec![even; outcomes.len()]);
        }
        Test::new(id, 1.0, outcomes.iter().map(|o| (*o).to_owned()).collect(), rows)
    };
    let tests = vec![
        test("smell", &["none", "leak"], &[SMELL; 4].map(|r| r.to_vec())),
        test("fuel", &["low", "enough", "unknown"], &FUEL.map(|r| r.to_vec())),
        test("fuse", &["good", "open"], &FUSE.map(|r| r.to_vec())),
        test("battery", &["low", "within"], &BATTERY.map(|r| r.to_vec())),
    ];
    Table::new(faults, tests).unwrap().0
}

#[test]
fn the_belief_of_a_walk_is_that_of_the_table() {
    let rig = Arc::new(rig());
    let particles = Arc::new(Particles::draw(&rig, 8, 1));
    let mut session = Session::begin(rig, tree(), None, UnitSystem::Metric).unwrap();
    let mut evidence = Evidence::none();
    let table = table(true);
    for (test, given, outcome) in [
        ("smell", "none", "none"),
        ("battery", "11.1 V", "low"),
        ("fuel", "enough", "enough"),
        ("fuse", "good", "good"),
    ] {
        assert_eq!(session.tree().steps[session.state().open_step().unwrap()].id, test);
        if !session.tree().step(test).unwrap().cautions.is_empty() {
            session.confirm_cautions().unwrap();
        }
        if test == "battery" {
            session.read(given, None).unwrap();
        } else {
            session.answer(given).unwrap();
        }
        evidence.add(&table, test, outcome).unwrap();
        let posterior = table.posterior(&evidence).unwrap();
        let belief = session.belief(&particles);
        for (fault, p) in table.faults().iter().zip(&posterior.p) {
            let is = match fault.0.parse::<Fault>() {
                Ok(fault) => belief.odds().iter().find(|(f, _)| *f == fault).unwrap().1,
                Err(_) => belief.other(),
            };
            // The likelihoods are kept with seven digits.
            assert!((is - p).abs() < 1e-6, "{} after {test}: {is}, by the table {p}", fault.0);
        }
        let never = belief
            .odds()
            .iter()
            .filter(|(f, _)| FAULTS.iter().all(|(g, _)| g != f))
            .map(|(_, p)| p)
            .sum::<f64>();
        assert!(never < 1e-12, "faults without a prior never happen: {never}");
    }
}

#[test]
fn what_would_tell_most_is_that_of_the_table() {
    let rig = Arc::new(rig());
    let particles = Arc::new(Particles::draw(&rig, 8, 1));
    let session = Session::begin(rig, tree(), None, UnitSystem::Metric).unwrap();
    let belief = session.first_belief(&particles);
    let ranked = belief.rank(&Available { states: vec![State::NoLeakSeen], ..Available::default() });
    let table = table(false);
    let p: Vec<f64> = table.faults().iter().map(|(_, p)| *p).collect();
    for (id, key) in [
        ("fuel", Key::Observation(Observation::FuelInTank)),
        ("fuse", Key::Observation(Observation::PumpFuse)),
        ("battery", Key::Reading(Reading::BatteryVoltage, Condition::Prime)),
    ] {
        let is: Vec<f64> = ranked.iter().filter(|s| s.key == key).map(|s| s.gain_bits).collect();
        let by_table = table.gain_bits(&p, table.test(id).unwrap());
        assert!(is.len() == 1 && (is[0] - by_table).abs() < 1e-9, "{id}: {is:?}, by the table {by_table}");
    }
}

#[test]
fn odds_reads_the_table_of_a_tree() {
    let (out, errors) = run(&["odds", FILE, "--evidence", "battery=low", "fuse=good", "--json"], 0);
    assert!(errors.is_empty(), "{errors}");
    let answer: Value = serde_json::from_str(&out).unwrap();
    let weights: Vec<f64> = (0..4).map(|i| FAULTS[i].1 * BATTERY[i][0] * FUSE[i][0]).collect();
    let sum: f64 = weights.iter().sum();
    for ((fault, _), weight) in FAULTS.iter().zip(&weights) {
        let p = answer["posterior"][fault.id()].as_f64().unwrap();
        assert!((p - weight / sum).abs() < 1e-12, "{fault}: {p}");
    }
    assert_eq!(answer["best"], "fuel");
    let (_, errors) = run(&["odds", "trees/runs-lean.yaml"], 2);
    assert!(errors.contains("expected a tree whose steps state a 'likelihood:'"), "{errors}");
}
