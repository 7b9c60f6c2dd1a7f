//! From the number in a column to SI: unit, what a pressure is measured from, and how a trim is written.

use super::channel::Channel;
use crate::quantity::{Dimension, unit};
use serde::{Deserialize, Serialize};

/// What a pressure in a column is measured from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Origin {
    /// From the atmosphere, up.
    Gauge,
    /// From vacuum.
    Absolute,
    /// From the atmosphere, down.
    Vacuum,
    /// From the manifold: the pressure across an injector in a port.
    Manifold,
}

impl Origin {
    /// In words.
    pub fn name(self) -> &'static str {
        match self {
            Self::Gauge => "gauge",
            Self::Absolute => "absolute",
            Self::Vacuum => "vacuum",
            Self::Manifold => "above manifold",
        }
    }
}

/// How a column's number becomes SI: `raw × factor + offset`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Scale {
    pub factor: f64,
    pub offset: f64,
}

const fn scale(factor: f64, offset: f64) -> Scale {
    Scale { factor, offset }
}

/// What a unit's text says: its scale for `channel` and, glued to it or in words, what a pressure is measured from.
pub(super) fn read_unit(channel: Channel, text: &str) -> Option<(Scale, Option<Origin>)> {
    let text = text.trim();
    let lower = text.to_lowercase();
    let special = match (channel, lower.as_str()) {
        (Channel::Speed, "1/s" | "hz" | "rev/s") => scale(60.0, 0.0),
        (Channel::Time | Channel::InjectorPulse, "ms" | "msec") => scale(1e-3, 0.0),
        (Channel::Time | Channel::InjectorPulse, "us" | "µs") => scale(1e-6, 0.0),
        (Channel::Lambda, "afr" | "afr gasoline" | "a/f") => scale(1.0 / 14.7, 0.0),
        // A clock is turned into seconds where it is read.
        (Channel::Lambda | Channel::Speed, "" | "lambda" | "λ")
        | (Channel::Time, "clock")
        | (Channel::Speed, "rpm" | "1/min" | "/min" | "min-1" | "r/min" | "u/min" | "rev/min") => {
            scale(1.0, 0.0)
        }
        // A trim written as a factor, 1 or 100 % where nothing is added.
        (Channel::Trim | Channel::LearnedTrim, "factor") => scale(1.0, -1.0),
        (Channel::Trim | Channel::LearnedTrim, "% of 100") => scale(0.01, -1.0),
        (_, "share") if channel.dimension() == Dimension::Share => scale(1.0, 0.0),
        _ => return by_table(channel, text),
    };
    Some((special, None))
}

fn by_table(channel: Channel, text: &str) -> Option<(Scale, Option<Origin>)> {
    let of = |text: &str| {
        unit(text).filter(|u| {
            u.dimension == channel.dimension()
                || (channel == Channel::FuelFlow && u.dimension == Dimension::MassFlow)
        })
    };
    let (found, origin) = match of(text) {
        Some(u) => (u, None),
        None if channel.dimension() == Dimension::Pressure => {
            let lower = text.to_lowercase();
            let endings = [
                (" above manifold", Origin::Manifold),
                ("absolute", Origin::Absolute),
                ("abs", Origin::Absolute),
                ("gauge", Origin::Gauge),
                ("vacuum", Origin::Vacuum),
                ("vac", Origin::Vacuum),
                ("(a)", Origin::Absolute),
                ("(g)", Origin::Gauge),
                ("a", Origin::Absolute),
                ("g", Origin::Gauge),
            ];
            endings.into_iter().find_map(|(ending, origin)| {
                let stem = text.get(..text.len().checked_sub(ending.len())?)?;
                (lower.ends_with(ending)).then(|| of(stem.trim()).map(|u| (u, Some(origin))))?
            })?
        }
        None => return None,
    };
    // A mass flow counts as gasoline, whose density the physics names; only its course against other columns is used.
    let factor = if found.dimension == Dimension::MassFlow {
        found.factor / crate::physics::GASOLINE_DENSITY
    } else {
        found.factor
    };
    Some((scale(factor, found.offset), origin))
}

impl Scale {
    pub(super) fn si(self, raw: f64) -> f64 {
        raw * self.factor + self.offset
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn si(channel: Channel, unit: &str, raw: f64) -> Option<(f64, Option<Origin>)> {
        read_unit(channel, unit).map(|(s, o)| (s.si(raw), o))
    }

    #[test]
    fn units_and_what_they_are_measured_from() {
        assert_eq!(si(Channel::RailPressure, "kPa", 300.0), Some((300e3, None)));
        assert_eq!(si(Channel::RailPressure, "bar(g)", 3.0), Some((3e5, Some(Origin::Gauge))));
        assert_eq!(si(Channel::ManifoldPressure, "kPa abs", 40.0), Some((40e3, Some(Origin::Absolute))));
        let (psi, origin) = si(Channel::ManifoldPressure, "psia", 14.7).unwrap();
        assert!((psi - 101_353.0).abs() < 1.0 && origin == Some(Origin::Absolute), "{psi}");
        assert_eq!(si(Channel::Time, "ms", 250.0), Some((0.25, None)));
        assert_eq!(si(Channel::Speed, "1/min", 850.0), Some((850.0, None)));
        let close = |unit: &str, raw: f64| si(Channel::Trim, unit, raw).unwrap().0;
        assert!((close("%", 5.0) - 0.05).abs() < 1e-12 && (close("factor", 1.05) - 0.05).abs() < 1e-12);
        assert!((close("% of 100", 105.0) - 0.05).abs() < 1e-12);
        assert_eq!(read_unit(Channel::RailPressure, "V"), None);
        assert_eq!(read_unit(Channel::Speed, "kPa"), None);
    }
}
