//! Wire and units.

use super::{relative, table};
use faultwalk::physics::{resistance_per_length, wire_diameter};
use faultwalk::quantity::unit;

/// ASTM B258 and NBS Handbook 100: our arithmetic to six digits, the handbook's printed resistances within 0.03 %.
#[test]
fn copper_wire() {
    let rows = table("wire");
    let (mut printed, mut drops) = (0, 0);
    for row in &rows {
        let awg = row.number("AWG");
        let d = wire_diameter(awg) * 1e3;
        relative(row, "diameter", d, row.number("diameter_mm"), 5e-6);
        let area = std::f64::consts::FRAC_PI_4 * d * d;
        relative(row, "area", area, row.number("area_mm2"), 5e-6);
        let celsius = row.maybe("wire_temp_C").unwrap_or(20.0);
        let ohm_per_m = resistance_per_length(awg, celsius + 273.15);
        relative(row, "resistance", ohm_per_m * 1e3, row.number("resistance_ohm_km"), 5e-6);
        if let Some(handbook) = row.maybe("published_ohm_km_20C") {
            relative(row, "handbook", ohm_per_m * 1e3, handbook, 3e-4);
            printed += 1;
        }
        if let Some(current) = row.maybe("current_A") {
            let drop = ohm_per_m * row.number("one_way_length_m") * current;
            relative(row, "one way", drop, row.number("drop_one_way_V"), 5e-6);
            relative(row, "round trip", 2.0 * drop, row.number("drop_round_trip_V"), 5e-6);
            drops += 1;
        }
    }
    assert_eq!((rows.len(), printed, drops), (31, 7, 24));
}

/// NIST SP 811 and the defining constants, to 1e-6.
///
/// Columns of mercury and water come in several temperatures; the program knows the conventional ones alone, and the rows of the
/// others check that they are indeed others, by as much as the tables say.
#[test]
fn units() {
    let rows = table("units");
    let (mut converted, mut other_columns) = (0, 0);
    for row in &rows {
        let (value, expected) = (row.number("from_value"), row.number("to_value"));
        let name = |column: &str| match row.text(column) {
            "inHg_conv_0C" => "inHg",
            "mmHg_conv" => "mmHg",
            "inH2O_conv" => "inH2O",
            "ft_H2O_conv" => "ftH2O",
            "gal_US_per_h" => "gal/h",
            "gal_US_per_min" => "gal/min",
            "L_per_h" => "L/h",
            "lb_per_h" | "lb_per_h_of_0.745_kg_L" => "lb/h",
            "kg_per_h" => "kg/h",
            "hp_mech" => "hp",
            "hp_metric" => "PS",
            "lb_per_hp_h" => "lb/hp/h",
            "g_per_kWh" => "g/kWh",
            "Btu_IT_per_lb" => "Btu/lb",
            "MJ_per_kg" => "MJ/kg",
            "lb_per_gal_US" => "lb/gal",
            "kg_per_m3" => "kg/m³",
            "F" => "°F",
            "C" => "°C",
            other => other,
        };
        let by_name = |n: &str| unit(n).unwrap_or_else(|| panic!("no unit '{n}': {}", row.show()));
        match row.text("from_unit") {
            // Heating value by volume is heating value by mass times density, two units of ours.
            "Btu_IT_per_gal" => {
                let by_mass = by_name("Btu/lb").to_si(value) * by_name("lb/gal").to_si(1.0);
                relative(row, "by volume", by_mass / 1e9, expected, 1e-6);
                converted += 1;
            }
            "lb_per_h_of_0.745_kg_L" => {
                let volume = by_name("lb/h").to_si(value) / 745.0;
                relative(row, "volume flow", by_name("L/h").from_si(volume), expected, 1e-6);
                converted += 1;
            }
            column @ ("inHg_60F" | "inH2O_4C" | "inH2O_60F") => {
                let conventional = if column.starts_with("inHg") { "inHg" } else { "inH2O" };
                let ours = by_name("kPa").from_si(by_name(conventional).to_si(value));
                let apart = 100.0 * (ours / expected - 1.0);
                let known = match column {
                    "inHg_60F" => 0.282,
                    "inH2O_4C" => 0.0028,
                    _ => 0.1,
                };
                assert!((apart - known).abs() < 0.0006, "{apart} % apart: {}", row.show());
                other_columns += 1;
            }
            _ => {
                let (from, to) = (by_name(name("from_unit")), by_name(name("to_unit")));
                assert_eq!(from.dimension, to.dimension, "{}", row.show());
                let found = to.from_si(from.to_si(value));
                if expected == 0.0 {
                    assert!(found.abs() < 1e-6, "{found}: {}", row.show());
                } else {
                    relative(row, "converted", found, expected, 1e-6);
                }
                let back = from.from_si(to.to_si(found));
                assert!((back - value).abs() < 1e-9 * value.abs().max(1.0), "{back}: {}", row.show());
                converted += 1;
            }
        }
    }
    assert_eq!((rows.len(), converted, other_columns), (37, 34, 3));
}
