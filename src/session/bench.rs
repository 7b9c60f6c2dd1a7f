//! The simulated car: answers what a step asks, from the model with faults in it.
//!
//! It stands behind practice, the proof and the shipped example answers. It knows the fault; no step of a walk does.

use super::expectation::seen_at;
use crate::faults::{self, CannotApply, GaugeError};
use crate::physics::{Car, Solution, solve};
use crate::quantity::Dimension;
use crate::rig::Rig;
use crate::terms::{Condition, Fault, Observation, Outcome, Place, Reading, Tool};
use std::cell::RefCell;
use std::collections::BTreeMap;

/// Answers questions about one car.
pub trait Bench {
    /// What an instrument would show, SI on the reading's own datum; nothing where it can't be taken (the engine does not run,
    /// the reading does not exist).
    fn read(&self, reading: Reading, at: Condition, with: Tool, place: Option<Place>) -> Option<f64>;
    /// What a look would show.
    fn observe(&self, observation: Observation) -> &'static Outcome;
    /// What a test of the fuel's ethanol would show, as a share.
    fn ethanol(&self) -> f64;
}

/// The car of a rig with faults in it, read without noise by a careful reader.
#[derive(Debug)]
pub struct FaultyCar<'a> {
    rig: &'a Rig,
    /// The faults put in, with their severities.
    pub faults: Vec<(Fault, f64)>,
    car: Car,
    gauge: GaugeError,
    solved: RefCell<BTreeMap<Condition, Option<Solution>>>,
}

impl<'a> FaultyCar<'a> {
    /// Puts faults into the car.
    ///
    /// # Errors
    /// [`CannotApply`] where one can't be in this car.
    pub fn new(rig: &'a Rig, with: &[(Fault, f64)]) -> Result<Self, CannotApply> {
        let mut car = rig.car.clone();
        let mut gauge = GaugeError { factor: 1.0, offset: 0.0 };
        for &(fault, severity) in with {
            faults::change(rig, fault, severity, &mut car)?;
            let error = faults::gauge_error(rig, fault, severity);
            gauge = GaugeError { factor: gauge.factor * error.factor, offset: gauge.offset + error.offset };
        }
        Ok(Self { rig, faults: with.to_vec(), car, gauge, solved: RefCell::default() })
    }

    /// A car that is not the model's own, as the proof builds it, with the faults its looks show.
    pub fn of(rig: &'a Rig, car: Car, gauge: GaugeError, faults: Vec<(Fault, f64)>) -> Self {
        Self { rig, faults, car, gauge, solved: RefCell::default() }
    }

    fn value(&self, reading: Reading, at: Condition) -> Option<f64> {
        let mut solved = self.solved.borrow_mut();
        let solution = solved.entry(at).or_insert_with(|| solve(&self.car, at).ok());
        let solution = solution.as_ref()?;
        (solution.runs != Some(false)).then(|| solution.get(reading)).flatten()
    }
}

impl Bench for FaultyCar<'_> {
    fn read(&self, reading: Reading, at: Condition, with: Tool, place: Option<Place>) -> Option<f64> {
        let style = self.car.regulator.style;
        if at == Condition::Pinched && !style.has_return() {
            return None;
        }
        let value = self.value(seen_at(reading, place, style), at)?;
        let on_gauge = with == Tool::PressureGauge && reading.dimension() == Dimension::Pressure;
        Some(if on_gauge { value * self.gauge.factor + self.gauge.offset } else { value })
    }

    fn observe(&self, observation: Observation) -> &'static Outcome {
        let sound = faults::likeliest(self.rig, Fault::NoFault, 0.0, observation);
        let shown = self.faults.iter().map(|&(f, s)| faults::likeliest(self.rig, f, s, observation));
        shown.into_iter().find(|o| *o != sound).unwrap_or(sound)
    }

    fn ethanol(&self) -> f64 {
        self.car.fuel.ethanol
    }
}
