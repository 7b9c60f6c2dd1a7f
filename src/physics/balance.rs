//! The balance: what the pump can give against what regulator, lines and engine ask.
//!
//! The unknown is the pump's pressure rise. Its voltage and flow follow from the rise alone, so no iteration runs outside the
//! root finder. Where the pump's valve opens (or at the dead head) the flow falls to zero at constant rise; on that stretch the
//! unknown is the flow. Along both stretches together the pressure given grows and the pressure asked falls, so the root is unique.

use super::car::Car;
use super::demand::demand;
use super::hold::held_pressure;
use super::induction::{Stations, stations};
use super::ledger::{LEAN_LIMIT, ledger, pressure_ratio, sensed_pressure};
use super::pump::Motor;
use super::regulator::{Asks, reference};
use super::root::{NoBalance, brent};
use super::solution::Solution;
use super::vapour::true_vapour_pressure;
use super::{GRAVITY, Line};
use crate::quantity::{Absolute, Difference, Gauge};
use crate::terms::{Condition, SupplyStyle};

/// Roots are found to within this, Pa.
const PRESSURE_TOLERANCE: f64 = 1e-3;
/// Least share of its flow a starved pump keeps.
const LEAST_FLOW_SHARE: f64 = 0.05;
/// Stands for the rail pressure of a supply that can't give the flow at any, Pa: below any real one.
const NOTHING: f64 = -1e9;

/// A point of the pump's curve as it works in this car: rise (Pa) and flow (m³/s).
#[derive(Debug, Clone, Copy)]
struct Point {
    rise: f64,
    flow: f64,
}

/// Pump, wiring and suction side in one condition.
pub(super) struct Supply<'a> {
    car: &'a Car,
    system: f64,
    density: f64,
    viscosity: f64,
    vapour: Absolute,
    /// Suction head the pump needs, m.
    need: f64,
    /// The greatest rise the pump holds: its valve, or the dead head.
    top: Point,
    relieving_at: Option<f64>,
}

impl<'a> Supply<'a> {
    pub(super) fn new(car: &'a Car, condition: Condition) -> Result<Self, NoBalance> {
        let soak = if condition == Condition::HotPrime { car.site.heat_soak } else { 0.0 };
        let hot = condition.running() || condition == Condition::HotPrime;
        let (rise, need) = if hot { (car.site.hot_rise, car.site.hot_need) } else { (0.0, 0.0) };
        let mut supply = Self {
            car,
            system: if car.wiring.open { 0.0 } else { car.wiring.system(condition) },
            density: car.fuel.density(),
            viscosity: car.fuel.viscosity(),
            vapour: true_vapour_pressure(car.reid, car.site.fuel_temperature + soak + rise),
            need: car.pump.suction_need.max(need),
            top: Point { rise: 0.0, flow: 0.0 },
            relieving_at: None,
        };
        let dead = supply.dead_head()?;
        supply.top = match car.pump.relief {
            Some(relief) if relief < dead => {
                supply.relieving_at = Some(relief);
                Point { rise: relief, flow: supply.flow(relief)? }
            }
            _ => Point { rise: dead, flow: 0.0 },
        };
        Ok(supply)
    }

    fn current(&self, rise: f64) -> f64 {
        if self.car.wiring.open { 0.0 } else { self.car.pump.current(rise) }
    }

    fn voltage(&self, rise: f64) -> f64 {
        (self.system - self.current(rise) * (self.car.wiring.feed + self.car.wiring.ground)).max(0.0)
    }

    fn dead_head(&self) -> Result<f64, NoBalance> {
        let pump = &self.car.pump;
        let left = |rise: f64| pump.unclamped_flow(rise, self.voltage(rise));
        if left(0.0) <= 0.0 {
            return Ok(0.0);
        }
        let mut high = pump.last_rise().max(1.0);
        while left(high) > 0.0 {
            high *= 2.0;
            if high > 1e9 {
                return Err(NoBalance { what: "the pump's dead head" });
            }
        }
        brent("the pump's dead head", 0.0, high, PRESSURE_TOLERANCE, left)
    }

