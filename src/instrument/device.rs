//! An instrument: its scale, its accuracy, its smallest step, and the uncertainty of what is read from it.

use super::accuracy::Accuracy;
use super::likelihood::Seen;
use crate::quantity::Dimension;
use std::fmt;

/// A scale from one end to the other, SI.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Range {
    /// The low end.
    pub low: f64,
    /// The high end.
    pub high: f64,
}

impl Range {
    /// The length of the scale.
    pub fn span(self) -> f64 {
        self.high - self.low
    }
}

/// A gauge or a meter. Everything in the SI unit of `dimension`; a pressure as the instrument reads it, from its own zero.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Instrument {
    /// What the technician calls it.
    pub name: String,
    /// What it measures.
    pub dimension: Dimension,
    /// Its scale; a digital meter that changes ranges by itself has none.
    pub range: Option<Range>,
    /// What its maker promises.
    pub accuracy: Accuracy,
    /// The smallest step that can be read: a graduation, or one count of the last digit.
    pub resolution: f64,
}

/// Why an instrument, or a reading from it, can't be.
#[derive(Debug, Clone, PartialEq)]
pub enum InstrumentError {
    /// The scale does not run upward over finite numbers.
    BadRange {
        /// The instrument.
        name: String,
    },
    /// The accuracy is a share of a span that is not given.
    NoSpan {
        /// The instrument.
        name: String,
        /// Its accuracy.
        accuracy: Accuracy,
    },
    /// The smallest step is negative, not finite, or longer than the scale.
    BadResolution {
        /// The instrument.
        name: String,
    },
    /// A reading that lies off the scale.
    OffScale {
        /// The instrument.
        name: String,
        /// Whether it lies above the high end.
        above: bool,
    },
}

impl fmt::Display for InstrumentError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::BadRange { name } => write!(
                f,
                "the range of '{name}' must run from a lower to a higher number, such as 0..100 psi"
            ),
            Self::NoSpan { name, accuracy } => write!(
                f,
                "'{name}' has the accuracy {accuracy}, a share of its span, but no range; give one, such as 0..100 psi"
            ),
            Self::BadResolution { name } => write!(
                f,
                "the graduation or resolution of '{name}' must be zero or more, and at most a tenth of its range"
            ),
            Self::OffScale { name, above } => write!(
                f,
                "the reading lies {} the scale of '{name}'; check the unit and the gauge, or say that the pointer stood at its stop",
                if *above { "above" } else { "below" }
            ),
        }
    }
}

impl std::error::Error for InstrumentError {}

/// Standard uncertainty in two parts: what all readings of one instrument share, and what differs from reading to reading.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Uncertainty {
    /// Class error, the same way for every reading of this instrument: half-width/√3 (rectangular, JCGM 100, 4.3.7).
    pub shared: f64,
    /// Resolution, r/(2√3) (JCGM 100, F.2.2.1), and repeatability: new for every reading.
    pub own: f64,
}

impl Uncertainty {
    /// The standard uncertainty of one reading.
    pub fn total(self) -> f64 {
        self.shared.hypot(self.own)
    }

    /// The standard uncertainty of the mean of `repeats` readings: only the own part averages, the class error stays.
    pub fn of_mean(self, repeats: u32) -> f64 {
        self.shared.hypot(self.own / f64::from(repeats.max(1)).sqrt())
    }

    /// The same with a further repeatability, root sum of squares.
    pub fn with_repeatability(self, sd: f64) -> Self {
        Self { own: self.own.hypot(sd), ..self }
    }
}

/// The coarsest graduation of an instrument, as a share of its span: a dial with fewer than ten divisions measures nothing (common
/// practice).
const COARSEST: f64 = 0.1;

impl Instrument {
    /// An instrument whose parts fit each other. `range` and `resolution` in SI.
    ///
    /// # Errors
    /// A range that does not run upward, a share of a span without one, a resolution that can't be.
    pub fn new(
        name: impl Into<String>,
        dimension: Dimension,
        range: Option<Range>,
        accuracy: Accuracy,
        resolution: f64,
    ) -> Result<Self, InstrumentError> {
        let name = name.into();
        if range.is_some_and(|r| !(r.low.is_finite() && r.high.is_finite() && r.low < r.high)) {
            return Err(InstrumentError::BadRange { name });
        }
        if range.is_none() && accuracy.needs_span() {
            return Err(InstrumentError::NoSpan { name, accuracy });
        }
        let longest = range.map_or(f64::INFINITY, |r| r.span() * COARSEST);
        if !(resolution.is_finite() && resolution >= 0.0 && resolution <= longest) {
            return Err(InstrumentError::BadResolution { name });
        }
        Ok(Self { name, dimension, range, accuracy, resolution })
    }

