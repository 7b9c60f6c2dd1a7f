//! What a look would show: the probability of each answer to an observation under a fault (common practice).
//!
//! A look that is the matching one shows the fault nearly always; any other look is answered as on a sound car. A reader slips in
//! two of a hundred answers, so nothing is ever certain.

use crate::rig::Rig;
use crate::terms::{Fault, Observation as O, Outcome, PressureModel, Station, SupplyStyle};

/// Share of answers that are slips of the reader.
const SLIP: f64 = 0.02;

/// The answer a sound car of this kind gives.
fn sound(rig: &Rig, observation: O) -> &'static str {
    match observation {
        O::PumpPlaced if rig.car.pump.lift > 0.05 => "above-level",
        O::PumpPlaced if rig.car.pump.lift < 0.0 && rig.car.inlet.length < 0.3 => "in-tank",
        O::PumpPlaced => "below-level",
        O::InertiaSwitch | O::LiftPumpSound => "none",
        other => other.outcomes()[0].id,
    }
}

/// Another answer that a sound car gives as well, and the share of cars that do (common practice): nothing in the rig file says whether
/// a switch or a lift pump is fitted, and outside the tank or inside comes to the same.
fn as_sound(rig: &Rig, observation: O) -> Option<(&'static str, f64)> {
    Some(match (observation, sound(rig, observation)) {
        (O::InertiaSwitch, _) => ("closed", 0.4),
        (O::LiftPumpSound, _) => ("normal", 0.4),
        (O::PumpPlaced, "in-tank") => ("below-level", 0.1),
        (O::PumpPlaced, "below-level") => ("in-tank", 0.1),
        _ => return None,
    })
}

