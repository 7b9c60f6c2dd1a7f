//! Against a second implementation of the same design, written separately in another language: 52 rigs, every reading within
//! 0.5 %, the agreement the design promises. Where the two stand closer that is luck nobody relies on.

use super::{agree, folder, rig, shown, solved};
use faultwalk::physics::ceiling;
use faultwalk::terms::{Condition, Reading};
use serde_json::Value;
use std::collections::BTreeSet;

const SHARE: f64 = 5e-3;

fn reference() -> Value {
    let path = folder("fixtures/reference/independent/readings.json");
    serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

#[test]
fn every_reading_of_the_second_implementation_is_reproduced() {
    let file = reference();
    let (mut rigs, mut readings, mut refused, mut stopped) = (0, 0, 0, 0);
    for (name, conditions) in file["rigs"].as_object().unwrap() {
        let rig = rig(&folder("fixtures/reference/independent").join(format!("{name}.yaml")));
        for (condition, values) in conditions.as_object().unwrap() {
            let condition: Condition = condition.parse().unwrap();
            let place = format!("{name} at {condition}");
            let Some(values) = values.as_object() else {
                assert!(!super::exists(&rig.car, condition), "{place}: should be refused");
                refused += 1;
                continue;
            };
            let solution = solved(&place, &rig.car, condition);
            for (key, value) in values {
                if key == "runs" {
                    assert_eq!(solution.runs, value.as_bool(), "{place}: runs");
                    stopped += usize::from(solution.runs == Some(false));
                    continue;
                }
                let expected = value.as_f64().unwrap();
                let (reading, found) = if key == "ceiling" {
                    (Reading::RailPressure, ceiling(&rig.car).map(|c| c.0))
                } else {
                    let reading: Reading = key.parse().unwrap();
                    (reading, solution.get(reading))
                };
                let found = found.unwrap_or_else(|| panic!("{place}: no {key}"));
                agree(&place, reading, shown(reading, found), expected, SHARE);
                readings += 1;
            }
            for reading in [Reading::Trim, Reading::Lambda] {
                let theirs = values.contains_key(reading.id());
                assert_eq!(
                    solution.get(reading).is_some(),
                    theirs,
                    "{place}: {reading} given by one side only"
                );
            }
        }
        rigs += 1;
    }
    assert_eq!(rigs, 52);
    assert!(readings >= 3900 && refused >= 20 && stopped >= 3, "{readings} {refused} {stopped}");
}

/// The rigs cover every triple of style, induction and tip, every reference, pump type and pressure model with every style, and
/// supplies that starve, relieve, fall short and run empty.
#[test]
fn the_rigs_cover_the_design() {
    let file = reference();
    let mut seen = BTreeSet::new();
    for name in file["rigs"].as_object().unwrap().keys() {
        let rig = rig(&folder("fixtures/reference/independent").join(format!("{name}.yaml")));
        let car = &rig.car;
        let style = car.regulator.style;
        seen.insert(format!("{style} {} {}", car.engine.induction, car.injection.tip));
        seen.insert(format!("{style} pump {}", car.pump.kind));
        seen.insert(format!("{style} model {}", car.controller.pressure_model));
        seen.insert(format!("reference {} {}", car.regulator.reference, car.injection.tip));
        for condition in [Condition::Prime, Condition::Idle, Condition::Load] {
            let s = solved(name, car, condition);
            for (what, holds) in [
                ("starving", s.starving),
                ("relieving", s.relieving),
                ("short", s.short),
                ("empty", s.short && s.rail.0 == 0.0),
            ] {
                if holds {
                    seen.insert(what.to_owned());
                }
            }
        }
    }
    let triples =
        seen.iter().filter(|s| s.split(' ').count() == 3 && !s.contains("pump ") && !s.contains("model "));
    let triples = triples.filter(|s| !s.starts_with("reference ")).count();
    let count = |word: &str| seen.iter().filter(|s| s.contains(word)).count();
    assert_eq!(
        (triples, count(" pump "), count(" model "), count("reference ")),
        (45, 10, 15, 12),
        "{seen:#?}"
    );
    for what in ["starving", "relieving", "short", "empty"] {
        assert!(seen.contains(what), "no rig is {what}");
    }
}
