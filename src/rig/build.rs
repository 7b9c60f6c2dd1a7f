//! From values to the parts of a car: each part of the rig file put together and checked as a whole.

use super::fields::{DEFAULT_CURVE, FIELDS};
use super::problem::RigError;
use super::read::Value;
use super::values::Builder;
use super::{Fact, Instruments, Rig};
use crate::instrument::{Accuracy, Instrument, Range};
use crate::physics::{
    Air, Blend, BlowerInlet, Car, Controller, CurvePoint, Engine, GASOLINE_DENSITY, Injection, LightLoad,
    Motor, Pump, Regulator, Sensing, Site, Wiring, default_consumption, needed_reference, solve,
    standard_atmosphere,
};
use crate::quantity::{Absolute, Difference, Dimension, Gauge, Measure};
use crate::terms::{Condition, Induction, Station, SupplyStyle, Tip};

impl Builder<'_> {
    fn curve(&mut self, density: f64) -> Vec<CurvePoint> {
        let path = "pump.curve";
        let rows: Vec<Vec<String>> = match self.text.values.get(path) {
            Some(Value::Rows(rows)) => {
                self.note(path, &format!("{} points", rows.len()), false);
                rows.clone()
            }
            Some(_) => {
                self.fail(path, "expected rows such as [300 kPa, 250 L/h, 9.9 A]");
                return Vec::new();
            }
            None => {
                self.note(path, "a common in-line pump of 255 L/h at 300 kPa", true);
                DEFAULT_CURVE.iter().map(|row| row.iter().map(|t| (*t).to_owned()).collect()).collect()
            }
        };
        let mut curve: Vec<CurvePoint> = Vec::new();
        for (i, row) in rows.iter().enumerate() {
            let [rise, flow, current] = row.as_slice() else {
                self.fail(
                    path,
                    format!("row {}: expected rise, flow and current, found {} values", i + 1, row.len()),
                );
                continue;
            };
            let rise = self.measured(path, rise, Dimension::Pressure);
            let flow = self.flow_text(path, flow, density);
            let current = self.measured(path, current, Dimension::Current);
            let (Some(rise), Some(flow), Some(current)) = (rise, flow, current) else { continue };
            if let Some(last) = curve.last() {
                if rise <= last.rise {
                    self.fail(path, format!("row {}: the pressure rise must grow from row to row", i + 1));
                } else if flow > last.flow {
                    self.fail(path, format!("row {}: the flow must not grow with the pressure rise", i + 1));
                }
            }
            if flow < 0.0 || current < 0.0 {
                self.fail(path, format!("row {}: flow and current must not be below zero", i + 1));
            }
            curve.push(CurvePoint { rise, flow, current });
        }
        if curve.len() < 2 {
            self.fail(path, "expected at least two points");
        } else if curve.last().is_some_and(|p| p.flow >= curve[0].flow) {
            self.fail(path, "the flow must fall over the curve");
        }
        curve
    }

    fn engine(&mut self, atmosphere: Absolute) -> Engine {
        let power = self.positive("engine.power", Dimension::Power);
        let induction = self.choice("engine.induction", Induction::Natural);
        let boost = if self.stated("engine.boost").is_some() {
            self.quantity("engine.boost", Dimension::Pressure)
        } else if induction == Induction::Natural {
            0.0
        } else {
            self.note("engine.boost", "6 psi", true);
            6.0 * 6_894.757_293_168_361
        };
        if boost < 0.0 {
            self.fail("engine.boost", "must not be below zero; a loss belongs in engine.intake_loss");
        }
        let consumption = if self.stated("engine.consumption").is_some() {
            self.positive("engine.consumption", Dimension::Consumption)
        } else {
            let boosted = boost > 0.0;
            let text =
                if induction == Induction::Natural && !boosted { "0.50 lb/hp/h" } else { "0.60 lb/hp/h" };
            self.note("engine.consumption", text, true);
            default_consumption(induction, boosted)
        };
        let intake_loss = self.not_negative("engine.intake_loss", Dimension::Pressure);
        let idle = self.light("idle");
        let raised = self.light("raised");
        let cruise_stated = self.stated("engine.cruise.manifold").is_some();
        let cruise = LightLoad {
            manifold: self
                .maybe("engine.cruise.manifold", Dimension::Pressure)
                .map_or(raised.manifold, Absolute),
            fuel: self.maybe("engine.cruise.fuel", Dimension::Share).unwrap_or(raised.fuel),
        };
        let mut inlet = |name: &str, otherwise: Absolute| {
            let path = format!("engine.blower_inlet.{name}");
            let stated = self.maybe(&path, Dimension::Pressure);
            (stated.is_some(), stated.map_or(otherwise, Absolute))
        };
        let (i, idle_inlet) = inlet("idle", idle.manifold);
        let (r, raised_inlet) = inlet("raised", raised.manifold);
        // Like the manifold's, the cruise figure follows the raised one only where no cruise is stated; otherwise the plenum stands in.
        let follows = if cruise_stated || !r { cruise.manifold } else { raised_inlet };
        let (c, cruise_inlet) = inlet("cruise", follows);
        let (l, load_inlet) = inlet("load", atmosphere - Difference(5_000.0));
        let blower_inlet = (i || r || c || l).then_some(BlowerInlet {
            idle: idle_inlet,
            raised: raised_inlet,
            cruise: cruise_inlet,
            load: load_inlet,
        });
        if blower_inlet.is_some() && induction != Induction::DrawThrough {
            self.fail(
                "engine.blower_inlet",
                "only a draw-through blower has an inlet behind the plates; remove it",
            );
        }
        Engine {
            power,
            consumption,
            induction,
            boost: Difference(boost),
            intake_loss: Difference(intake_loss),
            idle,
            raised,
            cruise,
            blower_inlet,
        }
    }

    fn light(&mut self, name: &str) -> LightLoad {
        LightLoad {
            manifold: Absolute(self.positive(&format!("engine.{name}.manifold"), Dimension::Pressure)),
            fuel: self.not_negative(&format!("engine.{name}.fuel"), Dimension::Share),
        }
    }

    fn regulator(&mut self, tip: Tip, induction: Induction, density: f64) -> Regulator {
        let style = self.choice("regulator.style", SupplyStyle::Return);
        let set = self.positive("regulator.set", Dimension::Pressure);
        let reference = if self.stated("regulator.reference").is_some() {
            self.choice("regulator.reference", Station::Open)
        } else {
            let needed = match style {
                SupplyStyle::Module => Station::Open,
                _ => needed_reference(tip, induction),
            };
            self.note("regulator.reference", needed.id(), true);
            needed
        };
        let ratio = self.number("regulator.ratio").unwrap_or(1.0);
        if ratio <= 0.0 {
            self.fail("regulator.ratio", "must be above zero");
        }
        let (rise, rise_at) = self.slope("regulator.rise", density);
        let (seat, seat_at) = self.slope("regulator.seat", density);
        let set_at = self.flow("regulator.rise.set_at", density);
        Regulator {
            style,
            set: Gauge(set),
            reference,
            ratio,
            rise: rise / rise_at,
            set_at: set_at.unwrap_or(f64::NAN),
            seat: seat / (seat_at * seat_at),
            reference_share: 1.0,
            stuck_open: false,
        }
    }

    fn controller(&mut self, set: Gauge, fuel: Blend, boosted: bool) -> Controller {
        let load_by = self.choice("controller.load_by", crate::terms::LoadBy::Manifold);
        let pressure_model = self.choice("controller.pressure_model", crate::terms::PressureModel::Constant);
        let across = if self.stated("controller.across_injector").is_some() {
            self.positive("controller.across_injector", Dimension::Pressure)
        } else {
            self.note("controller.across_injector", "the set pressure", true);
            set.0
        };
        let told = if self.stated("controller.ethanol").is_some() {
            Blend::new(self.share("controller.ethanol"))
        } else {
            self.note("controller.ethanol", "as in the fuel", true);
            fuel
        };
        let closed_loop = self.conditions("controller.closed_loop");
        let trim_limit = self.not_negative("controller.trim_limit", Dimension::Share);
        let mut lambda = [1.0; 4];
        for (i, name) in ["idle", "raised", "cruise"].into_iter().enumerate() {
            lambda[i] = self.lambda(&format!("controller.lambda.{name}")).unwrap_or(1.0);
        }
        lambda[3] = if self.stated("controller.lambda.load").is_some() {
            self.lambda("controller.lambda.load").unwrap_or(1.0)
        } else {
            let (value, text) = if boosted { (0.80, "0.80") } else { (0.86, "0.86") };
            self.note("controller.lambda.load", text, true);
            value
        };
        Controller {
            load_by,
            pressure_model,
            across: Difference(across),
            fuel: told,
            closed_loop,
            trim_limit,
            lambda,
        }
    }

    fn lambda(&mut self, path: &str) -> Option<f64> {
        let value = self.number(path)?;
        if !(0.5..=1.6).contains(&value) {
            self.fail(path, format!("expected a lambda between 0.5 and 1.6, found {value}"));
            return None;
        }
        Some(value)
    }

    fn share(&mut self, path: &str) -> f64 {
        let value = self.quantity(path, Dimension::Share);
        if !(0.0..=1.0).contains(&value) {
            self.fail(path, "expected a share between 0 and 100 %");
        }
        value.clamp(0.0, 1.0)
    }

    fn pump(&mut self, density: f64) -> Pump {
        let holds = self.text("pump.holds");
        let holds = match holds.as_deref() {
            Some("true" | "yes") | None => true,
            Some("false" | "no") => false,
            Some(other) => {
                let other = other.to_owned();
                self.fail("pump.holds", format!("expected yes or no, found '{other}'"));
                true
            }
        };
        let relief = self.maybe("pump.relief", Dimension::Pressure);
        if relief.is_some_and(|r| r <= 0.0) {
            self.fail("pump.relief", "must be above zero, or none");
        }
        Pump {
            kind: self.choice("pump.type", crate::terms::PumpType::Turbine),
            rated: self.positive("pump.rated", Dimension::Voltage),
            relief,
            curve: self.curve(density),
            lift: self.quantity("pump.lift", Dimension::Length),
            suction_need: self.not_negative("pump.suction_need", Dimension::Length),
            holds,
            leakage: 0.0,
            speed: 1.0,
            drag: 1.0,
            motor: Motor::Turns,
        }
    }

    fn range(&mut self, path: &str) -> (f64, f64) {
        let Some(text) = self.text(path) else { return (0.0, 1.0) };
        let parts = text.split_once("..").and_then(|(low, high)| {
            let high = Measure::parse(high, Dimension::Pressure).ok()?;
            let low = Measure::parse_or(low, high.unit).ok()?;
            (low.si < high.si).then_some((low.si, high.si))
        });
        parts.unwrap_or_else(|| {
            self.fail(path, format!("expected a range such as 0..100 psi, found '{text}'"));
            (0.0, 1.0)
        })
    }

    fn accuracy(&mut self, path: &str) -> Option<Accuracy> {
        let text = self.text(path)?;
        match text.parse::<Accuracy>() {
            Ok(accuracy) => Some(accuracy),
            Err(error) => {
                self.fail(path, format!("{error}"));
                None
            }
        }
    }

    fn instruments(&mut self) -> Option<Instruments> {
        let pressure = self.gauge("pressure", "pressure gauge");
        let vacuum = self.gauge("vacuum", "vacuum gauge");
        let meter = self.digital("meter", "multimeter", Dimension::Voltage);
        let clamp = self.digital("clamp", "clamp meter", Dimension::Current);
        Some(Instruments { pressure: pressure?, vacuum: vacuum?, meter: meter?, clamp: clamp? })
    }

    fn gauge(&mut self, name: &str, label: &str) -> Option<Instrument> {
        let (low, high) = self.range(&format!("instruments.{name}.range"));
        let accuracy = self.accuracy(&format!("instruments.{name}.class"));
        let path = format!("instruments.{name}.graduation");
        let resolution = self.positive(&path, Dimension::Pressure);
        self.instrument(&path, label, (Dimension::Pressure, Range { low, high }), accuracy?, resolution)
    }

    fn digital(&mut self, name: &str, label: &str, dimension: Dimension) -> Option<Instrument> {
        let accuracy = self.accuracy(&format!("instruments.{name}.accuracy"));
        let path = format!("instruments.{name}.resolution");
        let resolution = self.positive(&path, dimension);
        self.instrument(&path, label, (dimension, Range { low: 0.0, high: 60.0 }), accuracy?, resolution)
    }

    /// An instrument whose parts fit each other; a graduation that does not is told at its own key.
    fn instrument(
        &mut self,
        path: &str,
        label: &str,
        (dimension, range): (Dimension, Range),
        accuracy: Accuracy,
        resolution: f64,
    ) -> Option<Instrument> {
        match Instrument::new(label, dimension, Some(range), accuracy, resolution) {
            Ok(instrument) => Some(instrument),
            Err(error) => {
                // What is wrong with the range is told where it is read.
                if range.low < range.high {
                    self.fail(path, error.to_string());
                }
                None
            }
        }
    }

    /// Builds the rig, or says everything that is wrong.
    pub(super) fn build(mut self) -> Result<Rig, RigError> {
        let name = self.text("rig").unwrap_or_default();
        let site_atmosphere = if self.stated("site.barometer").is_some() {
            Absolute(self.positive("site.barometer", Dimension::Pressure))
        } else {
            standard_atmosphere(self.quantity("site.altitude", Dimension::Length))
        };
        if !(40_000.0..=115_000.0).contains(&site_atmosphere.0) {
            let path =
                if self.stated("site.barometer").is_some() { "site.barometer" } else { "site.altitude" };
            let kpa = site_atmosphere.kpa();
            self.fail(path, format!("gives an atmosphere of {kpa:.1} kPa; expected 40 to 115 kPa (station pressure, not reduced to sea level)"));
        }
        self.text("site.air");
        let fuel_temperature = self.quantity("site.fuel", Dimension::Temperature);
        let heat_soak = self.number("site.heat_soak").unwrap_or(25.0);
        let fuel = Blend::new(self.share("fuel.ethanol"));
        let density = fuel.density();
        let reid = self.positive("fuel.reid_vapour_pressure", Dimension::Pressure);
        let engine = self.engine(site_atmosphere);
        let tip = self.choice("injection.tip", Tip::Port);
        let count = self.number("injection.count").unwrap_or(1.0);
        if count < 1.0 || count.fract() != 0.0 {
            self.fail("injection.count", "expected a whole number of injectors, at least 1");
        }
        let injector = self.flow("injection.flow", GASOLINE_DENSITY).unwrap_or(1.0) * GASOLINE_DENSITY;
        if injector <= 0.0 {
            self.fail("injection.flow", "must be above zero");
        }
        let rated_at = self.positive("injection.rated_at", Dimension::Pressure);
        let injection = Injection { tip, count, flow: injector, rated_at: Difference(rated_at) };
        let regulator = self.regulator(tip, engine.induction, density);
        let boosted = engine.boost.0 > 0.0;
        let pump = self.pump(density);
        let controller = self.controller(regulator.set, fuel, boosted);
        let strainer = self.optional_drop("strainer", density);
        let filter = self.optional_drop("filter", density);
        let (inlet, feed, back) = (self.line("inlet"), self.line("feed"), self.line("return"));
        let tank = Gauge(self.quantity("tank", Dimension::Pressure));
        let wiring = Wiring {
            feed: self.not_negative("wiring.feed", Dimension::Resistance),
            ground: self.not_negative("wiring.ground", Dimension::Resistance),
            resting: self.positive("wiring.resting", Dimension::Voltage),
            running: self.positive("wiring.running", Dimension::Voltage),
            cranking: self.positive("wiring.cranking", Dimension::Voltage),
            open: false,
        };
        let weakest = self.maybe("ratings.weakest", Dimension::Pressure).map(Gauge);
        let rest = self.quantity("rest", Dimension::Time);
        let tools = self.tools();
        let instruments = self.instruments();
        let mut car = Car {
            site: Site {
                atmosphere: site_atmosphere,
                fuel_temperature,
                heat_soak,
                hot_rise: 0.0,
                hot_need: 0.0,
            },
            fuel,
            reid,
            engine,
            injection,
            regulator,
            pump,
            inlet,
            strainer,
            filter,
            feed,
            back,
            tank,
            wiring,
            controller,
            sensing: Sensing { station: Station::Plenum, share: 1.0, offset: 0.0 },
            offsets: None,
            air: Air::sound(),
            rest,
            gauge_top: instruments.as_ref().and_then(|i| i.pressure.range).map(|r| Gauge(r.high)),
            weakest,
        };
        let (Some(instruments), true) = (instruments, self.problems.is_empty()) else {
            return Err(RigError { source: self.text.source.clone(), problems: self.problems });
        };
        if car.regulator.set_at.is_nan() {
            self.default_set_at(&mut car);
        }
        self.order_facts();
        Ok(Rig { name, car, facts: self.facts, instruments, tools })
    }

    /// A filter or strainer: Pa/(m³/s), 0 when absent.
    fn optional_drop(&mut self, part: &str, density: f64) -> f64 {
        if self.stated(&format!("{part}.drop")).is_none() {
            self.note(&format!("{part}.drop"), "none", true);
            return 0.0;
        }
        let (drop, at) = self.slope(part, density);
        drop / at
    }

    /// The return flow the pressure was set at: what this rig returns on prime when the rail stands at the set pressure.
    fn default_set_at(&mut self, car: &mut Car) {
        let mut flat = car.clone();
        flat.regulator.rise = 0.0;
        flat.regulator.set_at = 0.0;
        match solve(&flat, Condition::Prime) {
            Ok(solution) => {
                car.regulator.set_at = solution.return_flow;
                let litres = solution.return_flow * 3.6e6;
                self.note(
                    "regulator.rise.set_at",
                    &format!("{litres:.1} L/h, what it returns on prime"),
                    true,
                );
            }
            Err(error) => {
                car.regulator.set_at = 0.0;
                self.fail("regulator.rise.set_at", error.to_string());
            }
        }
    }

    fn order_facts(&mut self) {
        let place = |fact: &Fact| FIELDS.iter().position(|f| f.path == fact.path);
        self.facts.sort_by_key(place);
    }
}
