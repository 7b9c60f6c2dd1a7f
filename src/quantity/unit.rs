//! The units of the trade, each with its exact factor to SI.
//!
//! Factors are from the defining constants (lb 0.453 592 37 kg, in 0.0254 m, g 9.806 65 m/s², US gal 231 in³) as NIST
//! SP 811 (2008), appendix B, gives them; columns of mercury and water use the conventional densities 13 595.1 and
//! 1000 kg/m³. They are our own table and not a units library because a pressure here also says what it is measured
//! from, and the same table drives parsing, near-miss hints and display.

use std::fmt;

/// What a unit measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Dimension {
    /// Pressure, SI pascal. What it is measured from is a [`super::Datum`].
    Pressure,
    /// Volume flow, SI m³/s.
    VolumeFlow,
    /// Mass flow, SI kg/s.
    MassFlow,
    /// Length and altitude, SI m.
    Length,
    /// Temperature, SI K.
    Temperature,
    /// Voltage, SI V.
    Voltage,
    /// Current, SI A.
    Current,
    /// Resistance, SI Ω.
    Resistance,
    /// Resistance per length, SI Ω/m.
    ResistancePerLength,
    /// Power, SI W.
    Power,
    /// Time, SI s.
    Time,
    /// Share, SI 1; `5 %` is 0.05.
    Share,
    /// Plain number, such as lambda or a Reynolds number.
    Plain,
    /// Density, SI kg/m³.
    Density,
    /// Kinematic viscosity, SI m²/s.
    Viscosity,
    /// Brake specific fuel consumption, SI kg/J.
    Consumption,
    /// Lower heating value, SI J/kg.
    HeatingValue,
    /// Speed of a fluid, SI m/s.
    Speed,
    /// Crank angle, SI rad.
    Angle,
}

impl Dimension {
    /// The dimension in words, as messages name it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Pressure => "pressure",
            Self::VolumeFlow => "volume flow",
            Self::MassFlow => "mass flow",
            Self::Length => "length",
            Self::Temperature => "temperature",
            Self::Voltage => "voltage",
            Self::Current => "current",
            Self::Resistance => "resistance",
            Self::ResistancePerLength => "resistance per length",
            Self::Power => "power",
            Self::Time => "time",
            Self::Share => "percentage",
            Self::Plain => "plain number",
            Self::Density => "density",
            Self::Viscosity => "kinematic viscosity",
            Self::Consumption => "specific consumption",
            Self::HeatingValue => "heating value",
            Self::Speed => "speed",
            Self::Angle => "crank angle",
        }
    }

    /// Units a message may offer, commonest first.
    pub fn examples(self) -> String {
        let names = UNITS.iter().filter(|u| u.dimension == self).map(|u| u.symbol);
        let first: Vec<&str> = names.take(4).filter(|s| !s.is_empty()).collect();
        first.join(", ")
    }
}

/// One unit: `SI value = value × factor + offset`.
#[derive(Debug)]
pub struct Unit {
    /// The symbol shown, such as `psi`.
    pub symbol: &'static str,
    /// What it measures.
    pub dimension: Dimension,
    /// SI units per unit.
    pub factor: f64,
    /// SI value at zero of this unit (temperatures only).
    pub offset: f64,
    /// Other spellings that are understood.
    pub spellings: &'static [&'static str],
}

impl PartialEq for Unit {
    fn eq(&self, other: &Self) -> bool {
        self.symbol == other.symbol && self.dimension == other.dimension
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.symbol)
    }
}

impl Unit {
    /// `value` of this unit in SI.
    pub fn to_si(&self, value: f64) -> f64 {
        value * self.factor + self.offset
    }

    /// An SI value in this unit.
    pub fn from_si(&self, si: f64) -> f64 {
        (si - self.offset) / self.factor
    }

    /// A difference of two SI values in this unit: no zero of the unit's own comes in.
    pub fn difference(&self, si: f64) -> f64 {
        si / self.factor
    }
}

pub(super) const LB: f64 = 0.453_592_37;
pub(super) const GAL: f64 = 3.785_411_784e-3;
const HP: f64 = 745.699_871_582_270_2;
const PSI: f64 = 6_894.757_293_168_361;
const INHG: f64 = 25.4e-3 * 13_595.1 * 9.806_65;
const HOUR: f64 = 3600.0;

