//! Balances worked by hand. Each fixture shows its arithmetic line by line and ends in the readings that follow from it.

use super::{agree, files, folder, rig, shown, solved};
use faultwalk::terms::{Condition, Reading};

/// The worked figures carry seven digits and a pump flow tried to 0.002 L/h, so 0.005 % is what they justify.
const SHARE: f64 = 5e-5;

#[test]
fn every_worked_balance_is_reproduced() {
    let sheets = files("fixtures/reference/worked", "txt");
    let mut checked = 0;
    for (name, path) in &sheets {
        let text = std::fs::read_to_string(path).unwrap();
        let rig_name = text.lines().find_map(|l| l.strip_prefix("rig: ")).expect("a line 'rig: NAME'");
        let rig = rig(&folder("fixtures/rigs").join(rig_name).with_extension("yaml"));
        let mut here = 0;
        for line in text.lines().filter_map(|l| l.strip_prefix("= ")) {
            let words: Vec<&str> = line.split_whitespace().collect();
            let condition: Condition = words[0].parse().unwrap();
            let reading: Reading = words[1].parse().unwrap();
            let expected: f64 = words[2].parse().unwrap();
            let place = format!("{name} at {condition}");
            let found = solved(&place, &rig.car, condition).get(reading);
            let found = found.unwrap_or_else(|| panic!("{place}: no {reading}"));
            agree(&place, reading, shown(reading, found), expected, SHARE);
            here += 1;
        }
        assert!(here >= 14, "{name}: only {here} readings");
        assert!(!text.contains("DISAGREES"), "{name}");
        checked += here;
    }
    assert_eq!((sheets.len(), checked), (7, 174));
}
