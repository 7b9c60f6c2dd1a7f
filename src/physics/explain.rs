//! The sum behind a reading: terms that add up to it, each with where it comes from.

use super::car::Car;
use super::regulator::reference_term;
use super::solution::Solution;
use super::{GRAVITY, needed_reference};
use crate::terms::{Reading, Station, SupplyStyle};

/// One term of a sum, in the SI unit of the reading.
#[derive(Debug, Clone, PartialEq)]
pub struct Term {
    /// What it is, in words.
    pub what: String,
    /// Its value.
    pub si: f64,
    /// Where it comes from.
    pub source: &'static str,
}

fn term(what: impl Into<String>, si: f64, source: &'static str) -> Term {
    Term { what: what.into(), si, source }
}

const RIG: &str = "rig file";
const LINE: &str = "pressure lost in a line, friction factor: Chem. Eng. 84(24), 1977";
const BALANCE: &str = "balance of pump curve, lines and demand";

/// The terms that add up to `reading` in `solution`; empty where the reading does not exist or is not a sum.
pub fn explain(car: &Car, solution: &Solution, reading: Reading) -> Vec<Term> {
    if solution.get(reading).is_none() {
        return Vec::new();
    }
    match reading {
        Reading::RailPressure => rail(car, solution),
        Reading::InjectorPressure => vec![
            term("rail, gauge", solution.rail.0, BALANCE),
            term(
                "atmosphere",
                solution.stations.open.0,
                "US Standard Atmosphere 1976, or the barometer given",
            ),
            term("pressure at the injector tip, taken off", -solution.stations.tip(car.injection.tip).0, RIG),
        ],
        Reading::FilterOutletPressure if solution.filter_outlet.0 != 0.0 => vec![
            term("rail, gauge", solution.rail.0, BALANCE),
            term("from the filter to the rail", (solution.filter_outlet - solution.rail).0, LINE),
        ],
        Reading::PumpOutletPressure if solution.pump_outlet.0 != 0.0 => vec![
            term("after the filter", solution.filter_outlet.0, BALANCE),
            term("over the filter", car.filter * solution.pump_flow, RIG),
        ],
        Reading::PumpInletPressure => {
            let head = car.fuel.density() * GRAVITY * car.pump.lift;
            let strainer = car.strainer * solution.pump_flow;
            vec![
                term("over the fuel in the tank", car.tank.0, RIG),
                term("lift of the pump above the fuel", -head, "density × gravity × height"),
                term("over the strainer", -strainer, RIG),
                term("along the inlet line", solution.pump_inlet.0 - car.tank.0 + head + strainer, LINE),
            ]
        }
        Reading::PumpVoltage if solution.pump_voltage > 0.0 && solution.duty.is_none() => vec![
            term("battery", solution.battery, RIG),
            term("along the feed wire", -solution.feed_drop, "current × resistance"),
            term("along the ground wire", -solution.ground_drop, "current × resistance"),
        ],
        Reading::ReturnFlow if solution.return_flow > 0.0 => vec![
            term("through the pump", solution.pump_flow, BALANCE),
            term("to the engine", -solution.engine_flow, "power × consumption, by share of full load"),
        ],
        _ => Vec::new(),
    }
}

fn rail(car: &Car, solution: &Solution) -> Vec<Term> {
    let r = &car.regulator;
    let gives = || vec![term("what the supply can give", solution.rail.0, BALANCE)];
    if solution.short || r.stuck_open || solution.condition == crate::terms::Condition::Pinched {
        return gives();
    }
    let reference = solution.stations.open + (solution.reference - crate::quantity::Gauge(0.0));
    let referenced = reference_term(r.ratio, reference, solution.stations.open);
    let mut terms = vec![term("set pressure", r.set.0, RIG)];
    if r.style == SupplyStyle::Module {
        terms.push(term("pressure over the fuel in the tank", car.tank.0, RIG));
    } else {
        let from = match r.reference {
            Station::Open => "reference open to air".to_owned(),
            station => format!("reference at {}", station.name()),
        };
        terms.push(term(from, referenced, "set + ratio × above atmosphere + below atmosphere"));
    }
    let so_far: f64 = terms.iter().map(|t| t.si).sum();
    let left = solution.rail.0 - so_far;
    let (what, source) = match r.style {
        SupplyStyle::Return => ("rise with the return flow", "rise × (return flow − return flow at setting)"),
        SupplyStyle::Deadhead => ("droop with the engine's flow", "rise × engine flow"),
        SupplyStyle::BypassBeforeRail => ("rise at the regulator and loss along the feed line", LINE),
        SupplyStyle::Module | SupplyStyle::SpeedControlled => ("along the feed line", LINE),
    };
    let floor =
        r.style == SupplyStyle::Return && (left - r.rise * (solution.return_flow - r.set_at)).abs() > 10.0;
    if floor {
        return vec![term("what return line and open seat need", solution.rail.0, LINE)];
    }
    terms.push(term(what, left, source));
    terms
}

/// In words, why the reference belongs where the model puts it for this car, and whether it is there.
pub fn reference_advice(car: &Car) -> String {
    let needed = needed_reference(car.injection.tip, car.engine.induction);
    let tip = match car.injection.tip {
        crate::terms::Tip::AbovePlates => "above the throttle plates",
        crate::terms::Tip::BelowPlates => "below the throttle plates",
        crate::terms::Tip::Port => "in the port",
    };
    let right = match needed {
        Station::Open => "open to air".to_owned(),
        Station::BeforePlates => {
            "to a static tap before the plates, out of the stream and after any intercooler".to_owned()
        }
        station => format!("to {}", station.name()),
    };
    if car.regulator.reference == needed {
        return format!(
            "The injectors spray {tip}, so the regulator's reference belongs {right}. By what is stated of this car it is there."
        );
    }
    format!(
        "By what is stated of this car the regulator's reference is at {}; right means there. As the injectors spray {tip}, it \
         would rather belong {right}: a standing difference that the controller must be told of.",
        car.regulator.reference.name()
    )
}
