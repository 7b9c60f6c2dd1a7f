//! From a log to readings and judgements, in one pass.

use super::channel::Channel;
use super::error::LogError;
use super::expect::{Point, Reference, at};
use super::judge::{full, light};
use super::judgement::{About, Answer, Judgement};
use super::layout::Layout;
use super::mapping::Mapping;
use super::read::{Tally, rows};
use super::robust::{self, Fit, median, spread};
use super::stretch::{Finder, Regime, Stretch};
use super::supply::{steadiness, supply};
use super::window::Windows;
use crate::quantity::UnitSystem;
use crate::rig::Rig;
use crate::terms::{Condition, Reading};
use std::io::Read;

/// Trim points for a slope, standard uncertainty of one, as a share (common practice).
const TRIM: f64 = 0.01;

/// A reading filled from the log.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// What was read.
    pub reading: Reading,
    /// In which condition.
    pub condition: Condition,
    /// Middle value over the stretches, SI.
    pub si: f64,
    /// Standard deviation within and between the stretches, SI.
    pub spread: f64,
    /// Stretches it rests on.
    pub stretches: usize,
    /// Their length together, s.
    pub seconds: f64,
    /// Of the rail at full load, which is read at the upper end of the pulls, the engine speed there, 1/min.
    pub pulled_to: Option<f64>,
    /// Whether name and values of its column leave no doubt of what it holds.
    pub sure: bool,
    /// What this car should read there, SI, where the model says.
    pub expected: Option<f64>,
}

/// How the trim moves along another quantity, over the stretches below full load.
#[derive(Debug, Clone, PartialEq)]
pub struct TrimSlope {
    /// What it was held against.
    pub against: Channel,
    /// Share of trim per SI unit of it.
    pub fit: Fit,
}

/// Everything a log says.
#[derive(Debug, Clone)]
pub struct Analysis {
    /// What was met on the way.
    pub tally: Tally,
    /// The atmosphere used, Pa, and whether the log itself shows it.
    pub atmosphere: (f64, bool),
    /// The steady stretches.
    pub stretches: Vec<Stretch>,
    /// Readings by condition.
    pub figures: Vec<Figure>,
    /// Rail pressure along manifold pressure below full load, as measured.
    pub rail_slope: Option<Fit>,
    /// The slope a right reference has over the same points.
    pub right_slope: Option<f64>,
    /// How far the regulator holds above its set pressure, with half its 95 % interval, Pa.
    pub set_off: Option<(f64, f64)>,
    /// Trims along manifold pressure and fuel flow.
    pub trims: Vec<TrimSlope>,
    /// What it comes to.
    pub judgements: Vec<Judgement>,
}

impl Analysis {
    /// The judgement about one thing.
    pub fn about(&self, about: About) -> Option<&Judgement> {
        self.judgements.iter().find(|j| j.about == about)
    }
}

/// Reads a log once from end to end and says what it shows of the car of `rig`, in `units`.
///
/// Memory does not grow with the length of the log: rows become half-second windows, windows become stretches of at most a
/// minute, and of those a bounded number is kept.
///
/// # Errors
/// [`LogError::Io`] where the file can't be read on.
pub fn analyse(
    from: impl Read,
    layout: &Layout,
    mapping: &Mapping,
    rig: Option<&Rig>,
    units: UnitSystem,
) -> Result<Analysis, LogError> {
    let stated = rig.map_or(101_325.0, |r| r.car.site.atmosphere.0);
    let regime = match rig {
        Some(rig) => Regime {
            atmosphere: stated,
            full: full(rig),
            raised: rig.car.engine.raised.manifold.0,
            off: 0.3 * rig.car.regulator.set.0,
        },
        None => Regime { atmosphere: stated, full: 0.97 * stated, raised: 40e3, off: 50e3 },
    };
    let mut windows = Windows::default();
    let mut finder = Finder::new(regime);
    let mut still = Vec::new();
    let tally = rows(from, layout, mapping, stated, |time, row| {
        if let Some(window) = windows.push(time, row) {
            // With the engine stopped the manifold reads the atmosphere.
            let stopped = window.middle[Channel::Speed as usize] < 20.0;
            let manifold = window.middle[Channel::ManifoldPressure as usize];
            if stopped && !manifold.is_nan() && still.len() < 4_096 {
                still.push(manifold);
            }
            finder.push(window);
        }
    })?;
    if let Some(window) = windows.flush() {
        finder.push(window);
    }
    let stretches = finder.finish();
    let atmosphere = atmosphere(&stretches, &mut still, stated);
    let mut analysis = Analysis {
        figures: figures(rig, mapping, &stretches, atmosphere.0),
        rail_slope: rail_slope(&stretches, atmosphere.0),
        right_slope: None,
        set_off: None,
        trims: trims(rig, &stretches, atmosphere.0),
        judgements: Vec::new(),
        tally,
        atmosphere,
        stretches,
    };
    judge(rig, mapping, &mut analysis, units);
    Ok(analysis)
}

