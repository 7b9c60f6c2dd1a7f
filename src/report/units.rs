//! The unit in which a report speaks of fuel pressures where it draws or lists several: that of the readings in it.

use super::model::Report;
use crate::quantity::{Dimension, Unit, UnitSystem, unit};

/// The unit of the last pressure that was read; kPa where none was.
pub(super) fn pressure(r: &Report) -> &'static Unit {
    let read = |symbol: &str| unit(symbol).filter(|u| u.dimension == Dimension::Pressure);
    let last = r.steps.iter().rev().find_map(|row| row.against.as_ref().and_then(|a| read(&a.unit)));
    let system = match last {
        Some(unit) if matches!(unit.symbol, "psi" | "inHg") => UnitSystem::Us,
        _ => UnitSystem::Metric,
    };
    system.unit_for(Dimension::Pressure)
}

/// A pressure of the report's shape, kPa, in another unit.
pub(super) fn from_kpa(unit: &Unit, kpa: f64) -> f64 {
    unit.from_si(kpa * 1e3)
}
