//! How much power the supply feeds, what limits it first, and what removing each limit would gain.

use super::balance::{across_at, supply_at};
use super::car::Car;
use super::demand::{injector_duty, mass_flow};
use super::root::{NoBalance, brent};
use crate::terms::Condition;

/// Duty the injectors should not exceed (common practice).
pub const DUTY_LIMIT: f64 = 0.85;
/// Power beyond which nobody asks, W.
const MOST_POWER: f64 = 4e6;

/// Something that limits the supply.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Limit {
    /// The pump's own curve.
    Pump,
    /// The pump's relief valve.
    Relief,
    /// Voltage lost in the wiring.
    Voltage,
    /// The feed line.
    FeedLine,
    /// The feed filter.
    Filter,
    /// The inlet side: lift, hose, strainer, vapour.
    Inlet,
    /// Injector duty.
    Injectors,
}

impl Limit {
    /// Every limit.
    pub const ALL: [Self; 7] =
        [Self::Pump, Self::Relief, Self::Voltage, Self::FeedLine, Self::Filter, Self::Inlet, Self::Injectors];

    /// Stable id.
    pub fn id(self) -> &'static str {
        match self {
            Self::Pump => "pump",
            Self::Relief => "relief",
            Self::Voltage => "voltage",
            Self::FeedLine => "feed-line",
            Self::Filter => "filter",
            Self::Inlet => "inlet",
            Self::Injectors => "injectors",
        }
    }

    /// What removing it means, in words.
    pub fn removal(self) -> &'static str {
        match self {
            Self::Pump => "a pump that delivers half as much again",
            Self::Relief => "a pump whose valve opens later",
            Self::Voltage => "wiring that loses nothing",
            Self::FeedLine => "a feed line that loses nothing",
            Self::Filter => "a filter that loses nothing",
            Self::Inlet => "an inlet that loses nothing and a pump never short of suction head",
            Self::Injectors => "injectors of any size",
        }
    }

    /// The car without this limit.
    fn removed(self, car: &Car) -> Car {
        let mut car = car.clone();
        match self {
            Self::Pump => car.pump.curve.iter_mut().for_each(|p| p.flow *= 1.5),
            Self::Relief => car.pump.relief = None,
            Self::Voltage => (car.wiring.feed, car.wiring.ground) = (0.0, 0.0),
            Self::FeedLine => (car.feed.length, car.feed.fittings, car.feed.restriction) = (0.0, 0.0, 0.0),
            Self::Filter => car.filter = 0.0,
            Self::Inlet => {
                car.strainer = 0.0;
                (car.inlet.length, car.inlet.fittings, car.inlet.restriction) = (0.0, 0.0, 0.0);
                car.pump.lift = car.pump.lift.min(0.0);
                car.pump.suction_need = 0.0;
                car.site.hot_need = 0.0;
            }
            Self::Injectors => car.injection.flow *= 1e3,
        }
        car
    }
}

/// What a supply can feed. Powers in W.
#[derive(Debug, Clone, PartialEq)]
pub struct Capacity {
    /// Power asked for.
    pub power: f64,
    /// Most power at which the rail still holds what the regulator asks and the injectors stay within their duty.
    pub most: f64,
    /// Most power by pressure alone.
    pub by_pressure: f64,
    /// Most power by injector duty alone.
    pub by_injectors: f64,
    /// What is met first.
    pub first: Limit,
    /// For each limit, the power gained by removing it alone, largest first.
    pub gains: Vec<(Limit, f64)>,
    /// Injector duty at the power asked for, as a share.
    pub duty: f64,
    /// Rail pressure the supply could hold at the power asked for, Pa gauge.
    pub given: f64,
    /// Rail pressure the regulator asks for there, Pa gauge.
    pub asked: f64,
}

impl Capacity {
    /// Spare power as a share of what is asked for; negative when it falls short.
    pub fn margin(&self) -> f64 {
        self.most / self.power - 1.0
    }
}

