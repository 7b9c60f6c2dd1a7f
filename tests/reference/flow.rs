//! Friction, lines, orifices and suction.

use super::{Row, absolute, relative, table};
use faultwalk::physics::{
    GRAVITY, Line, friction_factor, line_drop, solve, standard_atmosphere, true_vapour_pressure,
};
use faultwalk::quantity::{Absolute, Gauge, unit};
use faultwalk::rig::Rig;
use faultwalk::terms::Condition;

/// The Churchill column to 1e-6, the digits printed. Against the other columns the formula itself is judged: laminar within 0.2 %,
/// Colebrook within 3.1 % from Re 4,000 on (the table's own two columns lie up to 3.05 % apart), between them in the transition.
#[test]
fn friction_factors() {
    let rows = table("friction_factor");
    let (mut laminar, mut transition, mut turbulent) = (0, 0, 0);
    for row in &rows {
        let f = friction_factor(row.number("Re"), row.number("rel_roughness"));
        relative(row, "Churchill", f, row.number("f_Churchill_1977"), 1e-6);
        match (row.maybe("f_laminar_64_Re"), row.maybe("f_Colebrook")) {
            (Some(hagen), None) => {
                relative(row, "laminar", f, hagen, 2e-3);
                laminar += 1;
            }
            (Some(hagen), Some(colebrook)) => {
                assert!(hagen < f && f < colebrook, "{f}: {}", row.show());
                transition += 1;
            }
            (_, colebrook) => {
                relative(row, "Colebrook", f, colebrook.expect("a Colebrook factor"), 0.031);
                turbulent += 1;
            }
        }
    }
    assert_eq!((rows.len(), laminar, transition, turbulent), (40, 12, 8, 20));
}

/// The Churchill column to 0.1 %; the Colebrook column, another formula for the same hose, to 3 % where the flow is not in
/// transition, where nothing is reliable and the drop lies in the band the table gives.
#[test]
fn pressure_lost_in_lines() {
    let rows = table("pipe_drop");
    let mut banded = 0;
    for row in &rows {
        let fittings =
            0.9 * row.number("n_elbow90") + 0.5 * row.number("n_entrance") + 1.0 * row.number("n_exit");
        relative(row, "fittings", fittings, row.number("K_total"), 1e-9);
        let line = Line::new(row.number("inside_diameter_mm") * 1e-3, row.number("length_m"), fittings);
        let density = row.number("density_kg_m3");
        let viscosity = row.number("kin_visc_mm2_s") * 1e-6;
        let flow = unit("L/h").unwrap().to_si(row.number("flow_L_h"));
        let drop = line_drop(&line, density, viscosity, row.number("roughness_um") * 1e-6, flow);
        let rise = density * GRAVITY * row.number("rise_m");
        relative(row, "speed", drop.velocity, row.number("velocity_m_s"), 5e-6);
        relative(row, "Reynolds", drop.reynolds, row.number("Re"), 5e-6);
        relative(row, "fittings", drop.minor, 1e3 * row.number("dp_minor_kPa"), 1e-5);
        absolute(row, "rise", rise, 1e3 * row.number("dp_static_kPa"), 0.01);
        let total = drop.friction + drop.minor + rise;
        relative(row, "Churchill", total, 1e3 * row.number("dp_total_Churchill_kPa"), 1e-3);
        let colebrook = 1e3 * row.number("dp_total_kPa");
        if let Some(laminar) = row.maybe("dp_total_if_laminar_kPa") {
            assert!(1e3 * laminar < total && total < colebrook, "{total} Pa: {}", row.show());
            banded += 1;
        } else {
            relative(row, "Colebrook", total, colebrook, 0.03);
        }
        relative(row, "psi", unit("psi").unwrap().to_si(row.number("dp_total_psi")), colebrook, 1e-4);
    }
    assert_eq!((rows.len(), banded), (21, 1));
}

/// Flow through an injector by Bernoulli, six digits printed, and the difference across it at every stated rail and manifold. The
/// program's own door to the ratios is `calc injector-flow`, checked with the other formulas.
#[test]
fn flow_through_an_injector() {
    let rows = table("orifice");
    let mut placed = 0;
    for row in &rows {
        let (from, to) = (row.number("dp1_kPa"), row.number("dp2_kPa"));
        let (rho1, rho2) = (row.number("density1_kg_m3"), row.number("density2_kg_m3"));
        let volume = (to / from * rho1 / rho2).sqrt();
        relative(row, "volume", volume, row.number("volume_ratio"), 5e-6);
        relative(row, "volume", volume, row.number("volume_flow2") / row.number("volume_flow1"), 5e-6);
        relative(row, "mass", volume * rho2 / rho1, row.number("mass_ratio"), 5e-6);
        if !row.text("pressure_inputs").is_empty() {
            let value = |key: &str| -> f64 {
                let cell = row.text("pressure_inputs").split(';').find_map(|c| c.strip_prefix(key));
                cell.unwrap().trim_start_matches('=').parse().unwrap()
            };
            let air = Absolute(1e3 * value("atm_kPa"));
            let across =
                Gauge(1e3 * value("rail_gauge_kPa")).absolute(air) - Absolute(1e3 * value("MAP_abs_kPa"));
            relative(row, "across", across.kpa(), to, 5e-6);
            placed += 1;
        }
    }
    assert_eq!((rows.len(), placed), (15, 7));
}

