//! `log`: readings out of a data log.

use super::car::{parse_units, read_rig, reading_json};
use super::log_into::{IntoCase, OpenCase};
use super::{Done, Failure, Output};
use crate::case::Digesting;
use crate::logs::{
    Analysis, Channel, Dot, Figure, Fit, Judgement, LogError, Mapping, Override, Stretch, analyse, guess,
    sample, scatter,
};
use crate::quantity::{Datum, Dimension, UnitSystem, figures, show};
use crate::rig::Rig;
use crate::terms::{Condition, ReadingDatum};
use crate::text::one_line;
use serde_json::{Value, json};
use std::fs::File;
use std::io::{BufReader, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Arguments of `log`.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "The mapping is shown first: what each column was taken for, and why. Change it column by column, keep it once, use it \
for every log of the same recorder:\n  faultwalk log drive.csv --map 'Press 2=rail-pressure:psi gauge' --map 'Aux=ignored' --keep-mapping recorder.json\n  \
faultwalk log next.csv --mapping recorder.json\n\nExamples:\n  faultwalk log drive.csv --rig car.yaml\n  \
faultwalk log drive.csv --into 20261101-0812\n  faultwalk log drive.csv --into 20261101-0812 --at inlet-adapter\n  \
faultwalk log drive.csv --mapping recorder.json --json"
)]
pub struct Args {
    /// The log: values parted by commas, semicolons or tabs, with or without names above them.
    file: PathBuf,
    /// The rig file; without one nothing says what the readings should be.
    #[arg(long, value_name = "RIG", conflicts_with = "into")]
    rig: Option<PathBuf>,
    /// What a column holds: time, speed, rail-pressure, manifold-pressure and others, or ignored; may be given more than once.
    #[arg(long, value_name = "COLUMN=CHANNEL[:UNIT]")]
    map: Vec<Override>,
    /// A mapping kept earlier, for columns of the same names.
    #[arg(long, value_name = "FILE")]
    mapping: Option<PathBuf>,
    /// Keep the mapping in a file, which must not be there yet.
    #[arg(long, value_name = "FILE")]
    keep_mapping: Option<PathBuf>,
    /// Units of the result: metric or us; those of the car's file if not given, for JSON metric.
    #[arg(long, value_parser = parse_units)]
    units: Option<UnitSystem>,
    #[command(flatten)]
    into: IntoCase,
}

fn of_log(path: &Path, error: LogError) -> Failure {
    match error {
        LogError::Io(e) => Failure::file("read", path, &e),
        other => Failure::Input(format!("{}: {other}", path.display())),
    }
}

/// Reads the log and prints what it says.
pub fn run(args: &Args, out: &mut Output) -> Result<Done, Failure> {
    let mut into = OpenCase::open(&args.into)?;
    let rig = match &into {
        Some(case) => Some(case.rig()),
        None => args.rig.as_deref().map(read_rig).transpose()?.map(Arc::new),
    };
    let rig = rig.as_deref();
    let own = rig.filter(|_| !out.wants_json()).and_then(Rig::units);
    let units = args.units.or(own).unwrap_or_default();
    let mut file = File::open(&args.file).map_err(|e| Failure::file("read", &args.file, &e))?;
    let failed = |e: LogError| of_log(&args.file, e);
    let sampled = sample(&mut file).map_err(failed)?;
    let mut mapping = guess(&sampled, rig);
    if let Some(path) = &args.mapping {
        let kept: Mapping = serde_json::from_str(&super::read_text(path)?).map_err(|e| {
            Failure::Input(format!("expected a mapping kept by --keep-mapping in {}: {e}", path.display()))
        })?;
        mapping.take_over(&kept).map_err(Failure::input)?;
    }
    for change in &args.map {
        mapping.change(change).map_err(Failure::input)?;
    }
    if let Some(path) = &args.keep_mapping {
        keep(&mapping, path)?;
    }
    // Only a log that a case is to name has to be known by its digest.
    let (analysis, digest) = if into.is_some() {
        let mut through = Digesting::new(file);
        let from = BufReader::new(&mut through);
        let analysis = analyse(from, &sampled.layout, &mapping, rig, units).map_err(failed)?;
        let digest = through.finish().map_err(|e| Failure::file("read", &args.file, &e))?;
        (analysis, Some(digest))
    } else {
        let from = BufReader::new(file);
        (analyse(from, &sampled.layout, &mapping, rig, units).map_err(failed)?, None)
    };
    let kept = match (&mut into, digest) {
        (Some(into), Some(digest)) => Some(into.keep(&args.file, digest, &analysis)?),
        _ => None,
    };
    if out.wants_json() {
        let mut object = as_json(&mapping, &analysis, units);
        if let Some(kept) = &kept {
            object["case"] = kept.json(units);
        }
        out.json(&object)?;
    } else {
        as_text(&args.file, rig, units, &mapping, &analysis, out)?;
        if let Some(kept) = &kept {
            kept.text(units, out)?;
        }
    }
    Ok(Done::Fine)
}

