//! What the stretches say of the regulator: its reference and its set pressure. Each answer may be "cannot tell".

use super::channel::Channel;
use super::expect::{Point, Reference, at};
use super::judgement::{About, Answer, Judgement, shown};
use super::reference::{ALIKE, RECORD_SPAN, RIGHT, misfit, reference, references};
use super::robust::{self, Fit};
use super::stretch::Stretch;
use crate::physics::stations;
use crate::quantity::UnitSystem;
use crate::rig::Rig;
use crate::terms::{Condition, SupplyStyle};

/// The manifold pressures must lie this far apart for a slope, Pa (common practice).
const SPAN: f64 = 12_000.0;
/// What model and sensor together leave open at any point: a share of the rail pressure, and Pa (common practice).
const POINT_SHARE: f64 = 0.006;
const POINT: f64 = 600.0;
/// Least a set pressure is off by to be called wrong: Pa, and as a share of it (common practice).
const SET: f64 = 3_000.0;
const SET_SHARE: f64 = 0.05;

/// What the stretches without full load say of the regulator.
#[derive(Debug, Clone)]
pub(super) struct Light {
    /// The rail against what a sound regulator would hold there, along manifold pressure above the atmosphere.
    pub deviation: Option<Fit>,
    /// Slope of the rail along manifold pressure that a right reference has, over the same points.
    pub right_slope: f64,
    pub reference: Judgement,
    pub set: Judgement,
    /// How far the regulator holds above what it was set to, with half its 95 % interval, Pa; none where it can't be told.
    pub set_off: Option<(f64, f64)>,
    /// Other references that would look the same below full load.
    pub alike: Vec<Reference>,
    /// The rail falls as load grows, below full load already, as a short supply does too.
    pub falling: bool,
    /// Where it is off, the reference that explains it, what the set pressure is then off by and half its 95 % interval, Pa.
    pub instead: Option<(Reference, f64, f64)>,
    /// What the rail was off by at the least manifold pressure, as far as a set pressure may be, Pa.
    pub least_loaded: f64,
    /// What fuel returning adds below full load, Pa.
    pub returning: f64,
    /// A rail lower than this may still be a supply with nothing to spare, Pa.
    pub spare: f64,
    /// How well the set pressure is known without the log: half its 95 % interval, Pa.
    pub stated_half: f64,
}

/// What the regulator is off by at one point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Off {
    /// How far it holds above what it should, Pa.
    pub by: f64,
    /// Half the 95 % interval of that, Pa.
    pub half: f64,
    /// Whether it may be the fuel that does not return rather than the regulator.
    pub spare: bool,
}

impl Light {
    /// What the regulator is off by at a point of full load.
    pub fn off_at(&self, rig: &Rig, point: Point, above: f64, atmosphere: f64) -> Off {
        let regulated = |r: Reference| at(&rig.car, point, atmosphere, r).map(|e| e.regulated);
        match (&self.deviation, self.reference.answer, self.instead) {
            (_, Answer::Off, Some((reference, level, half))) => {
                let moved =
                    regulated(reference).zip(regulated(Reference::AsStated)).map_or(0.0, |(a, b)| a - b);
                Off { by: moved + level, half, spare: false }
            }
            // Nobody knows what share of a boost a leaking hose lets through.
            (Some(fit), Answer::Off, None) => {
                let boost = above.max(0.0);
                Off { by: fit.at(above.min(0.0)), half: fit.half_at(above.min(0.0)) + boost, spare: false }
            }
            _ if self.falling => Off { by: self.least_loaded, half: self.stated_half, spare: false },
            _ => match self.set_off {
                Some((off, half)) if off < 0.0 && off > -self.spare => {
                    Off { by: (off + self.returning).min(0.0), half, spare: true }
                }
                Some((by, half)) => Off { by, half, spare: false },
                None => Off { by: 0.0, half: f64::INFINITY, spare: false },
            },
        }
    }
}

/// A stretch below full load beside what the model says of it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Seen {
    pub point: Point,
    /// Manifold pressure above the atmosphere, Pa.
    pub above: f64,
    pub rail: f64,
    expected: f64,
    returning: f64,
    pub u: f64,
}

