//! Which pressure the regulator feels: judged by the slope of the rail along manifold pressure.

use super::expect::{Point, Reference, at};
use super::judge::{Light, Seen};
use super::judgement::{About, Answer, Judgement};
use super::robust::{self, Fit};
use crate::physics::needed_reference;
use crate::rig::Rig;
use crate::terms::Station;

/// A slope off by less than this is right; one off by more than the second is wrong (common practice).
pub(super) const RIGHT: f64 = 0.15;
const WRONG: f64 = 0.2;
/// A reference whose mean misfit is below this, in squares of the points' uncertainty, explains them (common practice).
pub(super) const ALIKE: f64 = 4.0;

pub(super) const RECORD_SPAN: &str = "Record engine speed, rail and manifold pressure together: 5 s with the key on and the engine off, then a minute of \
warm idle, then 20 s at 2,500 1/min without load.";

/// References other than the stated one, in words.
pub(super) fn references(rig: &Rig) -> Vec<(Reference, String)> {
    let stated = rig.car.regulator.reference;
    let mut all = vec![(Reference::Lost, "as if it were open to the air: off, split or blocked".to_owned())];
    for station in Station::ALL.iter().copied().filter(|s| *s != stated && *s != Station::Open) {
        all.push((Reference::At(station), format!("as if it were connected {}", place(station))));
    }
    all
}

/// How badly a reference explains the points, in squares of their uncertainty; a set pressure that is off counts for nothing.
/// With it comes that offset and half its 95 % interval.
pub(super) fn misfit(rig: &Rig, seen: &[Seen], atmosphere: f64, reference: Reference) -> (f64, f64, f64) {
    let points: Vec<robust::Point> = seen
        .iter()
        .filter_map(|s| {
            let expected = at(&rig.car, s.point, atmosphere, reference)?.rail;
            Some(robust::Point { x: s.above, y: s.rail - expected, u: s.u })
        })
        .collect();
    let Some(fit) = robust::level(&points) else { return (f64::INFINITY, 0.0, f64::INFINITY) };
    let squares = points.iter().map(|p| ((p.y - fit.level) / p.u).powi(2).min(25.0)).sum::<f64>();
    (squares / points.len() as f64, fit.level, fit.half_at(fit.x0))
}

/// Which reference fits the points best, in words.
fn best(rig: &Rig, seen: &[Seen], atmosphere: f64) -> String {
    let all = references(rig);
    let fits = all.iter().map(|(r, words)| (misfit(rig, seen, atmosphere, *r).0, words));
    match fits.min_by(|a, b| a.0.total_cmp(&b.0)) {
        Some((misfit, words)) if misfit < ALIKE => words.clone(),
        _ => "as if part of the pressure arrived: a leaking hose, or one with a second port on it".to_owned(),
    }
}

fn place(station: Station) -> &'static str {
    match station {
        Station::Open => "to the open air",
        Station::BeforePlates => "before the throttle plates",
        Station::BehindPlates => "behind the throttle plates",
        Station::Plenum => "to the plenum",
    }
}

/// Judges the reference by the slope of what the rail is off by, and by which reference would explain the points.
pub(super) fn reference(rig: &Rig, seen: &[Seen], fit: &Fit, right: f64, atmosphere: f64) -> Judgement {
    let (low, high) = fit.slope_interval();
    let half = (high - low) / 2.0;
    let measured = format!(
        "Rail pressure per manifold pressure {:.2} ± {half:.2} below full load; a right reference has {right:.2}",
        right + fit.slope,
    );
    let stated = rig.car.regulator.reference;
    if fit.slope.abs() >= WRONG && (low > RIGHT || high < -RIGHT) {
        let fits = best(rig, seen, atmosphere);
        return Judgement::new(
            About::Reference,
            Answer::Off,
            format!("{measured}. The regulator behaves {fits}."),
        );
    }
    if fit.slope.abs() <= RIGHT && low > -2.0 * RIGHT && high < 2.0 * RIGHT {
        let belongs = needed_reference(rig.car.injection.tip, rig.car.engine.induction);
        let note = if stated == belongs {
            String::new()
        } else {
            format!(
                " It follows what the rig file says, {}; for these injectors it would belong {}.",
                place(stated),
                place(belongs)
            )
        };
        return Judgement::new(About::Reference, Answer::InOrder, format!("{measured}.{note}"));
    }
    Judgement::cannot(
        About::Reference,
        format!("{measured}: too near to each other to part right from wrong."),
        RECORD_SPAN,
    )
}

/// What the rail would miss at full load with another reference that looks the same below it, Pa; the most of them.
pub(super) fn lost_at_load(rig: &Rig, light: &Light, point: Point, atmosphere: f64) -> f64 {
    let of = |r: Reference| at(&rig.car, point, atmosphere, r).map(|e| e.regulated);
    let Some(right) = of(Reference::AsStated) else { return 0.0 };
    light.alike.iter().filter_map(|r| Some(right - of(*r)?)).fold(0.0, f64::max)
}
