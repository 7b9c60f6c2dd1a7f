//! The pump: curve points at a rated voltage, and what it delivers off it.
//!
//! A turbine pump follows the affinity laws with speed proportional to voltage, `Q(Δp, V) = s·Qr(Δp/s²)`; a displacement pump
//! delivers with speed and slips with pressure, `Q = s·Qr(0) − (Qr(0) − Qr(Δp))`. Wear adds internal leakage that grows with
//! the root of the rise. Current follows the rise alone.

use crate::terms::PumpType;

/// One point of the curve at rated voltage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CurvePoint {
    /// Pressure rise across the pump, Pa.
    pub rise: f64,
    /// Flow, m³/s.
    pub flow: f64,
    /// Current, A.
    pub current: f64,
}

/// Whether the motor turns.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Motor {
    /// It turns.
    Turns,
    /// It is jammed and draws this current, A.
    Jammed(f64),
}

/// The pump.
#[derive(Debug, Clone, PartialEq)]
pub struct Pump {
    /// How it delivers off its rated voltage.
    pub kind: PumpType,
    /// Voltage the curve was taken at, V.
    pub rated: f64,
    /// Rise at which its own valve opens, Pa; none without one.
    pub relief: Option<f64>,
    /// At least two points, rise ascending.
    pub curve: Vec<CurvePoint>,
    /// Height above the fuel surface, m; negative when submerged.
    pub lift: f64,
    /// Net positive suction head required, m.
    pub suction_need: f64,
    /// Whether a check valve holds pressure after key-off.
    pub holds: bool,
    /// Internal leakage, (m³/s)/√Pa; 0 in a sound pump.
    pub leakage: f64,
    /// Speed as a share of what the voltage should give; 1 in a sound pump.
    pub speed: f64,
    /// Current as a multiple of the curve's; 1 in a sound pump.
    pub drag: f64,
    /// Whether the motor turns.
    pub motor: Motor,
}

impl Pump {
    /// The straight line through the curve points next to `rise`; the end segments go on beyond the ends.
    fn between(&self, rise: f64, value: impl Fn(&CurvePoint) -> f64) -> f64 {
        let upper = self.curve.iter().position(|p| p.rise >= rise).unwrap_or(self.curve.len() - 1).max(1);
        let (a, b) = (&self.curve[upper - 1], &self.curve[upper]);
        let share = (rise - a.rise) / (b.rise - a.rise);
        value(a) + share * (value(b) - value(a))
    }

    /// Flow at rated voltage, m³/s; below zero beyond the dead head.
    fn rated_flow(&self, rise: f64) -> f64 {
        self.between(rise, |p| p.flow)
    }

    /// Current in A at a pressure rise in Pa.
    pub fn current(&self, rise: f64) -> f64 {
        match self.motor {
            Motor::Turns => (self.between(rise, |p| p.current) * self.drag).max(0.0),
            Motor::Jammed(current) => current,
        }
    }

    /// Flow in m³/s at a pressure rise (Pa) and voltage (V), below zero where the pump could not hold that rise.
    pub(super) fn unclamped_flow(&self, rise: f64, voltage: f64) -> f64 {
        let s = voltage / self.rated * self.speed;
        if s < 1e-3 || matches!(self.motor, Motor::Jammed(_)) {
            return -1e-6;
        }
        let ideal = match self.kind {
            PumpType::Turbine => s * self.rated_flow(rise / (s * s)),
            PumpType::Displacement => {
                s * self.rated_flow(0.0) - (self.rated_flow(0.0) - self.rated_flow(rise))
            }
        };
        ideal - self.leakage * rise.max(0.0).sqrt()
    }

    /// Flow in m³/s at a pressure rise (Pa) and voltage (V).
    pub fn flow(&self, rise: f64, voltage: f64) -> f64 {
        self.unclamped_flow(rise, voltage).max(0.0)
    }

    /// The greatest rise the curve speaks of, Pa.
    pub(super) fn last_rise(&self) -> f64 {
        self.curve.last().map_or(0.0, |p| p.rise)
    }
}