fn seen(rig: &Rig, stretches: &[Stretch], atmosphere: f64) -> Vec<Seen> {
    stretches
        .iter()
        .filter(|s| s.condition != Condition::Load)
        .filter_map(|s| {
            let rail = s.get(Channel::RailPressure)?;
            let point = Point::of(s);
            let above = match (s.condition, point.manifold) {
                (Condition::Prime, _) => 0.0,
                (_, manifold) => manifold? - atmosphere,
            };
            let model = at(&rig.car, point, atmosphere, Reference::AsStated)?;
            let expected = model.rail;
            let own = s.ripple.max(s.spread[Channel::RailPressure as usize]) / (s.windows as f64).sqrt();
            let u = own.hypot(POINT_SHARE * expected).hypot(POINT);
            Some(Seen { point, above, rail, expected, returning: model.returning, u })
        })
        .collect()
}

/// Lines through what was seen.
struct Lines {
    level: Option<Fit>,
    line: Option<Fit>,
    least: f64,
    falling: bool,
}

fn lines(seen: &[Seen]) -> Lines {
    let points: Vec<robust::Point> =
        seen.iter().map(|s| robust::Point { x: s.above, y: s.rail - s.expected, u: s.u }).collect();
    let least = seen.iter().map(|s| s.above).fold(f64::INFINITY, f64::min);
    let most = seen.iter().map(|s| s.above).fold(f64::NEG_INFINITY, f64::max);
    let line = if most - least >= SPAN { robust::line(&points) } else { None };
    let falling = line.as_ref().is_some_and(|f| falling(f, least));
    Lines { level: robust::level(&points), line, least, falling }
}

const MEND_FIRST: &str = "Mend the supply first, then record the same again.";

/// Judges reference and set pressure.
pub(super) fn light(rig: &Rig, stretches: &[Stretch], atmosphere: f64, units: UnitSystem) -> Light {
    let mut seen = seen(rig, stretches, atmosphere);
    let mut l = lines(&seen);
    if l.falling {
        // With the engine off the battery is lower: a weak supply may fall short there alone.
        let running: Vec<Seen> =
            seen.iter().filter(|s| s.point.condition != Condition::Prime).copied().collect();
        let again = lines(&running);
        if again.line.is_some() && !again.falling {
            (seen, l) = (running, again);
        }
    }
    let right: Vec<robust::Point> =
        seen.iter().map(|s| robust::Point { x: s.above, y: s.expected, u: s.u }).collect();
    let right_slope = robust::line(&right).map_or(0.0, |f| f.slope);
    let reference = match &l.line {
        _ if rig.car.regulator.style == SupplyStyle::Module => Judgement::new(
            About::Reference,
            Answer::InOrder,
            "The regulator sits in the tank and has no hose to the induction path.",
        ),
        Some(_) if l.falling => Judgement::cannot(
            About::Reference,
            "The rail falls as the load grows, below full load already. A supply that runs out does that, and hides what the \
             reference does.",
            MEND_FIRST,
        ),
        Some(fit) => reference(rig, &seen, fit, right_slope, atmosphere),
        None => no_line(&seen, stretches),
    };
    let mut returned: Vec<f64> = seen.iter().map(|s| s.returning).collect();
    let returning = robust::median(&mut returned).unwrap_or(0.0);
    let (mut set, mut set_off) = set(rig, &seen, &l, &reference, (returning, units));
    if l.falling {
        set_off = None;
        set = Judgement::cannot(
            About::SetPressure,
            "The rail falls as the load grows, so what the regulator would hold does not show.",
            MEND_FIRST,
        );
    }
    let others = references(rig);
    let fits = |r: Reference| misfit(rig, &seen, atmosphere, r);
    let instead = (reference.answer == Answer::Off)
        .then(|| others.iter().map(|(r, _)| (*r, fits(*r))).min_by(|a, b| a.1.0.total_cmp(&b.1.0)))
        .flatten()
        .filter(|(_, (misfit, ..))| *misfit < ALIKE)
        .map(|(r, (_, level, half))| (r, level, half));
    let half = set_spread(rig);
    Light {
        alike: others.iter().map(|(r, _)| *r).filter(|r| fits(*r).0 < ALIKE).collect(),
        instead,
        least_loaded: l.line.as_ref().map_or(0.0, |f| f.at(l.least).clamp(-half, half)),
        returning,
        spare: tolerance(rig) + returning,
        deviation: l.line,
        right_slope,
        reference,
        set,
        set_off,
        falling: l.falling,
        stated_half: half,
    }
}

