//! From a car to its drawings: the parts of the fuel circuit by supply style, the stations of the induction path.

use super::widgets::{Circuit, InductionPath, Part, StationView};
use crate::quantity::{UnitSystem, figures};
use crate::rig::Rig;
use crate::terms::{Induction, LoadBy, Part as Replaceable, Place, Reading, Station, SupplyStyle, Tip};

/// A part of the fuel circuit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Spot {
    /// The tank, where the fuel begins.
    Tank,
    /// The strainer before the pump, with the inlet line.
    Strainer,
    /// The pump with its wiring.
    Pump,
    /// The filter.
    Filter,
    /// The feed line.
    Feed,
    /// Where the gauge sits.
    Gauge,
    /// The rail or the throttle body, with the injectors.
    Rail,
    /// The regulator.
    Regulator,
    /// The return line.
    Return,
    /// The tank, where the fuel ends.
    TankAgain,
}

impl Spot {
    /// Its name in the drawing.
    pub fn name(self) -> &'static str {
        match self {
            Self::Tank | Self::TankAgain => "tank",
            Self::Strainer => "strainer",
            Self::Pump => "pump",
            Self::Filter => "filter",
            Self::Feed => "feed",
            Self::Gauge => "(G)",
            Self::Rail => "rail",
            Self::Regulator => "regulator",
            Self::Return => "return",
        }
    }

    /// Where a replaceable part sits; nothing for what is no part of the fuel circuit.
    pub fn of_part(part: Replaceable) -> Option<Self> {
        Some(match part {
            Replaceable::FuelFill | Replaceable::TankVent | Replaceable::FuelHeat | Replaceable::FuelKind => {
                Self::Tank
            }
            Replaceable::Strainer | Replaceable::InletHose => Self::Strainer,
            Replaceable::PumpMounting
            | Replaceable::PumpFuse
            | Replaceable::PumpRelay
            | Replaceable::TriggerWire
            | Replaceable::InertiaSwitch
            | Replaceable::PumpConnector
            | Replaceable::Pump
            | Replaceable::FeedWiring
            | Replaceable::GroundWiring
            | Replaceable::Charging
            | Replaceable::InTankHose
            | Replaceable::LiftPump
            | Replaceable::OldPump => Self::Pump,
            Replaceable::FeedFilter => Self::Filter,
            Replaceable::FeedLine | Replaceable::LineRouting => Self::Feed,
            Replaceable::Gauge => Self::Gauge,
            Replaceable::Injectors => Self::Rail,
            Replaceable::Regulator | Replaceable::RegulatorSetting | Replaceable::ReferenceHose => {
                Self::Regulator
            }
            Replaceable::ReturnLine => Self::Return,
            _ => return None,
        })
    }

    /// Where a reading is taken on the fuel circuit, apart from any gauge.
    fn of_reading(reading: Reading) -> Option<Self> {
        Some(match reading {
            Reading::PumpOutletPressure
            | Reading::PumpVoltage
            | Reading::FeedDrop
            | Reading::GroundDrop
            | Reading::PumpCurrent
            | Reading::PumpFlow
            | Reading::BatteryVoltage => Self::Pump,
            Reading::FilterOutletPressure => Self::Filter,
            Reading::RailPressure | Reading::HeldPressure | Reading::InjectorPressure => Self::Rail,
            Reading::PumpInletPressure | Reading::SuctionHead => Self::Strainer,
            Reading::ReturnFlow | Reading::ReturnPressure => Self::Return,
            Reading::ReferencePressure => Self::Regulator,
            Reading::ManifoldPressure | Reading::Trim | Reading::Lambda | Reading::SensedPressure => {
                return None;
            }
        })
    }
}

/// The parts of a car's fuel circuit in the order the fuel flows, with the gauge at `place`.
pub fn spots(rig: &Rig, place: Option<Place>) -> Vec<Spot> {
    let style = rig.car.regulator.style;
    let mut row = vec![Spot::Tank];
    row.extend((rig.car.strainer > 0.0).then_some(Spot::Strainer));
    row.push(Spot::Pump);
    row.extend((rig.car.filter > 0.0).then_some(Spot::Filter));
    row.extend(match style {
        SupplyStyle::Return => {
            &[Spot::Feed, Spot::Rail, Spot::Regulator, Spot::Return, Spot::TankAgain] as &[_]
        }
        SupplyStyle::BypassBeforeRail | SupplyStyle::Module => &[Spot::Regulator, Spot::Feed, Spot::Rail],
        SupplyStyle::Deadhead => &[Spot::Feed, Spot::Regulator, Spot::Rail],
        SupplyStyle::SpeedControlled => &[Spot::Feed, Spot::Rail],
    });
    let behind = |spot| row.iter().position(|s| *s == spot).map(|i| i + 1);
    let at = match place {
        Some(Place::BeforeFilter) => behind(Spot::Pump),
        Some(Place::AfterFilter) => behind(Spot::Filter).or(behind(Spot::Pump)),
        Some(Place::RemoteRegulator) => behind(Spot::Regulator).map(|i| i - 1),
        Some(Place::RailTap | Place::InletAdapter) | None => behind(Spot::Rail).map(|i| i - 1),
    };
    row.insert(at.unwrap_or(row.len()), Spot::Gauge);
    row
}

