//! One row a fault: prior weight and severities (common practice), and which cars it can be in.

use crate::rig::Rig;
use crate::terms::{Fault, Induction, LoadBy, PressureModel, Station, SupplyStyle};

/// One row of the catalogue.
#[derive(Debug, Clone, Copy)]
pub struct Entry {
    /// The fault.
    pub fault: Fault,
    /// Prior weight among the faults of a car with a complaint (common practice; only ratios matter).
    pub prior: f64,
    /// Least and greatest severity met in the field, of 1.
    pub severity: (f64, f64),
    /// Whether it can err to either side, so that its severity may be negative.
    pub two_sided: bool,
}

const fn e(fault: Fault, prior: f64, least: f64, two_sided: bool) -> Entry {
    Entry { fault, prior, severity: (least, 1.0), two_sided }
}

/// Every fault, in the order of `terms`.
pub const CATALOGUE: &[Entry] = &[
    e(Fault::FuelLevelLow, 3.0, 0.3, false),
    e(Fault::InletStrainerBlocked, 3.0, 0.3, false),
    e(Fault::InletHoseCollapsed, 1.5, 0.3, false),
    e(Fault::InletAirLeak, 1.5, 0.3, false),
    e(Fault::PumpMountedTooHigh, 3.0, 0.3, false),
    e(Fault::TankVentBlocked, 2.0, 0.3, false),
    e(Fault::HotFuelVapour, 2.5, 0.3, false),
    e(Fault::PumpFuseOpen, 2.0, 1.0, false),
    e(Fault::PumpRelayOpen, 2.0, 1.0, false),
    e(Fault::PumpTriggerMissing, 1.5, 1.0, false),
    e(Fault::InertiaSwitchOpen, 0.5, 1.0, false),
    e(Fault::PumpConnectorOpen, 1.5, 1.0, false),
    e(Fault::PumpWorn, 4.0, 0.3, false),
    e(Fault::PumpUndersized, 3.0, 0.3, false),
    e(Fault::PumpBinding, 1.0, 0.3, false),
    e(Fault::PumpSeized, 1.0, 1.0, false),
    e(Fault::PumpFeedVoltageLow, 4.0, 0.3, false),
    e(Fault::PumpGroundPoor, 4.0, 0.3, false),
    e(Fault::ChargingVoltageLow, 1.5, 0.3, false),
    e(Fault::CheckValveLeaking, 2.0, 0.3, false),
    e(Fault::ReliefValveLeaking, 0.7, 0.3, false),
    e(Fault::InTankHoseLeaking, 1.5, 0.3, false),
    e(Fault::LiftPumpFailed, 0.5, 0.3, false),
    e(Fault::OldPumpLeftInLine, 1.0, 0.3, false),
    e(Fault::FeedFilterBlocked, 5.0, 0.3, false),
    e(Fault::FeedLineRestricted, 3.0, 0.3, false),
    e(Fault::ReturnLineRestricted, 3.0, 0.3, false),
    e(Fault::LinesSwapped, 1.0, 1.0, false),
    e(Fault::RegulatorSetLow, 4.0, 0.3, false),
    e(Fault::RegulatorSetHigh, 3.0, 0.3, false),
    e(Fault::RegulatorStuckOpen, 1.5, 0.3, false),
    e(Fault::RegulatorStuckClosed, 1.0, 0.3, false),
    e(Fault::RegulatorDiaphragmRuptured, 1.5, 0.3, false),
    e(Fault::ReferenceHoseOff, 3.0, 1.0, false),
    e(Fault::ReferenceHoseLeaking, 2.0, 0.3, false),
    e(Fault::ReferenceWrongStation, 2.5, 1.0, false),
    e(Fault::ConfiguredPressureWrong, 4.0, 0.3, true),
    e(Fault::ConfiguredInjectorFlowWrong, 3.0, 0.3, true),
    e(Fault::ConfiguredOffsetWrong, 1.5, 0.3, true),
    e(Fault::ConfiguredEngineSizeWrong, 1.0, 0.3, true),
    e(Fault::InjectorsFouled, 3.0, 0.3, false),
    e(Fault::InjectorLeaking, 2.0, 0.3, false),
    e(Fault::InjectorDead, 2.0, 1.0, false),
    e(Fault::MapWrongStation, 2.0, 1.0, false),
    e(Fault::MapHoseLeaking, 2.0, 0.3, false),
    e(Fault::MapSensorDrifted, 2.0, 0.3, true),
    e(Fault::VacuumLeak, 5.0, 0.3, false),
    e(Fault::AirFilterBlocked, 1.0, 0.3, false),
    e(Fault::UnevenDistribution, 2.0, 0.3, false),
    e(Fault::ExhaustLeakBeforeSensor, 4.0, 0.3, false),
    e(Fault::OverlapFalseLean, 2.0, 0.3, false),
    e(Fault::LambdaSensorFailed, 2.5, 0.3, true),
    e(Fault::LambdaHeaterSupplyLow, 1.0, 0.3, false),
    e(Fault::MisfireFalseLean, 2.0, 0.3, false),
    e(Fault::TimingWrong, 1.5, 0.3, false),
    e(Fault::CoolantSensorReadsCold, 2.0, 0.3, false),
    e(Fault::CoolantSensorReadsHot, 1.0, 0.3, false),
    e(Fault::AirTemperatureHeatSoaked, 1.0, 0.3, false),
    e(Fault::ThrottleSensorOff, 1.5, 0.3, true),
    e(Fault::NoSpeedSignal, 2.0, 1.0, false),
    e(Fault::EthanolContentMismatch, 2.5, 0.3, true),
    e(Fault::FuelStaleOrWater, 1.5, 0.3, false),
    e(Fault::GaugeFaulty, 1.5, 0.3, true),
    e(Fault::NoFault, 8.0, 0.0, false),
];

