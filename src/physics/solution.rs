//! Every reading of one car in one condition.

use super::induction::Stations;
use super::ledger::Ledger;
use crate::quantity::{Absolute, Difference, Gauge};
use crate::terms::{Condition, Reading};

/// What the model says of one condition. Pressures are gauge but where their type says otherwise; all SI.
#[derive(Debug, Clone, PartialEq)]
pub struct Solution {
    /// The condition.
    pub condition: Condition,
    /// The induction path.
    pub stations: Stations,
    /// At the rail.
    pub rail: Gauge,
    /// At the pump's outlet, before the filter.
    pub pump_outlet: Gauge,
    /// After the filter.
    pub filter_outlet: Gauge,
    /// Across the injector.
    pub injector: Difference,
    /// At the pump's inlet.
    pub pump_inlet: Gauge,
    /// Net positive suction head available, m.
    pub suction_head: f64,
    /// At the regulator's diaphragm.
    pub reference: Gauge,
    /// In the return line just after the regulator; none where fuel does not return.
    pub back_pressure: Option<Gauge>,
    /// What the load sensor says.
    pub sensed: Absolute,
    /// System voltage, V.
    pub battery: f64,
    /// Between the pump's terminals, V.
    pub pump_voltage: f64,
    /// Lost in the feed wire, V.
    pub feed_drop: f64,
    /// Lost in the ground wire, V.
    pub ground_drop: f64,
    /// Through the pump, A.
    pub current: f64,
    /// Through the pump, m³/s.
    pub pump_flow: f64,
    /// Back to the tank, m³/s.
    pub return_flow: f64,
    /// Into the engine, m³/s.
    pub engine_flow: f64,
    /// Left in the rail after the wait; only on `rest`.
    pub held: Option<Gauge>,
    /// Share of full voltage a speed-controlled pump runs at.
    pub duty: Option<f64>,
    /// The mixture; none where the engine is not asked to run.
    pub ledger: Option<Ledger>,
    /// Whether the engine runs; none where it is not asked to.
    pub runs: Option<bool>,
    /// The supply gives less than the regulator asks.
    pub short: bool,
    /// The pump's own valve is open.
    pub relieving: bool,
    /// The pump gets less suction head than it needs.
    pub starving: bool,
}

impl Solution {
    /// One reading in SI, where it exists in this condition. Trim is a share, lambda plain.
    pub fn get(&self, reading: Reading) -> Option<f64> {
        let running = self.ledger.as_ref().filter(|_| self.runs == Some(true));
        match reading {
            Reading::RailPressure => self.held.is_none().then_some(self.rail.0),
            Reading::PumpOutletPressure => Some(self.pump_outlet.0),
            Reading::FilterOutletPressure => Some(self.filter_outlet.0),
            Reading::InjectorPressure => Some(self.injector.0),
            Reading::PumpVoltage => Some(self.pump_voltage),
            Reading::FeedDrop => Some(self.feed_drop),
            Reading::GroundDrop => Some(self.ground_drop),
            Reading::PumpCurrent => Some(self.current),
            Reading::PumpInletPressure => Some(self.pump_inlet.0),
            Reading::SuctionHead => Some(self.suction_head),
            Reading::PumpFlow => Some(self.pump_flow),
            Reading::ReturnFlow => Some(self.return_flow),
            Reading::ManifoldPressure => Some(self.stations.plenum.0),
            Reading::ReferencePressure => Some(self.reference.0),
            Reading::Trim => running.map(|l| l.trim),
            Reading::Lambda => running.map(|l| l.lambda),
            Reading::BatteryVoltage => Some(self.battery),
            Reading::HeldPressure => self.held.map(|h| h.0),
            Reading::ReturnPressure => self.back_pressure.map(|p| p.0),
            Reading::SensedPressure => Some(self.sensed.0),
        }
    }
}
