//! States a step can make or need: what is opened, fitted, disabled or proved at the car.

use super::Condition;

vocabulary! {
    /// A state of the car that a step makes, needs or undoes.
    State, "state" {
        /// Gauge seen at zero and the pump disabled.
        Depressurised = "depressurised",
        /// Pump fuse or connector out.
        PumpDisabled = "pump-disabled",
        /// A fuel line is open.
        LineOpen = "line-open",
        /// The pressure gauge is connected.
        GaugeFitted = "gauge-fitted",
        /// Every joint opened was seen dry with the pump running, before any start.
        LeakChecked = "leak-checked",
        /// A valve is fitted in the return line.
        ReturnValveFitted = "return-valve-fitted",
        /// A gauge is fitted in the return line.
        ReturnGaugeFitted = "return-gauge-fitted",
        /// The return valve is closed.
        ReturnShut = "return-shut",
        /// The return line leads into a container.
        ReturnDiverted = "return-diverted",
        /// The regulator's reference hose is off.
        ReferenceHoseOff = "reference-hose-off",
        /// The load sensor's hose or plug is off.
        SensorHoseOff = "sensor-hose-off",
        /// A vacuum gauge is connected to the manifold.
        VacuumGaugeFitted = "vacuum-gauge-fitted",
        /// The filler cap is off.
        CapOpen = "cap-open",
        /// The relay is swapped or out of its socket.
        RelaySwapped = "relay-swapped",
        /// The car stands on stands.
        OnStands = "on-stands",
        /// The air filter or its bonnet is off.
        AirFilterOff = "air-filter-off",
        /// Spark plugs are out.
        PlugsOut = "plugs-out",
        /// Coils and injectors are unplugged so the engine cannot start.
        IgnitionDisabled = "ignition-disabled",
        /// The engine is cold enough to touch.
        EngineCool = "engine-cool",
        /// No fuel was seen or smelt where it should not be.
        NoLeakSeen = "no-leak-seen",
        /// The battery's negative lead is off.
        BatteryOff = "battery-off",
        /// A second pressure gauge sits on the T of the first.
        SecondGaugeFitted = "second-gauge-fitted",
        /// The exhaust sensor is out of its thread.
        LambdaSensorOut = "lambda-sensor-out",
    }
}

impl State {
    /// Why this state does not go with `at`, if it does not.
    pub fn clash(self, at: Condition) -> Option<&'static str> {
        let driven = matches!(at, Condition::Load | Condition::Cruise);
        let turns = at.running() || at == Condition::Crank;
        match self {
            Self::BatteryOff if at.pressurises() => Some("nothing on the car has volts"),
            Self::LambdaSensorOut if turns => Some("hot exhaust blows out of the sensor's thread"),
            Self::PumpDisabled if at.pressurises() && at != Condition::Crank => Some("the pump cannot run"),
            Self::IgnitionDisabled | Self::PlugsOut if at.running() => Some("the engine cannot run"),
            Self::CapOpen if turns => Some("vapour from the open tank can reach the engine"),
            Self::ReturnDiverted if turns => Some("the engine would pump fuel into the container"),
            Self::ReturnShut if at.pressurises() && at != Condition::Pinched => {
                Some("the pressure rises to what the pump can give")
            }
            Self::OnStands if driven => Some("the car stands on stands"),
            Self::AirFilterOff if driven => Some("the engine breathes dirt"),
            Self::ReferenceHoseOff | Self::SensorHoseOff if driven => {
                Some("the mixture under load is anybody's guess")
            }
            Self::RelaySwapped if driven => Some("the car is driven on a borrowed relay"),
            _ => None,
        }
    }

    /// The state in words.
    pub fn name(self) -> &'static str {
        match self {
            Self::Depressurised => "fuel lines at zero and pump disabled",
            Self::PumpDisabled => "pump disabled",
            Self::LineOpen => "fuel line open",
            Self::GaugeFitted => "pressure gauge fitted",
            Self::LeakChecked => "joints leak-checked",
            Self::ReturnValveFitted => "valve fitted in the return",
            Self::ReturnGaugeFitted => "gauge fitted in the return",
            Self::ReturnShut => "return closed",
            Self::ReturnDiverted => "return led into a container",
            Self::ReferenceHoseOff => "reference hose off",
            Self::SensorHoseOff => "load sensor hose off",
            Self::VacuumGaugeFitted => "vacuum gauge fitted",
            Self::CapOpen => "filler cap off",
            Self::RelaySwapped => "relay swapped",
            Self::OnStands => "car on stands",
            Self::AirFilterOff => "air filter off",
            Self::PlugsOut => "spark plugs out",
            Self::IgnitionDisabled => "ignition and injectors disabled",
            Self::EngineCool => "engine cool",
            Self::NoLeakSeen => "no leak seen",
            Self::BatteryOff => "battery negative off",
            Self::SecondGaugeFitted => "second gauge fitted beside the first",
            Self::LambdaSensorOut => "exhaust sensor out",
        }
    }

    /// Whether a person must undo it before the car goes back to use.
    pub fn must_be_undone(self) -> bool {
        !matches!(self, Self::Depressurised | Self::LeakChecked | Self::EngineCool | Self::NoLeakSeen)
    }
}