    /// Gauge pressure at the pump's inlet, Pa.
    fn inlet(&self, flow: f64) -> f64 {
        let car = self.car;
        car.tank.0
            - self.density * GRAVITY * car.pump.lift
            - self.loss(&car.inlet, flow)
            - car.strainer * flow
    }

    /// Net positive suction head available, m.
    fn suction_head(&self, flow: f64) -> f64 {
        (self.car.site.atmosphere.0 + self.inlet(flow) - self.vapour.0) / (self.density * GRAVITY)
    }

    fn loss(&self, line: &Line, flow: f64) -> f64 {
        line.loss(self.density, self.viscosity, flow)
    }

    /// Flow delivered at a rise below the top, short suction counted.
    fn flow(&self, rise: f64) -> Result<f64, NoBalance> {
        let ideal = self.car.pump.flow(rise, self.voltage(rise));
        let need = self.need;
        if need <= 0.0 || ideal <= 0.0 || self.suction_head(ideal) >= need {
            return Ok(ideal);
        }
        let share = |flow: f64| (self.suction_head(flow) / need).clamp(LEAST_FLOW_SHARE, 1.0);
        brent("the flow of a starved pump", 0.0, ideal, ideal * 1e-10, |flow| flow - share(flow) * ideal)
    }

    /// Gauge pressure after the filter at a point, Pa.
    fn filter_outlet(&self, point: Point) -> f64 {
        point.rise + self.inlet(point.flow) - self.car.filter * point.flow
    }

    /// The top of the curve with nothing flowing.
    fn dead(&self) -> Point {
        Point { rise: self.top.rise, flow: 0.0 }
    }

    /// The point where the pump delivers what `taken` says the engine takes there.
    fn delivering(&self, what: &'static str, taken: impl Fn(Point) -> f64) -> Result<Point, NoBalance> {
        if taken(self.dead()) <= 0.0 {
            return Ok(self.dead());
        }
        self.point(what, |p| taken(p) - p.flow)
    }

    /// The point where `given_less_asked`, which grows along the curve towards the dead head, is zero; at the far end where it
    /// stays below zero.
    fn point(&self, what: &'static str, given_less_asked: impl Fn(Point) -> f64) -> Result<Point, NoBalance> {
        let top = self.top;
        if given_less_asked(top) >= 0.0 {
            let mut failed = None;
            let mut low = -1e5;
            loop {
                let start = Point { rise: low, flow: self.flow(low)? };
                if given_less_asked(start) <= 0.0 {
                    break;
                }
                low *= 4.0;
                if low < -1e9 {
                    return Err(NoBalance { what });
                }
            }
            let rise = brent(what, low, top.rise, PRESSURE_TOLERANCE, |rise| match self.flow(rise) {
                Ok(flow) => given_less_asked(Point { rise, flow }),
                Err(error) => {
                    failed = Some(error);
                    f64::NAN
                }
            });
            if let Some(error) = failed {
                return Err(error);
            }
            let rise = rise?;
            return Ok(Point { rise, flow: self.flow(rise)? });
        }
        let dead = self.dead();
        if top.flow <= 0.0 || given_less_asked(dead) <= 0.0 {
            return Ok(dead);
        }
        let at = |flow: f64| Point { rise: top.rise, flow };
        let flow = brent(what, 0.0, top.flow, top.flow * 1e-10, |flow| given_less_asked(at(flow)))?;
        Ok(at(flow))
    }
}

/// What the engine takes in one condition.
struct Draw<'a> {
    car: &'a Car,
    atmosphere: Absolute,
    tip: Absolute,
    demand: f64,
    open_loop: bool,
}

