//! `supply RIG`: will pump, wiring and hose feed this engine, now or after a change.

use super::car::{induction_of, parse_units, read_rig};
use super::{Done, Failure, Output};
use crate::physics::{self, Capacity, DUTY_LIMIT};
use crate::quantity::{Dimension, Measure, Unit, UnitSystem, show};
use crate::session::Planned;
use crate::terms::Induction;
use serde_json::json;
use std::path::PathBuf;

/// Arguments of `supply`.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  faultwalk example rig > car.yaml\n  faultwalk supply car.yaml\n  \
faultwalk supply car.yaml --power '450 hp' --ethanol '85 %'\n  \
faultwalk supply car.yaml --induction blow-through --boost '8 psi'")]
pub struct Args {
    /// The rig file.
    rig: PathBuf,
    /// Power planned, such as '450 hp'.
    #[arg(long)]
    power: Option<String>,
    /// Ethanol planned in the fuel, such as '85 %'.
    #[arg(long)]
    ethanol: Option<String>,
    /// Boost planned, such as '8 psi'.
    #[arg(long)]
    boost: Option<String>,
    /// Induction planned: natural, draw-through or blow-through.
    #[arg(long, value_parser = induction_of)]
    induction: Option<Induction>,
    /// Units of the result: metric or us; left out, those typed and those of the car's own gauge, and metric in JSON.
    #[arg(long, value_parser = parse_units)]
    units: Option<UnitSystem>,
}

/// Prints the margin, the first limit and what removing each would gain.
pub fn run(args: &Args, out: &mut Output) -> Result<Done, Failure> {
    let rig = read_rig(&args.rig)?;
    let quantity = |name: &str, text: &str, dimension| {
        Measure::parse(text, dimension).map_err(|e| Failure::Input(format!("--{name}: {e}")))
    };
    let measured = |name: &str, text: &Option<String>, dimension| {
        text.as_deref().map(|t| quantity(name, t, dimension)).transpose()
    };
    let power = measured("power", &args.power, Dimension::Power)?;
    let boost = measured("boost", &args.boost, Dimension::Pressure)?;
    let planned = Planned {
        power: power.as_ref().map(|m| m.si),
        ethanol: measured("ethanol", &args.ethanol, Dimension::Share)?.map(|m| m.si),
        boost: boost.as_ref().map(|m| m.si),
        induction: args.induction,
    };
    let own = args.units.or_else(|| rig.units()).unwrap_or_default();
    let typed = |of: &Option<Measure>, dimension| match (args.units, of) {
        (None, Some(m)) => m.unit,
        _ => own.unit_for(dimension),
    };
    let units = (typed(&power, Dimension::Power), typed(&boost, Dimension::Pressure));
    if planned.ethanol.is_some_and(|share| !(0.0..=1.0).contains(&share)) {
        let found = args.ethanol.as_deref().unwrap_or_default();
        return Err(Failure::Input(format!("--ethanol: expected 0 to 100 %, found '{found}'")));
    }
    let car = planned.on(&rig);
    if car.engine.power <= 0.0 {
        return Err(Failure::Input("--power: must be above zero".into()));
    }
    let capacity = physics::capacity(&car).map_err(Failure::input)?;
    if out.wants_json() {
        out.json(&as_json(&capacity, args.units.unwrap_or_default()))?;
    } else {
        as_text(&rig.name, &car, &capacity, units, out)?;
    }
    Ok(Done::Fine)
}

fn as_json(c: &Capacity, units: UnitSystem) -> serde_json::Value {
    let power = units.unit_for(Dimension::Power);
    let pressure = units.unit_for(Dimension::Pressure);
    let watts = |w: f64| json!({"value": power.from_si(w), "unit": power.symbol});
    let pascal =
        |p: f64| json!({"value": pressure.from_si(p), "unit": pressure.symbol, "reference": "gauge"});
    json!({
        "power": watts(c.power),
        "capacity": watts(c.most),
        "margin": {"value": c.margin() * 100.0, "unit": "%"},
        "first_limit": c.first.id(),
        "capacity_by_pressure": watts(c.by_pressure),
        "capacity_by_injectors": watts(c.by_injectors),
        "injector_duty": {"value": c.duty * 100.0, "unit": "%"},
        "rail_pressure_asked": pascal(c.asked),
        "rail_pressure_given": pascal(c.given),
        "gains": c.gains.iter().map(|(limit, gain)| json!({
            "limit": limit.id(), "removal": limit.removal(), "gain": watts(*gain)
        })).collect::<Vec<_>>(),
        "enough": c.margin() >= 0.0,
        "sources": [
            "fuel = power × brake specific consumption, blends by heating value (US DOE AFDC, Properties of Fuels)",
            "pump curve, lines by friction factor (Chem. Eng. 84(24), 1977), wiring by ASTM B258 or as stated",
            "injector duty limit 85 % (common practice)"
        ]
    })
}

fn as_text(
    name: &str,
    car: &physics::Car,
    c: &Capacity,
    (power, pressure): (&'static Unit, &'static Unit),
    out: &mut Output,
) -> Result<(), Failure> {
    let watts = |w: f64| show(w, power, None, 3);
    let pascal = |p: f64| show(p, pressure, None, 3);
    out.line(format!(
        "{name}: {} asked for at full load on E{:.0}",
        watts(c.power),
        car.fuel.ethanol * 100.0
    ))?;
    let verdict = if c.margin() >= 0.0 { "enough" } else { "NOT enough" };
    out.line(format!(
        "The supply feeds {}: {verdict}, margin {:+.0} %, first limit: {}.",
        watts(c.most),
        c.margin() * 100.0,
        c.first.id()
    ))?;
    out.line(format!(
        "At that power the regulator asks {} and the supply could hold {}.",
        pascal(c.asked),
        pascal(c.given)
    ))?;
    out.line(format!(
        "Injector duty {:.0} % of at most {:.0} % (common practice); by the injectors alone {}.",
        c.duty * 100.0,
        DUTY_LIMIT * 100.0,
        watts(c.by_injectors)
    ))?;
    out.line("What removing each limit alone would gain:")?;
    for (limit, gain) in &c.gains {
        out.line(format!("    {:>12} more with {} ({})", watts(*gain), limit.removal(), limit.id()))?;
    }
    if car.fuel.ethanol > 0.15 {
        let blend = car.fuel;
        out.line(format!(
            "This blend needs {:.0} % more volume than gasoline at equal air. The trade's rules, \"E85 takes about 30 % more \
flow\" and \"a gasoline power rating falls about 30 %\" (common practice), agree neither with each other (30 % more flow is 23 % \
less power) nor with one blend: fuel sold as E85 holds 51 to 83 % ethanol (ASTM D5798), 22 to 41 % more volume.",
            (blend.volume_ratio_equal_air() - 1.0) * 100.0
        ))?;
    }
    Ok(())
}