/// The part by which a gauge at `place` reads.
fn beside(rig: &Rig, place: Place) -> Spot {
    match place {
        Place::AfterFilter if rig.car.filter > 0.0 => Spot::Filter,
        Place::BeforeFilter | Place::AfterFilter => Spot::Pump,
        Place::RailTap | Place::InletAdapter => Spot::Rail,
        Place::RemoteRegulator => Spot::Regulator,
    }
}

/// Where a reading stands in the drawing. A pressure belongs to the point it was read at: to the gauge only while that stands there,
/// drawn at `gauge`; afterwards to the part beside it.
pub fn read_at(rig: &Rig, reading: Reading, place: Option<Place>, gauge: Option<Place>) -> Option<Spot> {
    let by_gauge = matches!(
        reading,
        Reading::RailPressure
            | Reading::FilterOutletPressure
            | Reading::PumpOutletPressure
            | Reading::HeldPressure
    );
    let own = Spot::of_reading(reading);
    if !by_gauge {
        return own;
    }
    let read = place.map(|p| beside(rig, p)).or(own);
    let stands = gauge.map_or(Spot::Rail, |p| beside(rig, p));
    if read == Some(stands) { Some(Spot::Gauge) } else { read }
}

/// What is to be said of a circuit that one row can't show.
fn remark(style: SupplyStyle) -> Option<&'static str> {
    match style {
        SupplyStyle::Return => None,
        SupplyStyle::BypassBeforeRail => {
            Some("The regulator's return leads back to the tank; one line feeds on.")
        }
        SupplyStyle::Deadhead => Some("Nothing returns: the line ends at the rail."),
        SupplyStyle::Module => {
            Some("Strainer, pump, filter and regulator sit in the tank; what is over spills there.")
        }
        SupplyStyle::SpeedControlled => Some("The pump's speed holds the pressure; nothing returns."),
    }
}

/// The fuel circuit of a car without anything known.
pub fn circuit(rig: &Rig, place: Option<Place>) -> Circuit {
    let parts = spots(rig, place).into_iter().map(|s| Part::named(s.name())).collect();
    Circuit { parts, remarks: remark(rig.car.regulator.style).map(str::to_owned).into_iter().collect() }
}

/// Absolute pressures at the stations in one condition, Pa.
#[derive(Debug, Clone, PartialEq)]
pub struct StationPressures {
    /// The condition, in a word.
    pub condition: String,
    /// Open air, before the plates, behind them, plenum.
    pub at: [f64; 4],
}

