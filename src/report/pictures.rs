//! What the drawings show, as plain data: the fuel circuit, the induction path, rail against reference, the ledger.

use super::model::{LedgerAt, LedgerLine, Phase, Row, Slope, SlopePoint, Station};
use crate::physics::{self, Car, needed_reference, solve, stations};
use crate::quantity::Absolute;
use crate::rig::Rig;
use crate::session::seen_at;
use crate::terms::{Condition, Induction, PressureModel, Reading, Station as Air, SupplyStyle, Tip};
use crate::walk::{Given, Taken};

/// Readings closer together than this along the axis carry no slope, Pa.
const SPREAD: f64 = 5_000.0;

/// The last reading of each quantity and condition before a repair.
pub(super) fn latest<'a>(rows: &'a [(Row, &'a Given)]) -> Vec<&'a Taken> {
    let mut out: Vec<&Taken> = Vec::new();
    for (row, given) in rows {
        let Given::Read { taken } = given else { continue };
        if row.phase != Phase::Walk {
            continue;
        }
        out.retain(|t| (t.reading, t.condition, t.place) != (taken.reading, taken.condition, taken.place));
        out.push(taken);
    }
    out
}

/// A short name of a reading where its place in the drawing does not say it.
fn short(reading: Reading) -> &'static str {
    match reading {
        Reading::PumpVoltage => "voltage, ",
        Reading::FeedDrop => "feed drop, ",
        Reading::GroundDrop => "ground drop, ",
        Reading::PumpCurrent => "current, ",
        Reading::BatteryVoltage => "battery, ",
        Reading::PumpFlow | Reading::ReturnFlow => "flow, ",
        Reading::SuctionHead => "suction head, ",
        Reading::HeldPressure => "held, ",
        Reading::InjectorPressure => "across injector, ",
        Reading::ReferencePressure => "reference, ",
        Reading::SensedPressure => "sensed, ",
        _ => "",
    }
}

/// Which readings are taken at a place of the drawing.
fn read_at(taken: &[&Taken], car: &Car, here: &[Reading]) -> (Vec<String>, bool) {
    let found: Vec<&&Taken> =
        taken.iter().filter(|t| here.contains(&seen_at(t.reading, t.place, car.regulator.style))).collect();
    let text = |t: &&&Taken| {
        let (what, at) = (short(t.reading), t.condition.id());
        format!("{what}{at} {} {}", super::rows::value(t.si, t, car), t.verdict.id())
    };
    let off = found.iter().any(|t| matches!(t.verdict.id(), "low" | "high"));
    (found.iter().map(text).collect(), off)
}

fn station(taken: &[&Taken], car: &Car, name: &str, point: bool, here: &[Reading]) -> Station {
    let (readings, off) = read_at(taken, car, here);
    Station { name: name.to_owned(), point, readings, off }
}

/// The fuel circuit in the order the fuel flows, from the tank and back to it.
pub(super) fn circuit(rig: &Rig, taken: &[&Taken]) -> Vec<Station> {
    use Reading as R;
    let car = &rig.car;
    let style = car.regulator.style;
    let part = |name: &str| station(taken, car, name, false, &[]);
    let at = |name: &str, here: &[Reading]| station(taken, car, name, true, here);
    let regulator = || station(taken, car, "regulator", false, &[R::ReferencePressure]);
    let rail = station(taken, car, "rail", false, &[R::RailPressure, R::HeldPressure, R::InjectorPressure]);
    let mut out = vec![part("tank")];
    if car.strainer > 0.0 {
        out.push(part("strainer"));
    }
    out.push(at("pump inlet", &[R::PumpInletPressure, R::SuctionHead]));
    let electric =
        [R::PumpVoltage, R::FeedDrop, R::GroundDrop, R::PumpCurrent, R::BatteryVoltage, R::PumpFlow];
    out.push(station(taken, car, "pump", false, &electric));
    out.push(at("pump outlet", &[R::PumpOutletPressure]));
    if car.filter > 0.0 {
        out.push(part("filter"));
    }
    out.push(at("after the filter", &[R::FilterOutletPressure]));
    let back = at("return line", &[R::ReturnFlow, R::ReturnPressure]);
    match style {
        SupplyStyle::Return => {
            out.extend([part("feed line"), rail, regulator(), back, part("tank")]);
        }
        SupplyStyle::BypassBeforeRail | SupplyStyle::Module => {
            out.extend([regulator(), part("feed line"), rail]);
            out.push(back);
        }
        SupplyStyle::Deadhead => out.extend([part("feed line"), regulator(), rail]),
        SupplyStyle::SpeedControlled => out.extend([part("feed line"), rail]),
    }
    // Without a filter the place behind it is the pump's outlet; places nobody read and that are no parts say nothing.
    out.retain(|s| !s.point || !s.readings.is_empty());
    out
}

fn place_words(place: Air) -> &'static str {
    match place {
        Air::Open => "open air",
        Air::BeforePlates => "before the plates",
        Air::BehindPlates => "behind the plates",
        Air::Plenum => "plenum",
    }
}

