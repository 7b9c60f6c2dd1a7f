//! Whether the supply lasts at full load, and whether the rail stands still.

use super::channel::Channel;
use super::expect::{Point, Reference, at};
use super::judge::{Light, missing};
use super::judgement::{About, Answer, Judgement, shown};
use super::reference::lost_at_load;
use super::robust::{median, spread};
use super::stretch::{PullEnd, Stretch};
use crate::quantity::UnitSystem;
use crate::rig::Rig;
use crate::terms::Condition;

/// Least a rail falls short by to be called so: Pa, and as a share of what is regulated (common practice).
const SHORT: f64 = 9_000.0;
const SHORT_SHARE: f64 = 0.036;
/// What model and sensor leave open at full load, as a share of the rail pressure (common practice).
const OPEN_SHARE: f64 = 0.01;
/// A deficit that grows by this share of itself along a pull falls with flow (common practice).
const GROWS: f64 = 0.3;
/// A standard deviation of the rail beyond this is no steady pressure: Pa, and as a share of it (common practice).
const UNSTEADY: f64 = 8_000.0;
const UNSTEADY_SHARE: f64 = 0.03;

const RECORD_LOAD: &str = "Record a full-load pull of at least 4 s in one gear, from 2,000 1/min up, with rail and manifold pressure, on a \
dynamometer or with a passenger or the recorder reading: never with a leak seen or the mixture lean at 2,500 1/min, and stop at once \
where lambda goes lean.";

/// What the pulls fall short by at either end: middle and standard error, Pa.
struct Deficits {
    low: f64,
    high: f64,
    error: f64,
    regulated: f64,
    /// What a lost reference would take away, Pa.
    lost: f64,
    pulls: usize,
    /// Half the 95 % interval of what the regulator itself is off by, Pa.
    regulator: f64,
}

