//! `calc`: each formula through the program with `--json`, against the reference tables; its units, notes and errors.

use crate::commands::run;
use crate::reference::{Row, absolute, relative, table};
use serde_json::Value;

/// One run of `calc --json`.
struct Calculated(Value);

impl Calculated {
    /// The value of an output, whose unit must be `unit`.
    #[track_caller]
    fn value(&self, output: &str, unit: &str) -> f64 {
        let out = &self.0["outputs"][output];
        assert_eq!(out["unit"].as_str(), Some(unit), "{output} in {}", self.0);
        out["value"].as_f64().unwrap_or_else(|| panic!("no number '{output}' in {}", self.0))
    }

    fn says(&self, text: &str) -> bool {
        self.0["notes"].as_array().unwrap().iter().any(|n| n.as_str().unwrap().contains(text))
    }
}

fn calculate_in(units: &str, name: &str, inputs: &[String]) -> Calculated {
    let mut args = vec!["calc", name, "--json", "--units", units];
    args.extend(inputs.iter().map(String::as_str));
    let (out, errors) = run(&args, 0);
    assert!(errors.is_empty(), "{errors}");
    let json: Value = serde_json::from_str(&out).unwrap();
    assert_eq!(json["calc"].as_str(), Some(name));
    assert!(!json["sources"].as_array().unwrap().is_empty(), "{json}");
    Calculated(json)
}

fn calculate(name: &str, inputs: &[String]) -> Calculated {
    calculate_in("metric", name, inputs)
}

/// `key=TEXT UNIT` for the cell of a column.
fn cell(row: &Row, key: &str, column: &str, unit: &str) -> String {
    format!("{key}={} {unit}", row.text(column)).trim_end().to_owned()
}

#[test]
fn us_units_are_us_units_throughout() {
    let out = |name: &str, inputs: &[&str]| {
        let args: Vec<&str> =
            ["calc", name, "--units", "us"].into_iter().chain(inputs.iter().copied()).collect();
        crate::commands::run(&args, 0).0
    };
    let line = out("line-drop", &["flow=250 L/h", "bore=8.7 mm", "length=4.5 m"]);
    assert!(line.contains(" ft/s") && !line.contains(" m/s"), "{line}");
    let fuel = out("fuel", &["ethanol=10 %"]);
    assert!(fuel.contains("lb/gal") && fuel.contains("Btu/lb") && !fuel.contains("MJ/kg"), "{fuel}");
    let friction = out("friction", &["reynolds=100000"]);
    assert!(friction.starts_with("darcy "), "{friction}");
}

#[test]
fn atmosphere() {
    let rows = table("atmosphere");
    for row in &rows {
        let inputs = [cell(row, "altitude", "altitude_m", "m")];
        let c = calculate("atmosphere", &inputs);
        relative(row, "pressure", c.value("pressure", "kPa"), row.number("pressure_kPa"), 5e-5);
        relative(row, "temperature", c.value("temperature", "K"), row.number("temperature_K"), 1e-6);
        relative(row, "density", c.value("density", "kg/m³"), row.number("density_kg_m3"), 5e-6);
        let us = calculate_in("us", "atmosphere", &inputs);
        relative(row, "pressure", us.value("pressure", "psi"), row.number("pressure_psia"), 1e-5);
        let fahrenheit = row.number("temperature_C") * 1.8 + 32.0;
        absolute(row, "temperature", us.value("temperature", "°F"), fahrenheit, 1e-3);
    }
    assert_eq!(rows.len(), 25);
}

#[test]
fn vapour_pressure() {
    let rows = table("gasoline_tvp");
    for row in &rows {
        let inputs = [cell(row, "rvp", "RVP_psi", "psi"), cell(row, "temperature", "T_F", "°F")];
        let c = calculate("vapour-pressure", &inputs);
        relative(row, "equation", c.value("pressure", "kPa"), row.number("tvp_equation_kPa"), 1e-3);
        assert_eq!(c.says("extended beyond its table"), row.number("T_F") > 100.0, "{}", c.0);
        let us = calculate_in("us", "vapour-pressure", &inputs).value("pressure", "psi");
        relative(row, "equation", us, row.number("tvp_equation_psia"), 1e-3);
        if let Some(printed) = row.maybe("tvp_table_psia") {
            relative(row, "printed table", us, printed, 0.03);
        }
    }
    assert_eq!(rows.len(), 41);
}

