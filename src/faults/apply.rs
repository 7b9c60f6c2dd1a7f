//! What each fault changes in the car. The figures are common practice: what is met in the field, not the worst possible.

use super::catalogue::applies;
use super::{CannotApply, catalogue::entry};
use crate::physics::{Blend, Car, Motor, Offsets, solve};
use crate::quantity::{Absolute, Difference};
use crate::rig::Rig;
use crate::terms::{Condition, Fault, Induction, LoadBy, Station, SupplyStyle};

/// Flow that restrictions are stated at, m³/s (200 L/h).
const AT: f64 = 200.0 / 3.6e6;
const KPA: f64 = 1_000.0;

/// What a faulty pressure gauge says: `reading = true · factor + offset` (Pa).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GaugeError {
    /// Factor on the true pressure.
    pub factor: f64,
    /// Added, Pa.
    pub offset: f64,
}

/// What the pressure gauge says under a fault; sound unless the gauge itself is faulty.
pub fn gauge_error(rig: &Rig, fault: Fault, severity: f64) -> GaugeError {
    let sound = GaugeError { factor: 1.0, offset: 0.0 };
    if fault != Fault::GaugeFaulty {
        return sound;
    }
    let share = 0.08 + 0.14 * severity.abs();
    GaugeError { offset: rig.car.regulator.set.0 * share.copysign(severity), ..sound }
}

/// The car of `rig` with `fault` in it.
///
/// # Errors
/// [`CannotApply`] where the fault can't be in this car or the severity is outside its range.
pub fn apply(rig: &Rig, fault: Fault, severity: f64) -> Result<Car, CannotApply> {
    let mut car = rig.car.clone();
    change(rig, fault, severity, &mut car)?;
    Ok(car)
}

/// Puts `fault` into a variant of the rig's car, which may hold another fault already.
///
/// # Errors
/// As for [`apply`].
pub fn change(rig: &Rig, fault: Fault, severity: f64, car: &mut Car) -> Result<(), CannotApply> {
    let cannot = |why: String| Err(CannotApply { fault, why });
    if let Err(why) = applies(rig, fault) {
        return cannot(why);
    }
    let least = if entry(fault).two_sided { -1.0 } else { 0.0 };
    if !(least..=1.0).contains(&severity) {
        return cannot(format!("expected a severity from {least} to 1, found {severity}"));
    }
    if severity != 0.0 {
        match fault as usize {
            n if n <= Fault::OldPumpLeftInLine as usize => supply(fault, severity, car),
            n if n <= Fault::ReferenceWrongStation as usize => lines(rig, fault, severity, car),
            n if n <= Fault::MapSensorDrifted as usize => metering(fault, severity, car),
            _ => air(fault, severity, car),
        }
    }
    Ok(())
}

/// Draws `low + (high − low)·s`.
fn between(low: f64, high: f64, s: f64) -> f64 {
    low + (high - low) * s
}

fn needs_head(car: &mut Car, metres: f64) {
    car.pump.suction_need = car.pump.suction_need.max(metres);
}

fn scale_flow(car: &mut Car, factor: f64) {
    car.pump.curve.iter_mut().for_each(|p| p.flow *= factor);
}

/// Leakage that takes `share` of the pump's flow at the set pressure.
fn leak_share(car: &Car, share: f64) -> f64 {
    let set = car.regulator.set.0.max(50.0 * KPA);
    share * car.pump.flow(set, car.pump.rated).max(0.3 * car.pump.curve[0].flow) / set.sqrt()
}

