//! What must hold for every rig, fault and condition, whatever the figures.

use super::{exists, rigs, solved};
use faultwalk::faults::{CATALOGUE, applies, apply};
use faultwalk::physics::{Car, capacity, solve};
use faultwalk::quantity::{Dimension, Unit, unit};
use faultwalk::rig::tolerance;
use faultwalk::terms::{Condition, Fault, Reading, SupplyStyle};
use proptest::prelude::*;

/// Pascal below which two rails count as equal: the root finder's own tolerance, many times over.
const EQUAL: f64 = 1.0;

fn rail(name: &str, car: &Car) -> f64 {
    solved(name, car, Condition::Load).rail.0
}

#[track_caller]
fn never_rises(name: &str, what: &str, pressures: &[f64]) {
    for pair in pressures.windows(2) {
        assert!(pair[1] <= pair[0] + EQUAL, "{name}: more {what} raises the rail: {pressures:?}");
    }
}

#[test]
fn more_restriction_never_raises_the_rail_at_load() {
    for (name, rig) in rigs() {
        let steps = (0..8).map(|i| f64::from(i) * f64::from(i) * 15_000.0);
        let flow = 200.0 / 3.6e6;
        let with = |change: &dyn Fn(&mut Car, f64)| -> Vec<f64> {
            steps
                .clone()
                .map(|drop| {
                    let mut car = rig.car.clone();
                    change(&mut car, drop);
                    rail(&name, &car)
                })
                .collect()
        };
        never_rises(&name, "filter drop", &with(&|c, d| c.filter += d / flow));
        never_rises(&name, "feed restriction", &with(&|c, d| c.feed.restriction += d / (flow * flow)));
        never_rises(&name, "wiring", &with(&|c, d| c.wiring.feed += d / 1e6));
        never_rises(&name, "strainer drop", &with(&|c, d| c.strainer += 0.05 * d / flow));
        never_rises(&name, "leakage", &with(&|c, d| c.pump.leakage += 1e-13 * d));
    }
}

#[test]
fn vapour_of_hot_fuel_shows_on_no_cold_car() {
    let mut shown = 0;
    for (name, rig) in rigs() {
        for severity in [0.3, 1.0] {
            let car = apply(&rig, Fault::HotFuelVapour, severity).unwrap();
            for &condition in Condition::ALL {
                if !exists(&rig.car, condition) {
                    continue;
                }
                let (sound, hot) = (solved(&name, &rig.car, condition), solved(&name, &car, condition));
                let off = (sound.rail.0 - hot.rail.0).abs() > EQUAL;
                let warm = condition.running() || condition == Condition::HotPrime;
                assert!(warm || !off, "{name} at {condition}: {} and {}", sound.rail.0, hot.rail.0);
                shown += usize::from(off);
            }
        }
    }
    assert!(shown > 20, "hot fuel shows in {shown} conditions of all rigs");
}

#[test]
fn more_demand_never_raises_the_rail() {
    for (name, rig) in rigs() {
        let rails: Vec<f64> = (1..=14)
            .map(|i| {
                let mut car = rig.car.clone();
                car.engine.power *= 0.25 * f64::from(i);
                rail(&name, &car)
            })
            .collect();
        never_rises(&name, "demand", &rails);
        assert!(rails[13] < rails[0] - 5_000.0, "{name}: thrice and a half the demand must show: {rails:?}");
    }
}

/// Where the pump's voltage is not held by a controller, more of it never lowers what the rail can hold, nor the flow at the rail.
#[test]
fn more_voltage_never_lowers_the_supply() {
    for (name, rig) in rigs() {
        let mut last: Option<(f64, f64)> = None;
        for i in 0..12 {
            let mut car = rig.car.clone();
            car.engine.power *= 2.5;
            (car.wiring.running, car.wiring.resting) = (8.0 + 0.6 * f64::from(i), 8.0 + 0.6 * f64::from(i));
            let (load, prime) = (
                solved(&name, &car, Condition::Load).rail.0,
                solved(&name, &car, Condition::Prime).pump_flow,
            );
            if let Some((rail, flow)) = last {
                assert!(load >= rail - EQUAL, "{name}: the rail falls from {rail} to {load} Pa");
                if car.regulator.style == SupplyStyle::Return {
                    assert!(prime >= flow - 1e-9, "{name}: the flow falls from {flow} to {prime} m³/s");
                }
            }
            last = Some((load, prime));
        }
    }
}

