//! What the altitude does to a healthy reading: the plenum reference carries it to the rail, an open one does not.

use super::{folder, rig, solved};
use faultwalk::physics::standard_atmosphere;
use faultwalk::quantity::unit;
use faultwalk::terms::{Condition, Station};

/// US Standard Atmosphere 1976: 101.325 kPa at sea level, 84.311 at 5,000 ft, 17.01 kPa apart.
const APART: f64 = 101.325 - 84.311_06;

fn idle_rail(name: &str, change: impl Fn(&mut faultwalk::physics::Car)) -> f64 {
    let mut car = rig(&folder("fixtures/rigs").join(name)).car;
    change(&mut car);
    solved(name, &car, Condition::Idle).rail.kpa()
}

#[test]
fn with_a_plenum_reference_the_idle_rail_rises_with_the_altitude() {
    let low = idle_rail("shore-wagon.yaml", |_| {});
    let high = idle_rail("ridge-wagon.yaml", |_| {});
    let rise = high - low;
    // The rest is the regulator's own rise: the pump works against less, returns a little more and lifts the low rail.
    assert!((rise - 17.0).abs() < 0.5, "{rise} kPa");
    assert!((rise - APART).abs() < 0.4, "{rise} kPa against {APART}");
}

#[test]
fn with_an_open_reference_it_does_not_move() {
    let open = |car: &mut faultwalk::physics::Car| car.regulator.reference = Station::Open;
    let low = idle_rail("shore-wagon.yaml", open);
    let high = idle_rail("ridge-wagon.yaml", open);
    assert!((high - low).abs() < 0.01, "{low} and {high}");

    let at = |feet: f64| {
        idle_rail("orchard-pickup.yaml", |car| {
            car.site.atmosphere = standard_atmosphere(unit("ft").unwrap().to_si(feet));
        })
    };
    assert!((at(5000.0) - at(0.0)).abs() < 0.01, "{} and {}", at(0.0), at(5000.0));
}

/// Across the injector nothing moves: that is what the reference is for.
#[test]
fn across_the_injector_the_altitude_does_not_show() {
    let across = |name: &str| {
        let car = rig(&folder("fixtures/rigs").join(name)).car;
        solved(name, &car, Condition::Idle).injector.kpa()
    };
    let (low, high) = (across("shore-wagon.yaml"), across("ridge-wagon.yaml"));
    assert!((high - low).abs() < 0.4, "{low} and {high}");
}
