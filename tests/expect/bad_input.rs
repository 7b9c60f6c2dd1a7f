//! Bad input through the program: what was expected, what was found, where and what to do; exit codes; never a panic.

use crate::commands::run;
use std::io::Write;

const RIG: &str = include_str!("../../fixtures/rigs/orchard-pickup.yaml");

/// Runs `expect` on a changed rig file and gives its errors.
#[track_caller]
fn refused(text: &[u8]) -> (String, String) {
    let mut file = tempfile::Builder::new().suffix(".yaml").tempfile().unwrap();
    file.write_all(text).unwrap();
    let path = file.path().to_str().unwrap().to_owned();
    let (out, errors) = run(&["expect", &path, "--at", "idle", "--json"], 2);
    assert!(out.is_empty(), "{out}");
    assert!(!errors.contains("panicked"), "{errors}");
    (path, errors)
}

/// The rig with one text replaced must be refused at `at` (line and column from 1) saying every one of `says`.
#[track_caller]
fn replaced(old: &str, new: &str, at: &str, says: &[&str]) {
    assert!(RIG.contains(old), "the rig has no '{old}'");
    let (path, errors) = refused(RIG.replacen(old, new, 1).as_bytes());
    let place = format!("{path}:{at}: ");
    assert!(errors.contains(&place), "not at {at}: {errors}");
    for text in says {
        assert!(errors.contains(text), "does not say \"{text}\": {errors}");
    }
}

/// Line and column, from 1, of `needle` in the rig, as messages give them.
fn place(needle: &str) -> String {
    let before = &RIG[..RIG.find(needle).unwrap()];
    let line = before.matches('\n').count() + 1;
    let column = before.rsplit('\n').next().unwrap().chars().count() + 1;
    format!("{line}:{column}")
}

#[test]
fn a_missing_file_is_exit_three() {
    for command in ["expect", "supply"] {
        let (out, errors) = run(&[command, "no/such/rig.yaml"], 3);
        assert!(out.is_empty(), "{out}");
        assert_eq!(errors, "error: could not read no/such/rig.yaml: there is no such file; check the path\n");
    }
    let (_, errors) = run(&["expect", "fixtures/rigs"], 3);
    assert!(errors.contains("it is a folder; name a file"), "{errors}");
}

#[test]
fn an_unknown_unit_is_named_with_its_neighbour() {
    replaced(
        "set: 58 psi",
        "set: 58 psl",
        &place("set: 58"),
        &["regulator.set: unknown unit 'psl'; did you mean 'psi'?"],
    );
}

#[test]
fn psi_where_volts_belong() {
    replaced(
        "resting: 12.5 V",
        "resting: 12.5 psi",
        &place("resting: 12.5"),
        &["wiring.resting: expected a voltage, found '12.5 psi', a pressure; use V, mV"],
    );
}

#[test]
fn an_absolute_pressure_below_zero() {
    let at = place("manifold: 45");
    replaced(
        "manifold: 45 kPa",
        "manifold: -5 kPa",
        &at,
        &["'-5 kPa' is below zero, which no absolute pressure is"],
    );
    replaced(
        "manifold: 45 kPa",
        "manifold: -5 kPa abs",
        &at,
        &["an absolute pressure is never below zero; if"],
    );
    replaced(
        "manifold: 45 kPa",
        "manifold: 16 inHg vacuum",
        &at,
        &["expected an absolute pressure, found '16 inHg vacuum'; measure it from vacuum"],
    );
}

#[test]
fn an_unknown_key_is_named_with_its_neighbour() {
    replaced(
        "  consumption: 0.48",
        "  consumtion: 0.48",
        &place("consumption: 0.48"),
        &["engine.consumtion: no such key in a rig file; did you mean 'engine.consumption'?"],
    );
    replaced(
        "load_by: manifold",
        "load_by: manifld",
        &place("load_by: "),
        &["did you mean 'manifold'?", "expected one of"],
    );
}

#[test]
fn a_key_twice() {
    let (path, errors) =
        refused(RIG.replacen("  boost: 0 psi\n", "  boost: 0 psi\n  boost: 1 psi\n", 1).as_bytes());
    let line = RIG[..RIG.find("boost: 0 psi").unwrap()].matches('\n').count() + 2;
    let says = format!("{path}:{line}:3: engine.boost: this key stands here a second time; keep one");
    assert!(errors.contains(&says), "{errors}");
}

#[test]
fn a_curve_that_does_not_fall() {
    let at = place("curve:");
    replaced(
        "277 L/h, 8.2 A",
        "302 L/h, 8.2 A",
        &at,
        &["pump.curve: row 3: the flow must not grow with the pressure rise"],
    );
    replaced("[200 kPa, 277", "[90 kPa, 277", &at, &["row 3: the pressure rise must grow from row to row"]);
    replaced(
        "[200 kPa, 277 L/h, 8.2 A]",
        "[200 kPa, 277 L/h]",
        &at,
        &["row 3: expected rise, flow and current, found 2 values"],
    );
    replaced(
        "277 L/h, 8.2 A",
        "277 psi, 8.2 A",
        &at,
        &["expected a flow, found '277 psi', a pressure; use L/h"],
    );
}