/// The row of a fault.
pub fn entry(fault: Fault) -> &'static Entry {
    CATALOGUE.iter().find(|e| e.fault == fault).unwrap_or(&CATALOGUE[CATALOGUE.len() - 1])
}

/// Whether the fault can be in this car, or why not.
///
/// # Errors
/// Why not, in words.
pub fn applies(rig: &Rig, fault: Fault) -> Result<(), String> {
    let car = &rig.car;
    let style = car.regulator.style;
    let needs = |holds: bool, why: &str| if holds { Ok(()) } else { Err(why.to_owned()) };
    match fault {
        Fault::FeedFilterBlocked => needs(car.filter > 0.0, "this rig states no filter"),
        Fault::InletStrainerBlocked => needs(car.strainer > 0.0, "this rig states no strainer"),
        Fault::ReturnLineRestricted | Fault::LinesSwapped => {
            needs(style.has_return(), "this supply style has no return line outside the tank")
        }
        Fault::ReferenceHoseOff | Fault::ReferenceHoseLeaking => needs(
            car.regulator.reference != Station::Open && style != SupplyStyle::Module,
            "the regulator of this rig has no reference hose",
        ),
        Fault::ReferenceWrongStation => {
            needs(style != SupplyStyle::Module, "the regulator of a module is referenced to the tank")
        }
        Fault::RegulatorStuckOpen
        | Fault::RegulatorStuckClosed
        | Fault::RegulatorDiaphragmRuptured
        | Fault::RegulatorSetHigh
        | Fault::RegulatorSetLow => needs(
            style != SupplyStyle::SpeedControlled,
            "the pump's speed holds the rail; there is no regulator",
        ),
        Fault::ConfiguredPressureWrong => needs(
            car.controller.pressure_model != PressureModel::Sensor,
            "the controller takes the pressure from a sensor, not from its data",
        ),
        Fault::MapWrongStation | Fault::MapHoseLeaking | Fault::MapSensorDrifted => needs(
            car.controller.load_by == LoadBy::Manifold,
            "the controller does not reckon by manifold pressure",
        ),
        Fault::PumpMountedTooHigh | Fault::InletHoseCollapsed => {
            needs(style != SupplyStyle::Module, "the pump of a module hangs in the fuel")
        }
        Fault::CheckValveLeaking => needs(car.pump.holds, "the pump has no check valve"),
        Fault::OverlapFalseLean => {
            needs(car.engine.idle.manifold.0 >= 48_000.0, "the cam of this engine has little overlap")
        }
        Fault::LiftPumpFailed => needs(car.pump.lift <= 0.0, "a lift pump feeds a surge tank above the pump"),
        Fault::AirFilterBlocked => needs(
            car.engine.induction != Induction::BlowThrough || car.controller.load_by != LoadBy::MassAir,
            "the air mass sensor sees it",
        ),
        _ => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_fault_has_one_row() {
        for fault in Fault::ALL {
            assert_eq!(CATALOGUE.iter().filter(|e| e.fault == *fault).count(), 1, "{fault}");
        }
        assert_eq!(CATALOGUE.len(), Fault::ALL.len());
    }
}