impl Draw<'_> {
    fn flow(&self, rail: f64) -> f64 {
        if !self.open_loop || self.demand == 0.0 {
            return self.demand;
        }
        let across = Gauge(rail).absolute(self.atmosphere) - self.tip;
        self.demand * pressure_ratio(self.car, across, self.atmosphere, self.tip)
    }

    /// Rail pressure behind a feed line that starts at `from`, where the engine's own flow loses the pressure.
    fn rail_behind(&self, supply: &Supply, from: f64) -> Result<f64, NoBalance> {
        let feed = &self.car.feed;
        if !self.open_loop {
            return Ok(from - supply.loss(feed, self.demand));
        }
        let off = |rail: f64| rail + supply.loss(feed, self.flow(rail)) - from;
        if off(from) <= 0.0 {
            return Ok(from);
        }
        let mut low = from - 1e5;
        while off(low) > 0.0 {
            low = from - (from - low) * 4.0;
            if low < -1e9 {
                return Err(NoBalance { what: "the rail behind its feed line" });
            }
        }
        brent("the rail behind its feed line", low, from, PRESSURE_TOLERANCE, off)
    }
}

/// Where the balance settled.
struct Settled {
    point: Point,
    rail: f64,
    engine: f64,
    short: bool,
    /// The rail would be below zero, so the engine gets what the pump delivers into it.
    empty: bool,
}

/// Solves `car` in `condition`.
///
/// # Errors
/// [`NoBalance`] where the balance does not close, never a number in its place.
pub fn solve(car: &Car, condition: Condition) -> Result<Solution, NoBalance> {
    let stations = stations(car, condition);
    let supply = Supply::new(car, condition)?;
    let asks = Asks::new(car, &stations);
    let draw = Draw {
        car,
        atmosphere: stations.open,
        tip: stations.tip(car.injection.tip),
        demand: demand(car, condition),
        open_loop: condition == Condition::Load
            && (car.air.open_loop || !car.controller.closed_loop.contains(&condition)),
    };
    let settled = match condition {
        _ if supply.top.rise <= 0.0 => stopped(&draw),
        Condition::Pinched => {
            let point = supply.dead();
            let rail = supply.filter_outlet(point);
            Settled { point, rail, engine: 0.0, short: false, empty: false }
        }
        _ => settle(&supply, &asks, &draw)?,
    };
    Ok(describe(car, condition, stations, &supply, &draw, &settled))
}

/// No pump runs: nothing flows.
fn stopped(draw: &Draw) -> Settled {
    let empty = draw.demand > 0.0;
    Settled { point: Point { rise: 0.0, flow: 0.0 }, rail: 0.0, engine: 0.0, short: true, empty }
}

