//! Invented logs: what a recorder would have written down on a simulated car. Every value in them comes from the model and a
//! random number generator; none was measured on a real car.
//!
//! The car is not the rig's own: what is not known of a car is drawn anew for each, its sensors have offsets, lag, noise and
//! dropouts, and the recorder writes its columns under any names and units.

use faultwalk::faults::change;
use faultwalk::physics::{Car, Solution, solve};
use faultwalk::quantity::Absolute;
use faultwalk::rig::{Rig, spreads};
use faultwalk::terms::{Condition, Fault};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;
use std::fmt::Write as _;

/// How the recorder writes.
#[derive(Debug, Clone, Copy)]
pub struct Recorder {
    /// Rows a second.
    pub rate: f64,
    /// Time constant of the rail sensor, s.
    pub lag: f64,
    /// Share of values that drop out: empty, zero or the end of the scale.
    pub dropouts: f64,
    /// Rail values are rounded to this, in their unit.
    pub rounding: f64,
    /// Standard deviation of the rail's noise, Pa.
    pub noise: f64,
    /// Fluctuation of the rail while the engine runs, Pa: vapour.
    pub flutter: f64,
    /// Columns, in order: what, name, unit factor to SI, what is added after.
    pub columns: &'static [(What, &'static str)],
    /// The text above and between.
    pub style: Style,
    /// What is driven.
    pub parts: Parts,
}

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum What {
    Seconds,
    Milliseconds,
    Clock,
    Speed,
    Throttle,
    RailKpa,
    RailKpaAbs,
    RailPsi,
    RailBar,
    ManifoldKpa,
    ManifoldPsiGauge,
    ManifoldInHgVacuum,
    ManifoldBar,
    FlowLh,
    TrimPercent,
    TrimFactor,
    Lambda,
    Afr,
    Battery,
    TargetLambda,
    Gear,
}

/// Marks and lines around the values.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Style {
    Comma,
    /// Semicolons and decimal commas.
    Semicolon,
    /// Tabs, two lines above the names, a row of units under them.
    Tab,
}

/// Which parts of a drive are on record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Parts {
    All,
    NoLoad,
    OnlyIdle,
    Running,
}

pub const PLAIN: &[(What, &str)] = &[
    (What::Seconds, "Time (s)"),
    (What::Speed, "RPM"),
    (What::Throttle, "TPS (%)"),
    (What::RailKpa, "Fuel Pressure (kPa)"),
    (What::ManifoldKpa, "MAP (kPa)"),
    (What::TrimPercent, "Fuel Trim (%)"),
    (What::Lambda, "Lambda"),
    (What::TargetLambda, "Target Lambda"),
    (What::Battery, "Battery (V)"),
];

pub const RECORDER: Recorder = Recorder {
    rate: 20.0,
    lag: 0.15,
    dropouts: 0.004,
    rounding: 0.1,
    noise: 2_000.0,
    flutter: 0.0,
    columns: PLAIN,
    style: Style::Comma,
    parts: Parts::All,
};

/// A car with its unknowns drawn, and what is wrong with its sensors.
pub struct Drawn {
    pub car: Car,
    rail: (f64, f64),
    manifold: f64,
    rng: Pcg64,
}

/// A normal deviate (sum of twelve uniform ones, cut at six).
fn normal(rng: &mut Pcg64) -> f64 {
    (0..12).map(|_| rng.random::<f64>()).sum::<f64>() - 6.0
}

/// Draws a car of `rig` with `fault` in it.
pub fn draw(rig: &Rig, fault: Fault, severity: f64, seed: u64) -> Option<Drawn> {
    let mut rng = Pcg64::seed_from_u64(seed);
    let mut car = rig.car.clone();
    for (spread, multiple) in spreads(rig) {
        let z = normal(&mut rng).clamp(-2.0, 2.0);
        (spread.shift)(&mut car, z * multiple);
    }
    change(rig, fault, severity, &mut car).ok()?;
    // Accuracies of common sensors, from memory: 0.5 % of the reading with 1.5 kPa, and 0.7 kPa.
    let rail = (1.0 + 0.005 * normal(&mut rng), 1_500.0 * normal(&mut rng));
    let manifold = 700.0 * normal(&mut rng);
    Some(Drawn { car, rail, manifold, rng })
}

/// A severity as the field has them, by `seed`.
pub fn severity(fault: Fault, seed: u64) -> f64 {
    let row = faultwalk::faults::entry(fault);
    let mut rng = Pcg64::seed_from_u64(seed ^ 0x5eed);
    row.severity.0 + (row.severity.1 - row.severity.0) * rng.random::<f64>()
}

/// The car in a full-load pull at a share of its fuel.
pub fn pulled(car: &Car, share: f64) -> Car {
    let mut car = car.clone();
    car.engine.power *= share;
    car
}

