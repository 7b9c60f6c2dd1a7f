//! From a rig and what is planned to what the supply screen shows.

use super::super::supply::{PLANS, SupplyRow, SupplySheet};
use super::super::theme::Role;
use super::super::widgets::Scale;
use crate::quantity::{Dimension, Measure, UnitSystem, figures, show};
use crate::rig::Rig;
use crate::session::{AtPower, Capacity, Planned, supply, supply_curve, supply_planned};
use crate::terms::Induction;

/// Blends beyond this share of ethanol get a word about the trade's rules for them.
const MUCH_ETHANOL: f64 = 0.15;

fn words_of(induction: Induction) -> &'static str {
    match induction {
        Induction::Natural => "natural",
        Induction::DrawThrough => "draw-through, a blower behind the throttle plates",
        Induction::BlowThrough => "blow-through, a compressor before the throttle plates",
    }
}

/// Reads what is typed; a text that cannot be understood is said and counts as not planned.
fn read(planned: &[String; PLANS.len()]) -> (Planned, [Option<String>; PLANS.len()]) {
    let mut problems: [Option<String>; PLANS.len()] = Default::default();
    let mut value = |row: usize, dimension: Dimension, fits: &dyn Fn(f64) -> bool, range: &str| {
        let text = planned[row].trim();
        if text.is_empty() {
            return None;
        }
        match Measure::parse(text, dimension) {
            Ok(measure) if fits(measure.si) => Some(measure.si),
            Ok(_) => {
                problems[row] = Some(format!("expected {range}, found '{text}'"));
                None
            }
            Err(error) => {
                problems[row] = Some(error.to_string());
                None
            }
        }
    };
    let power = value(0, Dimension::Power, &|w| w > 0.0 && w <= 4e6, "more than nothing and at most 4 MW");
    let ethanol = value(1, Dimension::Share, &|s| (0.0..=1.0).contains(&s), "0 to 100 %");
    let boost = value(2, Dimension::Pressure, &|p| (0.0..=5e5).contains(&p), "0 to 5 bar of boost");
    let induction = planned[3].parse().ok();
    (Planned { power, ethanol, boost, induction }, problems)
}

/// The supply of a car as it is and as planned.
pub fn sheet(rig: &Rig, planned: &[String; PLANS.len()], units: UnitSystem) -> SupplySheet {
    let (plan, problems) = read(planned);
    let mut choices = vec![(String::new(), format!("as it is, {}", words_of(rig.car.engine.induction)))];
    choices.extend(Induction::ALL.iter().map(|i| (i.id().to_owned(), words_of(*i).to_owned())));
    let mut sheet = SupplySheet { car: rig.name.clone(), problems, choices, ..SupplySheet::default() };
    let is_plan = plan != Planned::default();
    let now = match supply(rig) {
        Ok(now) => now,
        Err(error) => return SupplySheet { broken: Some(error.to_string()), ..sheet },
    };
    let then = match is_plan.then(|| supply_planned(rig, &plan)).transpose() {
        Ok(then) => then,
        Err(error) => return SupplySheet { broken: Some(error.to_string()), ..sheet },
    };
    let power = |w: f64| show(w, units.unit_for(Dimension::Power), None, 3);
    let pressure = |p: f64| show(p, units.unit_for(Dimension::Pressure), None, 3);
    let percent = |share: f64| format!("{} %", figures(share * 100.0, 2));
    let limit = |id: &str| id.replace('-', " ");

    let most =
        [Some(&now), then.as_ref()].into_iter().flatten().map(|c| c.most.max(c.power)).fold(0.0, f64::max);
    let unit = units.unit_for(Dimension::Power);
    for (name, c) in [("now", Some(&now)), ("planned", then.as_ref())] {
        let Some(c) = c else { continue };
        let enough = c.margin() >= 0.0;
        let word = if enough { "enough" } else { "NOT enough" };
        let by = percent(c.margin().abs());
        let side = if enough { "to spare" } else { "short" };
        sheet.answers.push((
            enough,
            format!(
                "{name}: {} asked for, the supply feeds {}, {word}, {by} {side}. First limit: {}.",
                power(c.power),
                power(c.most),
                limit(c.first.id())
            ),
        ));
        sheet.lines.push((
            name.to_owned(),
            Scale {
                from: 0.0,
                to: round_up(unit.from_si(most)),
                low: None,
                high: Some(unit.from_si(c.most)),
                unit: unit.symbol.to_owned(),
                marker: Some(unit.from_si(c.power)),
                says: format!("{} asked", figures(unit.from_si(c.power), 3)),
                role: if enough { Role::Within } else { Role::Outside },
            },
        ));
    }
    let mut row = |what: &str, of: &dyn Fn(&Capacity) -> String| {
        sheet.rows.push(SupplyRow { what: what.to_owned(), now: of(&now), planned: then.as_ref().map(of) });
    };
    row("power asked for", &|c| power(c.power));
    row("the supply feeds", &|c| power(c.most));
    row("margin", &|c| percent(c.margin()));
    row("first limit", &|c| limit(c.first.id()));
    row("by pressure alone", &|c| power(c.by_pressure));
    row("by the injectors alone", &|c| power(c.by_injectors));
    row("injector duty", &|c| percent(c.duty));
    row("regulator asks", &|c| pressure(c.asked));
    row("supply could hold", &|c| pressure(c.given));

    let leading = then.as_ref().unwrap_or(&now);
    sheet.gains = leading
        .gains
        .iter()
        .map(|(which, gain)| {
            let before = now.gains.iter().find(|(w, _)| w == which).map_or(0.0, |(_, g)| *g);
            SupplyRow {
                what: format!("with {} ({})", which.removal(), limit(which.id())),
                now: format!("{} more", power(before)),
                planned: then.as_ref().map(|_| format!("{} more", power(*gain))),
            }
        })
        .collect();
    // The figures above already closed, so the curve does too; if it does not, it is left out.
    sheet.powers = supply_curve(rig, &plan)
        .unwrap_or_default()
        .into_iter()
        .map(|AtPower { power: at, given, asked, duty }| {
            let spare = if given >= asked { "" } else { ", falls short" };
            (
                power(at),
                format!(
                    "holds {}, asked {}, duty {}{spare}",
                    pressure(given),
                    pressure(asked),
                    percent(duty)
                ),
            )
        })
        .collect();
    let fuel = plan.on(rig).fuel;
    if fuel.ethanol > MUCH_ETHANOL {
        sheet.remarks.push(format!(
            "This blend needs {} % more volume than gasoline at equal air. Fuel sold as E85 holds 51 to 83 % ethanol (ASTM D5798); \
             reckon with what is measured in the tank.",
            figures((fuel.volume_ratio_equal_air() - 1.0) * 100.0, 2)
        ));
    }
    sheet.remarks.push(
        "Duty is held to 85 % at most (common practice). Fuel is power times brake specific consumption; where that is a default \
         of common practice, so is the margin."
            .to_owned(),
    );
    sheet
}

