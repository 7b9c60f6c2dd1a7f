//! From what a person types to a checked reading.

use super::expectation::Expectation;
use super::vacuum::on_vacuum_gauge;
use crate::instrument::Seen;
use crate::quantity::{
    Absolute, Datum, Dimension, Gauge, Measure, QuantityError, UnitSystem, flow, show, unit,
};
use crate::rig::Rig;
use crate::terms::{Reading, ReadingDatum};

/// A reading as typed, understood.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// The text as typed.
    pub typed: String,
    /// What was seen, SI, measured from what the reading is measured from.
    pub seen: Seen,
    /// The unit typed.
    pub unit: String,
    /// What it was said to be measured from.
    pub datum: Option<Datum>,
}

/// Why a text is not taken as this reading.
#[derive(Debug, Clone, PartialEq)]
pub enum EntryError {
    /// It is no such quantity.
    Quantity(QuantityError),
    /// It can't be on this car; with the likely slip, if one is.
    Impossible {
        /// What was expected, what was found, what to do.
        why: String,
    },
    /// It can be, but looks like a slip: asked about. Typing the suggestion takes it; typing the same text again keeps it.
    Doubtful {
        /// Why it is doubted.
        why: String,
        /// What was probably meant.
        suggestion: String,
    },
}

impl std::fmt::Display for EntryError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Quantity(error) => write!(f, "{error}"),
            Self::Impossible { why } => write!(f, "{why}"),
            Self::Doubtful { why, suggestion } => {
                write!(f, "{why} Did you mean {suggestion}? Type that, or give the same again to keep it.")
            }
        }
    }
}

impl std::error::Error for EntryError {}

/// The unit a bare number takes.
pub fn bare_unit(reading: Reading, units: UnitSystem) -> &'static crate::quantity::Unit {
    match (reading, units) {
        (
            Reading::ManifoldPressure | Reading::PumpInletPressure | Reading::ReferencePressure,
            UnitSystem::Us,
        ) => unit("inHg").unwrap_or(units.unit_for(reading.dimension())),
        (reading, units) => units.unit_for(reading.dimension()),
    }
}

/// A typed pressure measured from what the reading is measured from, SI.
fn on_datum(m: &Measure, reading: Reading, atmosphere: Absolute) -> f64 {
    let gauge = match (m.datum, reading.datum()) {
        (Some(Datum::Absolute), _) | (None, ReadingDatum::Absolute) => Absolute(m.si).gauge(atmosphere),
        (Some(Datum::Vacuum), _) => Gauge(-m.si),
        (Some(Datum::Gauge), _) | (None, ReadingDatum::Gauge) => Gauge(m.si),
        (None, ReadingDatum::None) => return m.si,
    };
    match reading.datum() {
        ReadingDatum::Absolute => gauge.absolute(atmosphere).0,
        _ => gauge.0,
    }
}

/// Understands `text` as the reading of `expected`; `confirmed` when the same text was asked about and typed again.
///
/// "ceiling", or a value after ">" or "at least", is a reading known only as at least that.
///
/// # Errors
/// Any [`EntryError`]; the text stays with the caller.
pub fn understand(
    text: &str,
    reading: Reading,
    expected: &Expectation,
    rig: &Rig,
    units: UnitSystem,
    confirmed: bool,
) -> Result<Entry, EntryError> {
    let typed = text.trim();
    let lower = typed.to_lowercase();
    if let Some(ceiling) = expected.ceiling.filter(|_| lower == "ceiling" || lower == "reached the ceiling") {
        let unit = bare_unit(reading, units).symbol.to_owned();
        return Ok(Entry {
            typed: typed.to_owned(),
            seen: Seen::AtLeast(ceiling),
            unit,
            datum: Some(Datum::Gauge),
        });
    }
    let (at_least, number) = match beyond(&lower) {
        Some(rest) => (true, &typed[typed.len() - rest.len()..]),
        None => (false, typed),
    };
    let density = rig.car.fuel.density();
    let ran_in = (reading.dimension() == Dimension::VolumeFlow)
        .then(|| flow(number, expected.takes, density))
        .flatten();
    let m = match ran_in {
        Some(si) => Measure { si, unit: bare_unit(reading, units), datum: None, typed: typed.to_owned() },
        None => Measure::parse_or(number, bare_unit(reading, units)).map_err(EntryError::Quantity)?,
    };
    let si = on_datum(&m, reading, rig.car.site.atmosphere);
    possible(si, &m, reading, expected, rig)?;
    let asked = || {
        let vacuum = maybe_vacuum(&m, reading, rig);
        vacuum.or_else(|| doubtful(si, &m, reading, expected, rig)).or_else(|| off_scale(si, &m, expected))
    };
    if !confirmed && let Some(error) = asked() {
        return Err(error);
    }
    let at_ceiling = expected.ceiling.is_some_and(|c| si >= c);
    let seen = if at_least || at_ceiling { Seen::AtLeast(si) } else { expected.instrument.see(si) };
    Ok(Entry { typed: typed.to_owned(), seen, unit: m.unit.symbol.to_owned(), datum: m.datum })
}

