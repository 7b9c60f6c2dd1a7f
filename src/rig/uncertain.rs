//! How well a rig is known, and how far a healthy car's reading may therefore lie from the expected one.
//!
//! Every spread is common practice: one standard deviation of what a careful installer gets wrong or a part's maker allows. A
//! key left to its default spreads twice as far. The tolerance of a reading is twice the root sum of squares of what each
//! spread does to it, taken from the model by differences, so it is as wide on this car as this car is badly known.

use super::Rig;
use crate::physics::{Car, NoBalance, solve};
use crate::quantity::{Absolute, Difference, Dimension};
use crate::terms::{Condition, Reading};

/// One thing that is not known exactly.
#[derive(Debug, Clone, Copy)]
pub struct Spread {
    /// The key that says it.
    pub path: &'static str,
    /// Shifts the car by `z` standard deviations.
    pub shift: fn(&mut Car, f64),
}

/// Everything that is not known exactly (common practice).
pub const SPREADS: &[Spread] = &[
    Spread { path: "regulator.set", shift: |c, z| c.regulator.set.0 *= 1.0 + 0.012 * z },
    Spread { path: "regulator.rise.drop", shift: |c, z| c.regulator.rise *= (0.25 * z).exp() },
    Spread {
        path: "pump.curve",
        shift: |c, z| c.pump.curve.iter_mut().for_each(|p| p.flow *= (0.04 * z).exp()),
    },
    Spread { path: "pump.type", shift: |c, z| c.pump.drag *= (0.05 * z).exp() },
    Spread { path: "wiring.resting", shift: |c, z| c.wiring.resting += 0.15 * z },
    Spread { path: "wiring.running", shift: |c, z| c.wiring.running += 0.12 * z },
    Spread { path: "wiring.cranking", shift: |c, z| c.wiring.cranking += 0.3 * z },
    Spread { path: "wiring.feed", shift: |c, z| c.wiring.feed *= (0.15 * z).exp() },
    Spread { path: "wiring.ground", shift: |c, z| c.wiring.ground *= (0.15 * z).exp() },
    Spread { path: "filter.drop", shift: |c, z| c.filter *= (0.2 * z).exp() },
    Spread { path: "strainer.drop", shift: |c, z| c.strainer *= (0.2 * z).exp() },
    Spread { path: "feed.length", shift: |c, z| c.feed.length *= (0.1 * z).exp() },
    Spread { path: "return.length", shift: |c, z| c.back.length *= (0.1 * z).exp() },
    Spread {
        path: "engine.idle.manifold",
        shift: |c, z| {
            c.engine.idle.manifold = Absolute((c.engine.idle.manifold.0 + 2_000.0 * z).max(10_000.0));
        },
    },
    Spread {
        path: "engine.raised.manifold",
        shift: |c, z| {
            c.engine.raised.manifold = Absolute((c.engine.raised.manifold.0 + 1_500.0 * z).max(10_000.0));
            c.engine.cruise.manifold = Absolute((c.engine.cruise.manifold.0 + 1_500.0 * z).max(10_000.0));
        },
    },
    Spread {
        path: "engine.intake_loss",
        shift: |c, z| c.engine.intake_loss = Difference(c.engine.intake_loss.0 * (0.2 * z).exp()),
    },
    Spread {
        path: "engine.boost",
        shift: |c, z| c.engine.boost = Difference(c.engine.boost.0 * (0.04 * z).exp()),
    },
    Spread { path: "engine.power", shift: |c, z| c.engine.power *= (0.03 * z).exp() },
    Spread { path: "injection.flow", shift: |c, z| c.air.health *= (0.015 * z).exp() },
    Spread { path: "site.fuel", shift: |c, z| c.site.fuel_temperature += 2.0 * z },
    Spread {
        path: "site.altitude",
        shift: |c, z| c.site.atmosphere = Absolute(c.site.atmosphere.0 * (1.0 + 0.006 * z)),
    },
];

/// Standard deviations a key's spread counts for: twice where it was left to its default.
pub fn spread_of(rig: &Rig, spread: &Spread) -> f64 {
    if rig.is_default(spread.path) { 2.0 } else { 1.0 }
}

/// The spreads of `rig` with the multiple each counts for.
pub fn spreads(rig: &Rig) -> impl Iterator<Item = (&'static Spread, f64)> + '_ {
    SPREADS.iter().map(|s| (s, spread_of(rig, s)))
}

/// Least half-width of a band, whatever the rig says: what no two sound cars agree on better (common practice).
fn least(reading: Reading, expected: f64) -> f64 {
    match reading.dimension() {
        Dimension::Pressure => 3_000.0f64.max(0.04 * expected.abs()),
        Dimension::Current => 0.4f64.max(0.05 * expected.abs()),
        Dimension::VolumeFlow => (5.0 / 3.6e6f64).max(0.05 * expected.abs()),
        Dimension::Share => 0.06,
        Dimension::Plain => 0.03,
        _ => 0.1,
    }
}

/// Expected value and half-width of its band, both SI, of a reading of `car` (a variant of the rig's own car, or that car) in
/// a condition; nothing where the reading does not exist there.
///
/// # Errors
/// [`NoBalance`] where the model does not close.
pub fn tolerance(rig: &Rig, condition: Condition, reading: Reading) -> Result<Option<(f64, f64)>, NoBalance> {
    let Some(expected) = solve(&rig.car, condition)?.get(reading) else { return Ok(None) };
    let mut sum = 0.0;
    for (spread, multiple) in spreads(rig) {
        let value = |z: f64| -> Result<f64, NoBalance> {
            let mut car = rig.car.clone();
            (spread.shift)(&mut car, z * multiple);
            Ok(solve(&car, condition)?.get(reading).unwrap_or(expected))
        };
        let half = (value(1.0)? - value(-1.0)?) / 2.0;
        sum += half * half;
    }
    Ok(Some((expected, (2.0 * sum.sqrt()).max(least(reading, expected)))))
}
