//! What several commands share: reading a rig, naming faults and conditions, showing quantities in JSON.

use super::{Failure, read_text};
use crate::faults;
use crate::physics::Car;
use crate::quantity::{Dimension, UnitSystem};
use crate::rig::Rig;
use crate::terms::{Condition, Fault, Reading, ReadingDatum};
use serde_json::{Map, Value, json};
use std::path::Path;

/// Reads and checks a rig file.
pub fn read_rig(path: &Path) -> Result<Rig, Failure> {
    let text = read_text(path)?;
    Rig::parse(&path.display().to_string(), &text).map_err(Failure::input)
}

/// Parses `ID=SEVERITY`.
pub fn parse_fault(text: &str) -> Result<(Fault, f64), String> {
    let (id, severity) = text.split_once('=').unwrap_or((text, "0.6"));
    let fault = id.parse::<Fault>().map_err(|e| e.to_string())?;
    let severity =
        crate::quantity::parse_number(severity).map_err(|e| format!("severity '{severity}' {e}"))?;
    Ok((fault, severity))
}

/// The rig's car with faults put in, one after the other.
pub fn faulty_car(rig: &Rig, with: &[(Fault, f64)]) -> Result<Car, Failure> {
    let mut car = rig.car.clone();
    for (fault, severity) in with {
        faults::change(rig, *fault, *severity, &mut car).map_err(Failure::input)?;
    }
    Ok(car)
}

/// Parses a condition for clap.
pub fn parse_condition(text: &str) -> Result<Condition, String> {
    text.parse::<Condition>().map_err(|e| e.to_string())
}

/// Parses a unit system for clap.
pub fn parse_units(text: &str) -> Result<UnitSystem, String> {
    match text {
        "metric" => Ok(UnitSystem::Metric),
        "us" => Ok(UnitSystem::Us),
        _ => Err(format!("expected metric or us, found '{text}'")),
    }
}

/// A reading as the stable JSON shows it: value, unit and, for a pressure, what it is measured from.
pub fn reading_json(reading: Reading, si: f64, units: UnitSystem) -> Value {
    let unit = units.unit_for(reading.dimension());
    let mut object = Map::new();
    object.insert("value".into(), json!(unit.from_si(si)));
    object.insert("unit".into(), json!(unit.symbol));
    if reading.dimension() == Dimension::Pressure {
        let from = match reading.datum() {
            ReadingDatum::Gauge => Some("gauge"),
            ReadingDatum::Absolute => Some("absolute"),
            ReadingDatum::None => None,
        };
        if let Some(from) = from {
            object.insert("reference".into(), json!(from));
        }
    }
    Value::Object(object)
}