#[test]
fn fuel() {
    let rows = table("fuel_properties");
    for row in &rows {
        let c = calculate("fuel", &[cell(row, "ethanol", "ethanol_vol_frac", "")]);
        let check = |output: &str, unit: &str, column: &str| {
            relative(row, output, c.value(output, unit), row.number(column), 1e-4);
        };
        absolute(row, "mass fraction", c.value("mass_fraction", ""), row.number("ethanol_mass_frac"), 1e-5);
        check("density", "kg/m³", "density_kg_m3");
        check("air_fuel_ratio", "", "AFR_stoich_mass");
        check("heating_value", "MJ/kg", "LHV_MJ_kg");
        check("mass_ratio_equal_air", "", "mass_flow_ratio_equal_air");
        check("volume_ratio_equal_air", "", "volume_flow_ratio_equal_air");
        check("volume_ratio_equal_energy", "", "volume_ratio_equal_energy");
    }
    assert_eq!(rows.len(), 15);
}

#[test]
fn friction() {
    let rows = table("friction_factor");
    for row in &rows {
        let c = calculate(
            "friction",
            &[cell(row, "reynolds", "Re", ""), cell(row, "roughness", "rel_roughness", "")],
        );
        relative(row, "Churchill", c.value("darcy", ""), row.number("f_Churchill_1977"), 1e-6);
        let re = row.number("Re");
        assert_eq!(c.says("no formula is reliable"), (2000.0..4000.0).contains(&re), "{}", row.show());
    }
    assert_eq!(rows.len(), 40);
}

#[test]
fn line_drop() {
    let rows = table("pipe_drop");
    for row in &rows {
        let inputs = [
            cell(row, "density", "density_kg_m3", "kg/m3"),
            cell(row, "viscosity", "kin_visc_mm2_s", "mm2/s"),
            cell(row, "bore", "inside_diameter_mm", "mm"),
            cell(row, "roughness", "roughness_um", "um"),
            cell(row, "length", "length_m", "m"),
            cell(row, "flow", "flow_L_h", "L/h"),
            cell(row, "fittings", "K_total", ""),
            cell(row, "rise", "rise_m", "m"),
        ];
        let c = calculate("line-drop", &inputs);
        relative(row, "speed", c.value("velocity", "m/s"), row.number("velocity_m_s"), 5e-6);
        relative(row, "Reynolds", c.value("reynolds", ""), row.number("Re"), 5e-6);
        relative(row, "minor", c.value("minor", "kPa"), row.number("dp_minor_kPa"), 1e-5);
        absolute(row, "rise", c.value("rise", "kPa"), row.number("dp_static_kPa"), 1e-5);
        let total = c.value("total", "kPa");
        relative(row, "Churchill", total, row.number("dp_total_Churchill_kPa"), 1e-3);
        let us = calculate_in("us", "line-drop", &inputs).value("total", "psi");
        relative(row, "psi", us * 6.894_757_293, total, 1e-9);
    }
    assert_eq!(rows.len(), 21);
}

#[test]
fn injector_flow() {
    let rows = table("orifice");
    for row in &rows {
        let c = calculate(
            "injector-flow",
            &[
                cell(row, "from", "dp1_kPa", "kPa"),
                cell(row, "to", "dp2_kPa", "kPa"),
                cell(row, "density_from", "density1_kg_m3", "kg/m3"),
                cell(row, "density_to", "density2_kg_m3", "kg/m3"),
            ],
        );
        relative(row, "volume", c.value("volume_ratio", ""), row.number("volume_ratio"), 5e-6);
        relative(row, "mass", c.value("mass_ratio", ""), row.number("mass_ratio"), 5e-6);
    }
    assert_eq!(rows.len(), 15);
}

#[test]
fn wire() {
    let rows = table("wire");
    for row in &rows {
        let filled = |column: &str, otherwise: f64| row.maybe(column).unwrap_or(otherwise);
        let c = calculate(
            "wire",
            &[
                cell(row, "awg", "AWG", ""),
                format!("length={} m", filled("one_way_length_m", 1.0)),
                format!("current={} A", filled("current_A", 1.0)),
                format!("temperature={} °C", filled("wire_temp_C", 20.0)),
            ],
        );
        let ohm = c.value("resistance", "Ω/km");
        relative(row, "resistance", ohm, row.number("resistance_ohm_km"), 5e-6);
        if let Some(handbook) = row.maybe("published_ohm_km_20C") {
            relative(row, "handbook", ohm, handbook, 3e-4);
        }
        if let Some(drop) = row.maybe("drop_one_way_V") {
            relative(row, "drop", c.value("drop", "V"), drop, 5e-6);
        }
    }
    assert_eq!(rows.len(), 31);
}