/// The induction path of a car with pressures at its stations.
pub fn induction(rig: &Rig, pressures: &[StationPressures], units: UnitSystem) -> InductionPath {
    let kind = rig.car.engine.induction;
    let chain: &[&str] = match kind {
        Induction::Natural => &["air", "air filter", "(1)", "throttle plates", "(2)", "plenum", "ports"],
        Induction::DrawThrough => {
            &["air", "air filter", "(1)", "throttle plates", "(2)", "blower", "(3)", "plenum", "ports"]
        }
        Induction::BlowThrough => {
            &["air", "air filter", "compressor", "(1)", "throttle plates", "(2)", "plenum", "ports"]
        }
    };
    let mut stations = vec![
        (Station::BeforePlates, "before the plates"),
        (
            Station::BehindPlates,
            if kind == Induction::DrawThrough {
                "behind the plates, above the blower"
            } else {
                "behind the plates, plenum"
            },
        ),
    ];
    if kind == Induction::DrawThrough {
        stations.push((Station::Plenum, "plenum, under the blower"));
    }
    let same = |a: Station, b: Station| {
        a == b
            || (kind != Induction::DrawThrough && matches!((a, b), (Station::Plenum, Station::BehindPlates)))
    };
    let tip = match rig.car.injection.tip {
        Tip::AbovePlates => Station::BeforePlates,
        Tip::BelowPlates => Station::BehindPlates,
        Tip::Port => Station::Plenum,
    };
    let unit = units.unit_for(crate::quantity::Dimension::Pressure);
    let mut views: Vec<StationView> = stations
        .into_iter()
        .map(|(station, name)| {
            let mut points = Vec::new();
            if same(tip, station) {
                points.push("injector tip".to_owned());
            }
            if same(rig.car.regulator.reference, station) {
                points.push("regulator reference".to_owned());
            }
            if rig.car.controller.load_by == LoadBy::Manifold && same(rig.car.sensing.station, station) {
                points.push("load sensor".to_owned());
            }
            let index = match station {
                Station::Open => 0,
                Station::BeforePlates => 1,
                Station::BehindPlates => 2,
                Station::Plenum => 3,
            };
            let pressures = pressures
                .iter()
                .map(|p| {
                    (p.condition.clone(), format!("{} {} abs", figures(unit.from_si(p.at[index]), 3), unit))
                })
                .collect();
            StationView { name: name.to_owned(), points, pressures }
        })
        .collect();
    let mut chain: Vec<String> = chain.iter().map(|s| (*s).to_owned()).collect();
    if rig.car.regulator.reference == Station::Open {
        views.push(StationView {
            name: "open air".into(),
            points: vec!["regulator reference".into()],
            pressures: Vec::new(),
        });
        chain[0] = format!("air ({})", views.len());
    }
    InductionPath { chain, stations: views }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::terms::Fault;
    use crate::tui::look::Look;
    use crate::tui::sheet::Sheet;

    fn rig(extra: &str) -> Rig {
        Rig::parse("test", &format!("format: 1\nrig: test car\n{extra}")).unwrap()
    }

    fn names(rig: &Rig, place: Option<Place>) -> String {
        circuit(rig, place).parts.iter().map(|p| p.name.clone()).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn every_supply_style_has_its_own_order() {
        let filter = "filter: {drop: 6 kPa, at: 200 L/h}\nstrainer: {drop: 8 kPa, at: 200 L/h}\n";
        for (style, row) in [
            ("return", "tank strainer pump filter feed (G) rail regulator return tank"),
            ("bypass-before-rail", "tank strainer pump filter regulator feed (G) rail"),
            ("deadhead", "tank strainer pump filter feed regulator (G) rail"),
            ("module", "tank strainer pump filter regulator feed (G) rail"),
            ("speed-controlled", "tank strainer pump filter feed (G) rail"),
        ] {
            let rig = rig(&format!("{filter}regulator: {{style: {style}}}\n"));
            assert_eq!(names(&rig, None), row, "{style}");
        }
    }

    #[test]
    fn the_gauge_stands_where_it_is_connected() {
        let rig = rig("filter: {drop: 6 kPa, at: 200 L/h}\n");
        assert!(names(&rig, Some(Place::BeforeFilter)).contains("pump (G) filter"));
        assert!(names(&rig, Some(Place::AfterFilter)).contains("filter (G) feed"));
        assert!(names(&rig, Some(Place::RemoteRegulator)).contains("rail (G) regulator"));
    }

    #[test]
    fn a_pressure_stays_at_the_point_it_was_read_at_when_the_gauge_is_moved() {
        let rig = rig("filter: {drop: 6 kPa, at: 200 L/h}\n");
        let at = |place, gauge| read_at(&rig, Reading::RailPressure, Some(place), Some(gauge));
        assert_eq!(at(Place::InletAdapter, Place::InletAdapter), Some(Spot::Gauge));
        assert_eq!(at(Place::InletAdapter, Place::RailTap), Some(Spot::Gauge), "both feed the rail");
        assert_eq!(at(Place::InletAdapter, Place::AfterFilter), Some(Spot::Rail));
        assert_eq!(at(Place::RemoteRegulator, Place::BeforeFilter), Some(Spot::Regulator));
        let outlet = |place, gauge| read_at(&rig, Reading::PumpOutletPressure, place, gauge);
        assert_eq!(outlet(Some(Place::BeforeFilter), Some(Place::BeforeFilter)), Some(Spot::Gauge));
        assert_eq!(outlet(Some(Place::BeforeFilter), Some(Place::AfterFilter)), Some(Spot::Pump));
        assert_eq!(read_at(&rig, Reading::RailPressure, None, None), Some(Spot::Gauge));
        assert_eq!(read_at(&rig, Reading::PumpCurrent, None, Some(Place::RailTap)), Some(Spot::Pump));
    }

    #[test]
    fn every_induction_and_tip_shows_where_things_sit() {
        for induction in ["natural", "draw-through", "blow-through"] {
            for tip in ["above-plates", "below-plates", "port"] {
                let rig = rig(&format!(
                    "engine: {{induction: {induction}}}\ninjection: {{tip: {tip}}}\nregulator: {{reference: plenum}}\n"
                ));
                let path = super::induction(&rig, &[], UnitSystem::Metric);
                let at = |what: &str| {
                    let holds: Vec<&str> = path
                        .stations
                        .iter()
                        .filter(|s| s.points.iter().any(|p| p == what))
                        .map(|s| s.name.as_str())
                        .collect();
                    assert_eq!(holds.len(), 1, "{induction} {tip}: {what} at {holds:?}");
                    holds[0].to_owned()
                };
                let tip_at = at("injector tip");
                assert_eq!(tip_at.starts_with("before"), tip == "above-plates");
                assert!(at("regulator reference").contains("plenum"));
                let mut sheet = Sheet::new(Look::default(), 60);
                path.lay(&mut sheet);
                assert!(sheet.lines.len() > path.stations.len());
            }
        }
    }

    #[test]
    fn every_fault_of_the_fuel_path_has_its_spot() {
        assert_eq!(Spot::of_part(Fault::FeedFilterBlocked.part()), Some(Spot::Filter));
        assert_eq!(Spot::of_part(Fault::PumpGroundPoor.part()), Some(Spot::Pump));
        assert_eq!(Spot::of_part(Fault::VacuumLeak.part()), None);
    }
}