/// The induction path in the order the air flows, with injectors, reference and load sensor where they sit.
pub(super) fn induction(rig: &Rig, taken: &[&Taken]) -> Vec<Station> {
    let car = &rig.car;
    let mut out = Vec::new();
    let place = |air: Air, here: &[Reading]| {
        let mut s = station(taken, car, place_words(air), true, here);
        let tip = match car.injection.tip {
            Tip::AbovePlates => Air::BeforePlates,
            Tip::BelowPlates => Air::BehindPlates,
            Tip::Port => Air::Plenum,
        };
        if tip == air {
            s.readings.insert(0, "injectors spray here".to_owned());
        }
        if car.regulator.reference == air && car.regulator.style != SupplyStyle::Module {
            s.readings.push("regulator reference here".to_owned());
        }
        if car.sensing.station == air {
            s.readings.push("load sensor here".to_owned());
        }
        s
    };
    let part = |name: &str| Station { name: name.to_owned(), point: false, readings: Vec::new(), off: false };
    let open = place(Air::Open, &[]);
    let before = place(Air::BeforePlates, &[]);
    let behind = place(Air::BehindPlates, &[]);
    let plenum = place(Air::Plenum, &[Reading::ManifoldPressure, Reading::SensedPressure]);
    out.push(open);
    if car.engine.induction == Induction::BlowThrough {
        out.push(part("compressor"));
    }
    out.extend([before, part("throttle plates"), behind]);
    if car.engine.induction == Induction::DrawThrough {
        out.push(part("blower"));
    }
    out.extend([plenum, part("engine")]);
    out
}

fn find<'a>(taken: &[&'a Taken], reading: Reading, at: Condition, style: SupplyStyle) -> Option<&'a Taken> {
    taken.iter().copied().find(|t| seen_at(t.reading, t.place, style) == reading && t.condition == at)
}

/// Absolute pressure along the axis of the slope drawing, and whether it was measured.
fn along(car: &Car, taken: &[&Taken], needed: Air, at: Condition) -> (f64, bool) {
    let model = stations(car, at);
    let manifold = find(taken, Reading::ManifoldPressure, at, car.regulator.style);
    let is_plenum = needed == Air::Plenum || (model.at(needed).0 - model.plenum.0).abs() < 1.0;
    match manifold {
        Some(read) if needed == Air::Open || is_plenum => (read.si, true),
        _ if needed == Air::Open => (model.plenum.0, false),
        _ => (model.at(needed).0, false),
    }
}

