//! `calc NAME key=value…`: one formula of the model at a time, with its source.

use super::car::parse_units;
use super::{Done, Failure, Output};
use crate::instrument::{check_limits, judge};
use crate::physics::{self, Blend, Line};
use crate::quantity::{Dimension, Measure, Unit, UnitSystem, figures, unit};
use crate::terms::nearest;
use serde_json::{Map, Value, json};
use std::cell::RefCell;
use std::collections::BTreeMap;

/// Arguments of `calc`.
#[derive(Debug, clap::Args)]
#[command(after_help = "Formulas and their inputs:
  atmosphere       altitude
  vapour-pressure  rvp, temperature
  fuel             ethanol
  friction         reynolds, roughness (relative)
  line-drop        density, viscosity, bore, roughness, length, flow, fittings, rise
  injector-flow    from, to [, density_from, density_to]
  wire             awg, length, current, temperature
  suction          altitude, temperature, rvp, lift, bore, length, flow, fittings [, density, viscosity]
  convert          value, to [, density]
  demand           power, consumption, ethanol
  verdict          reading, low, high, uncertainty

Examples:
  faultwalk calc atmosphere altitude='5000 ft'
  faultwalk calc line-drop flow='250 L/h' bore='8.7 mm' length='4.5 m' fittings=4 --units us
  faultwalk calc verdict reading='51 psi' low='56.9 psi' high='60.3 psi' uncertainty='1.2 psi'")]
pub struct Args {
    /// The formula.
    name: String,
    /// Inputs as key=value, each quantity with its unit.
    #[arg(value_name = "KEY=VALUE")]
    inputs: Vec<String>,
    /// Units of the result: metric or us.
    #[arg(long, value_parser = parse_units, default_value = "metric")]
    units: UnitSystem,
}

type Formula = fn(&Inputs) -> Result<Answer, String>;

const FORMULAS: &[(&str, Formula)] = &[
    ("atmosphere", atmosphere),
    ("vapour-pressure", vapour_pressure),
    ("fuel", fuel),
    ("friction", friction),
    ("line-drop", line_drop),
    ("injector-flow", injector_flow),
    ("wire", wire),
    ("suction", suction),
    ("convert", convert),
    ("demand", demand),
    ("verdict", verdict),
];