/// What follows the words for "at least", if the text begins with them.
fn beyond(lower: &str) -> Option<&str> {
    lower.strip_prefix("at least").or_else(|| lower.strip_prefix('>'))
}

/// Whether a reading was typed as one beyond the end of a scale: what is there is at least this.
pub(super) fn typed_at_least(typed: &str) -> bool {
    beyond(&typed.trim().to_lowercase()).is_some()
}

/// Refuses what no gauge on this car can show.
fn possible(
    si: f64,
    m: &Measure,
    reading: Reading,
    expected: &Expectation,
    rig: &Rig,
) -> Result<(), EntryError> {
    let atmosphere = rig.car.site.atmosphere.0;
    let refuse = |why: String| {
        let slip = slips(m, reading, expected, rig).first().cloned();
        let hint = slip.map_or(String::new(), |s| format!(" {s} would fit."));
        Err(EntryError::Impossible { why: format!("{why}{hint}") })
    };
    match (reading.dimension(), reading.datum()) {
        (Dimension::Pressure, ReadingDatum::Absolute) if si < 0.0 => refuse(format!(
            "'{}' is below absolute zero pressure; if it is a vacuum, say so, such as 18 inHg vacuum.",
            m.typed
        )),
        (Dimension::Pressure, ReadingDatum::Gauge) if si < -atmosphere => {
            refuse(format!("'{}' is more than one atmosphere below the atmosphere.", m.typed))
        }
        (Dimension::Pressure, ReadingDatum::Absolute) if si > 5.0 * atmosphere => {
            refuse(format!("'{}' is more than five atmospheres in the manifold.", m.typed))
        }
        (Dimension::Voltage, _) if !(-2.0..=20.0).contains(&si) => {
            refuse(format!("expected between 0 and 20 V on a 12 V car, found '{}'.", m.typed))
        }
        (Dimension::Current, _) if !(-1.0..=60.0).contains(&si) => {
            refuse(format!("expected between 0 and 60 A for a fuel pump, found '{}'.", m.typed))
        }
        (Dimension::Plain, _) if !(0.3..=3.0).contains(&si) => refuse(format!(
            "expected a lambda between 0.3 and 3, found '{}'; a wideband that shows 14.7 is typed as 14.7 AFR.",
            m.typed
        )),
        (Dimension::Share, _) if si.abs() > 1.0 => {
            refuse(format!("expected within ±100 %, found '{}'.", m.typed))
        }
        (Dimension::VolumeFlow, _) if si < 0.0 => {
            refuse(format!("a flow is not below zero, found '{}'.", m.typed))
        }
        _ => match expected.most {
            Some(most) if si > most => {
                let unit = m.unit;
                refuse(format!(
                    "'{}' is above {}, more than this pump can give even against a closed line. See the gauge and its unit again; \
                     if it does show that, the gauge or the pump stated for this car is wrong.",
                    m.typed,
                    show(most, unit, None, 3)
                ))
            }
            _ => Ok(()),
        },
    }
}