const fn row(
    symbol: &'static str,
    dimension: Dimension,
    factor: f64,
    spellings: &'static [&'static str],
) -> Unit {
    Unit { symbol, dimension, factor, offset: 0.0, spellings }
}

/// Every unit understood. Within a dimension the commonest stand first; they are the ones messages offer.
static UNITS: &[Unit] = &[
    row("psi", Dimension::Pressure, PSI, &["lbf/in²", "lbf/in2", "lb/in2", "pounds"]),
    row("kPa", Dimension::Pressure, 1e3, &["kilopascal"]),
    row("bar", Dimension::Pressure, 1e5, &["bars"]),
    row("inHg", Dimension::Pressure, INHG, &["in Hg", "in.Hg", "\"Hg", "inches of mercury", "in. Hg"]),
    row("mmHg", Dimension::Pressure, INHG / 25.4, &["mm Hg"]),
    row("inH2O", Dimension::Pressure, 249.088_91, &["in H2O", "inH₂O", "inWC"]),
    row("ftH2O", Dimension::Pressure, 2_989.066_92, &["ft H2O"]),
    row("MPa", Dimension::Pressure, 1e6, &[]),
    row("Pa", Dimension::Pressure, 1.0, &["pascal"]),
    row("hPa", Dimension::Pressure, 100.0, &[]),
    row("mbar", Dimension::Pressure, 100.0, &["millibar"]),
    row("atm", Dimension::Pressure, 101_325.0, &[]),
    row("torr", Dimension::Pressure, 101_325.0 / 760.0, &[]),
    row(
        "L/h",
        Dimension::VolumeFlow,
        1e-3 / HOUR,
        &["lph", "l/hr", "L/hr", "litres per hour", "liters per hour"],
    ),
    row("gal/h", Dimension::VolumeFlow, GAL / HOUR, &["gph", "gal/hr"]),
    row("cc/min", Dimension::VolumeFlow, 1e-6 / 60.0, &["mL/min", "ccm", "cm3/min", "cm³/min"]),
    row("L/min", Dimension::VolumeFlow, 1e-3 / 60.0, &["lpm"]),
    row("gal/min", Dimension::VolumeFlow, GAL / 60.0, &["gpm"]),
    row("m3/s", Dimension::VolumeFlow, 1.0, &["m³/s"]),
    row("lb/h", Dimension::MassFlow, LB / HOUR, &["lb/hr", "pph", "lbs/h", "lbs/hr"]),
    row("kg/h", Dimension::MassFlow, 1.0 / HOUR, &["kg/hr"]),
    row("g/min", Dimension::MassFlow, 1e-3 / 60.0, &[]),
    row("g/s", Dimension::MassFlow, 1e-3, &[]),
    row("kg/s", Dimension::MassFlow, 1.0, &[]),
    row("m", Dimension::Length, 1.0, &["metre", "metres", "meter", "meters"]),
    row("ft", Dimension::Length, 0.3048, &["feet", "foot", "'"]),
    row("mm", Dimension::Length, 1e-3, &[]),
    row("in", Dimension::Length, 0.0254, &["inch", "inches", "\""]),
    row("cm", Dimension::Length, 1e-2, &[]),
    row("km", Dimension::Length, 1e3, &[]),
    row("µm", Dimension::Length, 1e-6, &["um", "μm", "micron", "microns"]),
    Unit {
        symbol: "°F",
        dimension: Dimension::Temperature,
        factor: 5.0 / 9.0,
        offset: 459.67 * 5.0 / 9.0,
        spellings: &["F", "degF", "deg F", "ºF"],
    },
    Unit {
        symbol: "°C",
        dimension: Dimension::Temperature,
        factor: 1.0,
        offset: 273.15,
        spellings: &["C", "degC", "deg C", "ºC", "℃"],
    },
    row("K", Dimension::Temperature, 1.0, &["kelvin"]),
    row("V", Dimension::Voltage, 1.0, &["volt", "volts"]),
    row("mV", Dimension::Voltage, 1e-3, &[]),
    row("A", Dimension::Current, 1.0, &["amp", "amps"]),
    row("mA", Dimension::Current, 1e-3, &[]),
    row("mΩ", Dimension::Resistance, 1e-3, &["mOhm", "mohm", "m\u{2126}", "milliohm"]),
    row("Ω", Dimension::Resistance, 1.0, &["ohm", "ohms", "\u{2126}"]),
    row("kΩ", Dimension::Resistance, 1e3, &["kohm", "kOhm", "k\u{2126}"]),
    row("Ω/km", Dimension::ResistancePerLength, 1e-3, &["ohm/km", "\u{2126}/km"]),
    row("hp", Dimension::Power, HP, &["bhp", "horsepower"]),
    row("kW", Dimension::Power, 1e3, &[]),
    row("PS", Dimension::Power, 735.498_75, &["metric hp"]),
    row("W", Dimension::Power, 1.0, &[]),
    row("s", Dimension::Time, 1.0, &["sec", "second", "seconds"]),
    row("min", Dimension::Time, 60.0, &["minute", "minutes"]),
    row("h", Dimension::Time, HOUR, &["hr", "hour", "hours"]),
    row("%", Dimension::Share, 0.01, &["percent", "pct"]),
    row("", Dimension::Plain, 1.0, &["lambda", "λ"]),
    row("AFR", Dimension::Plain, 1.0 / 14.7, &["afr", ":1"]),
    row("kg/m³", Dimension::Density, 1.0, &["kg/m3"]),
    row("lb/gal", Dimension::Density, LB / GAL, &[]),
    row("g/cm³", Dimension::Density, 1e3, &["g/cm3", "kg/L", "g/mL"]),
    row("mm²/s", Dimension::Viscosity, 1e-6, &["mm2/s", "cSt"]),
    row("m²/s", Dimension::Viscosity, 1.0, &["m2/s"]),
    row(
        "lb/hp/h",
        Dimension::Consumption,
        LB / (HP * HOUR),
        &["lb/hp·h", "lb/(hp·h)", "lb/hp-h", "lb/hph", "lb/hp/hr", "lb/hp*h"],
    ),
    row("g/kWh", Dimension::Consumption, 1e-3 / 3.6e6, &["g/kW/h", "g/(kW·h)"]),
    row("MJ/kg", Dimension::HeatingValue, 1e6, &[]),
    row("Btu/lb", Dimension::HeatingValue, 2_326.0, &[]),
    row("m/s", Dimension::Speed, 1.0, &[]),
    row("ft/s", Dimension::Speed, 0.3048, &["ft/sec", "fps"]),
    row("°", Dimension::Angle, std::f64::consts::PI / 180.0, &["deg", "degrees"]),
];