/// Finds where pump, regulator and engine agree.
fn settle(supply: &Supply, asks: &Asks, draw: &Draw) -> Result<Settled, NoBalance> {
    let car = supply.car;
    let rail_of = |p: Point| supply.filter_outlet(p) - supply.loss(&car.feed, p.flow);
    let emptied = || -> Result<Settled, NoBalance> {
        let point = supply.point("a rail at zero", rail_of)?;
        Ok(Settled { point, rail: 0.0, engine: point.flow, short: true, empty: true })
    };
    // All that the pump delivers goes to the engine: the most the supply can do. A pump so weak that no suction at its outlet
    // would draw the demand out of it is no failure of the balance: what the rail then gets, it gets empty.
    let lone = match supply.delivering("the supply alone", |p| draw.flow(rail_of(p))) {
        Ok(point) => point,
        Err(error) => {
            let settled = emptied()?;
            return if settled.engine < draw.flow(0.0) { Ok(settled) } else { Err(error) };
        }
    };
    let lone_rail = rail_of(lone);
    let short = |point: Point, rail: f64| -> Result<Settled, NoBalance> {
        if rail < 0.0 {
            return emptied();
        }
        Ok(Settled { point, rail, engine: point.flow, short: true, empty: false })
    };
    let style = car.regulator.style;
    match style {
        SupplyStyle::Return => {
            let back = |p: Point| (p.flow - draw.flow(rail_of(p))).max(0.0);
            let asked = |flow: f64| asks.pressure(flow, supply.loss(&car.back, flow));
            if lone_rail < 0.0 || lone_rail <= asked(0.0) {
                return short(lone, lone_rail);
            }
            let point = supply.point("the regulated rail", |p| rail_of(p) - asked(back(p)))?;
            let rail = rail_of(point);
            Ok(Settled { point, rail, engine: draw.flow(rail).min(point.flow), short: false, empty: false })
        }
        SupplyStyle::BypassBeforeRail | SupplyStyle::Module => {
            let asked = |flow: f64| match style {
                SupplyStyle::Module if car.regulator.stuck_open => {
                    car.tank.0 + car.regulator.seat * flow * flow
                }
                SupplyStyle::Module => car.regulator.set.0 + car.tank.0,
                _ => asks.pressure(flow, supply.loss(&car.back, flow)),
            };
            if lone_rail < 0.0 || supply.filter_outlet(lone) <= asked(0.0) {
                return short(lone, lone_rail);
            }
            let mut failed = None;
            let point = {
                let failed = std::cell::RefCell::new(&mut failed);
                supply.point("the regulator before the rail", |p| {
                    let from = supply.filter_outlet(p);
                    match draw.rail_behind(supply, from) {
                        Ok(rail) => from - asked((p.flow - draw.flow(rail)).max(0.0)),
                        Err(error) => {
                            **failed.borrow_mut() = Some(error);
                            f64::NAN
                        }
                    }
                })
            };
            if let Some(error) = failed {
                return Err(error);
            }
            let point = point?;
            let rail = draw.rail_behind(supply, supply.filter_outlet(point))?;
            if rail < 0.0 {
                return short(point, rail);
            }
            Ok(Settled { point, rail, engine: draw.flow(rail).min(point.flow), short: false, empty: false })
        }
        SupplyStyle::Deadhead | SupplyStyle::SpeedControlled => {
            let target = match style {
                _ if car.regulator.stuck_open => f64::INFINITY,
                SupplyStyle::SpeedControlled => asks.base,
                _ if !draw.open_loop => asks.deadhead(draw.demand),
                _ => {
                    let off = |rail: f64| rail - asks.deadhead(draw.flow(rail));
                    let mut low = asks.base - 1e5;
                    while off(low) > 0.0 && low > -1e9 {
                        low = asks.base - (asks.base - low) * 4.0;
                    }
                    brent("the regulator before the rail", low, asks.base, PRESSURE_TOLERANCE, off)?
                }
            };
            if lone_rail <= target {
                return short(lone, lone_rail);
            }
            if target < 0.0 {
                return short(lone, target);
            }
            let engine = draw.flow(target);
            let point = supply.delivering("a pump that dead-heads", |_| engine)?;
            Ok(Settled { point, rail: target, engine, short: false, empty: false })
        }
    }
}