/// Whether the line falls as a short supply makes it fall: a lost reference leaves the rail too high at the least manifold
/// pressure, a short supply only ever makes it too low.
fn falling(line: &Fit, least: f64) -> bool {
    let (low, high) = line.slope_interval();
    let fall = -line.slope * (line.at(0.0) - line.at(least)).abs() / line.slope.abs().max(1e-12);
    fall > 0.0 && high < 0.0 && low.is_finite() && line.slope < -RIGHT && line.at(least) < 0.5 * fall
}

/// Least a set pressure is off by to be called wrong, Pa.
fn tolerance(rig: &Rig) -> f64 {
    SET.max(SET_SHARE * rig.car.regulator.set.0).max(set_spread(rig))
}

/// How well a set pressure is known from the rig file alone: half its 95 % interval, Pa.
fn set_spread(rig: &Rig) -> f64 {
    2.0 * 0.012 * rig.car.regulator.set.0 * if rig.is_default("regulator.set") { 2.0 } else { 1.0 }
}

fn no_line(seen: &[Seen], stretches: &[Stretch]) -> Judgement {
    let why = if seen.is_empty() {
        missing(stretches)
    } else {
        "The manifold pressures on record lie too close together for a slope.".to_owned()
    };
    Judgement::cannot(About::Reference, why, RECORD_SPAN)
}

/// What keeps the log from saying anything of the regulator, in words.
pub(super) fn missing(stretches: &[Stretch]) -> String {
    if stretches.is_empty() {
        return "No steady stretch was found.".to_owned();
    }
    let none = |c: Channel| stretches.iter().all(|s| s.get(c).is_none());
    for channel in [Channel::RailPressure, Channel::ManifoldPressure] {
        if none(channel) {
            return format!("There is no column of {}.", channel.name());
        }
    }
    "No steady stretch below full load was found in which both were recorded.".to_owned()
}

/// The set pressure, and how far it is off with half its 95 % interval.
fn set(
    rig: &Rig,
    seen: &[Seen],
    lines: &Lines,
    reference: &Judgement,
    (returning, units): (f64, UnitSystem),
) -> (Judgement, Option<(f64, f64)>) {
    let about = About::SetPressure;
    let near = seen.iter().any(|s| s.above.abs() < SPAN);
    let known = match (reference.answer, &lines.level, &lines.line) {
        (Answer::InOrder, Some(level), _) => Some((level.level, level.half_at(level.x0))),
        (_, _, Some(line)) => Some((line.at(0.0), line.half_at(0.0))),
        // Near the atmosphere the reference adds next to nothing, right or wrong.
        (_, Some(level), None) if near && seen.iter().all(|s| s.above.abs() < SPAN) => {
            Some((level.level, level.half_at(level.x0)))
        }
        _ => None,
    };
    let record = "Record 5 s with the key on, the engine off and the pump running.";
    let Some((off, half)) = known else {
        let why = if seen.is_empty() {
            "Nothing on record shows it.".to_owned()
        } else {
            "Whether the reference is right is not known, so the set pressure is not either.".to_owned()
        };
        return (Judgement::cannot(about, why, record), None);
    };
    let stated = rig.car.regulator.set.0;
    let tolerance = tolerance(rig);
    let words = format!(
        "{} ± {} by the stretches below full load; set to {}",
        shown(stated + off, units),
        shown(half, units),
        shown(stated, units)
    );
    let judgement = if off < 0.0 && off.abs() + half > tolerance && off.abs() - half < tolerance + returning {
        let why = "a supply with nothing to spare, so that no fuel returns, would look the same";
        Judgement::cannot(about, format!("{words}: low by {}; {why}.", shown(off.abs(), units)), record)
    } else if off.abs() - half > tolerance {
        let side = if off < 0.0 { "low" } else { "high" };
        Judgement::new(about, Answer::Off, format!("{words}: {side} by {}.", shown(off.abs(), units)))
    } else if off.abs() <= tolerance && half < 1.5 * tolerance {
        Judgement::new(about, Answer::InOrder, format!("{words}."))
    } else {
        Judgement::cannot(about, format!("{words}: too uncertain to part right from wrong."), record)
    };
    (judgement, Some((off, half)))
}

/// Manifold pressure of the rig at full load, Pa absolute.
pub(super) fn full(rig: &Rig) -> f64 {
    stations(&rig.car, Condition::Load).plenum.0
}