/// An output: its name and value in SI, or as a word.
enum Out {
    Si(&'static str, f64, Dimension),
    In(&'static str, f64, &'static Unit),
    Word(&'static str, String),
}

struct Answer {
    outputs: Vec<Out>,
    sources: Vec<&'static str>,
    notes: Vec<String>,
}

impl Answer {
    fn new(outputs: Vec<Out>, sources: &[&'static str]) -> Self {
        Self { outputs, sources: sources.to_vec(), notes: Vec::new() }
    }

    fn note(mut self, note: Option<impl Into<String>>) -> Self {
        self.notes.extend(note.map(Into::into));
        self
    }
}

/// The inputs given, which of them were asked for, and the defaults taken.
struct Inputs {
    given: BTreeMap<String, String>,
    used: RefCell<Vec<&'static str>>,
    defaults: RefCell<Vec<String>>,
}

impl Inputs {
    fn text(&self, key: &'static str) -> Option<&str> {
        self.used.borrow_mut().push(key);
        self.given.get(key).map(String::as_str)
    }

    fn maybe(&self, key: &'static str, dimension: Dimension) -> Result<Option<f64>, String> {
        self.text(key).map(|t| measure(key, t, dimension)).transpose()
    }

    fn get(&self, key: &'static str, dimension: Dimension) -> Result<f64, String> {
        self.maybe(key, dimension)?.ok_or_else(|| {
            format!("expected {key}=…, a {} such as {}; add it", dimension.name(), dimension.examples())
        })
    }

    fn or(&self, key: &'static str, default: &str, dimension: Dimension) -> Result<f64, String> {
        if let Some(value) = self.maybe(key, dimension)? {
            return Ok(value);
        }
        self.defaults.borrow_mut().push(format!("{key} {default} taken as default"));
        measure(key, default, dimension)
    }
}

fn measure(key: &str, text: &str, dimension: Dimension) -> Result<f64, String> {
    let bare_share = dimension == Dimension::Share
        && crate::quantity::parse_number(text).is_ok_and(|v| (0.0..=1.0).contains(&v));
    let dimension_read = if bare_share { Dimension::Plain } else { dimension };
    Measure::parse(text, dimension_read).map(|m| m.si).map_err(|e| format!("{key}: {e}"))
}

/// Evaluates the formula and prints it.
pub fn run(args: &Args, out: &mut Output) -> Result<Done, Failure> {
    let Some((name, formula)) = FORMULAS.iter().find(|(name, _)| *name == args.name) else {
        let hint = nearest(&args.name, FORMULAS.iter().map(|(n, _)| *n)).map_or_else(
            || format!("expected one of {}", FORMULAS.iter().map(|(n, _)| *n).collect::<Vec<_>>().join(", ")),
            |near| format!("did you mean '{near}'?"),
        );
        return Err(Failure::Input(format!("'{}' is no formula; {hint}", args.name)));
    };
    let mut given = BTreeMap::new();
    for input in &args.inputs {
        let Some((key, value)) = input.split_once('=') else {
            return Err(Failure::Input(format!("expected key=value, found '{input}'")));
        };
        if given.insert(key.trim().to_owned(), value.trim().to_owned()).is_some() {
            return Err(Failure::Input(format!("'{key}' is given twice; keep one")));
        }
    }
    let inputs = Inputs { given, used: RefCell::default(), defaults: RefCell::default() };
    let mut answer = formula(&inputs).map_err(|e| Failure::Input(format!("{name}: {e}")))?;
    let used = inputs.used.borrow();
    if let Some(odd) = inputs.given.keys().find(|k| !used.contains(&k.as_str())) {
        let hint = nearest(odd, used.iter().copied()).map_or_else(
            || format!("it takes {}", used.join(", ")),
            |near| format!("did you mean '{near}'?"),
        );
        return Err(Failure::Input(format!("{name} takes no '{odd}'; {hint}")));
    }
    answer.notes.extend(inputs.defaults.borrow().iter().cloned());
    print(name, &answer, args.units, out)?;
    Ok(Done::Fine)
}

/// The unit calc shows: as everywhere but for temperatures, which are in kelvin among metric ones.
fn shown_unit(units: UnitSystem, dimension: Dimension) -> &'static Unit {
    match (units, dimension) {
        (UnitSystem::Metric, Dimension::Temperature) => unit("K").unwrap_or(units.unit_for(dimension)),
        _ => units.unit_for(dimension),
    }
}

fn print(name: &str, answer: &Answer, units: UnitSystem, out: &mut Output) -> Result<(), Failure> {
    let mut outputs = Map::new();
    let mut lines = Vec::new();
    for output in &answer.outputs {
        let (key, value, text) = match output {
            Out::Si(key, si, dimension) => {
                let unit = shown_unit(units, *dimension);
                let value = unit.from_si(*si);
                (
                    *key,
                    json!({"value": value, "unit": unit.symbol}),
                    format!("{} {}", figures(value, 6), unit.symbol),
                )
            }
            Out::In(key, si, unit) => {
                let value = unit.from_si(*si);
                (
                    *key,
                    json!({"value": value, "unit": unit.symbol}),
                    format!("{} {}", figures(value, 9), unit.symbol),
                )
            }
            Out::Word(key, word) => (*key, json!({"value": word, "unit": ""}), word.clone()),
        };
        outputs.insert(key.to_owned(), value);
        lines.push(format!("{key:<28} {text}"));
    }
    if out.wants_json() {
        return out.json(&json!({
            "calc": name, "outputs": Value::Object(outputs), "sources": answer.sources, "notes": answer.notes
        }));
    }
    for line in lines {
        out.line(line.trim_end())?;
    }
    for source in &answer.sources {
        out.line(format!("source: {source}"))?;
    }
    for note in &answer.notes {
        out.line(format!("note: {note}"))?;
    }
    Ok(())
}

const ATMOSPHERE: &str = "U.S. Standard Atmosphere, 1976 (NOAA/NASA/USAF), geometric altitude";
const VAPOUR: &str = "US EPA AP-42, 5th ed., section 7.1, figure 7.1-14b, S = 3";
const FUEL: &str = "US DOE Alternative Fuels Data Center, Properties of Fuels";
const CHURCHILL: &str = "S. W. Churchill, Chemical Engineering 84(24), 91-92, 1977 (friction factor)";
const ORIFICE: &str = "orifice, constant discharge coefficient: volume flow ~ √(Δp/ρ), mass flow ~ √(Δp·ρ)";
const WIRE: &str =
    "ASTM B258 diameters; NBS Handbook 100 Copper Wire Tables, 100 % IACS, 0.00393 /K; solid wire";
const SUCTION: &str = "NPSH available = (pressure at the inlet − vapour pressure)/(ρ g)";
const UNITS: &str = "NIST SP 811 (2008), appendix B, and the defining constants";

fn atmosphere(i: &Inputs) -> Result<Answer, String> {
    let z = i.get("altitude", Dimension::Length)?;
    if !(-600.0..=11_000.0).contains(&z) {
        return Err(format!(
            "altitude: expected -600 to 11,000 m, the range of the troposphere, found {z} m"
        ));
    }
    Ok(Answer::new(
        vec![
            Out::Si("pressure", physics::standard_atmosphere(z).0, Dimension::Pressure),
            Out::Si("temperature", physics::standard_temperature(z), Dimension::Temperature),
            Out::Si("density", physics::standard_density(z), Dimension::Density),
        ],
        &[ATMOSPHERE],
    )
    .note(Some("a standard day; a real barometer differs by up to about 3 %")))
}

fn vapour_pressure(i: &Inputs) -> Result<Answer, String> {
    let (rvp, t) = (i.get("rvp", Dimension::Pressure)?, i.get("temperature", Dimension::Temperature)?);
    if rvp <= 0.0 {
        return Err("rvp: must be above zero".into());
    }
    let p = physics::true_vapour_pressure(rvp, t).0;
    Ok(Answer::new(vec![Out::Si("pressure", p, Dimension::Pressure)], &[VAPOUR])
        .note(physics::reid_range_note(rvp, t, 0.0)))
}

fn ethanol(i: &Inputs) -> Result<Blend, String> {
    let share = i.get("ethanol", Dimension::Share)?;
    if (0.0..=1.0).contains(&share) {
        Ok(Blend::new(share))
    } else {
        Err(format!("ethanol: expected 0 to 100 %, found {} %", share * 100.0))
    }
}

fn fuel(i: &Inputs) -> Result<Answer, String> {
    let b = ethanol(i)?;
    Ok(Answer::new(
        vec![
            Out::Si("mass_fraction", b.mass_fraction(), Dimension::Plain),
            Out::Si("density", b.density(), Dimension::Density),
            Out::Si("air_fuel_ratio", b.air_fuel_ratio(), Dimension::Plain),
            Out::Si("heating_value", b.heating_value(), Dimension::HeatingValue),
            Out::Si("mass_ratio_equal_air", b.mass_ratio_equal_air(), Dimension::Plain),
            Out::Si("volume_ratio_equal_air", b.volume_ratio_equal_air(), Dimension::Plain),
            Out::Si("volume_ratio_equal_energy", b.volume_ratio_equal_energy(), Dimension::Plain),
        ],
        &[FUEL],
    ))
}

fn friction(i: &Inputs) -> Result<Answer, String> {
    let reynolds = i.get("reynolds", Dimension::Plain)?;
    let roughness = i.or("roughness", "0", Dimension::Plain)?;
    if reynolds <= 0.0 || roughness < 0.0 {
        return Err("reynolds must be above zero and roughness (relative, roughness/bore) not below".into());
    }
    let uncertain = (2_000.0..4_000.0).contains(&reynolds);
    Ok(Answer::new(
        vec![Out::Si("darcy", physics::friction_factor(reynolds, roughness), Dimension::Plain)],
        &[CHURCHILL],
    )
    .note(uncertain.then_some("between Reynolds 2,000 and 4,000 no formula is reliable")))
}

fn line_drop(i: &Inputs) -> Result<Answer, String> {
    let density = i.or("density", "744.9 kg/m3", Dimension::Density)?;
    let viscosity = i.or("viscosity", "0.55 mm2/s", Dimension::Viscosity)?;
    let bore = i.get("bore", Dimension::Length)?;
    let roughness = i.or("roughness", "1.5 um", Dimension::Length)?;
    let length = i.get("length", Dimension::Length)?;
    let flow = i.get("flow", Dimension::VolumeFlow)?;
    let fittings = i.or("fittings", "0", Dimension::Plain)?;
    let rise = i.or("rise", "0 m", Dimension::Length)?;
    if bore <= 0.0 || length < 0.0 || flow < 0.0 || density <= 0.0 || viscosity <= 0.0 {
        return Err("bore, density and viscosity must be above zero, length and flow not below".into());
    }
    let d = physics::line_drop(&Line::new(bore, length, fittings), density, viscosity, roughness, flow);
    let rise = density * physics::GRAVITY * rise;
    Ok(Answer::new(
        vec![
            Out::Si("velocity", d.velocity, Dimension::Speed),
            Out::Si("reynolds", d.reynolds, Dimension::Plain),
            Out::Si("friction", d.friction, Dimension::Pressure),
            Out::Si("minor", d.minor, Dimension::Pressure),
            Out::Si("rise", rise, Dimension::Pressure),
            Out::Si("total", d.friction + d.minor + rise, Dimension::Pressure),
        ],
        &["pressure lost in a line, Δp = (f L/D + ΣK) ρ v²/2 + ρ g z", CHURCHILL],
    ))
}

fn injector_flow(i: &Inputs) -> Result<Answer, String> {
    let (from, to) = (i.get("from", Dimension::Pressure)?, i.get("to", Dimension::Pressure)?);
    let rho_from = i.or("density_from", "744.9 kg/m3", Dimension::Density)?;
    let rho_to = match i.maybe("density_to", Dimension::Density)? {
        Some(rho) => rho,
        None => rho_from,
    };
    if from <= 0.0 || to < 0.0 || rho_from <= 0.0 || rho_to <= 0.0 {
        return Err("pressures across the injector and densities must be above zero".into());
    }
    Ok(Answer::new(
        vec![
            Out::Si("volume_ratio", (to / from * rho_from / rho_to).sqrt(), Dimension::Plain),
            Out::Si("mass_ratio", (to * rho_to / (from * rho_from)).sqrt(), Dimension::Plain),
        ],
        &[ORIFICE],
    )
    .note(Some("static flow; the opening time lost to battery voltage and pressure is not in it")))
}

fn wire(i: &Inputs) -> Result<Answer, String> {
    let awg = i.get("awg", Dimension::Plain)?;
    let length = i.get("length", Dimension::Length)?;
    let current = i.get("current", Dimension::Current)?;
    let temperature = i.or("temperature", "20 °C", Dimension::Temperature)?;
    if !(-3.0..=40.0).contains(&awg) || length < 0.0 {
        return Err("awg from -3 (4/0) to 40, and a length not below zero".into());
    }
    let r = physics::resistance_per_length(awg, temperature);
    Ok(Answer::new(
        vec![
            Out::Si("resistance", r, Dimension::ResistancePerLength),
            Out::Si("drop", r * length * current, Dimension::Voltage),
        ],
        &[WIRE],
    )
    .note(Some("one way; contacts and the way back are not in it")))
}

fn suction(i: &Inputs) -> Result<Answer, String> {
    let z = i.get("altitude", Dimension::Length)?;
    let t = i.get("temperature", Dimension::Temperature)?;
    let rvp = i.get("rvp", Dimension::Pressure)?;
    let lift = i.get("lift", Dimension::Length)?;
    let bore = i.get("bore", Dimension::Length)?;
    let length = i.get("length", Dimension::Length)?;
    let flow = i.get("flow", Dimension::VolumeFlow)?;
    let fittings = i.or("fittings", "0", Dimension::Plain)?;
    let density = i.or("density", "745 kg/m3", Dimension::Density)?;
    let viscosity = i.or("viscosity", "0.55 mm2/s", Dimension::Viscosity)?;
    if bore <= 0.0 || length < 0.0 || flow < 0.0 || density <= 0.0 || viscosity <= 0.0 || rvp <= 0.0 {
        return Err("bore, rvp, density and viscosity must be above zero, length and flow not below".into());
    }
    let loss = Line::new(bore, length, fittings).loss(density, viscosity, flow);
    let inlet = physics::standard_atmosphere(z).0 - density * physics::GRAVITY * lift - loss;
    let vapour = physics::true_vapour_pressure(rvp, t).0;
    let head = (inlet - vapour) / (density * physics::GRAVITY);
    Ok(Answer::new(
        vec![
            Out::Si("inlet_pressure", inlet, Dimension::Pressure),
            Out::Si("suction_head", head, Dimension::Length),
        ],
        &[SUCTION, ATMOSPHERE, VAPOUR, CHURCHILL],
    )
    .note(physics::reid_range_note(rvp, t, 0.0))
    .note((head < 0.0).then_some("below zero: the fuel boils at the inlet")))
}

fn convert(i: &Inputs) -> Result<Answer, String> {
    let text = i.text("value").ok_or("expected value=…, a quantity with its unit; add it")?;
    let from = Measure::parse_any(text).map_err(|e| format!("value: {e}"))?;
    let to_text = i.text("to").ok_or("expected to=UNIT; add it")?;
    let to = unit(to_text).ok_or_else(|| {
        let near = crate::quantity::nearest_unit(to_text, Some(from.unit.dimension));
        near.map_or_else(
            || {
                format!(
                    "to: unknown unit '{to_text}'; for a {} use {}",
                    from.unit.dimension.name(),
                    from.unit.dimension.examples()
                )
            },
            |n| format!("to: unknown unit '{to_text}'; did you mean '{n}'?"),
        )
    })?;
    let si = match (from.unit.dimension, to.dimension) {
        (a, b) if a == b => from.si,
        (Dimension::MassFlow, Dimension::VolumeFlow) => {
            from.si / i.or("density", "744.9 kg/m3", Dimension::Density)?
        }
        (Dimension::VolumeFlow, Dimension::MassFlow) => {
            from.si * i.or("density", "744.9 kg/m3", Dimension::Density)?
        }
        (a, b) => return Err(format!("a {} can't be given in {to}, a unit of {}", a.name(), b.name())),
    };
    Ok(Answer::new(vec![Out::In("value", si, to)], &[UNITS]))
}

fn demand(i: &Inputs) -> Result<Answer, String> {
    let power = i.get("power", Dimension::Power)?;
    let consumption = i.or("consumption", "0.5 lb/hp/h", Dimension::Consumption)?;
    let blend = ethanol(i)?;
    let mass = physics::mass_flow(power, consumption, blend);
    Ok(Answer::new(
        vec![
            Out::Si("mass_flow", mass, Dimension::MassFlow),
            Out::Si("volume_flow", mass / blend.density(), Dimension::VolumeFlow),
        ],
        &["fuel = power × brake specific consumption on gasoline; another blend by heating value", FUEL],
    ))
}

fn verdict(i: &Inputs) -> Result<Answer, String> {
    let mut dimension: Option<Dimension> = None;
    let mut number = |key: &'static str| -> Result<Option<f64>, String> {
        let Some(text) = i.text(key) else { return Ok(None) };
        let m = Measure::parse_any(text).map_err(|e| format!("{key}: {e}"))?;
        match dimension {
            Some(d) if d != m.unit.dimension => {
                Err(format!("{key}: expected a {}, found '{text}'", d.name()))
            }
            _ => {
                dimension = Some(m.unit.dimension);
                // A spread of temperatures has no zero point.
                Ok(Some(if key == "uncertainty" { m.value() * m.unit.factor } else { m.si }))
            }
        }
    };
    let reading = number("reading")?.ok_or("expected reading=…; add it")?;
    let (low, high) = (number("low")?, number("high")?);
    let u = number("uncertainty")?.ok_or("expected uncertainty=…, one standard deviation; add it")?;
    if low.is_none() && high.is_none() {
        return Err("expected low=… or high=… or both; add one".into());
    }
    check_limits(reading, u, low, high).map_err(|e| e.to_string())?;
    let judged = judge(reading, u, low, high);
    let probability = judged.probability();
    Ok(Answer::new(
        vec![
            Out::Word("verdict", judged.verdict.id().to_owned()),
            Out::Si("probability", probability, Dimension::Plain),
        ],
        &["JCGM 106:2012, 7.4 and 8.2: a verdict needs a probability of 95 %"],
    ))
}
