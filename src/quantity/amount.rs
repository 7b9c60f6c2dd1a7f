//! A flow read as what ran into a container: an amount, and the time it took.

use super::unit::{GAL, LB};
use super::{Dimension, Measure, parse_number};

/// Units of an amount, in m³ or in kg, and whether it is a mass.
const UNITS: &[(&[&str], f64, bool)] = &[
    (&["L", "l", "litre", "litres", "liter", "liters"], 1e-3, false),
    (&["mL", "ml", "cc", "cm3", "cm³"], 1e-6, false),
    (&["gal", "gallon", "gallons"], GAL, false),
    (&["qt", "quart", "quarts"], GAL / 4.0, false),
    (&["pt", "pint", "pints"], GAL / 8.0, false),
    (&["kg"], 1.0, true),
    (&["g"], 1e-3, true),
    (&["lb", "lbs"], LB, true),
];

/// The volume flow in m³/s of a text such as `0.95 L in 15 s`; without a time the step's own, in seconds, counts. `None` where
/// the text is no amount.
pub fn flow(text: &str, step_takes: Option<f64>, density: f64) -> Option<f64> {
    let (amount, time) = text.split_once(" in ").map_or((text, None), |(a, t)| (a, Some(t)));
    let seconds = match time {
        Some(time) => Some(Measure::parse(time.trim(), Dimension::Time).ok()?.si),
        None => step_takes,
    };
    let seconds = seconds.filter(|s| *s > 0.0)?;
    let amount = amount.trim();
    let at = amount.find(|c: char| c.is_alphabetic())?;
    let value = parse_number(amount[..at].trim()).ok()?;
    let (_, size, is_mass) = UNITS.iter().find(|(names, ..)| names.contains(&amount[at..].trim()))?;
    let volume = if *is_mass { value * size / density } else { value * size };
    Some(volume / seconds)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_ran_into_a_container_is_a_flow() {
        let per_hour =
            |text: &str, takes| flow(text, takes, 745.0).map(|f| (f * 3.6e6 * 100.0).round() / 100.0);
        assert_eq!(per_hour("0.95 L in 15 s", None), Some(228.0));
        assert_eq!(per_hour("950 mL", Some(15.0)), Some(228.0));
        assert_eq!(per_hour("0,95 l in 15 s", Some(30.0)), Some(228.0));
        assert_eq!(per_hour("1 gal in 1 min", None), Some(227.12));
        assert_eq!(per_hour("745 g in 0.25 min", None), Some(240.0));
        for none in
            ["228 L/h", "228", "0.95 L", "0.95 L in 15 V", "L in 15 s", "0.95 L in 0 s", "1,234 L in 15 s"]
        {
            assert_eq!(flow(none, None, 745.0), None, "{none}");
        }
    }
}