fn keep(mapping: &Mapping, path: &Path) -> Result<(), Failure> {
    let text = serde_json::to_string_pretty(mapping).map_err(Failure::input)?;
    let mut to = File::create_new(path).map_err(|e| Failure::file("write", path, &e))?;
    to.write_all(format!("{text}\n").as_bytes()).map_err(|e| Failure::file("write", path, &e))
}

/// Minutes and seconds.
fn long(seconds: f64) -> String {
    if seconds < 120.0 { format!("{seconds:.0} s") } else { format!("{:.1} min", seconds / 60.0) }
}

fn steady(n: usize) -> String {
    if n == 1 { "1 steady stretch".to_owned() } else { format!("{n} steady stretches") }
}

/// Stretches of each condition that has any, with their seconds.
fn conditions(stretches: &[Stretch]) -> Vec<(Condition, usize, f64)> {
    let of = |c: Condition| stretches.iter().filter(move |s| s.condition == c);
    Condition::ALL
        .iter()
        .map(|c| (*c, of(*c).count(), of(*c).map(|s| s.seconds).sum()))
        .filter(|(_, n, _)| *n > 0)
        .collect()
}

fn as_text(
    file: &Path,
    rig: Option<&Rig>,
    units: UnitSystem,
    mapping: &Mapping,
    a: &Analysis,
    out: &mut Output,
) -> Result<(), Failure> {
    let tally = &a.tally;
    out.line(format!(
        "{}: {} rows, {}{}",
        one_line(&file.to_string_lossy()),
        tally.rows,
        long(tally.seconds),
        if tally.time_assumed { ", at ten rows a second, as the log has no time" } else { "" }
    ))?;
    if tally.unusable + tally.dropouts > 0 {
        out.line(format!(
            "{} rows held nothing of use; {} values could not be and were left out",
            tally.unusable, tally.dropouts
        ))?;
    }
    match rig {
        Some(rig) => out.line(format!("car: {}", one_line(&rig.name)))?,
        None => out.line("car: none given")?,
    }
    let (pressure, from_log) = a.atmosphere;
    let shown = show(pressure, units.unit_for(Dimension::Pressure), Some(Datum::Absolute), 4);
    out.line(format!(
        "atmosphere: {shown}, {}",
        if from_log { "as the log shows it" } else { "as the car's site says" }
    ))?;
    out.line("")?;
    mapping_text(mapping, out)?;
    out.line("")?;
    let found = conditions(&a.stretches);
    if found.is_empty() {
        out.line("No steady stretch was found.")?;
    }
    for (condition, n, seconds) in &found {
        out.line(format!("{:<26} {}, {}", condition.name(), steady(*n), long(*seconds)))?;
    }
    readings_text(&a.figures, units, out)?;
    plots(a, units, out)?;
    trims_text(a, units, out)?;
    out.line("")?;
    for j in &a.judgements {
        judgement_text(j, out)?;
    }
    Ok(())
}

/// Whether a unit as a person gave it says already what the pressure is measured from.
fn says_origin(unit: &str) -> bool {
    unit.split_whitespace().count() > 1
}