/// The table's hose losses are by Colebrook, ours by Churchill, which differ by up to 3 % of a loss of at most 10 kPa here; so the
/// inlet agrees within 0.05 kPa and the head within 0.01 m.
#[test]
fn suction() {
    let mut fuel = 0;
    for row in table("pump_npsh").iter().filter(|r| r.text("row_type") == "fuel_computed") {
        let bore = row.text("hose").trim_end_matches("in");
        let sixteenths = match bore {
            "5/16" => 5.0,
            "3/8" => 6.0,
            _ => 8.0,
        };
        let c = calculate(
            "suction",
            &[
                cell(row, "altitude", "altitude_ft", "ft"),
                cell(row, "temperature", "fuel_T_F", "°F"),
                cell(row, "rvp", "RVP_psi", "psi"),
                cell(row, "lift", "lift_m", "m"),
                format!("bore={} in", sixteenths / 16.0),
                cell(row, "length", "hose_length_m", "m"),
                cell(row, "flow", "flow_L_h", "L/h"),
                format!("fittings={}", 0.9 * row.number("n_elbow90") + 0.5),
            ],
        );
        absolute(row, "inlet", c.value("inlet_pressure", "kPa"), row.number("P_inlet_abs_kPa"), 0.05);
        let head = c.value("suction_head", "m");
        absolute(row, "head", head, row.number("NPSHa_m"), 0.01);
        assert_eq!(c.says("boils at the inlet"), head < 0.0, "{}", c.0);
        fuel += 1;
    }
    assert_eq!(fuel, 10);
}

#[test]
fn convert() {
    let known = [
        ("inHg_conv_0C", "inHg"),
        ("mmHg_conv", "mmHg"),
        ("inH2O_conv", "inH2O"),
        ("ft_H2O_conv", "ftH2O"),
        ("gal_US_per_h", "gal/h"),
        ("gal_US_per_min", "gal/min"),
        ("L_per_h", "L/h"),
        ("lb_per_h", "lb/h"),
        ("lb_per_h_of_0.745_kg_L", "lb/h"),
        ("kg_per_h", "kg/h"),
        ("hp_mech", "hp"),
        ("hp_metric", "PS"),
        ("lb_per_hp_h", "lb/hp/h"),
        ("g_per_kWh", "g/kWh"),
        ("Btu_IT_per_lb", "Btu/lb"),
        ("MJ_per_kg", "MJ/kg"),
        ("lb_per_gal_US", "lb/gal"),
        ("kg_per_m3", "kg/m3"),
    ];
    // Heating value by volume and columns at other temperatures are no units of ours.
    let not_ours = ["Btu_IT_per_gal", "inHg_60F", "inH2O_4C", "inH2O_60F"];
    let name = |text: &str| {
        known.iter().find(|(n, _)| *n == text).map_or_else(|| text.to_owned(), |(_, u)| (*u).to_owned())
    };
    let mut converted = 0;
    for row in table("units").iter().filter(|r| !not_ours.contains(&r.text("from_unit"))) {
        let to = name(row.text("to_unit"));
        let mut inputs = vec![
            format!("value={} {}", row.text("from_value"), name(row.text("from_unit"))),
            format!("to={to}"),
        ];
        if row.text("from_unit").contains("0.745") {
            inputs.push("density=745 kg/m3".to_owned());
        }
        let c = calculate("convert", &inputs);
        let found = c.0["outputs"]["value"]["value"].as_f64().unwrap();
        let expected = row.number("to_value");
        absolute(row, "converted", found, expected, 1e-6 * expected.abs().max(1e-3));
        converted += 1;
    }
    assert_eq!(converted, 33);
}

/// Power times consumption, by hand: 330 hp · 0.48 lb/hp/h = 158.4 lb/h on gasoline, of 744.9 kg/m³ 158.4·0.45359237/0.7449 L/h;
/// other blends by the heating values of the table.
#[test]
fn demand() {
    let rows = table("fuel_properties");
    let gasoline = rows[0].number("LHV_MJ_kg");
    for row in &rows {
        let inputs = [
            "power=330 hp".to_owned(),
            "consumption=0.48 lb/hp/h".to_owned(),
            cell(row, "ethanol", "ethanol_vol_frac", ""),
        ];
        let pounds = 158.4 * gasoline / row.number("LHV_MJ_kg");
        let us = calculate_in("us", "demand", &inputs);
        relative(row, "mass", us.value("mass_flow", "lb/h"), pounds, 2e-5);
        let c = calculate("demand", &inputs);
        relative(row, "mass", c.value("mass_flow", "kg/h"), pounds * 0.453_592_37, 2e-5);
        let litres = pounds * 0.453_592_37 / row.number("density_kg_m3") * 1e3;
        relative(row, "volume", c.value("volume_flow", "L/h"), litres, 2e-5);
        relative(row, "gallons", us.value("volume_flow", "gal/h"), litres / 3.785_411_784, 2e-5);
    }
}