    /// The permissible error either way at `reading`, both SI.
    pub fn half_width(&self, reading: f64) -> f64 {
        let (position, span) = match self.range {
            Some(range) => (((reading - range.low) / range.span()).clamp(0.0, 1.0), range.span()),
            None => (0.5, 0.0),
        };
        self.accuracy.half_width(reading, position, span, self.resolution)
    }

    /// The standard uncertainty of one reading in its two parts.
    pub fn uncertainty(&self, reading: f64) -> Uncertainty {
        let root3 = 3.0_f64.sqrt();
        Uncertainty { shared: self.half_width(reading) / root3, own: self.resolution / (2.0 * root3) }
    }

    /// What a reading says: a value, or at the very end of the scale only "at least" or "at most" that.
    pub fn see(&self, reading: f64) -> Seen {
        match self.range {
            Some(range) if reading >= range.high => Seen::AtLeast(reading),
            Some(range) if reading <= range.low => Seen::AtMost(reading),
            _ => Seen::Value(reading),
        }
    }

    /// Refuses a reading that lies off the scale by more than the instrument's own error: a slip of unit or eye.
    ///
    /// # Errors
    /// [`InstrumentError::OffScale`].
    pub fn check(&self, reading: f64) -> Result<(), InstrumentError> {
        let Some(range) = self.range else { return Ok(()) };
        let slack = self.half_width(reading) + self.resolution;
        if reading > range.high + slack || reading < range.low - slack {
            return Err(InstrumentError::OffScale { name: self.name.clone(), above: reading > range.high });
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn gauge(accuracy: &str) -> Instrument {
        let range = Some(Range { low: 0.0, high: 100.0 });
        Instrument::new("gauge", Dimension::Pressure, range, accuracy.parse().unwrap(), 1.0).unwrap()
    }

    #[test]
    fn repeats_average_only_what_is_new_in_each() {
        let u = gauge("EN 837-1 1.6").uncertainty(58.0);
        assert!((u.of_mean(1) - u.total()).abs() < 1e-15);
        assert!(u.of_mean(4) < u.total());
        assert!(u.of_mean(1_000_000) >= u.shared);
        assert!((u.of_mean(1_000_000) - u.shared).abs() < 1e-7);
    }

    #[test]
    fn the_ends_of_the_scale_say_less() {
        let g = gauge("ASME B40.100 B");
        assert_eq!(g.see(100.0), Seen::AtLeast(100.0));
        assert_eq!(g.see(0.0), Seen::AtMost(0.0));
        assert_eq!(g.see(51.0), Seen::Value(51.0));
        assert!(g.check(103.0).is_ok());
        assert!(g.check(400.0).unwrap_err().to_string().contains("above the scale"));
        assert!(g.check(-30.0).is_err());
    }

    #[test]
    fn a_compound_scale_counts_its_whole_span() {
        // 30 inHg of vacuum to 15 psi is a span of 29.7 psi (gauge_accuracy.csv, header).
        let range = Some(Range { low: -14.734, high: 15.0 });
        let g = Instrument::new("compound", Dimension::Pressure, range, "EN 837-1 2.5".parse().unwrap(), 0.5);
        assert!((g.unwrap().half_width(0.0) - 0.025 * 29.734).abs() < 1e-12);
    }

    #[test]
    fn parts_that_do_not_fit_are_refused() {
        let make = |range, accuracy: &str, resolution| {
            Instrument::new("x", Dimension::Voltage, range, accuracy.parse().unwrap(), resolution)
        };
        assert!(matches!(make(None, "EN 837-1 1.6", 0.1), Err(InstrumentError::NoSpan { .. })));
        let backwards = Some(Range { low: 5.0, high: 1.0 });
        assert!(matches!(make(backwards, "EN 837-1 1.6", 0.1), Err(InstrumentError::BadRange { .. })));
        assert!(matches!(make(None, "1 % of reading", -1.0), Err(InstrumentError::BadResolution { .. })));
        assert!(make(None, "0.5 % + 2 counts", 0.01).is_ok());
    }

    #[test]
    fn a_meter_counts_its_last_digit() {
        let meter =
            Instrument::new("meter", Dimension::Voltage, None, "0.5 % + 2 counts".parse().unwrap(), 0.01);
        assert!((meter.unwrap().half_width(12.4) - (0.062 + 0.02)).abs() < 1e-12);
    }

    #[test]
    fn it_survives_the_journal() {
        let g = gauge("0.5 % + 2 counts");
        let text = serde_json::to_string(&g).unwrap();
        assert!(text.contains(r#""accuracy":"0.5 % + 2 counts""#), "{text}");
        assert_eq!(serde_json::from_str::<Instrument>(&text).unwrap(), g);
    }
}