/// Faults of tank, inlet, pump and wiring.
fn supply(fault: Fault, s: f64, car: &mut Car) {
    match fault {
        Fault::FuelLevelLow => {
            car.pump.lift += between(0.1, 0.3, s);
            scale_flow(car, 1.0 - between(0.35, 0.85, s));
            car.pump.drag *= 1.0 - between(0.15, 0.35, s);
        }
        Fault::InletStrainerBlocked => {
            needs_head(car, 3.0);
            car.strainer += between(30.0, 75.0, s) * KPA / AT;
        }
        Fault::InletHoseCollapsed => {
            needs_head(car, 3.0);
            car.inlet.restriction += between(35.0, 90.0, s) * KPA / (AT * AT);
        }
        Fault::InletAirLeak => {
            scale_flow(car, 1.0 - between(0.35, 0.8, s));
            car.pump.drag *= 1.0 - between(0.15, 0.3, s);
        }
        Fault::PumpMountedTooHigh => {
            car.pump.lift += between(0.5, 1.2, s);
            needs_head(car, between(9.5, 14.0, s));
        }
        Fault::TankVentBlocked => {
            car.tank.0 -= between(12.0, 32.0, s) * KPA;
            needs_head(car, between(7.0, 9.0, s));
        }
        Fault::HotFuelVapour => {
            // Cold, such a car is as any other: nothing has heated the fuel yet.
            car.site.hot_rise += between(20.0, 32.0, s);
            car.site.hot_need = car.site.hot_need.max(6.5);
        }
        Fault::PumpFuseOpen
        | Fault::PumpRelayOpen
        | Fault::PumpTriggerMissing
        | Fault::InertiaSwitchOpen
        | Fault::PumpConnectorOpen => car.wiring.open = true,
        Fault::PumpWorn => {
            car.pump.leakage += leak_share(car, between(0.35, 0.95, s));
            car.pump.drag *= 1.0 - between(0.12, 0.3, s);
        }
        Fault::PumpUndersized => {
            scale_flow(car, 1.0 - between(0.4, 0.75, s));
            car.pump.drag *= 1.0 - between(0.2, 0.45, s);
        }
        Fault::PumpBinding => {
            car.pump.speed *= 1.0 - between(0.15, 0.4, s);
            car.pump.drag *= 1.0 + between(0.4, 1.0, s);
        }
        Fault::PumpSeized => car.pump.motor = Motor::Jammed(25.0),
        Fault::PumpFeedVoltageLow => car.wiring.feed += between(0.1, 0.45, s),
        Fault::PumpGroundPoor => car.wiring.ground += between(0.1, 0.45, s),
        Fault::ChargingVoltageLow => car.wiring.running -= between(1.2, 2.8, s),
        Fault::CheckValveLeaking => car.air.hold_leak += between(0.004, 0.03, s),
        Fault::ReliefValveLeaking => {
            car.pump.leakage += leak_share(car, between(0.3, 0.8, s));
            car.air.hold_leak += between(0.004, 0.03, s);
            car.pump.relief = car.pump.relief.map(|r| r * (1.0 - between(0.1, 0.4, s)));
        }
        Fault::InTankHoseLeaking => {
            car.pump.leakage += leak_share(car, between(0.35, 0.95, s));
            car.air.hold_leak += between(0.004, 0.03, s);
        }
        Fault::LiftPumpFailed => {
            scale_flow(car, 1.0 - between(0.5, 0.95, s));
            car.pump.drag *= 1.0 - between(0.2, 0.4, s);
        }
        Fault::OldPumpLeftInLine => car.feed.restriction += between(120.0, 380.0, s) * KPA / (AT * AT),
        _ => {}
    }
}

