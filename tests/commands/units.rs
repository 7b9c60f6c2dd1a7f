//! Results stand in the units of the car's own gauge, or in those typed, and no finer than an instrument shows them.

use super::run;
use serde_json::Value;

const PSI: &str = "fixtures/rigs/orchard-pickup.yaml";

#[test]
fn the_supply_answers_in_the_units_typed_and_in_those_of_the_gauge() {
    let (text, _) = run(&["supply", PSI, "--power", "450 hp"], 0);
    assert!(text.contains("450 hp asked for") && text.contains(" psi and the supply could hold "), "{text}");
    assert!(!text.contains("kW") && !text.contains("kPa"), "{text}");
    let (text, _) = run(&["supply", PSI, "--power", "330 kW"], 0);
    assert!(text.contains("330 kW asked for") && text.contains(" psi and the supply could hold "), "{text}");
    let (text, _) = run(&["supply", PSI, "--power", "450 hp", "--units", "metric"], 0);
    assert!(text.contains("kW asked for") && text.contains("kPa"), "{text}");
    let (json, _) = run(&["supply", PSI, "--power", "450 hp", "--json"], 0);
    let json: Value = serde_json::from_str(&json).unwrap();
    assert_eq!((&json["power"]["unit"], &json["rail_pressure_asked"]["unit"]), (&"kW".into(), &"kPa".into()));
}

/// The most significant digits of any number followed by this unit.
fn digits(text: &str, unit: &str) -> usize {
    let words: Vec<&str> = text.split_whitespace().collect();
    let numbers = words.windows(2).filter(|w| w[1].trim_end_matches([':', ',', '.']) == unit).map(|w| w[0]);
    let count = |n: &str| {
        let digits: String = n.chars().filter(char::is_ascii_digit).collect();
        digits.trim_start_matches('0').len()
    };
    numbers.map(count).max().unwrap_or(0)
}

#[test]
fn expected_bands_stand_in_the_gauges_own_unit_with_three_figures() {
    let (text, _) = run(&["expect", PSI, "--at", "idle"], 0);
    assert!(text.contains(" psi   a sound car: "), "{text}");
    assert_eq!(digits(&text, "psi"), 3, "{text}");
    let (text, _) = run(&["expect", PSI, "--at", "idle", "--units", "metric"], 0);
    assert_eq!(digits(&text, "kPa"), 3, "{text}");
    let (json, _) = run(&["expect", PSI, "--at", "idle", "--json"], 0);
    assert!(json.contains("\"kPa\"") && !json.contains("\"psi\""), "{json}");
}
