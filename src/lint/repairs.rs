//! What the repair of a fault calls for: the cautions that must stand before it.

use super::calls::Call;
use crate::terms::{Caution, Fault, Part};

/// Every caution that must stand before the repair of `fault`.
pub fn repair_cautions(fault: Fault) -> Vec<Call<Caution>> {
    const LINE: &str = "the repair opens a fuel line";
    const TANK: &str = "the repair opens the tank";
    const WIRES: &str = "the repair works on a live circuit";
    let pressure = (Caution::FuelUnderPressure, LINE);
    let open = (Caution::OpenFuel, LINE);
    let hot = (Caution::HotParts, "the repair works at the engine");
    match fault.part() {
        Part::FeedLine | Part::ReturnLine => {
            vec![pressure, open, (Caution::UnderCar, "the lines run under the car")]
        }
        Part::Regulator if fault == Fault::RegulatorDiaphragmRuptured => {
            vec![pressure, open, (Caution::ReferenceHoseFuel, "the reference hose holds fuel")]
        }
        Part::Injectors if fault == Fault::InjectorLeaking => {
            vec![pressure, open, (Caution::FloodedCylinder, "a cylinder may be full of fuel")]
        }
        Part::OldPump => vec![pressure, open, (Caution::UnderCar, "the lines run under the car")],
        Part::FeedFilter | Part::LineRouting | Part::Regulator | Part::Injectors => {
            vec![pressure, open]
        }
        Part::InletHose | Part::PumpMounting => {
            vec![open, (Caution::UnderCar, "the lines run under the car")]
        }
        Part::FuelHeat => vec![hot, (Caution::FuelVapour, "hot fuel gives off vapour")],
        Part::SpeedSensor => vec![
            (Caution::CrankingEngine, "the sensor is tried by cranking"),
            (Caution::MovingParts, "the sensor is tried by cranking"),
        ],
        Part::LiftPump => {
            vec![(Caution::TankOpening, TANK), (Caution::OpenFuel, TANK), (Caution::LiveCircuit, WIRES)]
        }
        Part::Pump | Part::InTankHose => {
            vec![(Caution::TankOpening, TANK), (Caution::OpenFuel, TANK), pressure]
        }
        Part::Strainer => vec![(Caution::TankOpening, TANK), (Caution::OpenFuel, TANK)],
        Part::RegulatorSetting | Part::Gauge => {
            vec![(Caution::FuelUnderPressure, "the pressure is on while it is set or read")]
        }
        Part::PumpFuse
        | Part::PumpRelay
        | Part::TriggerWire
        | Part::FeedWiring
        | Part::GroundWiring
        | Part::LambdaWiring => vec![(Caution::LiveCircuit, WIRES)],
        Part::PumpConnector => {
            vec![(Caution::LiveCircuit, WIRES), (Caution::UnderCar, "the pump sits under the car")]
        }
        Part::Charging => vec![
            (Caution::MovingParts, "belt and alternator move"),
            (Caution::BatterySpark, "the repair works at the battery"),
        ],
        Part::InertiaSwitch => vec![(Caution::FuelLeak, "the switch may have opened for a reason")],
        Part::FuelFill | Part::TankVent | Part::FuelKind => {
            vec![(Caution::FuelVapour, "the repair works at the open filler")]
        }
        Part::ReferenceHose
        | Part::SensorHose
        | Part::IntakeSeal
        | Part::ExhaustJoint
        | Part::LambdaSensor
        | Part::LoadSensor
        | Part::CoolantSensor => vec![hot],
        Part::Ignition | Part::Timing => {
            vec![(Caution::IgnitionVoltage, "the repair works on the ignition")]
        }
        _ => Vec::new(),
    }
}