fn cruising(car: &Car, more: f64) -> Car {
    let mut car = car.clone();
    let cruise = &mut car.engine.cruise;
    cruise.manifold = Absolute((cruise.manifold.0 + more).min(car.site.atmosphere.0 - 8_000.0));
    cruise.fuel *= 1.0 + more / 40_000.0;
    car
}

/// One moment of a drive.
#[derive(Clone, Copy)]
struct Moment {
    speed: f64,
    throttle: f64,
    rail: f64,
    manifold: f64,
    flow: f64,
    trim: f64,
    lambda: f64,
    battery: f64,
}

fn moment(s: &Solution, speed: f64, throttle: f64) -> Moment {
    Moment {
        speed,
        throttle,
        rail: s.rail.0,
        manifold: s.stations.plenum.0,
        flow: s.engine_flow,
        trim: s.ledger.as_ref().map_or(0.0, |l| l.trim),
        lambda: s.ledger.as_ref().map_or(1.0, |l| l.lambda).clamp(0.6, 1.7),
        battery: s.battery,
    }
}

/// Moments a second apart or less, with the time each is reached at.
fn drive(car: &Car, parts: Parts) -> Option<Vec<(f64, Moment)>> {
    let solved = |car: &Car, c: Condition| solve(car, c).ok().filter(|s| s.runs != Some(false));
    let prime = moment(&solved(car, Condition::Prime)?, 0.0, 0.0);
    let off = Moment { rail: 0.0, ..prime };
    let idle = moment(&solved(car, Condition::Idle)?, 850.0, 0.02);
    let raised = moment(&solved(car, Condition::Raised)?, 2_500.0, 0.06);
    let cruise = |more: f64, speed: f64| {
        Some(moment(&solved(&cruising(car, more), Condition::Cruise)?, speed, 0.12 + more / 1e5))
    };
    // A second to get there, then as long as it is held.
    let hold = |all: &mut Vec<(f64, Moment)>, m: Moment, seconds: f64| {
        let at = all.last().map_or(0.0, |(t, _)| *t);
        all.push((at + 1.0, m));
        all.push((at + 1.0 + seconds, m));
    };
    let mut all = Vec::new();
    if parts != Parts::Running {
        hold(&mut all, off, 3.0);
        hold(&mut all, prime, 6.0);
    }
    hold(&mut all, idle, 40.0);
    if parts == Parts::OnlyIdle {
        return Some(all);
    }
    hold(&mut all, raised, 15.0);
    hold(&mut all, idle, 10.0);
    let (one, two) = (cruise(14_000.0, 2_200.0)?, cruise(24_000.0, 2_600.0)?);
    hold(&mut all, one, 15.0);
    hold(&mut all, two, 15.0);
    if parts != Parts::NoLoad {
        for _ in 0..3 {
            let from = all.last()?.0 + 0.7;
            for step in 0..=12 {
                let share = 0.4 + 0.6 * f64::from(step) / 12.0;
                let m = moment(&solve(&pulled(car, share), Condition::Load).ok()?, 5_500.0 * share, 0.98);
                all.push((from + 0.5 * f64::from(step), m));
            }
            hold(&mut all, one, 8.0);
        }
    }
    hold(&mut all, idle, 15.0);
    Some(all)
}

fn between(all: &[(f64, Moment)], time: f64) -> Moment {
    let after = all.iter().position(|(t, _)| *t >= time).unwrap_or(all.len() - 1);
    if after == 0 {
        return all[0].1;
    }
    let ((t0, a), (t1, b)) = (all[after - 1], all[after]);
    let share = if t1 > t0 { ((time - t0) / (t1 - t0)).clamp(0.0, 1.0) } else { 1.0 };
    let mix = |x: f64, y: f64| x + share * (y - x);
    Moment {
        speed: mix(a.speed, b.speed),
        throttle: mix(a.throttle, b.throttle),
        rail: mix(a.rail, b.rail),
        manifold: mix(a.manifold, b.manifold),
        flow: mix(a.flow, b.flow),
        trim: mix(a.trim, b.trim),
        lambda: mix(a.lambda, b.lambda),
        battery: mix(a.battery, b.battery),
    }
}

const PSI: f64 = 6_894.757;
const INHG: f64 = 3_386.39;

