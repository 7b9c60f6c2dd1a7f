//! Every step of a case, in the order of time, in words and numbers.

use super::model::{Against, BeforeAfter, FromLog, Phase, ReadLog, Row};
use crate::case::{Entry, Line};
use crate::physics::Car;
use crate::quantity::{Datum, Dimension, Unit, UnitSystem, figures, show, unit};
use crate::session::{Session, Width, expectation, vacuum, vacuum_band};
use crate::terms::{Reading, ReadingDatum};
use crate::text::one_line;
use crate::tree::{Step, StepKind};
use crate::walk::{Event, Given, LogFile, Taken};

/// Significant figures of limits and readings.
const FIGURES: usize = 3;

fn datum(reading: Reading) -> Option<Datum> {
    (reading.datum() == ReadingDatum::Absolute).then_some(Datum::Absolute)
}

/// The unit a reading was typed in.
fn unit_of(taken: &Taken) -> &'static Unit {
    let dimension = taken.reading.dimension();
    unit(&taken.unit)
        .filter(|u| u.dimension == dimension)
        .unwrap_or_else(|| UnitSystem::Metric.unit_for(dimension))
}

/// The units the last pressure was typed in, or else those the car's own gauge is written in.
pub(super) fn units(session: &Session) -> UnitSystem {
    let typed = session.state().record().rev().find_map(|(_, given)| match given {
        Given::Read { taken } if taken.reading.dimension() == Dimension::Pressure => Some(unit_of(taken)),
        _ => None,
    });
    match typed {
        Some(unit) if matches!(unit.symbol, "psi" | "inHg") => UnitSystem::Us,
        Some(_) => UnitSystem::Metric,
        None => session.rig().units().unwrap_or_default(),
    }
}

/// Whether a reading stands as its vacuum gauge showed it; one typed as absolute, or out of a log, stands as it was given.
fn as_vacuum(taken: &Taken) -> bool {
    taken.datum != Some(Datum::Absolute) && taken.log.is_none()
}

/// A value of a reading in the unit it was typed in, as its gauge shows it.
pub(super) fn value(si: f64, taken: &Taken, car: &Car) -> String {
    let shown = vacuum(taken.reading, si, unit_of(taken), car, FIGURES).filter(|_| as_vacuum(taken));
    if let Some(shown) = shown {
        return shown;
    }
    show(si, unit_of(taken), datum(taken.reading), FIGURES)
}

/// The reading itself, in words.
fn as_typed(taken: &Taken) -> String {
    one_line(&taken.with_unit())
}

/// A difference from the reading, in the unit it was typed in.
fn difference(taken: &Taken, si: f64) -> String {
    let unit = unit_of(taken);
    let shown = unit.difference(si);
    format!("{} {}", figures(shown, 2), unit.symbol).trim_end().to_owned()
}

fn expected(taken: &Taken, car: &Car) -> String {
    let limits = vacuum_band(taken.reading, &taken.band, unit_of(taken), car, FIGURES);
    if let Some(limits) = limits.filter(|_| as_vacuum(taken)) {
        return limits;
    }
    let value = |si: f64, taken: &Taken| show(si, unit_of(taken), datum(taken.reading), FIGURES);
    match (taken.band.low, taken.band.high) {
        (Some(low), Some(high)) => {
            let low = figures(unit_of(taken).from_si(low), FIGURES);
            format!("{low} to {}", value(high, taken))
        }
        (Some(low), None) => format!("at least {}", value(low, taken)),
        (None, Some(high)) => format!("at most {}", value(high, taken)),
        (None, None) => "no limits".to_owned(),
    }
}

/// What sets the width of a band, in words.
fn set_by(width: Width) -> &'static str {
    match width {
        Width::Car => "how well the car is known",
        Width::Practice => "common practice, by the tree",
        Width::Instrument => "what the instrument can prove",
        Width::Limits => "limits of the tree",
        Width::Ceiling => "the pressure at which the step stops",
    }
}