/// The answer that gives a fault away and how often it does, where this look is the matching one.
#[allow(clippy::enum_glob_use, clippy::match_same_arms)] // A table reads best with bare names, one row a look.
fn sign(rig: &Rig, fault: Fault, severity: f64, observation: O) -> Option<(&'static str, f64)> {
    use Fault::*;
    let s = severity.abs();
    let has_hose =
        rig.car.regulator.reference != Station::Open && rig.car.regulator.style != SupplyStyle::Module;
    let answer = match (observation, fault) {
        (O::FuelInTank, FuelLevelLow) => ("low", 0.95),
        (O::FuelAge, FuelStaleOrWater) => ("stale", 0.9),
        (
            O::PrimeSound,
            PumpFuseOpen | PumpRelayOpen | PumpTriggerMissing | InertiaSwitchOpen | PumpConnectorOpen
            | PumpSeized,
        ) => ("silent", 0.97),
        (O::PrimeSound, PumpBinding) => ("strained", 0.85),
        (O::PrimeSound, InletStrainerBlocked | InletHoseCollapsed | InletAirLeak | FuelLevelLow) => {
            ("strained", 0.3 + 0.3 * s)
        }
        (O::PrimeSound, PumpMountedTooHigh) => ("strained", 0.4),
        // It pushes against more.
        (O::PrimeSound, FeedFilterBlocked) => ("strained", 0.3 * s),
        (O::ReferenceHoseInside, RegulatorDiaphragmRuptured) if has_hose => ("wet", 0.95),
        (O::ReferenceHoseInside, RegulatorDiaphragmRuptured) => ("wet", 0.9),
        (O::ReferenceHoseRouting, ReferenceHoseOff) => ("off", 0.97),
        (O::ReferenceHoseRouting, ReferenceHoseLeaking) => ("cracked", 0.85),
        (O::ReferenceHoseRouting, ReferenceWrongStation) => ("wrong-port", 0.95),
        (O::LoadSensorHose, MapHoseLeaking) => ("cracked", 0.9),
        (O::LoadSensorHose, MapWrongStation) => ("wrong-port", 0.95),
        (O::HosesByEye, FeedLineRestricted | ReturnLineRestricted) => ("kinked", 0.85),
        (O::HosesByEye, InletHoseCollapsed) => ("collapsed", 0.9),
        (O::HosesByEye, LinesSwapped) => ("swapped", 0.95),
        (O::StrainerByEye, InletStrainerBlocked) | (O::FilterByEye, FeedFilterBlocked) => ("blocked", 0.95),
        (O::CapOpened, TankVentBlocked) => ("inrush", 0.95),
        (O::InjectorDrip, InjectorLeaking) => ("drips", 0.9),
        (O::InjectorClick, InjectorDead) => ("one-silent", 0.95),
        (O::InjectorSpray, InjectorsFouled) => ("all-weak", 0.85),
        (O::InjectorSpray, InjectorDead) => ("one-weak", 0.9),
        (O::ExhaustJoint, ExhaustLeakBeforeSensor) => ("leaking", 0.9),
        (O::SmokeTest, VacuumLeak) => ("leaking", 0.92),
        (O::EthanolTest, EthanolContentMismatch) => {
            (if more_ethanol(rig, severity) { "more" } else { "less" }, 0.95)
        }
        (O::PumpHotNoise, HotFuelVapour) => ("whine", 0.9),
        (O::PumpHotNoise, PumpMountedTooHigh) => ("whine", 0.6),
        (O::ConfiguredPressure, ConfiguredPressureWrong)
            if rig.car.controller.pressure_model != PressureModel::Sensor =>
        {
            ("differs", 0.95)
        }
        (O::ConfiguredInjector, ConfiguredInjectorFlowWrong | ConfiguredOffsetWrong)
        | (O::ConfiguredEngine, ConfiguredEngineSizeWrong) => ("differs", 0.95),
        (O::SensorFreeAir, LambdaSensorFailed) => ("off", 0.95),
        (O::LambdaHeater, LambdaHeaterSupplyLow) => ("low", 0.95),
        (O::CoolantAgainstAirCold, CoolantSensorReadsCold | CoolantSensorReadsHot) => ("differ", 0.95),
        (O::AirSensorAgainstAir, AirTemperatureHeatSoaked) => ("differ", 0.9),
        (O::TimingLight, TimingWrong) => ("differs", 0.95),
        (O::PlugsByEye, UnevenDistribution) => ("one-bank-lean", 0.9),
        (O::PlugsByEye, InjectorDead) => ("one-lean", 0.6),
        (O::PlugsByEye, InjectorLeaking) => ("sooty", 0.5),
        (O::PlugsByEye, CoolantSensorReadsCold) => ("sooty", 0.6),
        (O::EngineEven, MisfireFalseLean | InjectorDead) => ("misses", 0.93),
        (O::FuelAddedAtIdle, OverlapFalseLean | ExhaustLeakBeforeSensor | LambdaHeaterSupplyLow) => {
            ("rougher", 0.9)
        }
        (O::FuelAddedAtIdle, LambdaSensorFailed) => ("rougher", if severity > 0.0 { 0.9 } else { 0.5 }),
        (O::PumpPlaced, PumpMountedTooHigh) => ("above-level", 0.97),
        (O::PumpFuse, PumpFuseOpen) => ("open", 0.98),
        (O::PumpFuse, PumpSeized) => ("open", 0.1),
        (O::InertiaSwitch, InertiaSwitchOpen) => ("open", 0.97),
        (O::RelaySwap, PumpRelayOpen) => ("runs", 0.95),
        (O::TriggerAtRelay, PumpTriggerMissing | NoSpeedSignal) => ("missing", 0.95),
        (O::PumpConnector, PumpConnectorOpen) => ("open", 0.95),
        (O::AirFilter, AirFilterBlocked) => ("blocked", 0.97),
        (O::EngineSpeedShown, NoSpeedSignal) => ("zero", 0.97),
        (O::OldPumpInLine, OldPumpLeftInLine) => ("present", 0.95),
        (O::LiftPumpSound, LiftPumpFailed) => ("silent", 0.95),
        (O::GaugeZero, GaugeFaulty) => ("off", 0.9),
        (O::GaugeAgainstSecond, GaugeFaulty) => ("differ", 0.97),
        (O::HeldFeedClosed, CheckValveLeaking | InTankHoseLeaking | ReliefValveLeaking) => ("holds", 0.9),
        (O::RegulatorOnHandPump, RegulatorStuckOpen | RegulatorStuckClosed | RegulatorDiaphragmRuptured) => {
            ("no-answer", 0.93)
        }
        (O::RegulatorSetting, RegulatorSetLow | RegulatorSetHigh) => ("moved", 0.8),
        (O::ThrottleSensorSweep, ThrottleSensorOff) => ("off", 0.93),
        (O::TankHoseByEye, InTankHoseLeaking) => ("leaking", 0.95),
        (O::FuelBubbles, InletAirLeak) => ("bubbles", 0.9),
        (O::FuelBubbles, FuelLevelLow) => ("bubbles", 0.6),
        _ => return None,
    };
    Some(answer)
}

/// Whether the mismatch leaves more ethanol in the tank than the controller was told.
fn more_ethanol(rig: &Rig, severity: f64) -> bool {
    let told = rig.car.controller.fuel.ethanol;
    super::apply(rig, Fault::EthanolContentMismatch, severity)
        .map_or(severity > 0.0, |car| car.fuel.ethanol > told)
}

