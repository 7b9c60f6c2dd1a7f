//! What the engine asks of the fuel system.

use super::car::Car;
use super::fuel::Blend;
use crate::terms::{Condition, Induction};

const LB_HP_H: f64 = 0.453_592_37 / (745.699_871_582_270_2 * 3600.0);

/// Brake specific consumption on gasoline at full load where the rig states none, kg/J: 0.50 lb/hp/h natural, 0.60 boosted
/// (common practice).
pub fn default_consumption(induction: Induction, boosted: bool) -> f64 {
    match induction {
        Induction::Natural if !boosted => 0.50 * LB_HP_H,
        _ => 0.60 * LB_HP_H,
    }
}

/// Fuel mass flow in kg/s for `power` (W) at `consumption` (kg/J on gasoline): another blend scales by heating value.
pub fn mass_flow(power: f64, consumption: f64, fuel: Blend) -> f64 {
    power * consumption * fuel.mass_ratio_equal_energy()
}

/// Fuel volume flow in m³/s that the engine of `car` asks for in a condition.
pub fn demand(car: &Car, condition: Condition) -> f64 {
    let full = mass_flow(car.engine.power, car.engine.consumption, car.fuel) / car.fuel.density();
    full * match condition {
        Condition::Idle => car.engine.idle.fuel,
        Condition::Raised => car.engine.raised.fuel,
        Condition::Cruise => car.engine.cruise.fuel,
        Condition::Load => 1.0,
        _ => 0.0,
    }
}

/// Injector duty as a share: mass flow needed (kg/s) against what the injectors pass at a difference `across` (Pa).
///
/// The rated flow is taken as measured on gasoline: at another density the mass passed scales with its root (Bernoulli).
pub fn injector_duty(car: &Car, mass: f64, across: f64) -> f64 {
    let i = &car.injection;
    let density = (car.fuel.density() / super::GASOLINE_DENSITY).sqrt();
    mass / (i.count * i.flow * density * (across.max(1_000.0) / i.rated_at.0).sqrt())
}