/// Half the band and what sets it. The model is asked again; where it would give another band today, that is said.
fn tolerance(session: &Session, step: &Step, taken: &Taken) -> Option<String> {
    let StepKind::Read(read) = &step.kind else { return None };
    let now = expectation(session.rig_when(read.with, taken), read, taken.place).ok().flatten()?;
    let near = |a: Option<f64>, b: Option<f64>| match (a, b) {
        (Some(a), Some(b)) => (a - b).abs() <= 1e-6 * a.abs().max(b.abs()).max(1e-9),
        (a, b) => a.is_none() && b.is_none(),
    };
    let same = near(now.band.low, taken.band.low) && near(now.band.high, taken.band.high);
    let by =
        if same { set_by(now.width) } else { "the model as it was; this version would set another band" };
    Some(match (taken.band.low, taken.band.high) {
        (Some(low), Some(high)) => {
            let unit = unit_of(taken);
            let half = figures(unit.difference(high - low) / 2.0, 2);
            format!("± {half} {}: {by}", unit.symbol).replace(" :", ":")
        }
        _ => by.to_owned(),
    })
}

fn against(taken: &Taken) -> Against {
    let unit = unit_of(taken);
    let shown = |si: f64| unit.from_si(si);
    Against {
        value: shown(taken.si),
        low: taken.band.low.map(shown),
        high: taken.band.high.map(shown),
        expected: taken.band.expected.map(shown),
        // A difference of two values, so that a unit with an offset comes out right.
        uncertainty: shown(taken.si + taken.u) - shown(taken.si),
        unit: unit.symbol.to_owned(),
        reference: match taken.reading.datum() {
            ReadingDatum::Gauge => Some("gauge".to_owned()),
            ReadingDatum::Absolute => Some("absolute".to_owned()),
            ReadingDatum::None => None,
        },
    }
}

/// What is known of a row beside what was given.
#[derive(Clone, Copy)]
struct Around<'a> {
    number: usize,
    time: &'a str,
    phase: Phase,
    correction: bool,
}

fn row(session: &Session, index: usize, given: &Given, around: Around<'_>) -> Row {
    let step = &session.tree().steps[index];
    let mut row = Row {
        number: around.number,
        step: step.id.clone(),
        title: one_line(step.name()),
        time: around.time.to_owned(),
        phase: if step.undoes.is_some() { Phase::PuttingBack } else { around.phase },
        given: String::new(),
        quantity: None,
        expected: None,
        tolerance: None,
        verdict: None,
        probability: None,
        instrument: None,
        uncertainty: None,
        place: None,
        against: None,
        from_log: None,
        asked: !matches!(step.kind, StepKind::Do { .. }),
        not_tested: false,
        correction: around.correction,
    };
    match given {
        Given::Done => "done".clone_into(&mut row.given),
        Given::Cannot { reason, note } => {
            row.given = match note {
                Some(note) => format!("not tested: {} ({})", reason.name(), one_line(note)),
                None => format!("not tested: {}", reason.name()),
            };
            row.verdict = Some("not tested".to_owned());
            row.not_tested = true;
        }
        Given::Answered { outcome, typed } => {
            let name = match &step.kind {
                StepKind::Observe { observation, .. } => {
                    observation.outcome(outcome).map_or_else(|| one_line(outcome), |o| o.name.to_owned())
                }
                _ => one_line(outcome),
            };
            row.given = if typed == outcome || *typed == name {
                name
            } else {
                format!("{} ({name})", one_line(typed))
            };
            let sound = match &step.kind {
                StepKind::Observe { observation, .. } => {
                    observation.outcomes().first().is_some_and(|o| o.id == outcome)
                }
                _ => false,
            };
            row.verdict = Some(if sound { "nothing wrong" } else { "noted" }.to_owned());
        }
        Given::Read { taken } => {
            row.given = as_typed(taken);
            if let Some(log) = &taken.log {
                row.given.push_str(", from a data log");
                row.from_log = Some(FromLog {
                    file: one_line(&log.log.file),
                    digest: one_line(&log.log.digest),
                    spread: difference(taken, log.spread),
                    stretches: log.stretches,
                    seconds: log.seconds,
                });
            }
            row.quantity = Some(format!("{}, {}", taken.reading.name(), taken.condition.name()));
            row.expected = Some(expected(taken, &session.rig().car));
            row.tolerance = tolerance(session, step, taken);
            row.verdict = Some(taken.verdict.id().to_owned());
            row.probability = Some(taken.probability);
            row.instrument = Some(one_line(&taken.instrument));
            row.uncertainty = Some(difference(taken, taken.u));
            row.place = taken.place.map(|p| p.name().to_owned());
            row.against = Some(against(taken));
        }
    }
    row
}

