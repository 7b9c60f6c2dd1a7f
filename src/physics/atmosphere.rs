//! US Standard Atmosphere 1976, troposphere, from geometric altitude.
//!
//! Source: *U.S. Standard Atmosphere, 1976* (NOAA/NASA/USAF): `H = r0 z/(r0+z)`, `T = 288.15 − 0.0065 H`,
//! `p = 101325 (T/288.15)^(g0 M/(R L))`, `ρ = p M/(R T)`. A standard day: a real barometer differs by some ±3 % (from memory).

use super::GRAVITY;
use crate::quantity::Absolute;

const EARTH_RADIUS: f64 = 6_356_766.0;
const LAPSE: f64 = 0.0065;
const SEA_LEVEL_TEMPERATURE: f64 = 288.15;
const SEA_LEVEL_PRESSURE: f64 = 101_325.0;
const MOLAR_MASS: f64 = 28.9644;
const GAS_CONSTANT: f64 = 8_314.32;

/// Temperature of the standard day in K at a geometric altitude in m.
pub fn standard_temperature(altitude: f64) -> f64 {
    let geopotential = EARTH_RADIUS * altitude / (EARTH_RADIUS + altitude);
    SEA_LEVEL_TEMPERATURE - LAPSE * geopotential
}

/// Pressure of the standard day at a geometric altitude in m.
pub fn standard_atmosphere(altitude: f64) -> Absolute {
    let exponent = GRAVITY * MOLAR_MASS / (GAS_CONSTANT * LAPSE);
    Absolute(SEA_LEVEL_PRESSURE * (standard_temperature(altitude) / SEA_LEVEL_TEMPERATURE).powf(exponent))
}

/// Air density of the standard day in kg/m³ at a geometric altitude in m.
pub fn standard_density(altitude: f64) -> f64 {
    standard_atmosphere(altitude).0 * MOLAR_MASS / (GAS_CONSTANT * standard_temperature(altitude))
}