/// Rail pressure against what its reference should follow; none where fewer than two conditions were read, or where
/// the supply has no reference to the induction path.
pub(super) fn slope(rig: &Rig, taken: &[&Taken]) -> Option<Slope> {
    let car = &rig.car;
    let style = car.regulator.style;
    if style == SupplyStyle::Module {
        return None;
    }
    let needed = needed_reference(car.injection.tip, car.engine.induction);
    let mut right_car = car.clone();
    right_car.regulator.reference = needed;
    let mut points = Vec::new();
    for &at in Condition::ALL {
        let steady = at.running() || at == Condition::Prime;
        let Some(rail) = find(taken, Reading::RailPressure, at, style).filter(|_| steady) else { continue };
        let Ok(right) = solve(&right_car, at) else { continue };
        let (x, measured) = along(car, taken, needed, at);
        points.push(SlopePoint {
            condition: at.name().to_owned(),
            at_kpa: x / 1e3,
            at_measured: measured,
            rail_kpa: rail.si / 1e3,
            right_kpa: right.rail.0 / 1e3,
        });
    }
    if points.len() < 2 {
        return None;
    }
    let along = match needed {
        Air::Open | Air::Plenum => "manifold pressure",
        Air::BeforePlates => "pressure before the plates",
        Air::BehindPlates => "pressure behind the plates",
    };
    Some(Slope {
        along: along.to_owned(),
        right: if needed == Air::Open { 0.0 } else { car.regulator.ratio.min(1.0) },
        measured: through(&points),
        points,
    })
}

/// The slope through the readings by least squares.
fn through(points: &[SlopePoint]) -> Option<f64> {
    let n = points.len() as f64;
    let mean = |of: fn(&SlopePoint) -> f64| points.iter().map(of).sum::<f64>() / n;
    let (x, y) = (mean(|p| p.at_kpa), mean(|p| p.rail_kpa));
    let low = points.iter().map(|p| p.at_kpa).fold(f64::INFINITY, f64::min);
    let high = points.iter().map(|p| p.at_kpa).fold(f64::NEG_INFINITY, f64::max);
    if (high - low) * 1e3 < SPREAD {
        return None;
    }
    let xx: f64 = points.iter().map(|p| (p.at_kpa - x).powi(2)).sum();
    let xy: f64 = points.iter().map(|p| (p.at_kpa - x) * (p.rail_kpa - y)).sum();
    Some(xy / xx)
}

/// The pressure line of the ledger as the rail reading makes it, with the trim it explains.
fn measured_pressure(
    car: &Car,
    at: Condition,
    rail: &Taken,
    manifold: Option<&Taken>,
    sound: &physics::Solution,
) -> Option<f64> {
    let ledger = sound.ledger.as_ref()?;
    if car.controller.pressure_model == PressureModel::Sensor {
        // The controller reckons with the pressure it senses, so a wrong one does not change the mixture.
        return None;
    }
    let stations = stations(car, at);
    let at_plenum = car.injection.tip == Tip::Port || car.engine.induction != Induction::DrawThrough;
    let tip = match manifold {
        Some(read) if car.injection.tip != Tip::AbovePlates && at_plenum => Absolute(read.si),
        _ => stations.tip(car.injection.tip),
    };
    let across = rail.si + stations.open.0 - tip.0;
    (across > 0.0 && sound.injector.0 > 0.0).then(|| ledger.pressure * (across / sound.injector.0).sqrt())
}

/// The mixture ledger at idle and wherever the rail was read with the engine running.
pub(super) fn ledger(rig: &Rig, taken: &[&Taken]) -> Vec<LedgerAt> {
    let car = &rig.car;
    let mut out = Vec::new();
    for &at in Condition::ALL.iter().filter(|c| c.running()) {
        let rail = find(taken, Reading::RailPressure, at, car.regulator.style);
        if at != Condition::Idle && rail.is_none() {
            continue;
        }
        let Ok(solution) = solve(car, at) else { continue };
        let Some(ledger) = &solution.ledger else { continue };
        let manifold = find(taken, Reading::ManifoldPressure, at, car.regulator.style);
        let pressure = rail.and_then(|r| measured_pressure(car, at, r, manifold, &solution));
        let lines = ledger.lines().into_iter().enumerate().map(|(i, (cause, ratio))| LedgerLine {
            cause: cause.to_owned(),
            sound: ratio,
            // The second line is the pressure across the injector.
            measured: pressure.filter(|_| i == 1),
        });
        out.push(LedgerAt {
            condition: at.name().to_owned(),
            lines: lines.collect(),
            target: ledger.target,
            trim_explained: pressure.map(|p| (1.0 / p - 1.0) * 100.0),
        });
    }
    out
}