/// The unit spelled `text`, exactly or but for letter case where case carries no meaning.
pub fn unit(text: &str) -> Option<&'static Unit> {
    let spelled = |u: &'static Unit| std::iter::once(u.symbol).chain(u.spellings.iter().copied());
    let exact = UNITS.iter().find(|u| spelled(u).any(|s| s == text));
    exact.or_else(|| {
        UNITS.iter().find(|u| {
            spelled(u).any(|s| {
                s.eq_ignore_ascii_case(text) && (s.chars().next() == text.chars().next() || !case_matters(u))
            })
        })
    })
}

/// Whether the first letter's case is a prefix (milli against mega), so that a guess could be wrong by 10⁹.
fn case_matters(unit: &Unit) -> bool {
    matches!(
        unit.dimension,
        Dimension::Resistance | Dimension::Voltage | Dimension::Current | Dimension::ResistancePerLength
    ) && unit.symbol.chars().count() > 1
}

/// The unit of `dimension` whose spelling is nearest to `text`, if near enough to offer as a hint.
pub fn nearest_unit(text: &str, dimension: Option<Dimension>) -> Option<&'static Unit> {
    UNITS
        .iter()
        .filter(|u| dimension.is_none_or(|d| u.dimension == d) && !u.symbol.is_empty())
        .filter_map(|u| {
            let near = std::iter::once(&u.symbol)
                .chain(u.spellings)
                .map(|s| edits(&text.to_lowercase(), &s.to_lowercase()));
            near.min().filter(|&d| d <= 1 + text.chars().count() / 4).map(|d| (d, u))
        })
        .min_by_key(|(d, _)| *d)
        .map(|(_, u)| u)
}