/// A pump so weak that the demand exceeds it at any pressure empties the rail; that is an answer and not a missing one.
#[test]
fn a_nearly_dead_pump_leaves_the_rail_empty() {
    for (name, rig) in rigs() {
        let mut car = rig.car.clone();
        car.engine.power *= 3.0;
        car.pump.curve.iter_mut().for_each(|p| p.flow *= 0.01);
        car.wiring.running = 4.0;
        // Closed loop, so that the engine asks for its whole demand however low the rail.
        car.controller.closed_loop.push(Condition::Load);
        let s = solved(&name, &car, Condition::Load);
        assert!(s.rail.0 == 0.0 && s.short && s.return_flow == 0.0, "{name}: {} Pa", s.rail.0);
        assert!(s.engine_flow > 0.0 && s.engine_flow < 1e-5, "{name}: {} m³/s", s.engine_flow);
        assert_eq!(s.runs, Some(false), "{name}");
        let capacity = capacity(&car).unwrap();
        assert!(capacity.margin() < -0.9, "{name}: {}", capacity.margin());
    }
}

fn all_finite(place: &str, car: &Car, condition: Condition) {
    let s = solve(car, condition).unwrap_or_else(|e| panic!("{place}: {e}"));
    for &reading in Reading::ALL {
        if let Some(value) = s.get(reading) {
            assert!(value.is_finite(), "{place}: {reading} is {value}");
        }
    }
    assert!(
        s.rail.0 >= 0.0 || condition == Condition::Pinched,
        "{place}: the rail stands at {} Pa",
        s.rail.0
    );
    assert!(s.pump_flow >= 0.0 && s.return_flow >= 0.0 && s.engine_flow >= -1e-15, "{place}");
    let balance = s.pump_flow - s.engine_flow - s.return_flow;
    if !matches!(car.regulator.style, SupplyStyle::Deadhead | SupplyStyle::SpeedControlled) {
        assert!(balance.abs() < 1e-9, "{place}: {balance} m³/s appear from nowhere");
    }
}

/// Every fault, at every severity met, in every rig and condition: solved, finite, nothing lost. A fault that can't be in a car says
/// why.
#[test]
fn every_fault_solves_in_every_car_and_condition() {
    let (mut solved, mut refused) = (0, 0);
    for (name, rig) in rigs() {
        for entry in CATALOGUE {
            if let Err(why) = applies(&rig, entry.fault) {
                assert!(!why.is_empty());
                assert!(apply(&rig, entry.fault, 1.0).is_err());
                refused += 1;
                continue;
            }
            let one_sided = [0.0, entry.severity.0, 0.5, 0.8, entry.severity.1];
            let other_side = entry.two_sided.then_some([-entry.severity.0, -0.7, -entry.severity.1]);
            for severity in one_sided.into_iter().chain(other_side.into_iter().flatten()) {
                let car = apply(&rig, entry.fault, severity).unwrap();
                for &condition in Condition::ALL.iter().filter(|c| exists(&car, **c)) {
                    all_finite(
                        &format!("{name}, {}={severity} at {condition}", entry.fault),
                        &car,
                        condition,
                    );
                    solved += 1;
                }
            }
        }
    }
    assert!(solved > 30_000 && refused > 20, "{solved} solved, {refused} refused");
}

#[test]
fn a_fault_of_severity_zero_changes_nothing() {
    let mut seen = 0;
    for (name, rig) in rigs() {
        for entry in CATALOGUE.iter().filter(|e| applies(&rig, e.fault).is_ok()) {
            assert_eq!(apply(&rig, entry.fault, 0.0).unwrap(), rig.car, "{name}: {}", entry.fault);
            seen += 1;
        }
        for entry in CATALOGUE {
            let beyond = if entry.two_sided { -1.01 } else { -0.01 };
            assert!(apply(&rig, entry.fault, beyond).is_err() && apply(&rig, entry.fault, 1.01).is_err());
            assert!(apply(&rig, entry.fault, f64::NAN).is_err());
        }
    }
    assert!(seen > 800, "{seen}");
}

