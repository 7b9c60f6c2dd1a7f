//! What a step's reading should be on this car, and why.

use super::instruments::{describe, instrument_for};
use crate::instrument::Instrument;
use crate::physics::{self, NoBalance, Term, explain, solve};
use crate::quantity::{Dimension, Unit, figures};
use crate::rig::{Rig, tolerance};
use crate::terms::{Condition, Place, Reading, SupplyStyle};
use crate::tree::{Expect, Read};
use crate::walk::Band;

/// A band narrower than this many standard uncertainties of the instrument leaves sound readings undecided: at 3.3 a sound
/// car's reading is decided in about 95 of 100 cases.
const PROVABLE: f64 = 3.3;

/// What sets the width of a band.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Width {
    /// How well the car is known.
    Car,
    /// The tree's floor, common practice.
    Practice,
    /// What the instrument can prove.
    Instrument,
    /// Limits the author gives.
    Limits,
    /// The ceiling of a pinched return.
    Ceiling,
}

/// What is expected at a step.
#[derive(Debug, Clone, PartialEq)]
pub struct Expectation {
    /// The reading as the gauge sees it where it sits; another than the step's where a loss lies between.
    pub seen_as: Reading,
    /// The condition.
    pub condition: Condition,
    /// Limits and expected value, SI.
    pub band: Band,
    /// What sets the width of the band.
    pub width: Width,
    /// The instrument.
    pub instrument: Instrument,
    /// Standard uncertainty of a reading at the expected value, SI.
    pub uncertainty: f64,
    /// The sum behind the expected value.
    pub terms: Vec<Term>,
    /// For a pinched return, where to stop, Pa gauge.
    pub ceiling: Option<f64>,
    /// Beyond this no reading is possible on this car, SI.
    pub most: Option<f64>,
    /// How long the step takes by its clock, seconds; an amount that ran into a container in that time is a flow.
    pub takes: Option<f64>,
}

impl Expectation {
    /// The instrument in words.
    pub fn instrument_name(&self) -> String {
        describe(&self.instrument)
    }

    /// The sum behind the expected value in `unit`: what, how much, where that comes from. Terms are as fine as the third figure of
    /// the largest, so that they add up as shown.
    pub fn sum(&self, unit: &Unit) -> Vec<(String, String, &'static str)> {
        let largest = self.terms.iter().map(|t| unit.difference(t.si).abs()).fold(0.0, f64::max);
        let grain = 10f64.powf(largest.max(1e-9).log10().floor() - 2.0);
        let value = |si: f64| {
            let rounded = (unit.difference(si) / grain).round() * grain;
            format!("{} {unit}", figures(rounded, 3)).trim_end().to_owned()
        };
        self.terms.iter().map(|t| (t.what.clone(), value(t.si), t.source)).collect()
    }
}

/// What a gauge at `place` sees when the step asks for the rail.
pub fn seen_at(reading: Reading, place: Option<Place>, style: SupplyStyle) -> Reading {
    match (reading, place) {
        (Reading::RailPressure, Some(Place::AfterFilter)) => Reading::FilterOutletPressure,
        (Reading::RailPressure, Some(Place::BeforeFilter)) => Reading::PumpOutletPressure,
        (Reading::RailPressure, Some(Place::RemoteRegulator))
            if matches!(style, SupplyStyle::BypassBeforeRail | SupplyStyle::Module) =>
        {
            Reading::FilterOutletPressure
        }
        (reading, _) => reading,
    }
}

/// The expectation of a read-step on a car; nothing where the reading does not exist there.
///
/// # Errors
/// [`NoBalance`] where the model does not close.
pub fn expectation(rig: &Rig, read: &Read, place: Option<Place>) -> Result<Option<Expectation>, NoBalance> {
    let seen_as = seen_at(read.reading, place, rig.car.regulator.style);
    if read.at == Condition::Pinched && !rig.car.regulator.style.has_return() {
        return Ok(None);
    }
    let instrument = instrument_for(rig, read.with, read.reading);
    let solution = solve(&rig.car, read.at)?;
    let Some((expected, by_car)) = tolerance(rig, read.at, seen_as)? else { return Ok(None) };
    let u = instrument.uncertainty(expected).total();
    let ceiling = (read.at == Condition::Pinched).then(|| physics::ceiling(&rig.car).map(|c| c.0)).flatten();
    let (band, width) = match &read.expect {
        Expect::Limits { min, max } => {
            let of = |m: &Option<crate::quantity::Measure>| m.as_ref().map(|m| m.si);
            (Band { low: of(min), high: of(max), expected: Some(expected) }, Width::Limits)
        }
        Expect::Model { tolerance } => {
            let floor = tolerance.as_ref().map_or(0.0, |m| m.si);
            let provable = PROVABLE * u;
            let half = by_car.max(floor).max(provable);
            let width = if half == provable {
                Width::Instrument
            } else if half == floor {
                Width::Practice
            } else {
                Width::Car
            };
            if let Some(c) = ceiling.filter(|&c| expected + half > c) {
                let low = (expected - half).min(c - 2.0 * instrument.uncertainty(c).total());
                (Band { low: Some(low), high: None, expected: Some(expected.min(c)) }, Width::Ceiling)
            } else {
                (
                    Band {
                        low: Some(expected - half),
                        high: Some(expected + half),
                        expected: Some(expected),
                    },
                    width,
                )
            }
        }
    };
    Ok(Some(Expectation {
        seen_as,
        condition: read.at,
        band,
        width,
        uncertainty: u,
        instrument,
        terms: explain(&rig.car, &solution, seen_as),
        ceiling,
        most: most_possible(rig, seen_as),
        takes: None,
    }))
}

/// The most a reading can be on this car whatever is wrong with it, with a quarter to spare; pressures only.
fn most_possible(rig: &Rig, reading: Reading) -> Option<f64> {
    let on_fuel = matches!(
        reading,
        Reading::RailPressure
            | Reading::FilterOutletPressure
            | Reading::PumpOutletPressure
            | Reading::HeldPressure
    );
    if reading.dimension() != Dimension::Pressure || !on_fuel {
        return None;
    }
    let mut strong = rig.car.clone();
    strong.wiring.running = strong.wiring.running.max(strong.wiring.resting) + 0.5;
    strong.wiring.resting = strong.wiring.running;
    let dead_head = solve(&strong, Condition::Pinched).ok()?.rail.0;
    Some(1.25 * dead_head.max(rig.car.regulator.set.0))
}