/// Suction head of the gasoline rows to 0.1 % (or 0.01 m near zero, where two large heads cancel), five digits printed. Their
/// friction column is by Colebrook, so the inlet is reckoned with the loss the row states; our own loss agrees within 3 %.
fn gasoline(row: &Row) {
    let lift = row.number("lift_m");
    let density = 745.0;
    let air = standard_atmosphere(unit("ft").unwrap().to_si(row.number("altitude_ft")));
    relative(row, "atmosphere", air.kpa(), row.number("P_atm_kPa"), 5e-6);
    let psi = unit("psi").unwrap().to_si(row.number("RVP_psi"));
    let vapour = true_vapour_pressure(psi, unit("°F").unwrap().to_si(row.number("fuel_T_F")));
    relative(row, "vapour", vapour.kpa(), row.number("P_vapour_kPa"), 1e-3);
    let bore = match row.text("hose") {
        "5/16in" => 7.9375e-3,
        "3/8in" => 9.525e-3,
        _ => 12.7e-3,
    };
    let fittings = 0.9 * row.number("n_elbow90") + 0.5;
    let flow = unit("L/h").unwrap().to_si(row.number("flow_L_h"));
    let loss = Line::new(bore, row.number("hose_length_m"), fittings).loss(density, 0.55e-6, flow);
    relative(row, "friction", loss, 1e3 * row.number("dp_friction_kPa"), 0.03);
    let inlet = air.0 - density * GRAVITY * lift - 1e3 * row.number("dp_friction_kPa");
    relative(row, "inlet", inlet, 1e3 * row.number("P_inlet_abs_kPa"), 2e-5);
    let vacuum = unit("inHg").unwrap().from_si(air.0 - inlet);
    absolute(row, "vacuum", vacuum, row.number("inlet_vacuum_inHg"), 2e-3);
    let head = (inlet - vapour.0) / (density * GRAVITY);
    absolute(row, "head", head, row.number("NPSHa_m"), 1e-3 * row.number("NPSHa_m").abs().max(10.0));
    assert_eq!(head < 0.0, row.text("note").starts_with("boils"), "{}", row.show());
}

/// Heads of one published example in feet: surface, how far the surface stands above the pump, vapour, losses.
struct Example {
    surface: f64,
    above: f64,
    vapour: f64,
    losses: f64,
}

/// The terms of the published water examples, as their texts print them. In the fourth the gauge sits at the inlet, one foot above
/// the pump, and the speed there counts: 100/64.34 ft.
const EXAMPLES: [(&str, Example); 5] = [
    ("Open example", Example { surface: 33.9, above: 6.0, vapour: 0.839, losses: 4.0 }),
    ("7000 ft", Example { surface: 26.2, above: -8.0, vapour: 0.411, losses: 3.0 }),
    ("Flooded", Example { surface: 33.9, above: 20.0, vapour: 0.78, losses: 12.0 }),
    (
        "Gauge at inlet",
        Example {
            surface: 2.31 * 14.7,
            above: 1.0 + 100.0 / 64.34,
            vapour: 2.31 * 0.339,
            losses: -2.31 * 2.4,
        },
    ),
    ("Max lift", Example { surface: 32.8, above: -10.42, vapour: 1.38, losses: 5.0 }),
];

/// A whole car whose heads are those of a published example must report its suction head: the same sum through the solver, which
/// reckons in pressures. Heads of water become the same heads of the car's fuel; losses stand in as pressure over the tank, so
/// that they do not depend on flow.
fn published(row: &Row) {
    let (_, example) = EXAMPLES
        .iter()
        .find(|(name, _)| row.text("name").starts_with(name))
        .unwrap_or_else(|| panic!("no terms for {}", row.show()));
    let text = include_str!("../../fixtures/rigs/orchard-pickup.yaml");
    let mut car = Rig::parse("orchard-pickup.yaml", text).unwrap().car;
    let pascal_per_foot = car.fuel.density() * GRAVITY * 0.3048;
    car.site.atmosphere = Absolute(example.surface * pascal_per_foot);
    car.pump.lift = -example.above * 0.3048;
    car.tank = Gauge(-example.losses * pascal_per_foot);
    (car.inlet.length, car.inlet.fittings, car.strainer) = (0.0, 0.0, 0.0);
    // The Reid pressure whose vapour pressure is the example's, found by bisection.
    let (mut low, mut high) = (1.0, 200_000.0);
    for _ in 0..100 {
        let middle = 0.5 * (low + high);
        if true_vapour_pressure(middle, car.site.fuel_temperature).0 < example.vapour * pascal_per_foot {
            low = middle;
        } else {
            high = middle;
        }
    }
    car.reid = low;
    let head = solve(&car, Condition::Prime).unwrap().suction_head;
    relative(row, "published head", head, row.number("NPSHa_m"), 1e-3);
}

#[test]
fn suction_head() {
    let rows = table("pump_npsh");
    let (mut water, mut fuel) = (0, 0);
    for row in &rows {
        if row.text("row_type") == "published_water" {
            published(row);
            water += 1;
        } else {
            gasoline(row);
            fuel += 1;
        }
    }
    assert_eq!((rows.len(), water, fuel), (15, 5, 10));
}