fn mapping_text(mapping: &Mapping, out: &mut Output) -> Result<(), Failure> {
    out.line("What each column was taken for; change it by --map 'COLUMN=CHANNEL:UNIT':")?;
    for c in &mapping.columns {
        let taken = match c.channel {
            Some(channel) => {
                let from = c
                    .from
                    .filter(|_| channel.dimension() == Dimension::Pressure && !says_origin(&c.unit))
                    .map(|o| format!(" {}", o.name()));
                format!(
                    "{}, {}{}",
                    channel.id(),
                    if c.unit.is_empty() { "plain" } else { &c.unit },
                    from.unwrap_or_default()
                )
            }
            None => "left aside".to_owned(),
        };
        let doubt = if c.sure { "" } else { "  IN DOUBT" };
        out.line(format!("  {:<26} {taken:<34}{doubt} {}", one_line(&c.name), one_line(&c.why)).trim_end())?;
    }
    Ok(())
}

fn readings_text(all: &[Figure], units: UnitSystem, out: &mut Output) -> Result<(), Failure> {
    if all.is_empty() {
        return Ok(());
    }
    out.line("")?;
    out.line("Readings, with one standard deviation:")?;
    for f in all {
        let unit = units.unit_for(f.reading.dimension());
        let datum = (f.reading.datum() == ReadingDatum::Absolute).then_some(Datum::Absolute);
        let spread = unit.difference(f.spread);
        let value = format!("{} ± {}", show(f.si, unit, datum, 4), figures(spread, 2));
        let expected =
            f.expected.map(|e| format!("   a sound car: {}", show(e, unit, datum, 4))).unwrap_or_default();
        let at = f
            .pulled_to
            .map(|s| format!("   at {s:.0} 1/min, the upper end of the pulls"))
            .unwrap_or_default();
        let line = format!("  {:<24} {:<26} {value:<24}{expected}{at}", f.reading.name(), f.condition.name());
        out.line(line.trim_end())?;
    }
    Ok(())
}

fn letter(condition: Condition) -> char {
    match condition {
        Condition::Prime => 'k',
        Condition::Idle => 'i',
        Condition::Raised => 'r',
        Condition::Load => 'L',
        _ => 'c',
    }
}

fn plots(a: &Analysis, units: UnitSystem, out: &mut Output) -> Result<(), Failure> {
    let pressure = units.unit_for(Dimension::Pressure);
    let rail = |v: f64| show(v, pressure, None, 3);
    let dots = |x: &dyn Fn(&Stretch) -> Option<f64>| -> Vec<Dot> {
        a.stretches
            .iter()
            .filter_map(|s| {
                Some(Dot { x: x(s)?, y: s.get(Channel::RailPressure)?, letter: letter(s.condition) })
            })
            .collect()
    };
    let along = dots(&|s| s.get(Channel::ManifoldPressure));
    for (i, row) in scatter(&along, |v| show(v, pressure, Some(Datum::Absolute), 3), rail).iter().enumerate()
    {
        if i == 0 {
            out.line("")?;
            out.line("Rail pressure against manifold pressure (k key on, i idle, r 2,500 1/min, c cruise, L full load):")?;
        }
        out.line(row)?;
    }
    if let Some(fit) = &a.rail_slope {
        let right = a.right_slope.map(|r| format!("; a right reference has {r:.2}")).unwrap_or_default();
        let (low, high) = fit.slope_interval();
        out.line(format!(
            "slope below full load {:.2}, 95 % between {low:.2} and {high:.2}{right}",
            fit.slope
        ))?;
    }
    let flow = units.unit_for(Dimension::VolumeFlow);
    let flows = dots(&|s| s.get(Channel::FuelFlow));
    let (by_speed, dots) = if flows.is_empty() { (true, pulls(&a.stretches)) } else { (false, flows) };
    let x = |v: f64| if by_speed { figures(v, 3) } else { show(v, flow, None, 3) };
    for (i, row) in scatter(&dots, x, rail).iter().enumerate() {
        if i == 0 {
            out.line("")?;
            out.line(if by_speed {
                "Rail pressure against what stands for fuel flow in the full-load pulls (a lower end, z upper end):"
            } else {
                "Rail pressure against fuel flow:"
            })?;
        }
        out.line(row)?;
    }
    Ok(())
}

