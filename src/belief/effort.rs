//! What each test takes: tools, what has to be set up, minutes. All of it common practice for one person in a workshop.

use crate::instrument::Uncertainty;
use crate::rig::Rig;
use crate::terms::{Condition, Observation, Reading, State, Tool};

/// A test: what is measured and in which condition, or what is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Key {
    /// A reading.
    Reading(Reading, Condition),
    /// An observation.
    Observation(Observation),
}

impl std::fmt::Display for Key {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Reading(reading, condition) => write!(f, "{reading}@{condition}"),
            Self::Observation(observation) => write!(f, "{observation}"),
        }
    }
}

/// What a test needs and takes.
#[derive(Debug, Clone, PartialEq)]
pub struct Effort {
    /// Tools that must be at hand.
    pub tools: Vec<Tool>,
    /// States that must be made first; one that is made already costs nothing again.
    pub setup: Vec<State>,
    /// Minutes of the test alone.
    pub minutes: f64,
}

impl Effort {
    /// Minutes with whatever of its set-up is not yet made.
    pub fn minutes_with(&self, made: &[State]) -> f64 {
        let setup: f64 = self.setup.iter().filter(|s| !made.contains(s)).map(|s| setup_minutes(*s)).sum();
        self.minutes + setup
    }
}

/// Minutes that making a state takes, its undoing included (common practice).
pub fn setup_minutes(state: State) -> f64 {
    match state {
        State::GaugeFitted
        | State::SecondGaugeFitted
        | State::ReturnValveFitted
        | State::ReturnGaugeFitted => 15.0,
        State::ReturnDiverted => 10.0,
        State::VacuumGaugeFitted | State::ReferenceHoseOff | State::SensorHoseOff => 4.0,
        State::PlugsOut => 20.0,
        State::OnStands => 8.0,
        _ => 2.0,
    }
}

/// Minutes to bring the car into a condition and read there, and what that takes beyond the reading's own needs.
fn condition(at: Condition) -> (f64, Option<Tool>, Option<State>) {
    match at {
        Condition::Crank | Condition::Prime | Condition::Raised => (1.0, None, None),
        Condition::Idle => (2.0, None, None),
        Condition::Cruise => (8.0, Some(Tool::LoadRun), None),
        Condition::Load => (15.0, Some(Tool::LoadRun), None),
        Condition::Pinched => (4.0, Some(Tool::ReturnValve), Some(State::ReturnValveFitted)),
        Condition::Rest => (10.0, None, None),
        Condition::HotPrime => (30.0, None, None),
    }
}

/// The instrument a reading is usually taken with, what has to be fitted, and minutes of the reading itself; none for what no
/// technician measures.
fn reading(reading: Reading) -> Option<(Tool, Option<State>, f64)> {
    Some(match reading {
        Reading::RailPressure | Reading::HeldPressure => (Tool::PressureGauge, Some(State::GaugeFitted), 1.0),
        // Another place means to relieve, refit and leak-check once more.
        Reading::PumpOutletPressure | Reading::FilterOutletPressure => {
            (Tool::PressureGauge, Some(State::GaugeFitted), 12.0)
        }
        Reading::ReturnPressure => (Tool::SecondGauge, Some(State::ReturnGaugeFitted), 1.0),
        Reading::PumpInletPressure => (Tool::VacuumGauge, None, 18.0),
        Reading::PumpVoltage | Reading::FeedDrop | Reading::GroundDrop => (Tool::Multimeter, None, 4.0),
        Reading::BatteryVoltage => (Tool::Multimeter, None, 1.0),
        Reading::PumpCurrent => (Tool::ClampMeter, None, 3.0),
        Reading::ReturnFlow => (Tool::FuelContainer, Some(State::ReturnDiverted), 3.0),
        Reading::ManifoldPressure => (Tool::VacuumGauge, Some(State::VacuumGaugeFitted), 1.0),
        Reading::ReferencePressure => (Tool::VacuumGauge, Some(State::ReferenceHoseOff), 1.0),
        Reading::Trim | Reading::SensedPressure => (Tool::ControllerDisplay, None, 1.0),
        Reading::Lambda => (Tool::Wideband, None, 1.0),
        Reading::InjectorPressure | Reading::SuctionHead | Reading::PumpFlow => return None,
    })
}