/// The probability of each outcome of `observation`, in the order of its outcomes, under a fault of that severity.
pub fn shows(rig: &Rig, fault: Fault, severity: f64, observation: O) -> Vec<f64> {
    let outcomes = observation.outcomes();
    let n = outcomes.len() as f64;
    let usual = sound(rig, observation);
    let (answer, often) = sign(rig, fault, severity, observation).unwrap_or((usual, 1.0));
    // Recent work says nothing of most faults and something of wrong data and wrong connections.
    let recent = (observation == O::RecentWork).then_some(match fault {
        Fault::ConfiguredPressureWrong
        | Fault::ConfiguredInjectorFlowWrong
        | Fault::ConfiguredOffsetWrong
        | Fault::ConfiguredEngineSizeWrong
        | Fault::LinesSwapped
        | Fault::ReferenceWrongStation
        | Fault::MapWrongStation
        | Fault::OldPumpLeftInLine => 0.7,
        _ => 0.3,
    });
    // What is answered where the look does not give the fault away.
    let (other, share) = as_sound(rig, observation).unwrap_or((usual, 0.0));
    let as_usual = |o: &Outcome| match o.id {
        id if id == other && share > 0.0 => share,
        id if id == usual => 1.0 - share,
        _ => 0.0,
    };
    let free = |o: &Outcome| match recent {
        Some(some) => {
            if o.id == "some" {
                some
            } else {
                1.0 - some
            }
        }
        None if answer == usual => as_usual(o),
        None if o.id == answer => often,
        None => (1.0 - often) * as_usual(o),
    };
    outcomes.iter().map(|o| (1.0 - SLIP) * free(o) + SLIP / n).collect()
}

/// The likeliest answer under a fault, as a careful reader would give it.
pub fn likeliest(rig: &Rig, fault: Fault, severity: f64, observation: O) -> &'static Outcome {
    let p = shows(rig, fault, severity, observation);
    let best = p.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1)).map_or(0, |(i, _)| i);
    &observation.outcomes()[best]
}

/// Whether a car can show an outcome, whatever is wrong with it: without a return line nothing is swapped with it.
pub fn can_show(rig: &Rig, observation: O, outcome: &str) -> bool {
    let swapped = observation == O::HosesByEye && outcome == "swapped";
    !swapped || rig.car.regulator.style.has_return()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rig() -> Rig {
        Rig::parse("test", "format: 1\nfilter: {drop: 6 kPa}\n").unwrap()
    }

    #[test]
    fn probabilities_are_probabilities() {
        let rig = rig();
        for fault in Fault::ALL {
            for observation in O::ALL {
                let p = shows(&rig, *fault, 0.6, *observation);
                assert_eq!(p.len(), observation.outcomes().len());
                assert!((p.iter().sum::<f64>() - 1.0).abs() < 1e-12, "{fault} {observation} {p:?}");
                assert!(p.iter().all(|&x| x > 0.0), "{fault} {observation} {p:?}");
            }
        }
    }

    #[test]
    fn what_may_be_fitted_or_not_is_as_sound_either_way_and_speaks_against_its_own_fault_alone() {
        let rig = rig();
        let says = |fault, observation: O, outcome: &str| {
            let at = observation.outcomes().iter().position(|o| o.id == outcome).unwrap();
            shows(&rig, fault, 1.0, observation)[at]
        };
        for (observation, works, own) in [
            (O::InertiaSwitch, "closed", Fault::InertiaSwitchOpen),
            (O::LiftPumpSound, "normal", Fault::LiftPumpFailed),
        ] {
            for answer in [works, "none"] {
                let sound = says(Fault::NoFault, observation, answer);
                assert!(sound > 0.3, "{observation} {answer} is no sign of anything");
                assert!((sound - says(Fault::PumpRelayOpen, observation, answer)).abs() < 1e-12);
                assert!(says(own, observation, answer) < 0.1 * sound, "{observation} {answer}");
            }
        }
        assert!(says(Fault::NoFault, O::PumpPlaced, "below-level") > 0.05);
    }

    #[test]
    fn the_matching_look_shows_the_fault_and_no_other_does() {
        let rig = rig();
        assert_eq!(likeliest(&rig, Fault::FeedFilterBlocked, 0.5, O::FilterByEye).id, "blocked");
        assert_eq!(likeliest(&rig, Fault::PumpWorn, 0.5, O::FilterByEye).id, "clean");
        assert_eq!(likeliest(&rig, Fault::NoFault, 0.0, O::FuelSmellOrLeak).id, "none");
    }
}
