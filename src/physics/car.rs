//! Every parameter of the model, in SI. A fault is a change of these.

use super::fuel::Blend;
use super::line::Line;
use super::pump::Pump;
use crate::quantity::{Absolute, Difference, Gauge};
use crate::terms::{Condition, Induction, LoadBy, PressureModel, Station, SupplyStyle, Tip};

/// Where and in what weather.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Site {
    /// Local atmosphere.
    pub atmosphere: Absolute,
    /// Fuel temperature in the tank, K.
    pub fuel_temperature: f64,
    /// Rise of the fuel temperature in a heat soak, K (common practice).
    pub heat_soak: f64,
    /// Further rise of the fuel temperature once the engine runs or stands heat-soaked, K; 0 where nothing heats the fuel.
    pub hot_rise: f64,
    /// Suction head the pump needs on fuel that hot, m; 0 where it needs no more than on cold fuel.
    pub hot_need: f64,
}

/// The engine in a condition below full load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LightLoad {
    /// Plenum pressure.
    pub manifold: Absolute,
    /// Fuel as a share of full load.
    pub fuel: f64,
}

/// Pressure between the throttle plates and a draw-through blower.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BlowerInlet {
    /// At idle.
    pub idle: Absolute,
    /// At 2,500 1/min without load.
    pub raised: Absolute,
    /// At steady cruise.
    pub cruise: Absolute,
    /// At full load.
    pub load: Absolute,
}

/// The engine.
#[derive(Debug, Clone, PartialEq)]
pub struct Engine {
    /// Power at full load, W.
    pub power: f64,
    /// Brake specific fuel consumption on gasoline at full load, kg/J.
    pub consumption: f64,
    /// How air reaches it.
    pub induction: Induction,
    /// Boost at full load.
    pub boost: Difference,
    /// Atmosphere to plenum at full load.
    pub intake_loss: Difference,
    /// Warm idle.
    pub idle: LightLoad,
    /// 2,500 1/min without load.
    pub raised: LightLoad,
    /// Steady cruise.
    pub cruise: LightLoad,
    /// Between plates and blower, draw-through only.
    pub blower_inlet: Option<BlowerInlet>,
}

/// The injectors.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Injection {
    /// Where they spray.
    pub tip: Tip,
    /// How many.
    pub count: f64,
    /// Static flow of one at the rated difference, kg/s of gasoline.
    pub flow: f64,
    /// Pressure difference the flow is rated at.
    pub rated_at: Difference,
}

/// The regulator.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Regulator {
    /// How the supply is regulated.
    pub style: SupplyStyle,
    /// Gauge pressure with the reference open to air at the return flow `set_at`.
    pub set: Gauge,
    /// Where the reference hose is connected.
    pub reference: Station,
    /// Rail pressure per reference pressure above atmosphere.
    pub ratio: f64,
    /// Rise per return flow, Pa/(m³/s).
    pub rise: f64,
    /// Return flow the set pressure was set at, m³/s.
    pub set_at: f64,
    /// What the wide-open seat needs, Pa/(m³/s)².
    pub seat: f64,
    /// Share of the reference's difference from the atmosphere that arrives at the diaphragm; 1 when the hose is tight.
    pub reference_share: f64,
    /// The valve stands wide open and regulates nothing.
    pub stuck_open: bool,
}

/// The wiring between battery and pump, and the system voltages.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wiring {
    /// Feed side, Ω.
    pub feed: f64,
    /// Ground side, Ω.
    pub ground: f64,
    /// Engine off, V.
    pub resting: f64,
    /// Engine running, V.
    pub running: f64,
    /// Starter turning, V.
    pub cranking: f64,
    /// The circuit is open: no current flows.
    pub open: bool,
}

impl Wiring {
    /// The system voltage in a condition, V.
    pub fn system(&self, condition: Condition) -> f64 {
        match condition {
            Condition::Prime | Condition::Pinched | Condition::HotPrime | Condition::Rest => self.resting,
            Condition::Crank => self.cranking,
            _ => self.running,
        }
    }
}

