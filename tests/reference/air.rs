//! Atmosphere and manifold pressure.

use super::{absolute, relative, table};
use faultwalk::physics::{standard_atmosphere, standard_density, standard_temperature};
use faultwalk::quantity::{Absolute, Datum, Dimension, Gauge, Measure, unit};

fn inhg(pascal: f64) -> f64 {
    unit("inHg").unwrap().from_si(pascal)
}

/// US Standard Atmosphere 1976 to the six digits printed; the textbook column to its four (0.005 %).
#[test]
fn the_standard_atmosphere() {
    let mut published = 0;
    let rows = table("atmosphere");
    for row in &rows {
        let z = row.number("altitude_m");
        absolute(row, "feet", unit("ft").unwrap().from_si(z), row.number("altitude_ft"), 0.005);
        let p = standard_atmosphere(z).0;
        relative(row, "pressure", p, 1e3 * row.number("pressure_kPa"), 2e-6);
        relative(row, "psi", unit("psi").unwrap().from_si(p), row.number("pressure_psia"), 1e-5);
        relative(row, "inHg", inhg(p), row.number("pressure_inHg_0C"), 1e-5);
        let t = standard_temperature(z);
        relative(row, "temperature", t, row.number("temperature_K"), 1e-6);
        absolute(row, "Celsius", t - 273.15, row.number("temperature_C"), 1e-4);
        relative(row, "density", standard_density(z), row.number("density_kg_m3"), 5e-6);
        if let Some(printed) = row.maybe("published_kPa") {
            relative(row, "textbook", p, 1e3 * printed, 5e-5);
            published += 1;
        }
    }
    assert_eq!((rows.len(), published), (25, 7));
}

/// A vacuum reading is atmosphere less manifold pressure: the table's arithmetic, five digits printed.
#[test]
fn manifold_pressure_and_vacuum() {
    let rows = table("manifold");
    for row in &rows {
        let z = unit("ft").unwrap().to_si(row.number("altitude_ft"));
        let air = standard_atmosphere(z);
        relative(row, "atmosphere", inhg(air.0), row.number("atmosphere_inHg"), 2e-5);
        let text = format!("{} inHg vacuum", row.text("vacuum_inHg"));
        let vacuum = Measure::parse(&text, Dimension::Pressure).unwrap();
        assert_eq!(vacuum.datum, Some(Datum::Vacuum));
        let manifold = Gauge(-vacuum.si).absolute(air);
        absolute(row, "manifold", manifold.kpa(), row.number("MAP_abs_kPa"), 2e-3);
        absolute(row, "manifold", inhg(manifold.0), row.number("MAP_abs_inHg"), 1e-3);
        absolute(row, "gauge", manifold.gauge(air).kpa(), row.number("gauge_pressure_kPa"), 1e-3);
    }
    assert_eq!(rows.len(), 9);
}

/// The trade's "one inch of mercury less per 1,000 ft" holds within 0.1 inHg up to 6,000 ft, and its error as tabulated above.
#[test]
fn vacuum_and_altitude() {
    let rows = table("manifold_altitude");
    let idle = Absolute(unit("inHg").unwrap().to_si(9.9213));
    for row in &rows {
        let feet = row.number("altitude_ft");
        let air = standard_atmosphere(unit("ft").unwrap().to_si(feet));
        relative(row, "atmosphere", inhg(air.0), row.number("atmosphere_inHg"), 1e-5);
        let vacuum = inhg(-idle.gauge(air).0);
        absolute(row, "vacuum", vacuum, row.number("exact_vacuum_inHg"), 2e-4);
        let rule = 20.0 - feet / 1000.0;
        absolute(row, "rule", rule, row.number("rule_vacuum_inHg"), 1e-9);
        absolute(row, "error", rule - vacuum, row.number("rule_error_inHg"), 6e-3);
        if feet <= 6000.0 {
            assert!((rule - vacuum).abs() <= 0.11, "{}", row.show());
        }
        if let Some(mean) = row.maybe("mean_drop_inHg_per_1000ft") {
            relative(row, "mean drop", (20.0 - vacuum) / feet * 1000.0, mean, 1e-4);
        }
    }
    assert_eq!(rows.len(), 15);
}