/// The verdicts of the conformity cases, by the door a person uses.
#[test]
fn verdict() {
    let text = include_str!("../../fixtures/reference/diagnosis/e_conformity.json");
    let file: Value = serde_json::from_str(text).unwrap();
    let mut checked = 0;
    for case in file["gauge_to_u"]["cases"].as_array().unwrap() {
        let u = case["u"].as_f64().unwrap();
        let reading = case["reading"].as_f64().unwrap();
        // Twelve standard uncertainties below the limit is low for certain, on the limit is a coin's toss.
        for (low, word, p) in [(reading + 12.0 * u, "low", 1.0), (reading, "undecided", 0.5)] {
            let inputs =
                [format!("reading={reading} psi"), format!("low={low} psi"), format!("uncertainty={u} psi")];
            let c = calculate("verdict", &inputs);
            assert_eq!(c.0["outputs"]["verdict"]["value"], word, "{}", c.0);
            assert!((c.value("probability", "") - p).abs() < 1e-9, "{}", c.0);
            checked += 1;
        }
    }
    assert_eq!(checked, 6);
}

/// Errors name what was expected, what was found and the nearest right word; exit code 2, nothing on stdout.
#[test]
fn errors_say_what_to_do() {
    let cases: &[(&[&str], &[&str])] = &[
        (&["atmosfere", "altitude=0 m"], &["'atmosfere' is no formula", "did you mean 'atmosphere'?"]),
        (&["zzz"], &["'zzz' is no formula", "expected one of atmosphere, vapour-pressure"]),
        (&["atmosphere"], &["expected altitude=", "a length such as m, ft", "add it"]),
        (&["atmosphere", "altitud=5 m", "altitude=5 m"], &["takes no 'altitud'", "did you mean 'altitude'?"]),
        (&["atmosphere", "altitude=5 ft", "altitude=6 ft"], &["'altitude' is given twice"]),
        (&["atmosphere", "altitude"], &["expected key=value, found 'altitude'"]),
        (&["atmosphere", "altitude=5000"], &["expected a length with its unit", "such as m, ft"]),
        (&["atmosphere", "altitude=5000 psi"], &["expected a length, found '5000 psi', a pressure"]),
        (&["atmosphere", "altitude=5000 fet"], &["unknown unit 'fet'; did you mean"]),
        (&["atmosphere", "altitude=90 km"], &["expected -600 to 11,000 m"]),
        (&["atmosphere", "altitude=1,234 m"], &["could mean 1.234 or 1234"]),
        (&["atmosphere", "altitude=1e999 m"], &["outside the range of numbers"]),
        (&["atmosphere", "altitude=NaN m"], &["is not a number"]),
        (&["vapour-pressure", "rvp=9 psi", "temperature=-500 °F"], &["nothing is colder than 0 K"]),
        (&["fuel", "ethanol=120 %"], &["expected 0 to 100 %"]),
        (&["convert", "value=5 psi", "to=kPaa"], &["unknown unit 'kPaa'; did you mean 'kPa'?"]),
        (&["convert", "value=5 psi", "to=V"], &["a pressure can't be given in V"]),
        (&["convert", "value=-3 psi abs", "to=kPa"], &["an absolute pressure is never below zero"]),
        (&["wire", "awg=99", "length=1 m", "current=1 A"], &["awg from -3"]),
        (&["verdict", "reading=51 psi", "uncertainty=1 psi"], &["expected low=", "or both; add one"]),
        (&["verdict", "reading=51 psi", "low=12 V", "uncertainty=1 psi"], &["expected a pressure"]),
    ];
    for (inputs, expected) in cases {
        let mut args = vec!["calc"];
        args.extend(*inputs);
        let (out, errors) = run(&args, 2);
        assert!(out.is_empty(), "{out}");
        for text in *expected {
            assert!(errors.contains(text), "{args:?} does not say \"{text}\": {errors}");
        }
        assert!(!errors.contains("panicked"), "{errors}");
    }
}

/// Without `--json` each output stands on a line with its unit, then its sources.
#[test]
fn text_shows_values_units_and_sources() {
    let (out, _) = run(&["calc", "atmosphere", "altitude=5000 ft", "--units", "us"], 0);
    assert!(out.contains("12.2283 psi") && out.contains("41.1735 °F"), "{out}");
    assert!(out.contains("source: U.S. Standard Atmosphere, 1976"), "{out}");
}