#[test]
fn values_that_can_not_be() {
    for (old, new, says) in [
        ("power: 330 hp", "power: 0 hp", "engine.power: must be above zero"),
        ("power: 330 hp", "power: NaN hp", "is not a number"),
        ("power: 330 hp", "power: inf hp", "is not a number"),
        ("power: 330 hp", "power: 1e999 hp", "outside the range of numbers"),
        ("power: 330 hp", "power: 1,330 hp", "could mean 1.33 or 1330"),
        ("power: 330 hp", "power: 330", "add one, such as hp, kW"),
        ("altitude: 200 ft", "altitude: 90000 ft", "expected 40 to 115 kPa"),
        ("ethanol: 10 %, reid", "ethanol: 130 %, reid", "fuel.ethanol: expected a share between 0 and 100 %"),
        ("count: 4", "count: 3.5", "expected a whole number of injectors"),
        ("load: 0.86", "load: 14.7", "expected a lambda between 0.5 and 1.6, found 14.7"),
        ("[idle, raised]", "[idle, prime]", "nothing is trimmed on prime; use idle, raised, cruise or load"),
        ("holds: true", "holds: maybe", "pump.holds: expected yes or no, found 'maybe'"),
        ("0..100 psi", "100..0 psi", "expected a range such as 0..100 psi"),
        ("format: 1", "format: 2", "expected 'format: 1', the only format there is"),
    ] {
        assert!(RIG.contains(old), "{old}");
        let (_, errors) = refused(RIG.replacen(old, new, 1).as_bytes());
        assert!(errors.contains(says), "{new} does not say \"{says}\": {errors}");
    }
}

/// Two mistakes are two messages: a person mends a file once.
#[test]
fn everything_wrong_is_said_at_once() {
    let text = RIG.replacen("set: 58 psi", "set: 58", 1).replacen("running: 14.0 V", "running: 14.0 A", 1);
    let (_, errors) = refused(text.as_bytes());
    assert!(errors.contains("regulator.set:") && errors.contains("wiring.running:"), "{errors}");
}

#[test]
fn what_is_no_rig_file() {
    for text in [
        &b""[..],
        b"\0\0",
        b"- a\n- b\n",
        b"just words",
        b"rig: [unclosed",
        b"a: &x 1\nb: *x\n",
        b"rig: {a: {b: {c: 1}}}\n",
        b"rig: a\n---\nrig: b\n",
        b"\xff\xfe\x00rig",
        b"pump:\n  curve: [1, 2]\n",
        b"? [a, b]\n: c\n",
    ] {
        let (_, errors) = refused(text);
        assert!(errors.len() > 20, "{errors}");
    }
    let deep = format!("a: {}1{}", "[".repeat(5000), "]".repeat(5000));
    refused(deep.as_bytes());
}

#[test]
fn wrong_arguments_name_the_right_ones() {
    let rig = "fixtures/rigs/orchard-pickup.yaml";
    for (args, says) in [
        (&["expect", rig, "--at", "idel"][..], "did you mean 'idle'?"),
        (&["expect", rig, "--fault", "pump-wron=0.5"], "did you mean 'pump-worn'?"),
        (&["expect", rig, "--fault", "pump-worn=1.5"], "expected a severity from 0 to 1, found 1.5"),
        (&["expect", rig, "--fault", "reference-hose-off=1"], "no reference hose"),
        (
            &["expect", "fixtures/rigs/depot-van.yaml", "--at", "pinched"],
            "expected a supply with a return line",
        ),
        (&["expect", rig, "--units", "imperial"], "expected metric or us"),
        (&["supply", rig, "--power", "450"], "--power: expected a power with its unit"),
        (&["supply", rig, "--ethanol", "185 %"], "--ethanol: expected 0 to 100 %"),
        (&["supply", rig, "--induction", "blowthrough"], "blow-through"),
    ] {
        let (out, errors) = run(args, 2);
        assert!(out.is_empty() && errors.contains(says), "{args:?} does not say \"{says}\": {errors}");
    }
}

#[test]
fn after_key_off_the_pressure_held_is_given_and_nothing_of_a_pump_that_stands() {
    let rig = "fixtures/rigs/orchard-pickup.yaml";
    let (json, _) = run(&["expect", rig, "--at", "rest", "--json"], 0);
    let given: serde_json::Value = serde_json::from_str(&json).unwrap();
    let readings = given["readings"].as_object().unwrap();
    let names: Vec<&str> = readings.keys().map(String::as_str).collect();
    assert_eq!(names, ["manifold-pressure", "battery-voltage", "held-pressure", "sensed-pressure"]);
    let held = readings["held-pressure"]["value"].as_f64().unwrap();
    let (json, _) = run(&["expect", rig, "--at", "prime", "--json"], 0);
    let prime: serde_json::Value = serde_json::from_str(&json).unwrap();
    let rail = prime["readings"]["rail-pressure"]["value"].as_f64().unwrap();
    assert!(held > 0.5 * rail && held < rail, "{held} of {rail}");
    let (text, _) = run(&["expect", rig, "--at", "rest"], 0);
    assert!(text.contains("pressure held after key-off") && !text.contains("pump current"), "{text}");
}