/// A sound car stands in the middle of its own band, runs, starves nowhere and is fed with 15 to 120 % to spare. A rig whose comment
/// says otherwise may starve after a heat soak, or have more to spare, but not less.
#[test]
fn every_rig_that_ships_is_sound() {
    for (name, rig) in rigs() {
        let path = super::folder("fixtures/rigs").join(&name).with_extension("yaml");
        let text = std::fs::read_to_string(path).unwrap();
        let soaks = text.contains("Short of suction head after a heat soak");
        let most = if text.contains("more than twice the flow to spare") { 2.0 } else { 1.2 };
        let c = capacity(&rig.car).unwrap();
        assert!((0.15..=most).contains(&c.margin()), "{name}: margin {:.2}", c.margin());
        for &condition in Condition::ALL.iter().filter(|c| exists(&rig.car, **c)) {
            let s = solved(&name, &rig.car, condition);
            let excused = soaks && condition == Condition::HotPrime;
            assert!(!s.starving || excused, "{name} at {condition} starves: {} m", s.suction_head);
            assert!(s.runs != Some(false), "{name} at {condition} does not run");
            assert!(!s.short || condition == Condition::Crank, "{name} at {condition} falls short");
            for &reading in Reading::ALL {
                let Some(value) = s.get(reading) else { continue };
                let (expected, half) = tolerance(&rig, condition, reading).unwrap().unwrap();
                assert!(half > 0.0 && half.is_finite(), "{name} at {condition}: {reading} ± {half}");
                assert!((value - expected).abs() <= half, "{name} at {condition}: {reading} {value}");
            }
        }
    }
}

/// The first line of a rig file after its format is a comment that says what the rig shows.
#[test]
fn every_rig_that_ships_says_what_it_shows() {
    for (name, path) in super::files("fixtures/rigs", "yaml") {
        let text = std::fs::read_to_string(path).unwrap();
        assert!(text.lines().nth(1).is_some_and(|l| l.starts_with("# ") && l.len() > 25), "{name}");
    }
}

const PAIRS: [(Dimension, &[&str]); 8] = [
    (Dimension::Pressure, &["psi", "kPa", "bar", "inHg", "mmHg", "inH2O", "MPa", "Pa", "hPa", "atm", "torr"]),
    (Dimension::VolumeFlow, &["L/h", "gal/h", "cc/min", "L/min", "gal/min"]),
    (Dimension::MassFlow, &["lb/h", "kg/h", "g/s"]),
    (Dimension::Length, &["m", "ft", "mm", "in", "km", "µm"]),
    (Dimension::Temperature, &["°F", "°C", "K"]),
    (Dimension::Power, &["hp", "kW", "PS", "W"]),
    (Dimension::Consumption, &["lb/hp/h", "g/kWh"]),
    (Dimension::Density, &["kg/m³", "lb/gal", "g/cm³"]),
];

fn units() -> impl Strategy<Value = (&'static Unit, &'static Unit)> {
    let pairs: Vec<(&'static Unit, &'static Unit)> = PAIRS
        .iter()
        .flat_map(|(dimension, names)| {
            let all: Vec<_> = names.iter().map(|n| unit(n).unwrap()).collect();
            assert!(all.iter().all(|u| u.dimension == *dimension));
            all.iter().flat_map(|a| all.iter().map(|b| (*a, *b))).collect::<Vec<_>>()
        })
        .collect();
    proptest::sample::select(pairs)
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn units_round_trip(value in -1e6f64..1e6, (from, to) in units()) {
        let back = from.from_si(to.to_si(to.from_si(from.to_si(value))));
        prop_assert!((back - value).abs() <= 1e-9 * value.abs().max(1e3), "{} {from} by {to} is {back}", value);
    }

    /// Any car near a rig that ships balances, and its readings are finite.
    #[test]
    fn every_car_balances(
        which in 0usize..15, power in 0.05f64..6.0, flow in 0.01f64..3.0, voltage in 4.0f64..17.0,
        lift in -1.0f64..4.0, filter in 0.0f64..500.0, tank in -60.0f64..10.0, warm in -20.0f64..60.0,
    ) {
        let (name, rig) = &rigs()[which];
        let mut car = rig.car.clone();
        car.engine.power *= power;
        for point in &mut car.pump.curve {
            point.flow *= flow;
        }
        (car.wiring.running, car.wiring.resting, car.wiring.cranking) = (voltage, voltage - 1.0, voltage - 3.0);
        car.pump.lift = lift;
        car.filter += filter * 1e3 / (200.0 / 3.6e6);
        car.tank.0 = tank * 1e3;
        car.site.fuel_temperature += warm;
        for &condition in Condition::ALL.iter().filter(|c| exists(&car, **c)) {
            all_finite(&format!("{name} changed, at {condition}"), &car, condition);
        }
    }
}
