//! Pressure lost in a line: Darcy–Weisbach with the Churchill friction factor.
//!
//! Source: S. W. Churchill, *Chemical Engineering* 84(24), 91–92, 1977, all regimes; `Δp = (f L/D + ΣK) ρ v²/2`.
//! Roughness 1.5 µm for drawn tube and smooth hose. The factor is Darcy's, four times Fanning's.

/// Roughness of smooth hose and drawn tube in m.
pub const ROUGHNESS: f64 = 1.5e-6;

/// One line: hose or tube with its fittings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// Inside diameter in m.
    pub bore: f64,
    /// Length in m.
    pub length: f64,
    /// Sum of the fittings' loss coefficients K.
    pub fittings: f64,
    /// A restriction on top, square law, in Pa/(m³/s)²; 0 in a sound line.
    pub restriction: f64,
}

/// A line's pressure drop with the figures behind it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LineDrop {
    /// Speed in m/s.
    pub velocity: f64,
    /// Reynolds number.
    pub reynolds: f64,
    /// Darcy friction factor.
    pub factor: f64,
    /// Lost to wall friction, Pa.
    pub friction: f64,
    /// Lost in fittings and restrictions, Pa.
    pub minor: f64,
}

/// Darcy friction factor by Churchill 1977 for a Reynolds number and relative roughness; 0 at rest.
pub fn friction_factor(reynolds: f64, relative_roughness: f64) -> f64 {
    if reynolds <= 0.0 {
        return 0.0;
    }
    let a = (2.457 * (1.0 / ((7.0 / reynolds).powf(0.9) + 0.27 * relative_roughness)).ln()).powi(16);
    let b = (37_530.0 / reynolds).powi(16);
    8.0 * ((8.0 / reynolds).powi(12) + (a + b).powf(-1.5)).powf(1.0 / 12.0)
}

/// The drop in `line` at `flow` (m³/s) of a liquid of `density` (kg/m³) and kinematic `viscosity` (m²/s).
pub fn line_drop(line: &Line, density: f64, viscosity: f64, roughness: f64, flow: f64) -> LineDrop {
    let flow = flow.max(0.0);
    let area = std::f64::consts::FRAC_PI_4 * line.bore * line.bore;
    let velocity = flow / area;
    let reynolds = velocity * line.bore / viscosity;
    let factor = friction_factor(reynolds, roughness / line.bore);
    let head = density * velocity * velocity / 2.0;
    LineDrop {
        velocity,
        reynolds,
        factor,
        friction: factor * line.length / line.bore * head,
        minor: line.fittings * head + line.restriction * flow * flow,
    }
}

impl Line {
    /// A sound line.
    pub fn new(bore: f64, length: f64, fittings: f64) -> Self {
        Self { bore, length, fittings, restriction: 0.0 }
    }

    /// Pressure lost in Pa at `flow` (m³/s).
    pub fn loss(&self, density: f64, viscosity: f64, flow: f64) -> f64 {
        let drop = line_drop(self, density, viscosity, ROUGHNESS, flow);
        drop.friction + drop.minor
    }
}
