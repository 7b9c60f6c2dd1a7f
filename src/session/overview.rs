//! What the model says of a whole car at a glance: pressures at every point, the ledger, the supply's limits.

use super::error::SessionError;
use super::one::Session;
use crate::physics::{self, Ledger, NoBalance, solve};
use crate::rig::Rig;
use crate::terms::{Condition, Place, Reading};
use crate::walk::Taken;

/// Conditions an overview speaks of.
pub const OVERVIEW: [Condition; 3] = [Condition::Prime, Condition::Idle, Condition::Load];

/// A point of the fuel circuit with its pressure in each condition of [`OVERVIEW`], Pa; none where it does not exist.
#[derive(Debug, Clone, PartialEq)]
pub struct Point {
    /// What is read there.
    pub reading: Reading,
    /// One value a condition.
    pub values: [Option<f64>; 3],
}

/// Pressures along the fuel circuit of a sound car, in the order the fuel flows. Gauge, but across the injector.
pub fn points(rig: &Rig) -> Vec<Point> {
    let solved = OVERVIEW.map(|at| solve(&rig.car, at).ok());
    [
        Reading::PumpInletPressure,
        Reading::PumpOutletPressure,
        Reading::FilterOutletPressure,
        Reading::RailPressure,
        Reading::InjectorPressure,
        Reading::ReferencePressure,
        Reading::ReturnPressure,
    ]
    .into_iter()
    .map(|reading| Point {
        reading,
        values: solved.each_ref().map(|s| s.as_ref().and_then(|s| s.get(reading))),
    })
    .filter(|p| p.values.iter().any(Option::is_some))
    .collect()
}

/// Absolute pressures of the induction path in each condition of [`OVERVIEW`], Pa: open air, before the plates, behind them,
/// plenum.
pub fn station_pressures(rig: &Rig) -> [(Condition, [f64; 4]); 3] {
    OVERVIEW.map(|at| {
        let s = physics::stations(&rig.car, at);
        (at, [s.open.0, s.before.0, s.behind.0, s.plenum.0])
    })
}

/// The mixture ledger of a sound car in a running condition; none where the engine does not run.
///
/// # Errors
/// [`NoBalance`] where the model does not close.
pub fn ledger(rig: &Rig, at: Condition) -> Result<Option<Ledger>, NoBalance> {
    solve(&rig.car, at).map(|s| s.ledger)
}

/// Where the regulator's reference belongs on this car, and whether it is there.
pub fn reference_advice(rig: &Rig) -> String {
    physics::reference_advice(&rig.car)
}

impl Session {
    /// Understands and judges a text for any read-step, for a live echo; nothing is taken.
    ///
    /// # Errors
    /// Any [`SessionError`].
    pub fn preview_of(&self, step: &str, text: &str, place: Option<Place>) -> Result<Taken, SessionError> {
        let index = self.tree().step_index(step);
        let index = index.ok_or_else(|| SessionError::NoAnswer(format!("There is no step {step}.")))?;
        self.judge(index, text, place, true)
    }
}
