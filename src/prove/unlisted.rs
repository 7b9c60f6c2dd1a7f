//! Faults that are in no catalogue, to see whether the program says that it does not know.

use crate::physics::Car;
use crate::terms::Condition;

/// A fault the catalogue does not hold; each acts in some conditions only, as none of the catalogue does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Unlisted {
    /// The liner of the feed hose lifts and shuts the hose at high flow only.
    LinerFlap,
    /// The pump's speed controller stays at its low step with the engine off or idling.
    LowStep,
    /// The regulator sticks high with little flow taken and low with much.
    StickingRegulator,
    /// The pump's own valve opens far too early once warm.
    WarmRelief,
    /// The load sensor's ground is lifted by the pump's current while the engine runs.
    SensorGround,
    /// The charging system overcharges, so that the pump runs fast with the engine on and slow with it off.
    Overcharge,
}

impl Unlisted {
    /// All of them.
    pub const ALL: &'static [Self] = &[
        Self::LinerFlap,
        Self::LowStep,
        Self::StickingRegulator,
        Self::WarmRelief,
        Self::SensorGround,
        Self::Overcharge,
    ];

    /// A stable id.
    pub fn id(self) -> &'static str {
        match self {
            Self::LinerFlap => "liner-flap",
            Self::LowStep => "low-step",
            Self::StickingRegulator => "sticking-regulator",
            Self::WarmRelief => "warm-relief",
            Self::SensorGround => "sensor-ground",
            Self::Overcharge => "overcharge",
        }
    }

    /// What it does in a condition.
    pub fn act(self, car: &mut Car, condition: Condition) {
        let running = condition.running();
        match self {
            Self::LinerFlap if condition == Condition::Load => {
                let flow = 200.0 / 3.6e6;
                car.feed.restriction += 2.5e6 / (flow * flow);
            }
            Self::LowStep if condition != Condition::Load && condition != Condition::Cruise => {
                car.pump.speed *= 0.62;
            }
            Self::StickingRegulator => {
                car.regulator.set.0 *= match condition {
                    Condition::Load => 0.72,
                    Condition::Idle | Condition::Raised => 1.3,
                    _ => 1.0,
                };
            }
            Self::WarmRelief if running => {
                let valve = 0.7 * car.regulator.set.0;
                car.pump.relief = Some(car.pump.relief.map_or(valve, |r| r.min(valve)));
            }
            Self::SensorGround if running => car.sensing.offset += 14e3,
            Self::Overcharge if running => car.wiring.running += 2.4,
            Self::Overcharge => car.wiring.resting -= 1.8,
            _ => {}
        }
    }
}
