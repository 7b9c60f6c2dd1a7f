//! What a tree may know of the car, from its rig.

use super::one::Session;
use crate::faults::applies;
use crate::rig::Rig;
use crate::terms::Fault;
use crate::tree::CarFacts;

/// The facts of a rig that choose-steps branch on.
pub fn car_facts(rig: &Rig) -> CarFacts {
    let car = &rig.car;
    CarFacts {
        induction: car.engine.induction,
        tip: car.injection.tip,
        style: car.regulator.style,
        reference: car.regulator.reference,
        load_by: car.controller.load_by,
        pressure_model: car.controller.pressure_model,
        pump_type: car.pump.kind,
        returns: car.regulator.style.has_return(),
        filter: car.filter > 0.0,
        strainer: car.strainer > 0.0,
        holds: car.pump.holds,
        boosted: car.engine.boost.0 > 0.0,
        trims_at: car.controller.closed_loop.clone(),
    }
}

impl Session {
    /// Of faults that a tree names together, those that this car can have.
    pub fn possible(&self, faults: &[Fault]) -> Vec<Fault> {
        faults.iter().copied().filter(|f| applies(self.rig(), *f).is_ok()).collect()
    }
}