/// The atmosphere the log itself shows, if that is near the one stated; else the stated one.
fn atmosphere(stretches: &[Stretch], still: &mut [f64], stated: f64) -> (f64, bool) {
    let mut barometer: Vec<f64> = stretches.iter().filter_map(|s| s.get(Channel::Barometer)).collect();
    let seen = median(&mut barometer).or_else(|| median(still));
    match seen {
        Some(seen) if (seen / stated - 1.0).abs() < 0.05 => (seen, true),
        _ => (stated, false),
    }
}

fn judge(rig: Option<&Rig>, mapping: &Mapping, analysis: &mut Analysis, units: UnitSystem) {
    let steady = steadiness(&analysis.stretches, units);
    let Some(rig) = rig else {
        let say = |about| {
            Judgement::cannot(
                about,
                "No car was given, so nothing says what it should be.",
                "Give the rig file by --rig.",
            )
        };
        analysis.judgements =
            vec![say(About::Reference), say(About::SetPressure), say(About::Supply), steady];
        return;
    };
    if mapping.of(Channel::Speed).is_none() || mapping.of(Channel::RailPressure).is_none() {
        let missing =
            if mapping.of(Channel::RailPressure).is_none() { Channel::RailPressure } else { Channel::Speed };
        let say = |about| {
            Judgement::cannot(
                about,
                format!("No column was taken for {}.", missing.name()),
                format!("Record the {}, or say by --map which column it is.", missing.name()),
            )
        };
        analysis.judgements =
            vec![say(About::Reference), say(About::SetPressure), say(About::Supply), steady];
        return;
    }
    let atmosphere = analysis.atmosphere.0;
    let light = light(rig, &analysis.stretches, atmosphere, units);
    let (supply, again) = supply(rig, &analysis.stretches, &light, atmosphere, units);
    analysis.right_slope = light.deviation.as_ref().map(|_| light.right_slope);
    analysis.set_off = light.set_off;
    let set = if supply.answer == Answer::Off { behind_supply(light.set, light.set_off) } else { light.set };
    let mut judgements = vec![again.unwrap_or(light.reference), set, supply, steady];
    if let Some((_, column)) = mapping.of(Channel::RailPressure).filter(|(_, c)| !c.sure) {
        doubtful(&mut judgements, &column.name);
    }
    analysis.judgements = judgements;
}

/// A supply that is short everywhere makes the rail low below full load too, so a low set pressure does not follow.
fn behind_supply(set: Judgement, off: Option<(f64, f64)>) -> Judgement {
    if set.answer != Answer::Off || off.is_none_or(|(off, _)| off > 0.0) {
        return set;
    }
    Judgement::cannot(
        About::SetPressure,
        format!("{} A supply that is short below full load already would look the same.", set.says),
        "Mend the supply first, then record the same again.",
    )
}

/// Where it is in doubt what the rail's column holds, a fault of the set pressure may be a mistake of the mapping.
fn doubtful(judgements: &mut [Judgement], column: &str) {
    for j in judgements.iter_mut().filter(|j| j.about == About::SetPressure && j.answer == Answer::Off) {
        j.answer = Answer::CannotTell;
        j.record = Some(format!(
            "Say by --map '{column}=rail-pressure:UNIT' what the column holds, for example kPa gauge, kPa abs or psi gauge; or record \
             some seconds with the pump standing, which shows it."
        ));
        j.says.push_str(
            " What the column is measured in or from is a guess, so this may be the column and not the car.",
        );
    }
}

/// What a channel fills as a reading, by condition.
fn reading(channel: Channel) -> Option<Reading> {
    match channel {
        Channel::RailPressure => Some(Reading::RailPressure),
        Channel::ManifoldPressure => Some(Reading::ManifoldPressure),
        Channel::Lambda => Some(Reading::Lambda),
        Channel::BatteryVoltage => Some(Reading::BatteryVoltage),
        Channel::PumpVoltage => Some(Reading::PumpVoltage),
        Channel::Trim => Some(Reading::Trim),
        _ => None,
    }
}