/// Faults of filter, lines, regulator and its reference.
fn lines(rig: &Rig, fault: Fault, s: f64, car: &mut Car) {
    let returned = healthy_return(rig);
    let style = car.regulator.style;
    match fault {
        Fault::FeedFilterBlocked => car.filter += between(120.0, 420.0, s) * KPA / AT,
        Fault::FeedLineRestricted => car.feed.restriction += between(120.0, 420.0, s) * KPA / (AT * AT),
        Fault::ReturnLineRestricted => {
            car.back.restriction += car.regulator.set.0 * between(1.15, 1.7, s) / (returned * returned);
        }
        Fault::LinesSwapped => car.feed.restriction += 900.0 * KPA / (0.04 * AT * AT),
        Fault::RegulatorSetLow => car.regulator.set.0 *= 1.0 - between(0.1, 0.35, s),
        Fault::RegulatorSetHigh => car.regulator.set.0 *= 1.0 + between(0.1, 0.35, s),
        Fault::RegulatorStuckOpen => {
            car.regulator.stuck_open = true;
            car.regulator.seat = car.regulator.set.0 * between(0.7, 0.15, s) / (returned * returned);
        }
        Fault::RegulatorStuckClosed if style.has_return() || style == SupplyStyle::Module => {
            if style == SupplyStyle::Module {
                car.regulator.set.0 *= 1.0 + between(0.2, 0.6, s);
            } else {
                car.regulator.seat = car.regulator.set.0 * between(1.15, 1.7, s) / (returned * returned);
            }
        }
        Fault::RegulatorStuckClosed => car.regulator.set.0 *= 1.0 - between(0.2, 0.6, s),
        Fault::RegulatorDiaphragmRuptured => {
            car.regulator.set.0 *= 1.0 - between(0.1, 0.35, s);
            if car.regulator.reference != Station::Open {
                let more = between(0.1, 0.3, s);
                for (i, share) in [1.0, 0.6, 0.6, 0.1].into_iter().enumerate() {
                    car.air.enrichment[i] *= 1.0 + more * share;
                }
            }
        }
        Fault::ReferenceHoseOff => car.regulator.reference_share = 0.0,
        Fault::ReferenceHoseLeaking => car.regulator.reference_share *= 1.0 - between(0.35, 0.8, s),
        Fault::ReferenceWrongStation => {
            car.regulator.reference = match (car.regulator.reference, car.engine.induction) {
                (Station::Open | Station::BeforePlates, _)
                | (Station::BehindPlates, Induction::DrawThrough) => Station::Plenum,
                (Station::Plenum, Induction::DrawThrough) => Station::BehindPlates,
                (Station::BehindPlates | Station::Plenum, _) => Station::BeforePlates,
            };
        }
        _ => {}
    }
}

/// What the sound rig returns on prime, or the pump's flow at rest pressure where nothing returns, m³/s.
fn healthy_return(rig: &Rig) -> f64 {
    let back = solve(&rig.car, Condition::Prime).map_or(0.0, |s| s.return_flow);
    if back > 1e-6 { back } else { 0.5 * rig.car.pump.curve[0].flow }
}

/// Faults of injectors, data and load sensing.
fn metering(fault: Fault, s: f64, car: &mut Car) {
    let signed = |least: f64, most: f64| between(least, most, s.abs()).copysign(s);
    match fault {
        Fault::ConfiguredPressureWrong => {
            car.controller.across = Difference(car.controller.across.0 * (1.0 + signed(0.22, 0.45)));
        }
        Fault::ConfiguredInjectorFlowWrong => scale_all(&mut car.air.data, 1.0 + signed(0.12, 0.3)),
        Fault::ConfiguredEngineSizeWrong => scale_all(&mut car.air.data, 1.0 + signed(0.12, 0.25)),
        Fault::ConfiguredOffsetWrong => {
            let old = car.offsets.map_or(0.0, |o| o.error);
            let error = old + signed(0.25e-3, 0.6e-3);
            car.offsets = Some(Offsets { error, per_volt: 0.0, corrected: true });
        }
        Fault::InjectorsFouled => car.air.health *= 1.0 - between(0.12, 0.35, s),
        Fault::InjectorLeaking => {
            for (i, share) in [1.0, 0.4, 0.3, 0.03].into_iter().enumerate() {
                car.air.enrichment[i] *= 1.0 + between(0.12, 0.35, s) * share;
            }
            car.air.hold_leak += between(0.003, 0.02, s);
        }
        Fault::InjectorDead => {
            car.air.health *= 1.0 - 1.0 / car.injection.count.max(2.0);
            for bias in &mut car.air.sensor_bias {
                *bias += 0.5 / car.injection.count.max(2.0);
            }
        }
        Fault::MapWrongStation => {
            car.sensing.station = match car.engine.induction {
                Induction::DrawThrough => Station::BehindPlates,
                _ => Station::BeforePlates,
            };
        }
        Fault::MapHoseLeaking => car.sensing.share *= 1.0 - between(0.15, 0.5, s),
        Fault::MapSensorDrifted => car.sensing.offset += signed(6.0, 14.0) * KPA,
        _ => {}
    }
}

fn scale_all(values: &mut [f64; 4], factor: f64) {
    for value in values {
        *value *= factor;
    }
}

