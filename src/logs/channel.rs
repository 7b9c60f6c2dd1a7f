//! What a column of a log can hold, and the words that columns are named by.

use crate::quantity::Dimension;
use serde::{Deserialize, Serialize};

/// A quantity a column can hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Channel {
    /// Time since any beginning.
    Time,
    /// Engine speed.
    Speed,
    /// Throttle opening.
    Throttle,
    /// Fuel pressure at the rail.
    RailPressure,
    /// Manifold (plenum) pressure.
    ManifoldPressure,
    /// Barometer.
    Barometer,
    /// Fuel into the engine.
    FuelFlow,
    /// Time an injector is held open for.
    InjectorPulse,
    /// Share of the time an injector is held open for.
    InjectorDuty,
    /// Live fuel trim.
    Trim,
    /// Learned fuel trim.
    LearnedTrim,
    /// Lambda.
    Lambda,
    /// Battery or system voltage.
    BatteryVoltage,
    /// Voltage at the pump.
    PumpVoltage,
}

impl Channel {
    /// How many there are.
    pub const COUNT: usize = 14;

    /// Every channel.
    pub const ALL: [Self; Self::COUNT] = [
        Self::Time,
        Self::Speed,
        Self::Throttle,
        Self::RailPressure,
        Self::ManifoldPressure,
        Self::Barometer,
        Self::FuelFlow,
        Self::InjectorPulse,
        Self::InjectorDuty,
        Self::Trim,
        Self::LearnedTrim,
        Self::Lambda,
        Self::BatteryVoltage,
        Self::PumpVoltage,
    ];

    /// The id in mappings, arguments and JSON.
    pub fn id(self) -> &'static str {
        match self {
            Self::Time => "time",
            Self::Speed => "speed",
            Self::Throttle => "throttle",
            Self::RailPressure => "rail-pressure",
            Self::ManifoldPressure => "manifold-pressure",
            Self::Barometer => "barometer",
            Self::FuelFlow => "fuel-flow",
            Self::InjectorPulse => "injector-pulse",
            Self::InjectorDuty => "injector-duty",
            Self::Trim => "trim",
            Self::LearnedTrim => "learned-trim",
            Self::Lambda => "lambda",
            Self::BatteryVoltage => "battery-voltage",
            Self::PumpVoltage => "pump-voltage",
        }
    }

    /// The channel with this id.
    pub fn from_id(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|c| c.id() == id)
    }

    /// In words.
    pub fn name(self) -> &'static str {
        match self {
            Self::Time => "time",
            Self::Speed => "engine speed",
            Self::Throttle => "throttle opening",
            Self::RailPressure => "rail pressure",
            Self::ManifoldPressure => "manifold pressure",
            Self::Barometer => "barometer",
            Self::FuelFlow => "fuel flow",
            Self::InjectorPulse => "injector pulse",
            Self::InjectorDuty => "injector duty",
            Self::Trim => "live fuel trim",
            Self::LearnedTrim => "learned fuel trim",
            Self::Lambda => "lambda",
            Self::BatteryVoltage => "battery voltage",
            Self::PumpVoltage => "voltage at the pump",
        }
    }

    /// What it is measured in; engine speed, in 1/min, counts as a plain number.
    pub fn dimension(self) -> Dimension {
        match self {
            Self::Time | Self::InjectorPulse => Dimension::Time,
            Self::Throttle | Self::InjectorDuty | Self::Trim | Self::LearnedTrim => Dimension::Share,
            Self::RailPressure | Self::ManifoldPressure | Self::Barometer => Dimension::Pressure,
            Self::FuelFlow => Dimension::VolumeFlow,
            Self::Speed | Self::Lambda => Dimension::Plain,
            Self::BatteryVoltage | Self::PumpVoltage => Dimension::Voltage,
        }
    }

    /// Least and greatest SI value that is no dropout of the sensor or the recorder. Pressures are as measured: from vacuum
    /// for the manifold and the barometer, from the atmosphere for the rail.
    pub(super) fn plausible(self) -> (f64, f64) {
        match self {
            Self::Time => (-1e12, 1e12),
            Self::Speed => (0.0, 15_000.0),
            Self::Throttle | Self::InjectorDuty => (-0.1, 1.3),
            Self::RailPressure => (-2e4, 1.5e6),
            Self::ManifoldPressure => (8e3, 5e5),
            Self::Barometer => (4e4, 1.1e5),
            Self::FuelFlow => (0.0, 1e-3),
            Self::InjectorPulse => (0.0, 0.1),
            Self::Trim | Self::LearnedTrim => (-0.6, 0.6),
            Self::Lambda => (0.4, 2.5),
            Self::BatteryVoltage | Self::PumpVoltage => (2.0, 20.0),
        }
    }
}

