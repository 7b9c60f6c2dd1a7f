//! Copper wire by AWG.
//!
//! Source: ASTM B258 for diameters, `d = 0.127 mm · 92^((36−n)/39)`; 1/58 Ω mm²/m at 20 °C (100 % IACS) and 0.00393 /K from
//! NBS Handbook 100, *Copper Wire Tables*. Solid wire; stranded wire is about 2 % higher.

/// Diameter in m of a wire of that gauge number.
pub fn wire_diameter(awg: f64) -> f64 {
    0.127e-3 * 92f64.powf((36.0 - awg) / 39.0)
}

/// Resistance in Ω/m of a wire of that gauge number at a temperature in K.
pub fn resistance_per_length(awg: f64, temperature: f64) -> f64 {
    let d = wire_diameter(awg);
    let area_mm2 = std::f64::consts::FRAC_PI_4 * d * d * 1e6;
    (1.0 / 58.0) / area_mm2 * (1.0 + 0.003_93 * (temperature - 293.15))
}