fn bias(car: &mut Car, shares: [f64; 4]) {
    for (b, share) in car.air.sensor_bias.iter_mut().zip(shares) {
        *b += share;
    }
}

/// Faults of air, exhaust sensing, other sensors and the fuel itself.
fn air(fault: Fault, s: f64, car: &mut Car) {
    let signed = |least: f64, most: f64| between(least, most, s.abs()).copysign(s);
    match fault {
        Fault::VacuumLeak => {
            let rise = between(5.0, 16.0, s) * KPA;
            car.engine.idle.manifold =
                Absolute((car.engine.idle.manifold.0 + rise).min(car.site.atmosphere.0 - 5.0 * KPA));
            if car.controller.load_by == LoadBy::Manifold {
                car.engine.idle.fuel *= 1.0 + between(0.1, 0.35, s);
            } else {
                let leak = between(0.12, 0.4, s);
                for (u, share) in car.air.unmetered.iter_mut().zip([1.0, 0.35, 0.25, 0.02]) {
                    *u += leak * share;
                }
            }
        }
        Fault::AirFilterBlocked => {
            car.engine.intake_loss = Difference(car.engine.intake_loss.0 + between(6.0, 18.0, s) * KPA);
            if car.controller.load_by == LoadBy::Throttle {
                car.air.unmetered[3] -= between(0.05, 0.16, s);
            }
        }
        Fault::UnevenDistribution => bias(car, [0.03 * s, 0.03 * s, 0.03 * s, 0.02 * s]),
        Fault::ExhaustLeakBeforeSensor => {
            let b = between(0.1, 0.3, s);
            bias(car, [b, 0.4 * b, 0.25 * b, 0.05 * b]);
        }
        Fault::OverlapFalseLean => {
            let b = between(0.1, 0.25, s);
            bias(car, [b, 0.15 * b, 0.05 * b, 0.0]);
        }
        Fault::LambdaSensorFailed => car.air.sensor_stuck = Some(if s > 0.0 { 1.3 } else { 0.75 }),
        Fault::LambdaHeaterSupplyLow => {
            let b = between(0.1, 0.2, s);
            bias(car, [b, 0.4 * b, 0.3 * b, 0.1 * b]);
        }
        Fault::MisfireFalseLean => {
            let b = between(0.12, 0.35, s);
            bias(car, [b, 0.6 * b, 0.5 * b, 0.3 * b]);
        }
        Fault::TimingWrong => {
            car.engine.idle.manifold = Absolute(car.engine.idle.manifold.0 + between(5.0, 12.0, s) * KPA);
        }
        Fault::CoolantSensorReadsCold => {
            scale_all(&mut car.air.enrichment, 1.0 + between(0.12, 0.35, s));
            car.air.open_loop = true;
        }
        Fault::CoolantSensorReadsHot => scale_all(&mut car.air.enrichment, 1.0 - between(0.1, 0.22, s)),
        Fault::AirTemperatureHeatSoaked => {
            for (d, share) in car.air.data.iter_mut().zip([1.0, 0.6, 0.3, 0.2]) {
                *d *= 1.0 - between(0.1, 0.2, s) * share;
            }
        }
        Fault::ThrottleSensorOff => {
            let share = if car.controller.load_by == LoadBy::Throttle { 1.0 } else { 0.7 };
            for (d, at) in car.air.data.iter_mut().zip([1.0, 0.8, 0.7, 0.3]) {
                *d *= 1.0 + signed(0.14, 0.3) * share * at;
            }
        }
        Fault::NoSpeedSignal => car.air.cannot_run = true,
        Fault::EthanolContentMismatch => {
            let shift = signed(0.3, 0.65);
            let told = car.controller.fuel.ethanol;
            let shifted = told + shift;
            let ethanol = if (0.0..=1.0).contains(&shifted) { shifted } else { told - shift };
            car.fuel = Blend::new(ethanol.clamp(0.0, 1.0));
        }
        Fault::FuelStaleOrWater => {
            let b = between(0.08, 0.2, s);
            bias(car, [b, 0.7 * b, 0.6 * b, 0.4 * b]);
            car.air.cannot_run |= s > 0.8;
        }
        _ => {}
    }
}
