//! What is left in the rail after key-off.

use super::car::Car;

/// Gauge pressure in Pa left after `car.rest` seconds, from `start` (Pa gauge), cold.
///
/// Exponential decay with a leak conductance. A system without a check valve holds nothing, and that is no fault. A heat soak
/// raises a closed rail; it is not modelled, so the wait is done cold.
pub fn held_pressure(car: &Car, start: f64) -> f64 {
    if car.pump.holds { start.max(0.0) * (-car.air.hold_leak * car.rest).exp() } else { 0.0 }
}