/// Asks whether inches of mercury are a vacuum, as most gauges show it, or an absolute pressure, where it was not said.
fn maybe_vacuum(m: &Measure, reading: Reading, rig: &Rig) -> Option<EntryError> {
    let of_mercury = ["inHg", "mmHg"].contains(&m.unit.symbol);
    let open = reading.datum() == ReadingDatum::Absolute && m.datum.is_none();
    let can_be = m.si > 0.0 && m.si < rig.car.site.atmosphere.0;
    (of_mercury && open && can_be).then(|| EntryError::Doubtful {
        why: format!("'{}' would count as absolute, and most gauges show {} of vacuum.", m.typed, m.unit),
        suggestion: format!("{} {} vacuum", crate::quantity::figures(m.value(), 6), m.unit),
    })
}

/// Asks about a value far from what is expected that fits well in another unit or measured from elsewhere.
fn doubtful(si: f64, m: &Measure, reading: Reading, expected: &Expectation, rig: &Rig) -> Option<EntryError> {
    let middle = expected.band.expected?;
    let far = |value: f64| (value - middle).abs() > 0.6 * middle.abs().max(10_000.0);
    if reading.dimension() != Dimension::Pressure || !far(si) || si.abs() < 1_000.0 {
        return None;
    }
    let suggestion = slips(m, reading, expected, rig).into_iter().next()?;
    let why = format!("'{}' is far from what is expected, {suggestion} would fit.", m.typed);
    Some(EntryError::Doubtful { why, suggestion })
}

/// Asks about a value beyond the end of the gauge's scale, where no pointer goes.
fn off_scale(si: f64, m: &Measure, expected: &Expectation) -> Option<EntryError> {
    /// A pointer at its stop is read a little beyond the last mark.
    const STOP: f64 = 1.02;
    let top = expected.instrument.range.filter(|_| m.unit.dimension == Dimension::Pressure)?.high;
    let end = show(top, m.unit, None, 3);
    (si > top * STOP && top > 0.0).then(|| EntryError::Doubtful {
        why: format!(
            "'{}' lies beyond the scale of the {}, which ends at {end}.",
            m.typed, expected.instrument.name
        ),
        suggestion: format!("> {end}"),
    })
}

/// The same number in another unit, or from another datum, that lies in the band or near it.
fn slips(m: &Measure, reading: Reading, expected: &Expectation, rig: &Rig) -> Vec<String> {
    let Some(middle) = expected.band.expected else { return Vec::new() };
    let low = expected.band.low.unwrap_or(middle * 0.85).min(middle * 0.9);
    let high = expected.band.high.unwrap_or(middle * 1.15).max(middle * 1.1);
    let fits = |value: f64| (low.min(high)..=high.max(low)).contains(&value);
    let mut found = Vec::new();
    let vacuum = on_vacuum_gauge(reading);
    let number = crate::quantity::figures(m.value().abs(), 6);
    // A column of mercury stands for vacuum and boost; no fuel gauge is marked in it.
    for symbol in ["psi", "kPa", "bar", "inHg"].into_iter().filter(|s| vacuum || *s != "inHg") {
        let Some(other) = unit(symbol).filter(|u| *u != m.unit && u.dimension == m.unit.dimension) else {
            continue;
        };
        let as_other = Measure { si: other.to_si(m.value()), unit: other, ..m.clone() };
        if fits(on_datum(&as_other, reading, rig.car.site.atmosphere)) {
            // What lies below the atmosphere is said as the gauge shows it: so much vacuum, without a minus.
            let vacuum = if m.value() < 0.0 { " vacuum" } else { "" };
            found.push(format!("{number} {symbol}{vacuum}"));
        }
    }
    // A number with a minus is neither an absolute pressure nor a vacuum, and only a vacuum gauge shows one.
    let others = [(Datum::Absolute, "abs"), (Datum::Vacuum, "vacuum")];
    let others =
        others.into_iter().filter(|(datum, _)| m.value() >= 0.0 && (vacuum || *datum != Datum::Vacuum));
    for (datum, word) in others {
        let as_other = Measure { datum: Some(datum), ..m.clone() };
        if m.unit.dimension == Dimension::Pressure
            && m.datum.is_none()
            && fits(on_datum(&as_other, reading, rig.car.site.atmosphere))
        {
            found.push(format!("{number} {} {word}", m.unit));
        }
    }
    found
}
