//! True vapour pressure of gasoline from Reid vapour pressure and temperature.
//!
//! Source: US EPA AP-42, 5th edition, section 7.1, figure 7.1-14b (refined petroleum stocks, RVP 1 to 20 psi), the log10 form
//! with `T_F + 459.6`, slope S = 3 °F/vol-% for motor gasoline. It agrees with table 7.1-2 (40 to 100 °F) within 2.4 %;
//! above 100 °F it is an extension, and for more than 15 % ethanol an approximation.

use crate::quantity::Absolute;

const PSI: f64 = 6_894.757_293_168_361;
const SLOPE: f64 = 3.0;

/// True vapour pressure for a Reid vapour pressure in Pa and a temperature in K.
pub fn true_vapour_pressure(reid: f64, temperature: f64) -> Absolute {
    let rankine = temperature * 1.8 - 459.67 + 459.6;
    let log_reid = (reid / PSI).log10();
    let root = SLOPE.sqrt();
    let exponent = (0.7553 - 413.0 / rankine) * root * log_reid - (1.854 - 1042.0 / rankine) * root
        + (2416.0 / rankine - 2.013) * log_reid
        - 8742.0 / rankine
        + 15.64;
    Absolute(exponent.exp() * PSI)
}

/// What to say where the equation is used outside its range: Reid vapour pressure in Pa, temperature in K, ethanol share.
pub fn reid_range_note(reid: f64, temperature: f64, ethanol: f64) -> Option<&'static str> {
    let fahrenheit = temperature * 1.8 - 459.67;
    if !(1.0..=20.0).contains(&(reid / PSI)) {
        Some("Reid vapour pressure outside 1 to 20 psi, the range of the vapour pressure equation")
    } else if ethanol > 0.15 {
        Some("more than 15 % ethanol: the vapour pressure equation is an approximation")
    } else if !(40.0..=100.0).contains(&fahrenheit) {
        Some("fuel outside 40 to 100 °F: the vapour pressure equation is extended beyond its table")
    } else {
        None
    }
}
