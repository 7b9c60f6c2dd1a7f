//! A value with its unit, what it is measured from, and the text as typed.

use super::number::{NumberError, split_number};
use super::unit::{Dimension, Unit, nearest_unit, unit};
use std::fmt;

/// What a pressure is measured from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Datum {
    /// From the local atmosphere, up.
    Gauge,
    /// From vacuum.
    Absolute,
    /// From the local atmosphere, down: 20 inHg of vacuum is −20 inHg gauge.
    Vacuum,
}

/// A quantity as somebody gave it.
#[derive(Debug, Clone)]
pub struct Measure {
    /// The value in the SI unit of its dimension; a vacuum is stored as typed, positive.
    pub si: f64,
    /// The unit it was given in.
    pub unit: &'static Unit,
    /// For a pressure, what it is measured from, where that was said.
    pub datum: Option<Datum>,
    /// The text as typed, trimmed.
    pub typed: String,
}

impl PartialEq for Measure {
    fn eq(&self, other: &Self) -> bool {
        self.si == other.si && self.unit == other.unit && self.datum == other.datum
    }
}

/// Why a text is not taken as a quantity. The message says what was expected, what was found and what to do.
#[derive(Debug, Clone, PartialEq)]
pub enum QuantityError {
    /// The number itself is wrong.
    Number {
        /// The text as typed.
        typed: String,
        /// What is wrong with it.
        error: NumberError,
    },
    /// A number stands without a unit where one is needed.
    NoUnit {
        /// The text as typed.
        typed: String,
        /// What was asked for.
        expected: Dimension,
    },
    /// The unit is not known.
    UnknownUnit {
        /// The unit as typed.
        found: String,
        /// What was asked for.
        expected: Option<Dimension>,
    },
    /// The unit measures something else.
    WrongDimension {
        /// The text as typed.
        typed: String,
        /// What its unit measures.
        found: Dimension,
        /// What was asked for.
        expected: Dimension,
    },
    /// No such value can exist (an absolute pressure below zero, a temperature below 0 K).
    Impossible {
        /// The text as typed.
        typed: String,
        /// Why it can't be, and what may have been meant.
        why: String,
    },
}

impl fmt::Display for QuantityError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Number { typed, error } => write!(f, "'{typed}' {error}"),
            Self::NoUnit { typed, expected } => write!(
                f,
                "expected a {} with its unit, found '{typed}'; add one, such as {}",
                expected.name(),
                expected.examples()
            ),
            Self::UnknownUnit { found, expected } => {
                write!(f, "unknown unit '{}'", short(found))?;
                if let Some(near) = nearest_unit(found, *expected) {
                    write!(f, "; did you mean '{near}'?")
                } else if let Some(dimension) = expected {
                    write!(f, "; for a {} use {}", dimension.name(), dimension.examples())
                } else {
                    Ok(())
                }
            }
            Self::WrongDimension { typed, found, expected } => write!(
                f,
                "expected a {}, found '{typed}', a {}; use {}",
                expected.name(),
                found.name(),
                expected.examples()
            ),
            Self::Impossible { typed, why } => write!(f, "'{typed}' can't be: {why}"),
        }
    }
}

impl std::error::Error for QuantityError {}

/// Splits "kPa abs" into unit and datum. The glued forms `psig`, `psia` and `barg` are understood too.
fn unit_and_datum(text: &str) -> Option<(&'static Unit, Option<Datum>)> {
    if let Some(u) = unit(text) {
        return Some((u, None));
    }
    let lower = text.to_lowercase();
    for (ending, datum) in [
        ("absolute", Datum::Absolute),
        ("abs.", Datum::Absolute),
        ("abs", Datum::Absolute),
        ("gauge", Datum::Gauge),
        ("vacuum", Datum::Vacuum),
        ("vac.", Datum::Vacuum),
        ("vac", Datum::Vacuum),
        ("a", Datum::Absolute),
        ("g", Datum::Gauge),
    ] {
        if lower.ends_with(ending)
            && let Some(stem) = text.get(..text.len() - ending.len())
            && let Some(u) = unit(stem.trim_end().trim_end_matches(['(', ',']).trim_end())
            && u.dimension == Dimension::Pressure
        {
            return Some((u, Some(datum)));
        }
    }
    None
}