/// Turns the settled point into readings.
fn describe(
    car: &Car,
    condition: Condition,
    stations: Stations,
    supply: &Supply,
    draw: &Draw,
    settled: &Settled,
) -> Solution {
    let Point { rise, flow } = settled.point;
    let style = car.regulator.style;
    let inlet = supply.inlet(flow);
    let off = supply.top.rise <= 0.0;
    let jammed = matches!(car.pump.motor, Motor::Jammed(_));
    let held_rail = style == SupplyStyle::SpeedControlled && !settled.short;
    let (pump_outlet, filter_outlet) = if off {
        (0.0, 0.0)
    } else if held_rail {
        let outlet = settled.rail + supply.loss(&car.feed, flow);
        (outlet + car.filter * flow, outlet)
    } else {
        (rise + inlet, supply.filter_outlet(settled.point))
    };
    let (rise, voltage, duty) = if held_rail {
        let needed = pump_outlet - inlet;
        let voltage = average_voltage(supply, needed, flow);
        (needed, voltage, Some(voltage / supply.voltage(needed).max(1e-9)))
    } else {
        (rise, supply.voltage(rise), None)
    };
    let current = if off && !jammed { 0.0 } else { supply.current(rise) };
    let back = if condition == Condition::Pinched { 0.0 } else { (flow - settled.engine).max(0.0) };
    let across = Gauge(settled.rail).absolute(stations.open) - stations.tip(car.injection.tip);
    let delivered = settled.empty.then(|| settled.engine / draw.demand);
    let ledger = condition
        .running()
        .then(|| ledger(car, condition, &stations, across, draw.demand * car.fuel.density(), delivered));
    let runs = ledger.as_ref().map(|l| l.true_lambda <= LEAN_LIMIT && !car.air.cannot_run);
    let reference = match style {
        SupplyStyle::Module => car.tank,
        _ => reference(&car.regulator, &stations).gauge(stations.open),
    };
    let suction_head = supply.suction_head(flow);
    Solution {
        condition,
        rail: Gauge(settled.rail),
        pump_outlet: Gauge(pump_outlet),
        filter_outlet: Gauge(filter_outlet),
        injector: across,
        pump_inlet: Gauge(inlet),
        suction_head,
        reference,
        back_pressure: style.has_return().then(|| Gauge(supply.loss(&car.back, back) + car.tank.0)),
        sensed: sensed_pressure(car, &stations),
        battery: car.wiring.system(condition),
        pump_voltage: voltage,
        feed_drop: current * car.wiring.feed,
        ground_drop: current * car.wiring.ground,
        current,
        pump_flow: flow,
        return_flow: if matches!(style, SupplyStyle::Deadhead | SupplyStyle::SpeedControlled) {
            0.0
        } else {
            back
        },
        engine_flow: settled.engine,
        held: (condition == Condition::Rest).then(|| Gauge(held_pressure(car, settled.rail))),
        duty,
        ledger,
        runs,
        short: settled.short,
        relieving: supply.relieving_at.is_some_and(|at| (rise - at).abs() < 1.0),
        starving: flow > 0.0 && supply.need > 0.0 && suction_head < supply.need,
        stations,
    }
}

/// The voltage at which a speed-controlled pump gives `flow` at `rise`; full voltage where even that falls short.
fn average_voltage(supply: &Supply, rise: f64, flow: f64) -> f64 {
    let full = supply.voltage(rise);
    let left = |voltage: f64| supply.car.pump.unclamped_flow(rise, voltage) - flow;
    if left(full) <= 0.0 {
        return full;
    }
    brent("the speed of the pump", 0.0, full, 1e-6, left).unwrap_or(full)
}

/// Where a pinched-return step stops: 75 % of the gauge's range or the rating of the weakest part, whichever is less.
pub fn ceiling(car: &Car) -> Option<Gauge> {
    let gauge = car.gauge_top.map(|top| Gauge(0.75 * top.0));
    match (gauge, car.weakest) {
        (Some(a), Some(b)) => Some(if a < b { a } else { b }),
        (a, b) => a.or(b),
    }
}

/// The rail pressure the supply can hold while the engine takes `flow` (m³/s), Pa gauge, and the pressure the regulator asks
/// for with nothing to return.
pub(super) fn supply_at(car: &Car, condition: Condition, flow: f64) -> Result<(f64, f64), NoBalance> {
    let stations = stations(car, condition);
    let supply = Supply::new(car, condition)?;
    let asks = Asks::new(car, &stations);
    let feed = supply.loss(&car.feed, flow);
    let given = match supply.delivering("the supply at a flow", |_| flow) {
        Ok(point) if point.flow + 1e-12 >= flow => supply.filter_outlet(point) - feed,
        Ok(_) => NOTHING,
        Err(_) if supply.flow(0.0)? < flow => NOTHING,
        Err(error) => return Err(error),
    };
    let asked = match car.regulator.style {
        SupplyStyle::Module => car.regulator.set.0 + car.tank.0 - feed,
        SupplyStyle::BypassBeforeRail => asks.pressure(0.0, 0.0) - feed,
        SupplyStyle::Return => asks.pressure(0.0, 0.0),
        SupplyStyle::Deadhead => asks.deadhead(flow),
        SupplyStyle::SpeedControlled => asks.base,
    };
    Ok((given, asked))
}

/// Pressure across the injector when the rail stands at `rail` (Pa gauge).
pub(super) fn across_at(car: &Car, condition: Condition, rail: f64) -> Difference {
    let s = stations(car, condition);
    Gauge(rail).absolute(s.open) - s.tip(car.injection.tip)
}
