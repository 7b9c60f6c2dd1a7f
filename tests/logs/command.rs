//! `log` as a person runs it.

use super::make::{RECORDER, Recorder, What, draw, write};
use super::sweep::rig;
use crate::commands::run;
use faultwalk::terms::Fault;
use serde_json::Value;
use std::path::Path;

const RIG: &str = "fixtures/rigs/mill-road-sedan.yaml";

pub fn file(folder: &Path, fault: Fault, recorder: &Recorder) -> String {
    let rig = rig("mill-road-sedan");
    let text = write(&mut draw(&rig, fault, 1.0, 5).unwrap(), recorder).unwrap();
    let path = folder.join("invented.csv");
    std::fs::write(&path, text).unwrap();
    path.to_str().unwrap().to_owned()
}

#[test]
fn text_and_json_say_the_same() {
    let folder = tempfile::tempdir().unwrap();
    let log = file(folder.path(), Fault::ReferenceHoseOff, &RECORDER);
    let (text, errors) = run(&["log", &log, "--rig", RIG], 0);
    assert!(errors.is_empty(), "{errors}");
    for part in [
        "What each column was taken for",
        "Fuel Pressure (kPa)        rail-pressure, kPa gauge",
        "Target Lambda",
        "left aside",
        "Rail pressure against manifold pressure",
        "reference: OFF. ",
        "set pressure: in order. ",
        "supply under load: in order. ",
        "a right reference has 0.9",
        "trim: ",
    ] {
        assert!(text.contains(part), "{part} in\n{text}");
    }
    assert!(text.lines().all(|l| !l.contains('\u{1b}')));
    let (us, _) = run(&["log", &log, "--rig", RIG, "--units", "us"], 0);
    let set = us.lines().find(|l| l.starts_with("set pressure")).unwrap();
    assert!(set.contains("set to 43.5 psi"), "{set}");
    assert!(
        us.lines()
            .filter(|l| l.contains(": in order. ") || l.contains(": OFF. "))
            .all(|l| !l.contains(" kPa")),
        "{us}"
    );
    // With the engine off there is no trim and no lambda.
    assert!(
        !text
            .lines()
            .any(|l| l.contains("key on, engine off") && (l.contains("trim") || l.contains("lambda")))
    );
    let json: Value = serde_json::from_str(&run(&["log", &log, "--rig", RIG, "--json"], 0).0).unwrap();
    let about = |name: &str| {
        json["judgements"].as_array().unwrap().iter().find(|j| j["about"] == name).unwrap()["answer"].clone()
    };
    assert_eq!((about("reference"), about("set-pressure")), ("off".into(), "in-order".into()));
    let idle = json["readings"]
        .as_array()
        .unwrap()
        .iter()
        .find(|r| r["reading"] == "rail-pressure" && r["condition"] == "idle")
        .unwrap();
    assert_eq!((&idle["unit"], &idle["reference"]), (&"kPa".into(), &"gauge".into()));
    assert!(idle["value"].as_f64() > idle["expected"].as_f64().map(|e| e + 30.0), "{idle}");
    assert!(json["rail_along_manifold"]["slope"].as_f64().unwrap().abs() < 0.2);
}

#[test]
fn a_mapping_is_changed_kept_and_used_again() {
    let folder = tempfile::tempdir().unwrap();
    let odd: &[(What, &str)] = &[
        (What::Seconds, "Time"),
        (What::Speed, "RPM"),
        (What::RailPsi, "Analog 3"),
        (What::ManifoldKpa, "MAP (kPa)"),
    ];
    let log = file(folder.path(), Fault::NoFault, &Recorder { columns: odd, ..RECORDER });
    let (text, _) = run(&["log", &log, "--rig", RIG], 0);
    assert!(text.contains("No column was taken for rail pressure.") && text.contains("--map"), "{text}");
    let kept = folder.path().join("recorder.json");
    let kept = kept.to_str().unwrap();
    let map = "Analog 3=rail-pressure:psi gauge";
    let (text, _) = run(&["log", &log, "--rig", RIG, "--map", map, "--keep-mapping", kept], 0);
    assert!(text.contains("by request") && text.contains("reference: in order."), "{text}");
    assert!(text.contains("rail-pressure, psi gauge  "), "{text}");
    let (text, _) = run(&["log", &log, "--rig", RIG, "--mapping", kept], 0);
    assert!(text.contains("as kept") && text.contains("reference: in order."), "{text}");
    // A kept mapping is not written over.
    let (_, error) = run(&["log", &log, "--map", map, "--keep-mapping", kept], 3);
    assert!(error.contains("recorder.json"), "{error}");
    let (_, error) = run(&["log", &log, "--map", "Analog 9=trim"], 2);
    assert!(error.contains("Analog 3") && error.contains("Analog 9"), "{error}");
    let (_, error) = run(&["log", &log, "--map", "Analog 3=fuel"], 2);
    assert!(error.contains("rail-pressure"), "{error}");
}

#[test]
fn without_a_car_the_readings_are_there_and_nothing_is_judged() {
    let folder = tempfile::tempdir().unwrap();
    let log = file(folder.path(), Fault::RegulatorSetLow, &RECORDER);
    let (text, _) = run(&["log", &log], 0);
    assert!(text.contains("supply under load: cannot tell. No car was given"), "{text}");
    assert!(text.contains("rail pressure            warm idle"), "{text}");
}

#[test]
fn what_is_no_log_is_said_so() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("words.csv");
    std::fs::write(&path, "one\ntwo\nthree\n").unwrap();
    let (_, error) = run(&["log", path.to_str().unwrap()], 2);
    assert!(
        error.contains("expected a table of values") && error.contains("export the log as CSV"),
        "{error}"
    );
    let (_, error) = run(&["log", folder.path().join("gone.csv").to_str().unwrap()], 3);
    assert!(error.contains("no such file"), "{error}");
}

#[test]
fn hidden_characters_of_a_log_reach_no_terminal() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("hostile.csv");
    let mut text = "RPM,Fuel Pressure (kPa),\u{1b}[31mred\u{202e}\u{7}\n".to_owned();
    for _ in 0..400 {
        text.push_str("850,300,1\n");
    }
    std::fs::write(&path, text).unwrap();
    let (text, _) = run(&["log", path.to_str().unwrap(), "--rig", RIG], 0);
    assert!(!text.contains(['\u{1b}', '\u{202e}', '\u{7}']), "{text:?}");
    assert!(text.contains("at ten rows a second"), "{text}");
}