/// The log; none where this car does not run.
pub fn write(drawn: &mut Drawn, recorder: &Recorder) -> Option<String> {
    let path = drive(&drawn.car, recorder.parts)?;
    let end = path.last()?.0;
    let atmosphere = drawn.car.site.atmosphere.0;
    let rng = &mut drawn.rng;
    let mark = match recorder.style {
        Style::Comma => ',',
        Style::Semicolon => ';',
        Style::Tab => '\t',
    };
    let mut text = String::new();
    if recorder.style == Style::Tab {
        text.push_str("invented log, no real car\nmade by the model with noise\n");
    }
    let names: Vec<&str> = recorder.columns.iter().map(|(_, n)| n.split('|').next().unwrap_or("")).collect();
    let _ = writeln!(text, "{}", names.join(&mark.to_string()));
    if recorder.style == Style::Tab {
        let units: Vec<&str> =
            recorder.columns.iter().map(|(_, n)| n.split('|').nth(1).unwrap_or("")).collect();
        let _ = writeln!(text, "{}", units.join("\t"));
    }
    let mut felt = path[0].1.rail;
    let step = 1.0 / recorder.rate;
    let (mut time, mut phase) = (0.0, 0.0f64);
    while time < end {
        let m = between(&path, time);
        felt += (m.rail - felt) * (step / recorder.lag.max(step)).min(1.0);
        phase += step * 2.0 * std::f64::consts::PI * (1.3 + 0.5 * normal(rng));
        let flutter = if m.speed > 400.0 { recorder.flutter * phase.sin() } else { 0.0 };
        let rail = felt * drawn.rail.0 + drawn.rail.1 + recorder.noise * normal(rng) + flutter;
        let manifold = m.manifold + drawn.manifold + 500.0 * normal(rng);
        let round = |v: f64| (v / recorder.rounding).round() * recorder.rounding;
        let cells: Vec<String> = recorder
            .columns
            .iter()
            .map(|(what, _)| {
                let value = match what {
                    What::Seconds | What::Clock => time,
                    What::Milliseconds => (time * 1_000.0).round(),
                    What::Speed => (m.speed * (1.0 + 0.008 * normal(rng))).max(0.0).round(),
                    What::Throttle => (m.throttle * 100.0 + 0.3 * normal(rng)).max(0.0),
                    What::RailKpa => round(rail / 1e3),
                    What::RailKpaAbs => round((rail + atmosphere) / 1e3),
                    What::RailPsi => round(rail / PSI),
                    What::RailBar => round(rail / 1e5),
                    What::ManifoldKpa => manifold / 1e3,
                    What::ManifoldBar => manifold / 1e5,
                    What::ManifoldPsiGauge => (manifold - atmosphere) / PSI,
                    What::ManifoldInHgVacuum => (atmosphere - manifold) / INHG,
                    What::FlowLh => m.flow * 3.6e6 * (1.0 + 0.02 * normal(rng)),
                    What::TrimPercent => m.trim * 100.0 + 0.8 * normal(rng),
                    What::TrimFactor => 1.0 + m.trim + 0.008 * normal(rng),
                    What::Lambda => m.lambda + 0.01 * normal(rng),
                    What::Afr => 14.7 * (m.lambda + 0.01 * normal(rng)),
                    What::Battery => m.battery + 0.05 * normal(rng),
                    What::TargetLambda => 1.0,
                    What::Gear => 3.0,
                };
                let timed = matches!(what, What::Seconds | What::Milliseconds | What::Clock);
                if !timed && rng.random::<f64>() < recorder.dropouts {
                    return ["", "0", "65535", "-"][rng.random_range(0..4)].to_owned();
                }
                let cell = match what {
                    What::Clock => {
                        let (minutes, seconds) = ((value / 60.0).floor(), value % 60.0);
                        return format!("14:{minutes:02.0}:{seconds:06.3}");
                    }
                    What::Seconds => format!("{value:.3}"),
                    What::RailBar | What::ManifoldBar | What::Lambda | What::TrimFactor => {
                        format!("{value:.3}")
                    }
                    _ => format!("{value:.2}"),
                };
                if recorder.style == Style::Semicolon { cell.replace('.', ",") } else { cell }
            })
            .collect();
        let _ = writeln!(text, "{}", cells.join(&mark.to_string()));
        time += step;
    }
    Some(text)
}

/// How far the supply of `car` falls short at full load with all its fuel asked for, Pa.
pub fn shortfall(car: &Car) -> Option<f64> {
    let own = solve(car, Condition::Load).ok()?;
    let mut ample = car.clone();
    let mut enough = own.clone();
    for _ in 0..10 {
        if !enough.short {
            break;
        }
        ample.pump.curve.iter_mut().for_each(|p| p.flow *= 1.3);
        ample.pump.relief = None;
        ample.pump.leakage *= 0.7;
        ample.filter *= 0.7;
        ample.feed.restriction *= 0.7;
        ample.wiring.feed *= 0.8;
        ample.wiring.ground *= 0.8;
        enough = solve(&ample, Condition::Load).ok()?;
    }
    Some(enough.rail.0 - own.rail.0)
}

/// The most the rail is off by because the reference is, over the conditions of the drive, Pa.
pub fn reference_off(rig: &Rig, car: &Car) -> f64 {
    let mut right = car.clone();
    right.regulator.reference = rig.car.regulator.reference;
    right.regulator.reference_share = rig.car.regulator.reference_share;
    [Condition::Idle, Condition::Raised, Condition::Cruise, Condition::Load]
        .into_iter()
        .filter_map(|c| Some((solve(&right, c).ok()?.rail.0 - solve(car, c).ok()?.rail.0).abs()))
        .fold(0.0, f64::max)
}
