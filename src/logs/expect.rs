//! What a sound car should read at a point of the log: the physics, at the manifold pressure and voltage the log shows.

use super::channel::Channel;
use super::stretch::Stretch;
use crate::physics::{Car, solve};
use crate::quantity::{Absolute, Difference};
use crate::terms::{Condition, Induction, Station, SupplyStyle};

/// Engine speed that the rig's cruise stands for, 1/min (common practice, as in the ledger).
const CRUISE_SPEED: f64 = 2_200.0;
/// The pressure before a draw-through blower is known only near the rig's own point, Pa.
const NEAR: f64 = 6_000.0;

/// What the model says of one point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Expected {
    /// Rail pressure of this car, Pa gauge.
    pub rail: f64,
    /// Rail pressure if the supply had fuel enough, Pa gauge.
    pub regulated: f64,
    /// What fuel returning adds to it, Pa: a supply with nothing to spare leaves that out without being short.
    pub returning: f64,
}

/// A stretch or one end of a pull, as far as the model needs it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Point {
    pub condition: Condition,
    /// Manifold pressure, Pa absolute.
    pub manifold: Option<f64>,
    pub speed: Option<f64>,
    /// System voltage, V.
    pub voltage: Option<f64>,
}

impl Point {
    pub fn of(s: &Stretch) -> Self {
        Self {
            condition: s.condition,
            manifold: s.get(Channel::ManifoldPressure),
            speed: s.get(Channel::Speed),
            voltage: s.get(Channel::BatteryVoltage),
        }
    }
}

/// Where the regulator's reference may be connected, in a variant of the car.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Reference {
    /// As the rig says.
    AsStated,
    /// Nothing of the stated station arrives.
    Lost,
    /// At another station.
    At(Station),
}

/// The car as it stood at `point`; none where the model can't be put there.
fn placed(car: &Car, point: Point, atmosphere: f64) -> Option<Car> {
    let mut car = car.clone();
    car.site.atmosphere = Absolute(atmosphere);
    if let Some(voltage) = point.voltage {
        if point.condition == Condition::Prime {
            car.wiring.resting = voltage;
        } else {
            car.wiring.running = voltage;
        }
    }
    let plenum = point.manifold.map(Absolute);
    let engine = &mut car.engine;
    match (point.condition, plenum) {
        (Condition::Idle, Some(p)) => engine.idle.manifold = p,
        (Condition::Raised, Some(p)) => engine.raised.manifold = p,
        (Condition::Cruise, Some(p)) => {
            let by_speed = point.speed.map_or(1.0, |s| s / CRUISE_SPEED);
            let by_load = p.0 / engine.cruise.manifold.0.max(1.0);
            engine.cruise.fuel = (engine.cruise.fuel * by_speed * by_load).clamp(0.005, 1.0);
            engine.cruise.manifold = p;
        }
        (Condition::Load, Some(p)) => {
            engine.boost = Difference(p.0 - atmosphere + engine.intake_loss.0);
        }
        // Without the manifold's pressure a car at cruise could be anywhere.
        (Condition::Cruise, None) => return None,
        _ => {}
    }
    Some(car)
}

/// Whether the pressure where the reference belongs is known at `point`, which a log of the plenum alone does not tell before
/// a draw-through blower.
fn known(car: &Car, point: Point) -> bool {
    let behind =
        car.engine.induction == Induction::DrawThrough && car.regulator.reference == Station::BehindPlates;
    if !behind || car.regulator.style == SupplyStyle::Module {
        return true;
    }
    let rig = match point.condition {
        Condition::Idle => car.engine.idle.manifold.0,
        Condition::Raised => car.engine.raised.manifold.0,
        Condition::Cruise => car.engine.cruise.manifold.0,
        _ => return true,
    };
    point.manifold.is_none_or(|m| (m - rig).abs() < NEAR)
}

/// What `car` should read at `point` with its reference as `reference` says; none where the model does not reach.
pub(super) fn at(car: &Car, point: Point, atmosphere: f64, reference: Reference) -> Option<Expected> {
    if !known(car, point) {
        return None;
    }
    let mut car = placed(car, point, atmosphere)?;
    match reference {
        Reference::AsStated => {}
        Reference::Lost => car.regulator.reference_share = 0.0,
        Reference::At(station) => car.regulator.reference = station,
    }
    let own = solve(&car, point.condition).ok()?;
    let mut enough = own.clone();
    for _ in 0..8 {
        if !enough.short {
            break;
        }
        car.pump.curve.iter_mut().for_each(|p| p.flow *= 1.3);
        car.pump.relief = car.pump.relief.map(|r| r * 1.1);
        enough = solve(&car, point.condition).ok()?;
    }
    let returning = car.regulator.rise * enough.return_flow.max(0.0);
    Some(Expected { rail: own.rail.0, regulated: enough.rail.0, returning })
}
