//! What the regulator asks of the fuel, and the pressure it needs to let the rest go home.

use super::car::{Car, Regulator};
use super::induction::Stations;
use crate::quantity::{Absolute, Gauge};

/// What the reference adds to the set pressure: the ratio acts above atmosphere only.
pub fn reference_term(ratio: f64, reference: Absolute, atmosphere: Absolute) -> f64 {
    let above = (reference - atmosphere).0;
    ratio * above.max(0.0) + above.min(0.0)
}

/// Pressure in the reference hose at the diaphragm.
pub(super) fn reference(regulator: &Regulator, stations: &Stations) -> Absolute {
    let connected = stations.at(regulator.reference);
    stations.open + crate::quantity::Difference(regulator.reference_share * (connected - stations.open).0)
}

/// The regulator of one car in one condition.
#[derive(Debug, Clone, Copy)]
pub(super) struct Asks {
    /// Set pressure plus reference term, Pa gauge.
    pub base: f64,
    rise: f64,
    set_at: f64,
    seat: f64,
    stuck_open: bool,
    tank: Gauge,
}

impl Asks {
    pub fn new(car: &Car, stations: &Stations) -> Self {
        let r = &car.regulator;
        let term = reference_term(r.ratio, reference(r, stations), stations.open);
        Self {
            base: r.set.0 + term,
            rise: r.rise,
            set_at: r.set_at,
            seat: r.seat,
            stuck_open: r.stuck_open,
            tank: car.tank,
        }
    }

    /// Gauge pressure at the regulator when `back` (m³/s) returns and the return line loses `loss` (Pa).
    pub fn pressure(&self, back: f64, loss: f64) -> f64 {
        let floor = loss + self.tank.0 + self.seat * back * back;
        if self.stuck_open { floor } else { (self.base + self.rise * (back - self.set_at)).max(floor) }
    }

    /// Gauge pressure of a regulator before the rail that passes `flow` on to the engine.
    pub fn deadhead(&self, flow: f64) -> f64 {
        self.base - self.rise * flow
    }
}