/// A stretch as a reading sees it: the rail under load at the upper end of the pull, where a short supply shows.
fn value(s: &Stretch, channel: Channel) -> Option<(f64, Point)> {
    let point = Point::of(s);
    match (channel, s.pull) {
        (Channel::RailPressure, Some(pull)) => {
            let end = pull.high;
            Some((end.rail, Point { manifold: end.manifold, speed: end.speed, ..point }))
        }
        (Channel::Trim, _) => Some((s.trim()?, point)),
        _ => Some((s.get(channel)?, point)),
    }
}

fn figures(rig: Option<&Rig>, mapping: &Mapping, stretches: &[Stretch], atmosphere: f64) -> Vec<Figure> {
    let mut all = Vec::new();
    for &condition in Condition::ALL {
        for channel in Channel::ALL {
            let Some(reading) = reading(channel) else { continue };
            // With the engine off there is no mixture.
            if !condition.running() && matches!(reading, Reading::Trim | Reading::Lambda) {
                continue;
            }
            let with: Vec<(&Stretch, f64, Point)> = stretches
                .iter()
                .filter(|s| s.condition == condition)
                .filter_map(|s| value(s, channel).map(|(v, point)| (s, v, point)))
                .collect();
            let mut values: Vec<f64> = with.iter().map(|(_, v, _)| *v).collect();
            // Along a pull the rail may fall; what it strays at the end alone is its ripple.
            let pulled = condition == Condition::Load && channel == Channel::RailPressure;
            let within = |s: &Stretch| if pulled { s.ripple } else { s.spread[channel as usize] };
            let mut within: Vec<f64> = with.iter().map(|(s, ..)| within(s)).collect();
            let between = spread(&values);
            let Some(si) = median(&mut values) else { continue };
            let mut expected: Vec<f64> = with
                .iter()
                .filter(|_| channel == Channel::RailPressure)
                .filter_map(|(.., point)| Some(at(&rig?.car, *point, atmosphere, Reference::AsStated)?.rail))
                .collect();
            let mut speeds: Vec<f64> = with.iter().filter_map(|(.., p)| p.speed).filter(|_| pulled).collect();
            let columns = [Some(channel), (channel == Channel::Trim).then_some(Channel::LearnedTrim)];
            let columns = columns.into_iter().flatten().filter_map(|c| mapping.of(c));
            all.push(Figure {
                reading,
                condition,
                si,
                spread: between.hypot(median(&mut within).unwrap_or(0.0)),
                stretches: with.len(),
                seconds: with.iter().map(|(s, ..)| s.seconds).sum(),
                pulled_to: median(&mut speeds),
                sure: columns.fold(true, |sure, (_, column)| sure && column.sure),
                expected: median(&mut expected),
            });
        }
    }
    all
}

fn below_load(stretches: &[Stretch]) -> impl Iterator<Item = &Stretch> {
    stretches.iter().filter(|s| s.condition != Condition::Load)
}

fn rail_slope(stretches: &[Stretch], atmosphere: f64) -> Option<Fit> {
    let points: Vec<robust::Point> = below_load(stretches)
        .filter_map(|s| {
            let rail = s.get(Channel::RailPressure)?;
            let manifold =
                if s.condition == Condition::Prime { atmosphere } else { s.get(Channel::ManifoldPressure)? };
            let own = s.ripple.max(s.spread[Channel::RailPressure as usize]) / (s.windows as f64).sqrt();
            Some(robust::Point { x: manifold, y: rail, u: own.hypot(0.006 * rail.abs()).hypot(600.0) })
        })
        .collect();
    robust::line(&points).filter(|f| f.slope_error.is_finite())
}

/// Trims along manifold pressure and recorded fuel flow, where the controller trims.
fn trims(rig: Option<&Rig>, stretches: &[Stretch], atmosphere: f64) -> Vec<TrimSlope> {
    let trimmed = |c: Condition| c.running() && rig.is_none_or(|r| r.car.controller.closed_loop.contains(&c));
    let slope = |against: Channel, x: &dyn Fn(&Stretch) -> Option<f64>| {
        let points: Vec<robust::Point> = below_load(stretches)
            .filter(|s| trimmed(s.condition))
            .filter_map(|s| Some(robust::Point { x: x(s)?, y: s.trim()?, u: TRIM }))
            .collect();
        let fit = robust::line(&points).filter(|f| f.slope_error.is_finite())?;
        Some(TrimSlope { against, fit })
    };
    let vacuum = slope(Channel::ManifoldPressure, &|s| Some(atmosphere - s.get(Channel::ManifoldPressure)?));
    let flow = slope(Channel::FuelFlow, &|s| s.get(Channel::FuelFlow));
    vacuum.into_iter().chain(flow).collect()
}
