//! What a step calls for by what it does: the cautions that must stand before it and the states it must ask for.
//!
//! One table, so that an author never has to remember it and a caution that is taken out is always missed. The grounds are
//! the safety rules of the design and common practice of the trade.

use crate::terms::{Caution, Condition, Observation, Reading, State, Tool};
use crate::tree::{Step, StepKind};

/// Something called for, and what calls for it.
pub type Call<T> = (T, &'static str);

fn observation<T>(step: &Step<T>) -> Option<Observation> {
    match &step.kind {
        StepKind::Observe { observation, .. } => Some(*observation),
        _ => None,
    }
}

fn reading<T>(step: &Step<T>) -> Option<(Reading, Condition, Tool)> {
    match &step.kind {
        StepKind::Read(read) => Some((read.reading, read.at, read.with)),
        _ => None,
    }
}

/// Whether a fuel pressure gauge is read or watched in this step.
pub fn watches_gauge<T>(step: &Step<T>) -> bool {
    reading(step).is_some_and(|(r, _, with)| with == Tool::PressureGauge || r.is_delivery_pressure())
        || matches!(
            observation(step),
            Some(
                Observation::GaugeAgainstSecond
                    | Observation::HeldFeedClosed
                    | Observation::HeldReturnClosed
                    | Observation::RegulatorOnHandPump
            )
        )
}

/// Whether this step looks for leaks, so that it may come before anything is known of them.
pub fn looks_for_leaks<T>(step: &Step<T>) -> bool {
    observation(step) == Some(Observation::FuelSmellOrLeak) || step.makes.contains(&State::LeakChecked)
}

/// Whether fuel runs into an open container in this step or is made ready to.
pub fn is_volume_test<T>(step: &Step<T>) -> bool {
    step.tools.contains(&Tool::FuelContainer) || step.makes.contains(&State::ReturnDiverted)
}

/// Whether the words of the step hold `word`, as a whole word or its beginning.
fn says<T>(step: &Step<T>, word: &str) -> bool {
    step.action
        .split(|c: char| !c.is_alphanumeric())
        .any(|w| w.get(..word.len()).is_some_and(|start| start.eq_ignore_ascii_case(word)))
}

/// Whether the pressure gauge is put on an open line in this step.
fn fits_gauge<T>(step: &Step<T>) -> bool {
    let onto = says(step, "fit") || says(step, "screw");
    if step.makes.contains(&State::SecondGaugeFitted) || step.makes.contains(&State::ReturnGaugeFitted) {
        return false;
    }
    let off = step.clears.contains(&State::GaugeFitted) || step.clears.contains(&State::VacuumGaugeFitted);
    step.requires.contains(&State::LineOpen) && onto && says(step, "gauge") && !says(step, "vacuum") && !off
}

/// Every caution that must stand before `step`.
pub fn cautions<T>(step: &Step<T>) -> Vec<Call<Caution>> {
    let mut all = Vec::new();
    if !step.asks() {
        return all;
    }
    by_condition(step, &mut all);
    if step.makes.contains(&State::EngineCool) {
        all.push((Caution::HotParts, "a hand feels how hot the engine is"));
    }
    by_states(step, &mut all);
    by_tools(step, &mut all);
    if let Some(observation) = observation(step) {
        all.extend(by_observation(observation, step.at));
    }
    if says(step, "jar") || says(step, "sample") {
        all.push((Caution::FuelSample, "fuel is let into a jar"));
    }
    if let Some((reading, _, with)) = reading(step) {
        by_reading(reading, with, &mut all);
    }
    if matches!(step.kind, StepKind::Do { .. }) && step.makes.is_empty() && step.clears.is_empty() {
        if says(step, "bleed") {
            all.push((Caution::FuelUnderPressure, "fuel under pressure is let out"));
        }
        if says(step, "leak") {
            all.push((Caution::FuelLeak, "it looks for a leak"));
        }
        if says(step, "lamp") || says(step, "torch") {
            all.push((Caution::FuelVapour, "a lamp is brought to where fuel may be"));
        }
        if ["plates", "plenum", "bonnet"].iter().any(|w| says(step, w)) {
            all.push((Caution::HotParts, "hands work at the engine"));
        }
        if says(step, "joint") || says(step, "valve") {
            let below = ["pump", "tank", "filter"].iter().any(|w| says(step, w));
            if below && step.at.is_none() {
                all.push((Caution::UnderCar, "pump, tank and filter are reached from under the car"));
            }
        }
    }
    all
}

fn by_condition<T>(step: &Step<T>, all: &mut Vec<Call<Caution>>) {
    let Some(at) = step.at else { return };
    if matches!(at, Condition::Idle | Condition::Raised) {
        all.push((Caution::RunningEngine, "the engine runs"));
        all.push((Caution::MovingParts, "the engine runs"));
    }
    match at {
        Condition::Load => {
            all.push((Caution::LoadRun, "the car is driven at full load"));
            all.push((Caution::LeanUnderLoad, "the engine is loaded"));
        }
        Condition::Cruise => all.push((Caution::LoadRun, "the car is driven while somebody reads")),
        Condition::Crank => {
            all.push((Caution::CrankingEngine, "the starter turns the engine"));
            all.push((Caution::MovingParts, "the starter turns the engine"));
        }
        Condition::Pinched => all.push((Caution::ReturnValve, "the return is closed")),
        _ => {}
    }
    let gauge = watches_gauge(step);
    if at == Condition::HotPrime {
        all.push((Caution::HotParts, "the engine is hot"));
    }
    let standing = matches!(
        at,
        Condition::Prime | Condition::HotPrime | Condition::Pinched | Condition::Idle | Condition::Crank
    );
    if standing && (gauge || looks_for_leaks(step) || observation(step) == Some(Observation::PrimeSound)) {
        all.push((Caution::FuelUnderPressure, "the pump puts the fuel under pressure"));
    }
    if gauge && at.running() {
        all.push((Caution::GaugeHose, "a gauge hose full of fuel lies by a running engine"));
    }
    if step.tools.contains(&Tool::VacuumGauge) {
        if at == Condition::Load {
            all.push((Caution::BoostedIntake, "a gauge hangs on the intake at full load"));
        } else if at.running() {
            all.push((Caution::HotParts, "hands work at a warm engine"));
        }
    }
}

fn by_states<T>(step: &Step<T>, all: &mut Vec<Call<Caution>>) {
    let touched = |s: State| step.makes.contains(&s) || step.clears.contains(&s);
    if touched(State::PumpDisabled) {
        all.push((Caution::LiveCircuit, "the pump's circuit is opened or closed"));
    }
    if step.makes.contains(&State::Depressurised) {
        all.push((Caution::FuelUnderPressure, "the pressure may still be there"));
        if says(step, "crack") {
            all.push((Caution::OpenFuel, "a joint is cracked"));
        }
    }
    if step.makes.contains(&State::LineOpen) {
        all.push((Caution::FuelUnderPressure, "a fuel line is opened"));
        all.push((Caution::OpenFuel, "a fuel line is opened"));
        all.push((Caution::FuelVapour, "a fuel line is opened"));
        if says(step, "pump") || says(step, "filter") {
            all.push((Caution::UnderCar, "pump and filter are reached from under the car"));
        }
    }
    if step.requires.contains(&State::LineOpen) || step.clears.contains(&State::LineOpen) {
        all.push((Caution::OpenFuel, "it works at an open fuel line"));
    }
    let made: &[(State, Caution, &str)] = &[
        (State::GaugeFitted, Caution::GaugeHose, "a gauge hose is led through the engine bay"),
        (State::SecondGaugeFitted, Caution::GaugeHose, "a gauge hose is led through the engine bay"),
        (State::ReferenceHoseOff, Caution::ReferenceHoseFuel, "the reference hose is taken off"),
        (State::CapOpen, Caution::FuelVapour, "the filler cap is opened"),
        (State::AirFilterOff, Caution::MovingParts, "the intake lies open"),
    ];
    let either: &[(State, Caution, &str)] = &[
        (State::ReturnShut, Caution::ReturnValve, "the return valve is worked"),
        (State::ReturnDiverted, Caution::VolumeTest, "fuel stands in an open container"),
        (State::RelaySwapped, Caution::LiveCircuit, "a relay is pulled"),
        (State::OnStands, Caution::UnderCar, "the car is lifted or lowered"),
        (State::PlugsOut, Caution::HotParts, "plugs are screwed in or out"),
        (State::IgnitionDisabled, Caution::IgnitionVoltage, "coils are unplugged or plugged in"),
        (State::CapOpen, Caution::FuelVapour, "the filler is open"),
        (State::SensorHoseOff, Caution::HotParts, "hands work at the engine"),
        (State::AirFilterOff, Caution::MovingParts, "hands work at the intake"),
        (State::BatteryOff, Caution::BatterySpark, "the battery's lead is taken off or put on"),
        (State::LambdaSensorOut, Caution::HotParts, "hands work at the exhaust"),
    ];
    if step.makes.contains(&State::VacuumGaugeFitted) && step.requires.contains(&State::LineOpen) {
        all.push((Caution::GaugeHose, "a gauge hose full of fuel is led away from the pump"));
        all.push((Caution::PumpDry, "air may be left in the pump's inlet"));
    }
    let hot = (State::ReferenceHoseOff, Caution::HotParts, "hands work at the engine");
    all.extend(made.iter().filter(|(s, ..)| step.makes.contains(s)).map(|(_, c, why)| (*c, *why)));
    all.extend(either.iter().filter(|(s, ..)| touched(*s)).map(|(_, c, why)| (*c, *why)));
    if step.clears.contains(&hot.0) {
        all.push((hot.1, hot.2));
    }
}

fn by_tools<T>(step: &Step<T>, all: &mut Vec<Call<Caution>>) {
    for tool in &step.tools {
        match tool {
            Tool::FuelContainer => all.push((Caution::VolumeTest, "fuel is led into a container")),
            Tool::SmokeMachine => all.push((Caution::SmokeTest, "smoke is pressed into the intake")),
            Tool::TimingLight => all.push((Caution::IgnitionVoltage, "a pick-up hangs on a plug lead")),
            Tool::LoadRun => {
                all.push((Caution::LoadRun, "a load run is made or made ready"));
                all.push((Caution::LeanUnderLoad, "a load run is made or made ready"));
            }
            _ => {}
        }
    }
}

fn by_observation(observation: Observation, at: Option<Condition>) -> Vec<Call<Caution>> {
    use Observation as O;
    let still = at.is_none();
    match observation {
        O::FuelSmellOrLeak => {
            let mut all = vec![(Caution::FuelLeak, "there may be a leak")];
            if still {
                all.push((Caution::FuelVapour, "there may be a leak"));
            }
            all
        }
        O::FuelAge | O::EthanolTest => vec![
            (Caution::FuelVapour, "a sample of fuel stands open"),
            (Caution::FuelSample, "a sample of fuel is taken"),
        ],
        O::HosesByEye => vec![
            (Caution::HotParts, "hoses run by hot parts"),
            (Caution::UnderCar, "hoses run under the car"),
        ],
        O::OldPumpInLine => vec![
            (Caution::HotParts, "an old pump sits on the engine or by its pipes"),
            (Caution::UnderCar, "the lines run under the car"),
        ],
        O::PumpPlaced => vec![(Caution::UnderCar, "the pump sits under the car")],
        O::ReferenceHoseRouting | O::LoadSensorHose | O::ExhaustJoint | O::RegulatorSetting => {
            vec![(Caution::HotParts, "hands work at the engine")]
        }
        O::ReferenceHoseInside => vec![(Caution::ReferenceHoseFuel, "the hose may hold fuel")],
        O::RegulatorOnHandPump => vec![(Caution::ReferenceHoseFuel, "the reference hose is taken off")],
        O::StrainerByEye | O::TankHoseByEye => {
            vec![(Caution::TankOpening, "the tank is opened"), (Caution::OpenFuel, "the tank is opened")]
        }
        O::FilterByEye => {
            vec![(Caution::OpenFuel, "the filter holds fuel"), (Caution::FuelVapour, "the filter holds fuel")]
        }
        O::PumpHotNoise => vec![
            (Caution::FuelUnderPressure, "the pump runs beside the ear"),
            (Caution::HotParts, "the engine is hot"),
            (Caution::GaugeHose, "the car is made hot, perhaps with a gauge on it"),
        ],
        O::LiftPumpSound => vec![(Caution::FuelUnderPressure, "the pump runs beside the ear")],
        O::FuelBubbles => vec![(Caution::FuelUnderPressure, "the pump runs while the fuel is looked at")],
        O::CapOpened => vec![(Caution::FuelVapour, "the filler cap is opened")],
        O::InjectorDrip => vec![
            (Caution::FuelLeak, "an injector may drip"),
            (Caution::FuelVapour, "an injector may drip"),
            (Caution::FloodedCylinder, "a cylinder may be full of fuel"),
        ],
        O::InjectorSpray => vec![(Caution::FuelVapour, "fuel is sprayed")],
        O::SmokeTest => vec![(Caution::SmokeTest, "smoke is pressed into the intake")],
        O::TimingLight => vec![(Caution::IgnitionVoltage, "a pick-up hangs on a plug lead")],
        O::PlugsByEye => vec![
            (Caution::IgnitionVoltage, "plug leads are taken off"),
            (Caution::HotParts, "plugs are screwed out"),
        ],
        O::PumpFuse | O::RelaySwap | O::TriggerAtRelay | O::LambdaHeater => {
            vec![(Caution::LiveCircuit, "a live circuit is touched")]
        }
        O::PumpConnector => vec![
            (Caution::LiveCircuit, "a live circuit is touched"),
            (Caution::UnderCar, "the pump sits under the car"),
        ],
        O::InertiaSwitch => vec![(Caution::FuelLeak, "the switch may have opened for a reason")],
        O::HeldReturnClosed => vec![(Caution::ReturnValve, "the return is closed")],
        _ => Vec::new(),
    }
}

fn by_reading(reading: Reading, with: Tool, all: &mut Vec<Call<Caution>>) {
    match reading {
        Reading::PumpCurrent if with == Tool::ClampMeter => {
            all.push((Caution::ClampOnWire, "a clamp goes round a live wire"));
        }
        Reading::PumpVoltage
        | Reading::FeedDrop
        | Reading::GroundDrop
        | Reading::PumpCurrent
        | Reading::BatteryVoltage => all.push((Caution::LiveCircuit, "a live circuit is probed")),
        _ => {}
    }
    if reading == Reading::PumpInletPressure {
        all.push((Caution::FuelVapour, "the gauge hangs on the tank's outlet"));
        all.push((Caution::PumpDry, "air may be left in the pump's inlet"));
    }
    // With the engine running or off, the probe is held where the pump is.
    if matches!(reading, Reading::PumpVoltage | Reading::FeedDrop | Reading::GroundDrop) {
        all.push((Caution::UnderCar, "the pump sits under the car"));
        all.push((Caution::FuelVapour, "a spark at the pump is a spark at the tank"));
    }
    if matches!(reading, Reading::FeedDrop | Reading::GroundDrop | Reading::BatteryVoltage) {
        all.push((Caution::BatterySpark, "a probe sits on the battery"));
    }
}

/// Whether `caution` makes sense before `step` although nothing in the structure demands it.
pub fn suits<T>(step: &Step<T>, caution: Caution) -> bool {
    match caution {
        // Words of the author decide: where hands and eyes go is not in the structure.
        Caution::UnderCar
        | Caution::HotParts
        | Caution::FuelVapour
        | Caution::OpenFuel
        | Caution::PumpDry => true,
        Caution::MovingParts => step.at.is_some_and(Condition::pressurises),
        Caution::FuelUnderPressure => step.at.is_some_and(Condition::pressurises) || !step.makes.is_empty(),
        Caution::VolumeTest => step.makes.contains(&State::LineOpen) || is_volume_test(step),
        Caution::GaugeHose => step.makes.contains(&State::VacuumGaugeFitted) || watches_gauge(step),
        Caution::BoostedIntake => step.at.is_some_and(Condition::running),
        Caution::BatterySpark | Caution::LiveCircuit => {
            reading(step).is_some_and(|(_, _, with)| with == Tool::Multimeter)
                || step.tools.contains(&Tool::Multimeter)
        }
        _ => false,
    }
}

/// Every state that `step` must ask for.
pub fn requires<T>(step: &Step<T>) -> Vec<Call<State>> {
    let mut all = Vec::new();
    if !step.asks() {
        return all;
    }
    let runs_pump = step.at.is_some_and(Condition::pressurises);
    let disabled = step.at == Some(Condition::Crank) && step.requires.contains(&State::PumpDisabled);
    if (runs_pump && !disabled && !looks_for_leaks(step)) || step.tools.contains(&Tool::LoadRun) {
        all.push((State::NoLeakSeen, "nothing is run before a leak was looked for"));
    }
    if watches_gauge(step) {
        all.push((State::GaugeFitted, "a gauge is read that must be on the car"));
        all.push((State::LeakChecked, "a joint was opened for the gauge"));
        all.push((State::NoLeakSeen, "nothing is read before a leak was looked for"));
    }
    if reading(step).is_some_and(|(r, ..)| r == Reading::PumpInletPressure) {
        all.push((State::VacuumGaugeFitted, "a gauge is read that must be on the car"));
        all.push((State::LeakChecked, "a joint was opened for the gauge"));
    }
    if reading(step).is_some_and(|(r, ..)| r == Reading::ReturnPressure) {
        all.push((State::ReturnGaugeFitted, "a gauge is read that must be in the return"));
        all.push((State::LeakChecked, "a joint was opened for the gauge"));
    }
    if step.makes.contains(&State::LineOpen) {
        all.push((State::Depressurised, "a line under pressure sprays"));
        all.push((State::PumpDisabled, "a pump that starts sprays from the open line"));
        all.push((State::EngineCool, "fuel on a hot part burns"));
        all.push((State::BatteryOff, "a spark lights what runs out"));
    }
    if matches!(observation(step), Some(Observation::StrainerByEye | Observation::TankHoseByEye)) {
        all.push((State::BatteryOff, "a spark sets off the vapour of an open tank"));
    }
    if observation(step) == Some(Observation::GaugeAgainstSecond) {
        all.push((State::SecondGaugeFitted, "the second gauge must be on the car"));
    }
    if observation(step) == Some(Observation::FilterByEye) {
        all.push((State::LineOpen, "the filter is taken out to be seen"));
        all.push((State::Depressurised, "a line under pressure sprays"));
    }
    if observation(step) == Some(Observation::GaugeZero) && step.cautions.contains(&Caution::OpenFuel) {
        all.push((State::LineOpen, "the gauge's zero is seen with the line open"));
        all.push((State::GaugeFitted, "the gauge's zero is seen on the open line"));
        all.push((State::Depressurised, "a line under pressure sprays"));
    }
    if step.makes.contains(&State::Depressurised) {
        all.push((State::PumpDisabled, "without it the pressure can come back"));
        if says(step, "crack") {
            all.push((State::EngineCool, "fuel on a hot part burns"));
            all.push((State::BatteryOff, "a spark lights what runs out"));
        }
        if says(step, "gauge") {
            all.push((State::GaugeFitted, "zero is proved on a gauge that is on the line"));
        }
    }
    if step.clears.contains(&State::LineOpen) {
        all.push((State::LineOpen, "what is closed must be what was opened"));
    }
    let inlet =
        step.makes.contains(&State::VacuumGaugeFitted) || step.clears.contains(&State::VacuumGaugeFitted);
    if inlet && step.cautions.contains(&Caution::OpenFuel) {
        all.push((State::LineOpen, "something is put in or taken out of an open line"));
        all.push((State::Depressurised, "a line under pressure sprays"));
    }
    let fitted = [
        State::GaugeFitted,
        State::SecondGaugeFitted,
        State::ReturnValveFitted,
        State::ReturnGaugeFitted,
        State::ReturnDiverted,
    ];
    if fitted.iter().any(|s| step.makes.contains(s) || step.clears.contains(s)) {
        all.push((State::LineOpen, "something is put in or taken out of an open line"));
    }
    let gauges = [State::GaugeFitted, State::SecondGaugeFitted];
    if gauges.iter().any(|s| step.makes.contains(s) || step.clears.contains(s)) {
        all.push((State::Depressurised, "a line under pressure sprays"));
    }
    if observation(step) == Some(Observation::ReferenceHoseInside) {
        all.push((State::EngineCool, "the hose may hold fuel"));
    }
    if step.at == Some(Condition::Pinched) || observation(step) == Some(Observation::HeldReturnClosed) {
        all.push((State::ReturnValveFitted, "the return is closed with a valve only"));
    }
    if step.at == Some(Condition::Pinched) {
        all.push((State::GaugeFitted, "the gauge is watched while the return closes"));
        all.push((State::LeakChecked, "the pressure rises to what the pump can give"));
    }
    if reading(step).is_some_and(|(_, _, with)| with == Tool::FuelContainer) {
        all.push((State::ReturnDiverted, "the fuel must run into the container"));
        all.push((State::EngineCool, "fuel in the open by a hot engine burns"));
        all.push((State::LeakChecked, "a joint was opened for the container"));
    }
    let mut once: Vec<Call<State>> = Vec::new();
    for call in all {
        if once.iter().all(|(s, _)| *s != call.0) {
            once.push(call);
        }
    }
    once
}

/// Every state that `step` brings about by what it is.
pub fn makes<T>(step: &Step<T>) -> Vec<Call<State>> {
    match observation(step) {
        Some(Observation::FuelSmellOrLeak) if step.at == Some(Condition::Prime) => {
            vec![(State::LeakChecked, "joints are looked at under pressure")]
        }
        Some(Observation::RelaySwap) => vec![(State::RelaySwapped, "another relay sits in the socket")],
        Some(Observation::RegulatorOnHandPump) => {
            vec![(State::ReferenceHoseOff, "the reference hose is taken off for the hand pump")]
        }
        Some(Observation::HeldReturnClosed) => vec![(State::ReturnShut, "the return is closed")],
        Some(Observation::PlugsByEye) => vec![(State::PlugsOut, "the plugs are screwed out")],
        Some(Observation::SensorFreeAir) => {
            vec![(State::LambdaSensorOut, "the sensor is screwed out for clean air")]
        }
        Some(Observation::AirFilter) => vec![(State::AirFilterOff, "the filter is taken out to be seen")],
        Some(Observation::CapOpened) => vec![(State::CapOpen, "the filler cap is off")],
        _ if step.at == Some(Condition::Pinched) => vec![(State::ReturnShut, "the return is closed")],
        None if fits_gauge(step) => vec![(State::GaugeFitted, "the gauge goes on the line")],
        _ => Vec::new(),
    }
}