/// Every step in the order of time, what it gave beside it. A correction stands where it was made.
pub(super) fn rows<'a>(lines: &[Line<Entry>], session: &'a Session) -> Vec<(Row, &'a Given)> {
    let mut repaired = false;
    let mut around = Vec::new();
    for line in lines {
        let Entry::Walk(event) = &line.entry else { continue };
        match event {
            Event::Repaired { .. } => repaired = true,
            Event::Done { .. } | Event::Read { .. } | Event::Answered { .. } | Event::CannotDo { .. } => {
                around.push((line.time.to_string(), repaired, false));
            }
            Event::Changed { .. } => around.push((line.time.to_string(), repaired, true)),
            _ => {}
        }
    }
    let numbers = session.state().numbers();
    session
        .state()
        .record()
        .zip(&around)
        .map(|((index, given), (time, repaired, correction))| {
            let number = numbers.get(&index).copied().unwrap_or_default();
            let phase = if *repaired { Phase::AfterRepair } else { Phase::Walk };
            let around = Around { number, time, phase, correction: *correction };
            (row(session, index, given, around), given)
        })
        .collect()
}

/// Steps measured or looked at both before and after the repair: the last of each.
pub(super) fn before_after(rows: &[Row]) -> Vec<BeforeAfter> {
    let last = |step: &str, phase: Phase| {
        rows.iter().rev().find(|r| r.step == step && r.phase == phase && r.asked && !r.not_tested)
    };
    let mut out: Vec<BeforeAfter> = Vec::new();
    for row in rows.iter().filter(|r| r.phase == Phase::AfterRepair) {
        if out.iter().any(|pair| pair.before.step == row.step) {
            continue;
        }
        if let (Some(before), Some(after)) =
            (last(&row.step, Phase::Walk), last(&row.step, Phase::AfterRepair))
        {
            out.push(BeforeAfter { before: before.clone(), after: after.clone() });
        }
    }
    out
}

/// What could not be tested and was not tested later either.
pub(super) fn not_tested(rows: &[Row]) -> Vec<String> {
    rows.iter()
        .enumerate()
        .filter(|(i, r)| r.not_tested && !rows[i + 1..].iter().any(|later| later.step == r.step))
        .map(|(_, r)| format!("{}: {}", r.title, r.given))
        .collect()
}

/// Data logs read for the case, and how many of their readings were taken.
pub(super) fn logs(lines: &[Line<Entry>], session: &Session) -> Vec<ReadLog> {
    let of = |log: &LogFile| {
        let record = session.state().record();
        record
            .filter(|(_, g)| matches!(g, Given::Read { taken } if taken.log.as_ref().is_some_and(|l| l.log == *log)))
            .count()
    };
    lines
        .iter()
        .filter_map(|line| match &line.entry {
            Entry::Walk(Event::LogRead { log, readings }) => Some(ReadLog {
                file: one_line(&log.file),
                digest: one_line(&log.digest),
                time: line.time.to_string(),
                readings: readings.len(),
                taken: of(log),
            }),
            _ => None,
        })
        .collect()
}