/// Both ends of every pull.
fn pulls(stretches: &[Stretch]) -> Vec<Dot> {
    stretches
        .iter()
        .filter_map(|s| s.pull)
        .flat_map(|p| {
            [
                Dot { x: p.low.flow, y: p.low.rail, letter: 'a' },
                Dot { x: p.high.flow, y: p.high.rail, letter: 'z' },
            ]
        })
        .collect()
}

/// A slope of the trim in points of trim a step, and the step in words.
fn trim_slope(against: Channel, fit: &Fit, units: UnitSystem) -> (f64, f64, String) {
    let unit = units.unit_for(against.dimension());
    let step = if against == Channel::ManifoldPressure { 10.0 } else { 50.0 };
    let si = step * unit.factor;
    let what = if against == Channel::ManifoldPressure { "vacuum" } else { "fuel flow" };
    (
        fit.slope * si * 100.0,
        fit.coverage * fit.slope_error * si * 100.0,
        format!("{} {} of {what}", figures(step, 2), unit.symbol),
    )
}

fn trims_text(a: &Analysis, units: UnitSystem, out: &mut Output) -> Result<(), Failure> {
    for t in &a.trims {
        let (points, half, step) = trim_slope(t.against, &t.fit, units);
        out.line(format!("trim: {points:+.1} ± {half:.1} points for each {step}"))?;
    }
    Ok(())
}

fn judgement_text(j: &Judgement, out: &mut Output) -> Result<(), Failure> {
    out.line(format!("{}: {}. {}", j.about.name(), j.answer.name(), j.says))?;
    for caution in &j.cautions {
        out.line(format!("  {}", caution.text()))?;
    }
    if let Some(record) = &j.record {
        out.line(format!("  next time: {record}"))?;
    }
    Ok(())
}

fn fit_json(fit: &Fit) -> Value {
    let (low, high) = fit.slope_interval();
    json!({"slope": fit.slope, "low": low, "high": high, "points": fit.points})
}

fn figure_json(f: &Figure, units: UnitSystem) -> Value {
    let unit = units.unit_for(f.reading.dimension());
    let mut object = reading_json(f.reading, f.si, units);
    if let Some(map) = object.as_object_mut() {
        map.insert("reading".into(), json!(f.reading.id()));
        map.insert("condition".into(), json!(f.condition.id()));
        map.insert("spread".into(), json!(unit.difference(f.spread)));
        map.insert("stretches".into(), json!(f.stretches));
        map.insert("seconds".into(), json!(f.seconds));
        map.insert("pulled_to".into(), json!(f.pulled_to));
        map.insert("sure".into(), json!(f.sure));
        map.insert("expected".into(), json!(f.expected.map(|e| unit.from_si(e))));
    }
    object
}

fn as_json(mapping: &Mapping, a: &Analysis, units: UnitSystem) -> Value {
    let pressure = units.unit_for(Dimension::Pressure);
    let stretches: Vec<Value> = a
        .stretches
        .iter()
        .map(|s| json!({"condition": s.condition.id(), "begin": s.begin, "seconds": s.seconds}))
        .collect();
    let trims: Vec<Value> = a
        .trims
        .iter()
        .map(|t| {
            let (points, half, step) = trim_slope(t.against, &t.fit, units);
            json!({"against": t.against.id(), "points": points, "half": half, "for": step})
        })
        .collect();
    json!({
        "rows": a.tally.rows,
        "seconds": a.tally.seconds,
        "unusable_rows": a.tally.unusable,
        "dropouts": a.tally.dropouts,
        "time_assumed": a.tally.time_assumed,
        "atmosphere": {
            "value": pressure.from_si(a.atmosphere.0), "unit": pressure.symbol, "reference": "absolute", "from_log": a.atmosphere.1,
        },
        "mapping": mapping.columns,
        "stretches": stretches,
        "readings": a.figures.iter().map(|f| figure_json(f, units)).collect::<Vec<_>>(),
        "rail_along_manifold": a.rail_slope.as_ref().map(fit_json),
        "right_slope": a.right_slope,
        "regulator_off_by": a.set_off.map(|(by, half)| {
            json!({"value": pressure.from_si(by), "half": pressure.from_si(half), "unit": pressure.symbol})
        }),
        "trims": trims,
        "judgements": a.judgements,
    })
}