/// The next round number up: 1, 2 or 5 and zeros, in fifths.
fn round_up(value: f64) -> f64 {
    let step = 10f64.powf(value.max(1.0).log10().floor()) / 5.0;
    (value * 1.02 / step).ceil() * step
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rig() -> Rig {
        Rig::parse("test", "format: 1\nrig: test car\n").unwrap()
    }

    fn planned(texts: [&str; PLANS.len()]) -> [String; PLANS.len()] {
        texts.map(str::to_owned)
    }

    #[test]
    fn without_a_plan_there_is_one_column_and_one_line() {
        let sheet = sheet(&rig(), &planned(["", "", "", ""]), UnitSystem::Us);
        assert!(sheet.rows.iter().chain(&sheet.gains).all(|r| r.planned.is_none()));
        assert_eq!((sheet.lines.len(), sheet.answers.len()), (1, 1));
        assert_eq!(sheet.powers.len(), 5);
    }

    #[test]
    fn more_power_ethanol_and_a_blower_each_make_the_margin_smaller() {
        let margin = |texts| {
            let sheet = sheet(&rig(), &planned(texts), UnitSystem::Us);
            assert_eq!(sheet.problems, [const { None }; PLANS.len()]);
            let row = sheet.rows.iter().find(|r| r.what == "margin").unwrap();
            let number = |text: &str| text.trim_end_matches(" %").replace('−', "-").parse::<f64>().unwrap();
            (number(&row.now), number(row.planned.as_ref().unwrap()))
        };
        for texts in [["600 hp", "", "", ""], ["", "85 %", "", ""], ["", "", "8 psi", "blow-through"]] {
            let (now, then) = margin(texts);
            assert!(then < now, "{texts:?}: {now} %, then {then} %");
        }
    }

    #[test]
    fn what_is_not_understood_is_said_where_it_was_typed() {
        let sheet = sheet(&rig(), &planned(["450 V", "140 %", "-3 psi", ""]), UnitSystem::Us);
        let says = |row: usize| sheet.problems[row].clone().unwrap();
        assert!(says(0).contains("expected a power"), "{}", says(0));
        assert!(says(1).contains("expected 0 to 100 %"), "{}", says(1));
        assert!(says(2).contains("0 to 5 bar"), "{}", says(2));
        assert!(sheet.rows.iter().all(|r| r.planned.is_none()));
    }

    #[test]
    fn the_axis_ends_on_a_round_number_beyond_the_value() {
        for (value, end) in [(300.0, 320.0), (512.0, 540.0), (1.0, 1.2), (999.0, 1_020.0)] {
            assert!((round_up(value) - end).abs() < 1e-9, "{value}: {}", round_up(value));
        }
    }
}
