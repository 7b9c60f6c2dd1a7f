//! What several commands share: reading a rig, naming faults and conditions, showing quantities in JSON.

use super::{Failure, read_text};
use crate::faults;
use crate::physics::Car;
use crate::quantity::{Dimension, UnitSystem};
use crate::rig::Rig;
use crate::terms::{Complaint, Condition, Fault, Induction, Reading, ReadingDatum, Tool, UnknownTerm};
use serde_json::{Map, Value, json};
use std::fmt::Display;
use std::path::Path;
use std::str::FromStr;

/// Reads and checks a rig file.
pub fn read_rig(path: &Path) -> Result<Rig, Failure> {
    let text = read_text(path)?;
    Rig::parse(&path.display().to_string(), &text).map_err(Failure::input)
}

/// The severity of a fault given by its id alone.
const SEVERITY: &str = "0.6";

/// Parses `ID` or `ID=SEVERITY`.
pub fn parse_fault(text: &str) -> Result<(Fault, f64), String> {
    let (id, severity) = text.split_once('=').unwrap_or((text, SEVERITY));
    let fault = fault_of(id)?;
    let severity =
        crate::quantity::parse_number(severity).map_err(|e| format!("severity '{severity}' {e}"))?;
    Ok((fault, severity))
}

/// Parses an id of a closed list; what is in no list is refused with the nearest that is, and with all of them.
fn term<T>(text: &str, all: &[T]) -> Result<T, String>
where
    T: FromStr<Err = UnknownTerm> + Display,
{
    text.parse::<T>().map_err(|e| format!("{e}\n\nThere are:\n{}", listed(all)))
}

/// Columns a list of ids takes at most.
const LIST_WIDTH: usize = 96;

/// Ids in lines a terminal can hold, indented.
fn listed(all: &[impl Display]) -> String {
    let mut text = String::from(" ");
    let mut column = 1;
    for (i, id) in all.iter().enumerate() {
        let word = format!("{id}{}", if i + 1 < all.len() { "," } else { "" });
        if column + 1 + word.len() > LIST_WIDTH {
            text.push_str("\n ");
            column = 1;
        }
        text.push(' ');
        text.push_str(&word);
        column += 1 + word.len();
    }
    text
}

/// Parses the id of a fault for clap.
pub fn fault_of(text: &str) -> Result<Fault, String> {
    term(text, Fault::ALL)
}

/// Parses the id of a tool for clap.
pub fn tool_of(text: &str) -> Result<Tool, String> {
    term(text, Tool::ALL)
}

/// Parses the id of a kind of complaint for clap.
pub fn complaint_of(text: &str) -> Result<Complaint, String> {
    term(text, Complaint::ALL)
}

/// Parses the id of a kind of induction for clap.
pub fn induction_of(text: &str) -> Result<Induction, String> {
    term(text, Induction::ALL)
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
    term(text, Condition::ALL)
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