/// Levenshtein distance between two short texts.
fn edits(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, ca) in a.chars().enumerate() {
        let mut corner = row[0];
        row[0] = i + 1;
        for (j, cb) in b.iter().enumerate() {
            let swap = corner + usize::from(ca != *cb);
            corner = row[j + 1];
            row[j + 1] = swap.min(corner + 1).min(row[j] + 1);
        }
    }
    row[b.len()]
}

/// The units a person reads in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum UnitSystem {
    /// kPa, L/h, °C, m.
    #[default]
    Metric,
    /// psi, gal/h, °F, ft.
    Us,
}

impl UnitSystem {
    /// The unit this system shows `dimension` in.
    pub fn unit_for(self, dimension: Dimension) -> &'static Unit {
        let symbol = match (self, dimension) {
            (Self::Metric, Dimension::Pressure) => "kPa",
            (Self::Us, Dimension::Pressure) => "psi",
            (Self::Metric, Dimension::VolumeFlow) => "L/h",
            (Self::Us, Dimension::VolumeFlow) => "gal/h",
            (Self::Metric, Dimension::MassFlow) => "kg/h",
            (Self::Us, Dimension::MassFlow) => "lb/h",
            (Self::Metric, Dimension::Length) => "m",
            (Self::Us, Dimension::Length) => "ft",
            (Self::Metric, Dimension::Temperature) => "°C",
            (Self::Us, Dimension::Temperature) => "°F",
            (Self::Metric, Dimension::Power) => "kW",
            (Self::Us, Dimension::Power) => "hp",
            (Self::Metric, Dimension::Consumption) => "g/kWh",
            (Self::Us, Dimension::Consumption) => "lb/hp/h",
            (_, Dimension::Voltage) => "V",
            (_, Dimension::Current) => "A",
            (_, Dimension::Resistance) => "mΩ",
            (_, Dimension::ResistancePerLength) => "Ω/km",
            (_, Dimension::Time) => "min",
            (_, Dimension::Share) => "%",
            (_, Dimension::Plain) => "",
            (Self::Metric, Dimension::Density) => "kg/m³",
            (Self::Us, Dimension::Density) => "lb/gal",
            (_, Dimension::Viscosity) => "mm²/s",
            (Self::Metric, Dimension::HeatingValue) => "MJ/kg",
            (Self::Us, Dimension::HeatingValue) => "Btu/lb",
            (Self::Metric, Dimension::Speed) => "m/s",
            (Self::Us, Dimension::Speed) => "ft/s",
            (_, Dimension::Angle) => "°",
        };
        UNITS.iter().find(|u| u.symbol == symbol && u.dimension == dimension).unwrap_or(&UNITS[0])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_spelling_names_one_unit() {
        let mut seen = std::collections::HashMap::new();
        for unit in UNITS {
            for spelling in std::iter::once(&unit.symbol).chain(unit.spellings) {
                assert_eq!(seen.insert(*spelling, unit.symbol), None, "{spelling} is spelled twice");
            }
        }
    }

    #[test]
    fn every_system_has_a_unit_of_the_right_dimension() {
        for u in UNITS {
            for system in [UnitSystem::Metric, UnitSystem::Us] {
                assert_eq!(system.unit_for(u.dimension).dimension, u.dimension);
            }
        }
    }

    #[test]
    fn case_is_forgiven_only_where_it_carries_no_meaning() {
        assert_eq!(unit("PSI").map(|u| u.symbol), Some("psi"));
        assert_eq!(unit("KPA").map(|u| u.symbol), Some("kPa"));
        assert_eq!(unit("v").map(|u| u.symbol), Some("V"));
        assert_eq!(unit("M\u{3a9}"), None);
        assert_eq!(unit("MV"), None);
    }

    #[test]
    fn a_near_miss_is_offered() {
        assert_eq!(nearest_unit("psl", Some(Dimension::Pressure)).map(|u| u.symbol), Some("psi"));
        assert_eq!(nearest_unit("zzzzz", None), None);
    }
}
