//! The model of the fuel system: what every gauge reads on a given car in a given condition.
//!
//! In: a [`Car`], every parameter in SI, and a [`Condition`](crate::terms::Condition). Out: a [`Solution`] with every
//! reading, or [`NoBalance`] when the flow balance does not close. Faults are changes of the car's parameters, so the same
//! solver gives the expected reading, the faulty reading and the simulated car.
//!
//! One unknown is solved for: the pump's pressure rise. Everything else follows from it, the voltage at the pump
//! included. This room knows nothing of files, faults by name, instruments or screens; it cannot print.

mod atmosphere;
mod balance;
mod capacity;
mod car;
mod demand;
mod explain;
mod fuel;
mod hold;
mod induction;
mod ledger;
mod line;
mod pump;
mod regulator;
mod root;
mod solution;
mod vapour;
mod wiring;

pub use atmosphere::{standard_atmosphere, standard_density, standard_temperature};
pub use balance::{ceiling, solve};
pub use capacity::{Capacity, DUTY_LIMIT, Limit, capacity, supply_at_power};
pub use car::{
    Air, BlowerInlet, Car, Controller, Engine, Injection, LightLoad, Offsets, Regulator, Sensing, Site,
    Wiring,
};
pub use demand::{default_consumption, demand, injector_duty, mass_flow};
pub use explain::{Term, explain, reference_advice};
pub use fuel::{Blend, GASOLINE_DENSITY};
pub use hold::held_pressure;
pub use induction::{Stations, needed_reference, stations};
pub use ledger::Ledger;
pub use line::{Line, LineDrop, friction_factor, line_drop};
pub use pump::{CurvePoint, Motor, Pump};
pub use regulator::reference_term;
pub use root::NoBalance;
pub use solution::Solution;
pub use vapour::{reid_range_note, true_vapour_pressure};
pub use wiring::{resistance_per_length, wire_diameter};

/// Standard gravity in m/s².
pub const GRAVITY: f64 = 9.806_65;