fn flow_of(car: &Car, power: f64) -> f64 {
    mass_flow(power, car.engine.consumption, car.fuel) / car.fuel.density()
}

/// Most power by pressure alone.
fn by_pressure(car: &Car) -> Result<f64, NoBalance> {
    let spare =
        |power: f64| supply_at(car, Condition::Load, flow_of(car, power)).map(|(given, asked)| given - asked);
    if spare(1.0)? <= 0.0 {
        return Ok(0.0);
    }
    let mut high = 1e5;
    while spare(high)? > 0.0 {
        high *= 2.0;
        if high > MOST_POWER {
            return Ok(MOST_POWER);
        }
    }
    brent("the most power the supply feeds", 1.0, high, 1.0, |power| spare(power).unwrap_or(f64::NAN))
}

/// Most power by injector duty alone, at the rail pressure the regulator asks for.
fn by_injectors(car: &Car) -> Result<f64, NoBalance> {
    let spare = |power: f64| {
        let (_, asked) = supply_at(car, Condition::Load, flow_of(car, power))?;
        let mass = mass_flow(power, car.engine.consumption, car.fuel);
        Ok::<f64, NoBalance>(DUTY_LIMIT - injector_duty(car, mass, across_at(car, Condition::Load, asked).0))
    };
    let mut high = 1e5;
    while spare(high)? > 0.0 {
        high *= 2.0;
        if high > MOST_POWER {
            return Ok(MOST_POWER);
        }
    }
    brent("the most power the injectors feed", 1.0, high, 1.0, |power| spare(power).unwrap_or(f64::NAN))
}

fn most(car: &Car) -> Result<(f64, f64), NoBalance> {
    Ok((by_pressure(car)?, by_injectors(car)?))
}

/// The capacity of the supply of `car` at full load, boost included, at the voltage the pump really gets.
///
/// # Errors
/// [`NoBalance`] where the balance does not close.
pub fn capacity(car: &Car) -> Result<Capacity, NoBalance> {
    let (pressure, injectors) = most(car)?;
    let least = pressure.min(injectors);
    let mut gains = Vec::new();
    for limit in Limit::ALL {
        let (p, i) = most(&limit.removed(car))?;
        gains.push((limit, (p.min(i) - least).max(0.0)));
    }
    let parts = |l: Limit| !matches!(l, Limit::Pump | Limit::Injectors);
    // A part is met first when taking it away gains the most; the pump itself is what is left when no part gains a tenth.
    let first = if injectors < pressure {
        Limit::Injectors
    } else {
        let best = gains.iter().filter(|(l, _)| parts(*l)).max_by(|a, b| a.1.total_cmp(&b.1));
        best.filter(|(_, gain)| *gain >= 0.1 * least.max(1.0)).map_or(Limit::Pump, |(l, _)| *l)
    };
    gains.sort_by(|a, b| b.1.total_cmp(&a.1));
    let power = car.engine.power;
    let (given, asked, duty) = supply_at_power(car, power)?;
    Ok(Capacity {
        power,
        most: least,
        by_pressure: pressure,
        by_injectors: injectors,
        first,
        gains,
        duty,
        given,
        asked,
    })
}

/// At full load and a power of `power` W: the rail pressure the supply could hold and the one the regulator asks for, Pa gauge,
/// and the injector duty as a share.
///
/// # Errors
/// [`NoBalance`] where the balance does not close.
pub fn supply_at_power(car: &Car, power: f64) -> Result<(f64, f64, f64), NoBalance> {
    let (given, asked) = supply_at(car, Condition::Load, flow_of(car, power))?;
    let mass = mass_flow(power, car.engine.consumption, car.fuel);
    let duty = injector_duty(car, mass, across_at(car, Condition::Load, asked).0);
    Ok((given.max(0.0), asked, duty))
}