/// Names of columns, as the words that must all stand in one; where several fit, the one with most letters does. These are
/// plain words and the abbreviations of SAE J1930 (from memory) and the trade, in English and some in German.
pub(super) const NAMES: &[(Channel, &[&str])] = &[
    (Channel::Time, &["time"]),
    (Channel::Time, &["t"]),
    (Channel::Time, &["timestamp"]),
    (Channel::Time, &["seconds"]),
    (Channel::Time, &["elapsed"]),
    (Channel::Time, &["zeit"]),
    (Channel::Speed, &["rpm"]),
    (Channel::Speed, &["engine", "speed"]),
    (Channel::Speed, &["engine", "revs"]),
    (Channel::Speed, &["revs"]),
    (Channel::Speed, &["tach"]),
    (Channel::Speed, &["crank", "speed"]),
    (Channel::Speed, &["drehzahl"]),
    (Channel::Throttle, &["throttle"]),
    (Channel::Throttle, &["tps"]),
    (Channel::Throttle, &["tp"]),
    (Channel::Throttle, &["drosselklappe"]),
    (Channel::RailPressure, &["fuel", "pressure"]),
    (Channel::RailPressure, &["fuel", "press"]),
    (Channel::RailPressure, &["fuel", "p"]),
    (Channel::RailPressure, &["p", "fuel"]),
    (Channel::RailPressure, &["rail", "pressure"]),
    (Channel::RailPressure, &["rail", "press"]),
    (Channel::RailPressure, &["rail"]),
    (Channel::RailPressure, &["fp"]),
    (Channel::RailPressure, &["frp"]),
    (Channel::RailPressure, &["kraftstoffdruck"]),
    (Channel::ManifoldPressure, &["map"]),
    (Channel::ManifoldPressure, &["manifold"]),
    (Channel::ManifoldPressure, &["plenum"]),
    (Channel::ManifoldPressure, &["intake", "pressure"]),
    (Channel::ManifoldPressure, &["inlet", "pressure"]),
    (Channel::ManifoldPressure, &["boost"]),
    (Channel::ManifoldPressure, &["vacuum"]),
    (Channel::ManifoldPressure, &["vac"]),
    (Channel::ManifoldPressure, &["saugrohrdruck"]),
    (Channel::Barometer, &["baro"]),
    (Channel::Barometer, &["barometer"]),
    (Channel::Barometer, &["barometric"]),
    (Channel::Barometer, &["atmospheric"]),
    (Channel::Barometer, &["ambient", "pressure"]),
    (Channel::Barometer, &["luftdruck"]),
    (Channel::FuelFlow, &["fuel", "flow"]),
    (Channel::FuelFlow, &["fuel", "rate"]),
    (Channel::FuelFlow, &["fuel", "consumption"]),
    (Channel::FuelFlow, &["verbrauch"]),
    (Channel::InjectorPulse, &["pulse"]),
    (Channel::InjectorPulse, &["pulsewidth"]),
    (Channel::InjectorPulse, &["pw"]),
    (Channel::InjectorPulse, &["injection", "time"]),
    (Channel::InjectorPulse, &["inj", "time"]),
    (Channel::InjectorPulse, &["einspritzzeit"]),
    (Channel::InjectorDuty, &["injector", "duty"]),
    (Channel::InjectorDuty, &["inj", "duty"]),
    (Channel::InjectorDuty, &["inj", "dc"]),
    (Channel::InjectorDuty, &["idc"]),
    (Channel::Trim, &["trim"]),
    (Channel::Trim, &["stft"]),
    (Channel::Trim, &["shrtft"]),
    (Channel::Trim, &["lambda", "correction"]),
    (Channel::Trim, &["fuel", "correction"]),
    (Channel::LearnedTrim, &["long", "trim"]),
    (Channel::LearnedTrim, &["long", "term", "trim"]),
    (Channel::LearnedTrim, &["learned", "trim"]),
    (Channel::LearnedTrim, &["ltft"]),
    (Channel::LearnedTrim, &["longft"]),
    (Channel::Lambda, &["lambda"]),
    (Channel::Lambda, &["afr"]),
    (Channel::Lambda, &["air", "fuel"]),
    (Channel::Lambda, &["wideband"]),
    (Channel::BatteryVoltage, &["battery"]),
    (Channel::BatteryVoltage, &["batt"]),
    (Channel::BatteryVoltage, &["vbat"]),
    (Channel::BatteryVoltage, &["vbatt"]),
    (Channel::BatteryVoltage, &["voltage"]),
    (Channel::BatteryVoltage, &["volts"]),
    (Channel::BatteryVoltage, &["bordspannung"]),
    (Channel::PumpVoltage, &["pump", "voltage"]),
    (Channel::PumpVoltage, &["pump", "volts"]),
    (Channel::PumpVoltage, &["pump", "v"]),
];

/// Words that make a column something else: a wanted value, or the same word for another part.
pub(super) const OTHERS: &[&str] = &[
    "target",
    "desired",
    "commanded",
    "command",
    "request",
    "requested",
    "setpoint",
    "wanted",
    "error",
    "limit",
    "alarm",
    "oil",
    "coolant",
    "temp",
    "temperature",
    "iat",
    "density",
    "differential",
    "wheel",
    "vehicle",
    "road",
    "tyre",
    "turbine",
    "sensor",
    "raw",
    "delta",
    "accel",
    "soll",
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_channel_has_its_place_its_id_and_a_name_to_be_found_by() {
        for (i, channel) in Channel::ALL.into_iter().enumerate() {
            assert_eq!(channel as usize, i);
            assert_eq!(Channel::from_id(channel.id()), Some(channel));
            assert_eq!(serde_json::to_value(channel).unwrap(), channel.id());
            assert!(NAMES.iter().any(|(c, _)| *c == channel), "{}", channel.id());
            let (low, high) = channel.plausible();
            assert!(low < high);
        }
    }
}