fn deficits(rig: &Rig, stretches: &[Stretch], light: &Light, atmosphere: f64) -> Option<Deficits> {
    let (mut low, mut high, mut regulated, mut lost, mut half) =
        (Vec::new(), Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for s in stretches.iter().filter(|s| s.condition == Condition::Load) {
        let Some(pull) = s.pull else { continue };
        let end = |e: &PullEnd| {
            let manifold = e.manifold?;
            let point = Point { manifold: Some(manifold), ..Point::of(s) };
            let model = at(&rig.car, point, atmosphere, Reference::AsStated)?;
            let off = light.off_at(rig, point, manifold - atmosphere, atmosphere);
            // With no fuel returning below full load there is none at full load either.
            let regulated = model.regulated + off.by - if off.spare { model.returning } else { 0.0 };
            Some((regulated - e.rail, regulated, off.half, point))
        };
        let (Some(l), Some(h)) = (end(&pull.low), end(&pull.high)) else { continue };
        low.push(l.0);
        high.push(h.0);
        regulated.push(h.1);
        half.push(h.2);
        lost.push(lost_at_load(rig, light, h.3, atmosphere));
    }
    let pulls = high.len();
    let error = spread(&high) / (pulls.max(1) as f64).sqrt();
    Some(Deficits {
        error,
        low: median(&mut low)?,
        high: median(&mut high)?,
        regulated: median(&mut regulated)?,
        lost: median(&mut lost)?,
        pulls,
        regulator: median(&mut half)?,
    })
}

/// Judges the supply; where the pulls say something of the reference, that judgement is given anew.
pub(super) fn supply(
    rig: &Rig,
    stretches: &[Stretch],
    light: &Light,
    atmosphere: f64,
    units: UnitSystem,
) -> (Judgement, Option<Judgement>) {
    let about = About::Supply;
    let full = Point { condition: Condition::Load, manifold: None, speed: None, voltage: None };
    // Below full load another reference may look the same, and only boost parts the two.
    let only_boost = lost_at_load(rig, light, full, atmosphere) > SHORT;
    let boost_unseen = |why: &str| {
        (only_boost && light.reference.answer == Answer::InOrder).then(|| {
            Judgement::cannot_without_load(
                About::Reference,
                format!("{} Its share under boost: {why}", light.reference.says),
                RECORD_LOAD,
            )
        })
    };
    let pulls: Vec<&Stretch> = stretches.iter().filter(|s| s.condition == Condition::Load).collect();
    if pulls.is_empty() {
        let why = if stretches.is_empty() {
            missing(stretches)
        } else {
            "No steady full load was found.".to_owned()
        };
        return (
            Judgement::cannot_without_load(about, why, RECORD_LOAD),
            boost_unseen("no full load is on record."),
        );
    }
    let Some(d) = deficits(rig, stretches, light, atmosphere).filter(|d| d.regulator.is_finite()) else {
        let why = "What the regulator holds below full load is not known, so a fall under load can't be told from it.";
        return (
            Judgement::cannot(
                about,
                why,
                "Record the same car at idle and at 2,500 1/min without load in the same log.",
            ),
            boost_unseen("it can't be parted from the supply."),
        );
    };
    let least = SHORT.max(SHORT_SHARE * d.regulated);
    let u = d.error.hypot(OPEN_SHARE * d.regulated).hypot(d.regulator / 2.0);
    let side = |by: f64| format!("{} {}", shown(by.abs(), units), if by < 0.0 { "above" } else { "below" });
    let words = format!(
        "At full load the rail stands {} what the regulator would hold ({}), at the lower end of the pull {} it; {} pull{}",
        side(d.high),
        shown(d.regulated, units),
        side(d.low),
        d.pulls,
        if d.pulls == 1 { "" } else { "s" }
    );
    let falls = d.high - d.low > GROWS * d.high && d.high - d.low > 0.4 * SHORT;
    if d.high > least && d.high - 2.0 * u > 0.5 * least {
        // A supply falls with flow. What is missing over the whole pull alike, a reference does not feel.
        if d.lost > least && !falls && d.high < 1.35 * d.lost {
            let lost = format!(
                "{words}. That does not fall with flow, and boost should add {}: the regulator does not feel it, or only part of it.",
                shown(d.lost, units)
            );
            let holds = "Beside what the reference takes away the rail holds under load.";
            return (
                Judgement::new(about, Answer::InOrder, holds),
                Some(Judgement::new(About::Reference, Answer::Off, lost)),
            );
        }
        let both =
            "A reference that does not feel the boost and a supply that runs out would both look like this.";
        let record = "Record the pull from a lower speed, so that its lower end asks for less fuel.";
        let hidden = d.lost > least && d.low > 0.35 * d.lost;
        let unknown = (hidden && light.reference.answer == Answer::InOrder)
            .then(|| Judgement::cannot_without_load(About::Reference, both, record));
        if hidden && d.high - d.low < least && d.high < 1.35 * d.lost {
            return (Judgement::cannot_without_load(about, format!("{words}. {both}"), record), unknown);
        }
        if light.reference.answer == Answer::Off && !falls {
            let why = "The reference is off, which may take that away over the whole pull";
            return (
                Judgement::cannot(
                    about,
                    format!("{words}. {why}."),
                    "Mend the reference first, then record the same again.",
                ),
                None,
            );
        }
        let how = if falls { "falls with flow" } else { "is low over the whole pull" };
        return (
            Judgement::new(about, Answer::Off, format!("{words}. The pressure {how}: the supply runs out.")),
            unknown,
        );
    }
    if d.high < -2.0 * least && d.high + 2.0 * u < -least {
        // Too much under boost: it feels a pressure that it should not.
        let high = Judgement::new(
            About::Reference,
            Answer::Off,
            format!("{words}. The regulator feels more than it should under load."),
        );
        let answer = Judgement::new(about, Answer::InOrder, "The rail does not fall under load.");
        return (answer, Some(high).filter(|_| light.reference.answer != Answer::Off));
    }
    if d.high + 2.0 * u < 1.5 * least {
        return (Judgement::new(about, Answer::InOrder, format!("{words}.")), None);
    }
    (
        Judgement::cannot_without_load(
            about,
            format!("{words}: too uncertain to part right from wrong."),
            RECORD_LOAD,
        ),
        boost_unseen("the pulls are too uncertain."),
    )
}

/// Judges whether the rail stands still. A noisy sensor and vapour in the fuel look the same in one column.
pub(super) fn steadiness(stretches: &[Stretch], units: UnitSystem) -> Judgement {
    let about = About::Steadiness;
    let of = |wanted: &dyn Fn(Condition) -> bool| {
        let seen: Vec<(f64, f64)> = stretches
            .iter()
            .filter(|s| wanted(s.condition))
            .filter_map(|s| {
                let rail = s.get(Channel::RailPressure)?;
                Some((s.ripple.max(s.spread[Channel::RailPressure as usize]), rail))
            })
            .collect();
        let mut ripples: Vec<f64> = seen.iter().map(|s| s.0).collect();
        let mut rails: Vec<f64> = seen.iter().map(|s| s.1).collect();
        Some((median(&mut ripples)?, median(&mut rails)?))
    };
    let light = of(&|c| c != Condition::Load && c != Condition::Prime);
    let still = of(&|c| c == Condition::Prime);
    let Some((ripple, rail)) = light.or(still) else {
        return Judgement::cannot(
            about,
            "No steady stretch with a rail pressure was found.",
            "Record a minute of warm idle with the rail pressure, ten rows a second or more.",
        );
    };
    let limit = |rail: f64| UNSTEADY.max(UNSTEADY_SHARE * rail);
    let words =
        format!("The rail moves by {} (one standard deviation) in steady stretches", shown(ripple, units));
    if ripple <= limit(rail) {
        return Judgement::new(about, Answer::InOrder, format!("{words}."));
    }
    let quiet_off = still.is_some_and(|(r, at)| r <= limit(at));
    let why = if quiet_off {
        "it is quiet with the engine off, so look for vapour or air in the fuel, pulsation, or ignition noise in the sensor's wire"
    } else {
        "vapour or air in the fuel, or noise in the sensor's wire: a mechanical gauge beside it tells which"
    };
    Judgement::new(about, Answer::Off, format!("{words}: {why}."))
}
