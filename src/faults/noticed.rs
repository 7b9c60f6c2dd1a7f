//! Which faults bring somebody to the workshop at all.

use super::apply;
use crate::physics::solve;
use crate::rig::Rig;
use crate::terms::{Condition, Fault, Reading};

/// Whether anybody would notice: the engine's running, mixture or pressure, or what the lines hold, departs from a sound car's.
/// A half-blocked filter before a pump with power to spare brings no complaint, so nobody is sent to find it. Faults that show
/// by other signs than the model's readings always count.
pub fn noticed(rig: &Rig, fault: Fault, severity: f64) -> bool {
    if fault == Fault::NoFault || fault as usize > Fault::ReferenceWrongStation as usize {
        return true;
    }
    let Ok(car) = apply(rig, fault, severity) else { return false };
    let conditions = [
        Condition::Prime,
        Condition::Crank,
        Condition::Idle,
        Condition::Raised,
        Condition::Load,
        Condition::Rest,
    ];
    conditions.into_iter().any(|at| match (solve(&rig.car, at), solve(&car, at)) {
        (Ok(sound), Ok(faulty)) => {
            let off =
                |reading: Reading, share: f64, least: f64| match (sound.get(reading), faulty.get(reading)) {
                    (Some(a), Some(b)) => (a - b).abs() > (share * a.abs()).max(least),
                    _ => false,
                };
            sound.runs != faulty.runs
                || off(Reading::RailPressure, 0.06, 5_000.0)
                || off(Reading::HeldPressure, 0.3, 20_000.0)
                || off(Reading::Trim, 0.0, 0.08)
                || off(Reading::Lambda, 0.04, 0.0)
        }
        _ => true,
    })
}