fn observation(observation: Observation) -> (Tool, f64) {
    use Observation as O;
    match observation {
        O::FuelInTank | O::RecentWork | O::PrimeSound | O::CapOpened => (Tool::Eyes, 1.0),
        O::FuelSmellOrLeak | O::PumpPlaced | O::PumpFuse | O::LiftPumpSound | O::EngineEven => {
            (Tool::Eyes, 2.0)
        }
        O::ReferenceHoseInside
        | O::ReferenceHoseRouting
        | O::LoadSensorHose
        | O::InertiaSwitch
        | O::RelaySwap
        | O::RegulatorSetting => (Tool::Eyes, 3.0),
        O::AirFilter => (Tool::Eyes, 4.0),
        O::HosesByEye | O::OldPumpInLine => (Tool::Eyes, 5.0),
        O::FuelAge => (Tool::FuelContainer, 6.0),
        O::PumpConnector | O::ExhaustJoint => (Tool::Eyes, 8.0),
        O::InjectorDrip => (Tool::Eyes, 10.0),
        O::FilterByEye | O::PumpHotNoise | O::PlugsByEye => (Tool::Eyes, 25.0),
        O::FuelBubbles => (Tool::Eyes, 12.0),
        O::StrainerByEye => (Tool::Eyes, 40.0),
        O::TankHoseByEye => (Tool::Eyes, 45.0),
        O::InjectorClick => (Tool::Stethoscope, 5.0),
        O::SmokeTest => (Tool::SmokeMachine, 20.0),
        O::EthanolTest => (Tool::GraduatedCylinder, 10.0),
        O::InjectorSpray => (Tool::GraduatedCylinder, 60.0),
        O::ConfiguredPressure | O::FuelAddedAtIdle | O::ThrottleSensorSweep => (Tool::ControllerDisplay, 4.0),
        O::ConfiguredInjector => (Tool::ControllerDisplay, 5.0),
        O::ConfiguredEngine | O::CoolantAgainstAirCold => (Tool::ControllerDisplay, 2.0),
        O::EngineSpeedShown => (Tool::ControllerDisplay, 1.0),
        O::SensorFreeAir => (Tool::ControllerDisplay, 15.0),
        O::TimingLight => (Tool::TimingLight, 8.0),
        O::TriggerAtRelay => (Tool::Multimeter, 5.0),
        O::LambdaHeater => (Tool::Multimeter, 6.0),
        O::GaugeZero => (Tool::PressureGauge, 2.0),
        O::GaugeAgainstSecond => (Tool::SecondGauge, 12.0),
        O::HeldFeedClosed | O::HeldReturnClosed => (Tool::PressureGauge, 15.0),
        O::RegulatorOnHandPump => (Tool::HandPump, 8.0),
        O::AirSensorAgainstAir => (Tool::Thermometer, 3.0),
    }
}

/// What a test takes; none for what no technician measures.
pub fn effort(key: Key) -> Option<Effort> {
    match key {
        Key::Reading(what, at) => {
            let (tool, fitted, own) = reading(what)?;
            let (minutes, more, state) = condition(at);
            Some(Effort {
                tools: std::iter::once(tool).chain(more).collect(),
                setup: fitted.into_iter().chain(state).collect(),
                minutes: own + minutes,
            })
        }
        Key::Observation(what) => {
            let (tool, minutes) = observation(what);
            let setup = match what {
                Observation::GaugeAgainstSecond
                | Observation::HeldFeedClosed
                | Observation::HeldReturnClosed => {
                    vec![State::GaugeFitted]
                }
                _ => Vec::new(),
            };
            Some(Effort { tools: vec![tool], setup, minutes })
        }
    }
}

/// The instrument `what` is usually taken with and its uncertainty at `si`; the rig's own instrument where it names one, else
/// common practice.
pub fn instrument(rig: &Rig, what: Reading, si: f64) -> Option<(Tool, Uncertainty)> {
    let (tool, _, _) = reading(what)?;
    let own = &rig.instruments;
    let fixed = |shared: f64, own: f64| Uncertainty { shared, own };
    let uncertainty = match tool {
        Tool::PressureGauge | Tool::SecondGauge => own.pressure.uncertainty(si),
        Tool::VacuumGauge => own.vacuum.uncertainty(si),
        Tool::Multimeter => own.meter.uncertainty(si),
        Tool::ClampMeter => own.clamp.uncertainty(si),
        // A container and a watch: the mark and the start and stop of the clock (common practice).
        Tool::FuelContainer => fixed(0.02 * si.abs(), 0.03 * si.abs() + 2.0 / 3.6e6),
        Tool::Wideband => fixed(0.01, 0.008),
        _ if what == Reading::SensedPressure => fixed(500.0, 300.0),
        _ => fixed(0.005, 0.01),
    };
    Some((tool, uncertainty))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_fitted_costs_nothing_again() {
        let idle = effort(Key::Reading(Reading::RailPressure, Condition::Idle)).unwrap();
        let gauge = setup_minutes(State::GaugeFitted);
        assert_eq!(idle.minutes_with(&[]), idle.minutes_with(&[State::GaugeFitted]) + gauge);
    }

    #[test]
    fn every_observation_takes_time() {
        for o in Observation::ALL {
            assert!(effort(Key::Observation(*o)).unwrap().minutes >= 1.0, "{o}");
        }
    }

    #[test]
    fn what_no_technician_measures_is_no_test() {
        assert!(effort(Key::Reading(Reading::SuctionHead, Condition::Idle)).is_none());
    }
}