/// The controller and what it was told.
#[derive(Debug, Clone, PartialEq)]
pub struct Controller {
    /// What it reckons air from.
    pub load_by: LoadBy,
    /// What it takes the pressure across the injector to be.
    pub pressure_model: PressureModel,
    /// The difference it was told.
    pub across: Difference,
    /// The ethanol fraction it was told.
    pub fuel: Blend,
    /// Conditions it trims in.
    pub closed_loop: Vec<Condition>,
    /// Most it trims, as a share.
    pub trim_limit: f64,
    /// Target lambda at idle, raised, cruise and load.
    pub lambda: [f64; 4],
}

impl Controller {
    /// The target lambda in a running condition.
    pub fn target(&self, condition: Condition) -> f64 {
        self.lambda[running_index(condition)]
    }
}

/// Place of a running condition in arrays of four.
pub(super) fn running_index(condition: Condition) -> usize {
    match condition {
        Condition::Raised => 1,
        Condition::Cruise => 2,
        Condition::Load => 3,
        _ => 0,
    }
}

/// What the load sensor senses.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sensing {
    /// Where its hose is connected.
    pub station: Station,
    /// Share of the difference from the atmosphere that arrives; 1 when the hose is tight.
    pub share: f64,
    /// What it says too much, Pa.
    pub offset: f64,
}

/// Injector offsets, where the rig file speaks of them or a fault changes them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Offsets {
    /// Configured less true offset at 14 V, s.
    pub error: f64,
    /// How much the true offset grows per volt below 14 V, s/V.
    pub per_volt: f64,
    /// Whether the controller corrects for voltage.
    pub corrected: bool,
}

/// Ledger terms that are neutral in a sound car. Arrays are by idle, raised, cruise, load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Air {
    /// Air the controller does not know of, as a share.
    pub unmetered: [f64; 4],
    /// Injector flow as a share of what it should be.
    pub health: f64,
    /// Fuel the controller adds on its own, as a factor.
    pub enrichment: [f64; 4],
    /// What the lambda sensor says too lean, as a share.
    pub sensor_bias: [f64; 4],
    /// The lambda sensor does not follow the mixture and says this.
    pub sensor_stuck: Option<f64>,
    /// Fuel reckoned as a share of what is right, from wrong data.
    pub data: [f64; 4],
    /// The controller stays in open loop.
    pub open_loop: bool,
    /// The engine cannot run for a cause outside the fuel system.
    pub cannot_run: bool,
    /// Conductance of the leak that lets the rail down after key-off, 1/s.
    pub hold_leak: f64,
}

impl Air {
    /// Of a sound car.
    pub fn sound() -> Self {
        Self {
            unmetered: [0.0; 4],
            health: 1.0,
            enrichment: [1.0; 4],
            sensor_bias: [0.0; 4],
            sensor_stuck: None,
            data: [1.0; 4],
            open_loop: false,
            cannot_run: false,
            hold_leak: 2.0e-4,
        }
    }
}

/// The car: every parameter the model needs.
#[derive(Debug, Clone, PartialEq)]
pub struct Car {
    /// Where and in what weather.
    pub site: Site,
    /// The fuel in the tank.
    pub fuel: Blend,
    /// Reid vapour pressure of the fuel, Pa.
    pub reid: f64,
    /// The engine.
    pub engine: Engine,
    /// The injectors.
    pub injection: Injection,
    /// The regulator.
    pub regulator: Regulator,
    /// The pump.
    pub pump: Pump,
    /// Tank to pump.
    pub inlet: Line,
    /// Strainer, Pa/(m³/s), linear; 0 when absent.
    pub strainer: f64,
    /// Filter, Pa/(m³/s), linear; 0 when absent.
    pub filter: f64,
    /// Filter to rail, or regulator to rail.
    pub feed: Line,
    /// Regulator to tank.
    pub back: Line,
    /// Gauge pressure over the fuel.
    pub tank: Gauge,
    /// Wiring and system voltages.
    pub wiring: Wiring,
    /// The controller.
    pub controller: Controller,
    /// Load sensing.
    pub sensing: Sensing,
    /// Injector offsets; none when the rig file does not speak of them.
    pub offsets: Option<Offsets>,
    /// Ledger terms.
    pub air: Air,
    /// Time waited after key-off for a held-pressure reading, s.
    pub rest: f64,
    /// Top of the pressure gauge, and the rating of the weakest part if stated.
    pub gauge_top: Option<Gauge>,
    /// Rating of the weakest hose, fitting or regulator, if stated.
    pub weakest: Option<Gauge>,
}
