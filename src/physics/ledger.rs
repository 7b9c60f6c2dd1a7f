//! The mixture ledger: each cause of lean or rich on its own line, as a ratio.

use super::car::{Car, Offsets, running_index};
use super::demand::injector_duty;
use super::induction::Stations;
use crate::quantity::{Absolute, Difference};
use crate::terms::{Condition, LoadBy, PressureModel};

/// Beyond this lambda the engine does not run (common practice).
pub const LEAN_LIMIT: f64 = 1.6;
const LEAST_DIFFERENCE: f64 = 1_000.0;
/// Engine speeds the pulse widths are reckoned at, 1/min: idle, raised, cruise, load (common practice).
const SPEEDS: [f64; 4] = [850.0, 2_500.0, 2_200.0, 5_500.0];

/// The ledger in one running condition. Each ratio is 1 where nothing is wrong; fuel ratios below 1 lean the mixture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ledger {
    /// Target lambda.
    pub target: f64,
    /// Air reckoned with against air there is: 1 + unmetered.
    pub unmetered: f64,
    /// Root of the pressure across the injector against the configured one.
    pub pressure: f64,
    /// Injector flow against what it should be.
    pub health: f64,
    /// Root of the fuel's density against the configured blend's.
    pub density: f64,
    /// Air–fuel ratio of the fuel against the configured blend's.
    pub fuel: f64,
    /// Sensed against true manifold pressure.
    pub sensed: f64,
    /// Fuel the controller adds on its own.
    pub enrichment: f64,
    /// Injector offsets.
    pub pulse: f64,
    /// Wrong configuration data.
    pub data: f64,
    /// What the lambda sensor says too lean: 1 + bias.
    pub sensor: f64,
    /// Lambda without trim.
    pub open: f64,
    /// Whether the controller trims in this condition.
    pub closed_loop: bool,
    /// Trim, live plus learned, as a share; 0 outside closed loop.
    pub trim: f64,
    /// Lambda in the cylinders.
    pub true_lambda: f64,
    /// Lambda as read.
    pub lambda: f64,
}

impl Ledger {
    /// The lines of the product, in words with their ratios; fuel terms stand below the bar.
    pub fn lines(&self) -> [(&'static str, f64); 9] {
        [
            ("air not metered", self.unmetered),
            ("pressure across the injector", self.pressure),
            ("injector flow", self.health),
            ("fuel density", self.density),
            ("air-fuel ratio of the blend", self.fuel),
            ("manifold pressure sensed", self.sensed),
            ("enrichment", self.enrichment),
            ("injector offset", self.pulse),
            ("configured data", self.data),
        ]
    }

    /// Points of trim (as a share) that the pressure across the injector alone explains.
    pub fn explained_by_pressure(&self) -> f64 {
        1.0 / self.pressure - 1.0
    }
}

/// The difference the controller reckons with, Pa.
fn configured_difference(car: &Car, atmosphere: Absolute, tip: Absolute, real: f64) -> f64 {
    let told = car.controller.across.0;
    match car.controller.pressure_model {
        PressureModel::Constant => told.max(LEAST_DIFFERENCE),
        PressureModel::Computed => (told + (atmosphere - tip).0).max(LEAST_DIFFERENCE),
        PressureModel::Sensor => real,
    }
}

/// Root of the difference across the injector against the configured one.
pub(super) fn pressure_ratio(car: &Car, across: Difference, atmosphere: Absolute, tip: Absolute) -> f64 {
    let real = across.0.max(LEAST_DIFFERENCE);
    (real / configured_difference(car, atmosphere, tip, real)).sqrt()
}

/// Effect of the injector offset on the fuel delivered, as a ratio.
fn pulse_ratio(car: &Car, offsets: &Offsets, condition: Condition, mass: f64, across: Difference) -> f64 {
    let speed = SPEEDS[running_index(condition)];
    let open = injector_duty(car, mass, across.0) * 120.0 / speed;
    let short = if offsets.corrected { 0.0 } else { offsets.per_volt * (14.0 - car.wiring.running).max(0.0) };
    if open <= 0.0 { 1.0 } else { (1.0 + (offsets.error - short) / open).max(0.05) }
}

/// What the load sensor says.
pub(super) fn sensed_pressure(car: &Car, stations: &Stations) -> Absolute {
    let s = &car.sensing;
    let arrives = s.share * (stations.at(s.station) - stations.open).0;
    Absolute(stations.open.0 + arrives + s.offset)
}

/// The ledger of `car` in a running condition. `across` is the difference across the injector, `mass` the fuel it asks for
/// in kg/s, and `delivered` the share of its demand that an empty rail lets through, if the rail is at zero.
pub(super) fn ledger(
    car: &Car,
    condition: Condition,
    stations: &Stations,
    across: Difference,
    mass: f64,
    delivered: Option<f64>,
) -> Ledger {
    let i = running_index(condition);
    let air = &car.air;
    let tip = stations.tip(car.injection.tip);
    let target = car.controller.target(condition);
    let told = car.controller.fuel;
    let sensed = match car.controller.load_by {
        LoadBy::Manifold => (sensed_pressure(car, stations).0 / stations.plenum.0).max(0.05),
        LoadBy::Throttle | LoadBy::MassAir => 1.0,
    };
    let mut l = Ledger {
        target,
        unmetered: 1.0 + air.unmetered[i],
        pressure: pressure_ratio(car, across, stations.open, tip),
        health: air.health,
        density: (car.fuel.density() / told.density()).sqrt(),
        fuel: car.fuel.air_fuel_ratio() / told.air_fuel_ratio(),
        sensed,
        enrichment: air.enrichment[i],
        pulse: car.offsets.as_ref().map_or(1.0, |o| pulse_ratio(car, o, condition, mass, across)),
        data: air.data[i],
        sensor: 1.0 + air.sensor_bias[i],
        open: 0.0,
        closed_loop: car.controller.closed_loop.contains(&condition) && !air.open_loop,
        trim: 0.0,
        true_lambda: 0.0,
        lambda: 0.0,
    };
    let fuel = l.pressure * l.health * l.density * l.fuel * l.sensed * l.enrichment * l.pulse * l.data;
    l.open = target * l.unmetered / fuel;
    if l.closed_loop {
        let limit = car.controller.trim_limit;
        let seen = air.sensor_stuck.unwrap_or(l.open * l.sensor);
        l.trim = (seen / target - 1.0).clamp(-limit, limit);
        if air.sensor_stuck.is_some() {
            l.trim = limit.copysign(seen / target - 1.0);
        }
    }
    l.true_lambda = l.open / (1.0 + l.trim);
    if let Some(share) = delivered {
        l.true_lambda = l.true_lambda.max(if share > 0.0 { target / share } else { f64::INFINITY });
    }
    l.lambda = air.sensor_stuck.unwrap_or(l.true_lambda * l.sensor);
    l
}