impl Measure {
    /// Reads `text`, whatever it measures.
    ///
    /// # Errors
    /// Any [`QuantityError`] but [`QuantityError::WrongDimension`]; a bare number is a plain number.
    pub fn parse_any(text: &str) -> Result<Self, QuantityError> {
        Self::read(text, None, None)
    }

    /// Reads `text` as a `dimension`.
    ///
    /// # Errors
    /// Any [`QuantityError`].
    pub fn parse(text: &str, dimension: Dimension) -> Result<Self, QuantityError> {
        Self::read(text, Some(dimension), None)
    }

    /// Reads `text` as a quantity of `bare`'s dimension; a number without a unit takes `bare`.
    ///
    /// # Errors
    /// Any [`QuantityError`] but [`QuantityError::NoUnit`].
    pub fn parse_or(text: &str, bare: &'static Unit) -> Result<Self, QuantityError> {
        Self::read(text, Some(bare.dimension), Some(bare))
    }

    fn read(
        text: &str,
        expected: Option<Dimension>,
        bare: Option<&'static Unit>,
    ) -> Result<Self, QuantityError> {
        let typed = text.trim().to_owned();
        let (value, rest) =
            split_number(text).map_err(|error| QuantityError::Number { typed: typed.clone(), error })?;
        let (unit, datum) = if rest.is_empty() {
            match (bare, expected) {
                (Some(u), _) => (u, None),
                (None, None | Some(Dimension::Plain)) => {
                    (super::UnitSystem::Metric.unit_for(Dimension::Plain), None)
                }
                (None, Some(dimension)) => return Err(QuantityError::NoUnit { typed, expected: dimension }),
            }
        } else {
            unit_and_datum(rest)
                .ok_or_else(|| QuantityError::UnknownUnit { found: rest.trim().to_owned(), expected })?
        };
        if let Some(dimension) = expected
            && unit.dimension != dimension
        {
            return Err(QuantityError::WrongDimension { typed, found: unit.dimension, expected: dimension });
        }
        let si = unit.to_si(value);
        let measure = Self { si, unit, datum, typed };
        measure.check()?;
        Ok(measure)
    }

    fn check(&self) -> Result<(), QuantityError> {
        let impossible =
            |why: &str| Err(QuantityError::Impossible { typed: self.typed.clone(), why: why.to_owned() });
        match (self.unit.dimension, self.datum) {
            (Dimension::Pressure, Some(Datum::Absolute)) if self.si < 0.0 => impossible(
                "an absolute pressure is never below zero; if it is measured from the atmosphere, say gauge or vacuum",
            ),
            (Dimension::Pressure, Some(Datum::Gauge)) if self.si < -110_000.0 => impossible(
                "no pressure lies more than one atmosphere below the atmosphere; check the sign and the unit",
            ),
            (Dimension::Pressure, Some(Datum::Vacuum)) if self.si > 110_000.0 => impossible(
                "a vacuum can't be deeper than one atmosphere (29.9 inHg at sea level); check the unit",
            ),
            (Dimension::Temperature, _) if self.si < 0.0 => impossible("nothing is colder than 0 K"),
            _ if !self.si.is_finite() => impossible("it is beyond the range of numbers that can be stored"),
            _ => Ok(()),
        }
    }

    /// The value in its own unit, as typed.
    pub fn value(&self) -> f64 {
        self.unit.from_si(self.si)
    }

    /// A quantity made here rather than typed: `si` shown in `unit`.
    pub fn of(si: f64, unit: &'static Unit, datum: Option<Datum>) -> Self {
        let typed = show(si, unit, datum, 4);
        Self { si, unit, datum, typed }
    }
}

impl fmt::Display for Measure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&show(self.si, self.unit, self.datum, 4))
    }
}

/// `text` as an error repeats it: no longer than a unit could ever be.
fn short(text: &str) -> String {
    const MOST: usize = 24;
    if text.chars().count() <= MOST {
        return text.to_owned();
    }
    text.chars().take(MOST).chain("...".chars()).collect()
}

