//! `expect RIG`: what every gauge should read on this car, in one condition or in all.

use super::car::{faulty_car, parse_condition, parse_fault, parse_units, read_rig, reading_json};
use super::{Done, Failure, Output};
use crate::physics::{self, Car, Solution, explain};
use crate::quantity::{Datum, UnitSystem, show};
use crate::rig::{Rig, tolerance};
use crate::terms::{Condition, Fault, Reading, ReadingDatum};
use serde_json::{Map, Value, json};
use std::path::PathBuf;

/// Arguments of `expect`.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  faultwalk example rig > car.yaml\n  faultwalk expect car.yaml --at idle\n  \
faultwalk expect car.yaml --at load --fault feed-filter-blocked=0.6 --json"
)]
pub struct Args {
    /// The rig file.
    rig: PathBuf,
    /// crank, prime, idle, raised, cruise, load, pinched, rest or hot-prime; idle when left out.
    #[arg(long, value_parser = parse_condition, default_value = "idle")]
    at: Condition,
    /// Put a fault into the car: its id, and how bad it is from 0 to 1; 0.6 when left out. May be given more than once; an id that
    /// is none lists them all.
    #[arg(long, value_name = "ID[=SEVERITY]", value_parser = parse_fault, allow_hyphen_values = true)]
    fault: Vec<(Fault, f64)>,
    /// Units of the result: metric or us; left out, those of the car's own gauge, and metric in JSON.
    #[arg(long, value_parser = parse_units)]
    units: Option<UnitSystem>,
}

/// Prints the expected readings.
pub fn run(args: &Args, out: &mut Output) -> Result<Done, Failure> {
    let rig = read_rig(&args.rig)?;
    let car = faulty_car(&rig, &args.fault)?;
    if args.at == Condition::Pinched && !car.regulator.style.has_return() {
        return Err(Failure::Input(format!(
            "expected a supply with a return line to close, found the style {}; use another condition",
            car.regulator.style
        )));
    }
    let solution = physics::solve(&car, args.at).map_err(Failure::input)?;
    if out.wants_json() {
        out.json(&as_json(&car, &solution, args.units.unwrap_or_default()))?;
    } else {
        as_text(args, &rig, &car, &solution, out)?;
    }
    Ok(Done::Fine)
}

/// What a gauge can show in this condition: after key-off that is the pressure held, and nothing of a pump that stands.
fn there(solution: &Solution) -> impl Iterator<Item = (Reading, f64)> {
    let taken = Reading::ALL.iter().filter(|r| r.exists_at(solution.condition));
    taken.filter_map(|r| Some((*r, solution.get(*r)?)))
}

fn as_json(car: &Car, solution: &Solution, units: UnitSystem) -> Value {
    let mut readings = Map::new();
    for (reading, si) in there(solution) {
        readings.insert(reading.id().into(), reading_json(reading, si, units));
    }
    let mut object = Map::new();
    object.insert("condition".into(), json!(solution.condition.id()));
    object.insert("readings".into(), Value::Object(readings));
    if let Some(runs) = solution.runs {
        object.insert("runs".into(), json!(runs));
    }
    if solution.condition == Condition::Pinched
        && let Some(ceiling) = physics::ceiling(car)
    {
        object.insert("ceiling".into(), reading_json(Reading::RailPressure, ceiling.0, units));
    }
    if let Some(duty) = solution.duty {
        object.insert("pump-duty".into(), json!({"value": duty * 100.0, "unit": "%"}));
    }
    Value::Object(object)
}

fn datum(reading: Reading) -> Option<Datum> {
    (reading.datum() == ReadingDatum::Absolute).then_some(Datum::Absolute)
}

fn as_text(args: &Args, rig: &Rig, car: &Car, solution: &Solution, out: &mut Output) -> Result<(), Failure> {
    let units = args.units.or_else(|| rig.units()).unwrap_or_default();
    out.line(format!("{}, {}", rig.name, solution.condition.name()))?;
    for (fault, severity) in &args.fault {
        out.line(format!("with the fault put in: {} (severity {severity})", fault.name()))?;
    }
    if solution.runs == Some(false) {
        out.line("The engine does not run in this state (beyond about lambda 1.6, common practice).")?;
    }
    out.line("")?;
    for (reading, si) in there(solution) {
        let unit = units.unit_for(reading.dimension());
        let mut line = format!("{:<34} {:>14}", reading.name(), show(si, unit, datum(reading), 3));
        if args.fault.is_empty()
            && let Ok(Some((expected, half))) = tolerance(rig, args.at, reading)
        {
            let low = show(expected - half, unit, None, 3);
            let high = show(expected + half, unit, None, 3);
            line = format!("{line}   a sound car: {low} to {high}");
        }
        out.line(line)?;
        for term in explain(car, solution, reading) {
            out.line(format!("    {:>12}  {} ({})", show(term.si, unit, None, 3), term.what, term.source))?;
        }
    }
    if let Some(ledger) = &solution.ledger {
        out.line("")?;
        out.line("Mixture ledger, each as a ratio (model, section 7):")?;
        for (what, ratio) in ledger.lines() {
            out.line(format!("    {ratio:>8.4}  {what}"))?;
        }
        out.line(format!(
            "    target {:.3}, lambda without trim {:.3}, trim {:+.1} %, of which the pressure explains {:+.1} points",
            ledger.target,
            ledger.open,
            ledger.trim * 100.0,
            ledger.explained_by_pressure() * 100.0
        ))?;
    }
    if solution.condition == Condition::Pinched
        && let Some(ceiling) = physics::ceiling(car)
    {
        let unit = units.unit_for(Reading::RailPressure.dimension());
        out.line(format!("Stop closing the valve at {}.", show(ceiling.0, unit, None, 3)))?;
    }
    out.line("")?;
    out.line(physics::reference_advice(car))?;
    let defaults: Vec<&str> = rig.facts.iter().filter(|f| f.default).map(|f| f.path.as_str()).collect();
    if !defaults.is_empty() {
        out.line(format!("Taken as defaults: {}.", defaults.join(", ")))?;
    }
    Ok(())
}