/// `value` with `digits` significant figures, without a trailing run of zeros after the mark or an exponent.
pub fn figures(value: f64, digits: usize) -> String {
    if !value.is_finite() {
        return "–".to_owned();
    }
    if value == 0.0 {
        return "0".to_owned();
    }
    #[allow(clippy::cast_possible_truncation)] // The exponent of a finite f64 lies within ±330.
    let exponent = value.abs().log10().floor() as i32;
    #[allow(clippy::cast_possible_wrap, clippy::cast_possible_truncation)] // `digits` is a handful.
    let decimals = (digits as i32 - 1 - exponent).clamp(0, 12);
    #[allow(clippy::cast_sign_loss)] // Clamped above to 0..=12.
    let text = format!("{value:.*}", decimals as usize);
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// An SI value in `unit` with `digits` significant figures, its unit and, for a pressure, what it is measured from
/// where that is not plain gauge.
pub fn show(si: f64, unit: &Unit, datum: Option<Datum>, digits: usize) -> String {
    let mut text = figures(unit.from_si(si), digits);
    if !unit.symbol.is_empty() {
        text.push(' ');
        text.push_str(unit.symbol);
    }
    match datum {
        Some(Datum::Absolute) => text.push_str(" abs"),
        Some(Datum::Vacuum) => text.push_str(" vacuum"),
        _ => {}
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_slip_is_repeated_in_short() {
        let slip = "5 psi43.5 psi43.5 psi43.5 psi43.5 psi";
        let said = Measure::parse(slip, Dimension::Pressure).unwrap_err().to_string();
        assert!(said.starts_with("unknown unit 'psi43.5 psi43.5 psi43.5 ...'"), "{said}");
        let said = Measure::parse("5 pis", Dimension::Pressure).unwrap_err().to_string();
        assert!(said.starts_with("unknown unit 'pis'"), "{said}");
    }

    #[test]
    fn a_pressure_says_what_it_is_measured_from() {
        let m = Measure::parse("45 kPa abs", Dimension::Pressure).unwrap();
        assert_eq!((m.si, m.datum), (45_000.0, Some(Datum::Absolute)));
        let m = Measure::parse("20 inHg vacuum", Dimension::Pressure).unwrap();
        assert_eq!(m.datum, Some(Datum::Vacuum));
        for text in ["14.7psia", "14.7 psi a", "14.7 psi absolute"] {
            assert_eq!(
                Measure::parse(text, Dimension::Pressure).unwrap().datum,
                Some(Datum::Absolute),
                "{text}"
            );
        }
        assert_eq!(Measure::parse("43.5 psig", Dimension::Pressure).unwrap().datum, Some(Datum::Gauge));
        assert_eq!(Measure::parse("43.5 psi", Dimension::Pressure).unwrap().datum, None);
    }

    #[test]
    fn wrong_quantities_are_named() {
        let volts = Measure::parse("51 psi", Dimension::Voltage).unwrap_err();
        assert_eq!(volts.to_string(), "expected a voltage, found '51 psi', a pressure; use V, mV");
        let none = Measure::parse("51", Dimension::Pressure).unwrap_err();
        assert!(none.to_string().contains("add one, such as psi, kPa, bar, inHg"), "{none}");
        let unknown = Measure::parse("51 pssi", Dimension::Pressure).unwrap_err();
        assert!(unknown.to_string().contains("did you mean 'psi'?"), "{unknown}");
        assert!(matches!(
            Measure::parse("-3 kPa abs", Dimension::Pressure),
            Err(QuantityError::Impossible { .. })
        ));
        assert!(matches!(
            Measure::parse("-500 °F", Dimension::Temperature),
            Err(QuantityError::Impossible { .. })
        ));
    }

    #[test]
    fn what_was_typed_is_kept() {
        let m = Measure::parse(" 3,5 bar ", Dimension::Pressure).unwrap();
        assert_eq!((m.typed.as_str(), m.si), ("3,5 bar", 350_000.0));
    }

    #[test]
    fn figures_are_significant() {
        for (value, digits, text) in [
            (58.0, 4, "58"),
            (56.94, 3, "56.9"),
            (0.001_234, 3, "0.00123"),
            (101_325.0, 4, "101325"),
            (-0.04, 1, "-0.04"),
        ] {
            assert_eq!(figures(value, digits), text);
        }
    }

    #[test]
    fn a_wideband_reading_is_lambda_on_any_fuel() {
        let m = Measure::parse("14.7 AFR", Dimension::Plain).unwrap();
        assert!((m.si - 1.0).abs() < 1e-12);
    }
}
