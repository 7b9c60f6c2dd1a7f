//! Accuracy as an instrument's face or leaflet states it, parsed and turned into a half-width.

use std::fmt;
use std::str::FromStr;

/// Accuracy grade after ASME B40.100: permissible error in percent of span, given for the lower quarter, the middle
/// half and the upper quarter of the scale.
///
/// The form is confirmed by a document; grade A in part (2 % and a 2/1/2 example); every other grade's figures are
/// from memory.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum AsmeGrade {
    /// 4A: 0.1 % throughout (from memory).
    A4,
    /// 3A: 0.25 % throughout (from memory).
    A3,
    /// 2A: 0.5 % throughout (from memory).
    A2,
    /// 1A: 1 % throughout (from memory).
    A1,
    /// A: 2 / 1 / 2 % (partly confirmed: trade texts show 2 % and a 2/1/2 example).
    A,
    /// B: 3 / 2 / 3 % (from memory).
    B,
    /// C: 4 / 3 / 4 % (from memory).
    C,
    /// D: 5 % throughout (from memory).
    D,
}

impl AsmeGrade {
    /// Every grade, finest first.
    pub const ALL: [Self; 8] = [Self::A4, Self::A3, Self::A2, Self::A1, Self::A, Self::B, Self::C, Self::D];

    /// The grade as the dial prints it.
    pub fn id(self) -> &'static str {
        match self {
            Self::A4 => "4A",
            Self::A3 => "3A",
            Self::A2 => "2A",
            Self::A1 => "1A",
            Self::A => "A",
            Self::B => "B",
            Self::C => "C",
            Self::D => "D",
        }
    }

    /// Percent of span in the lower quarter, middle half and upper quarter of the scale.
    pub fn percent(self) -> [f64; 3] {
        match self {
            Self::A4 => [0.1; 3],
            Self::A3 => [0.25; 3],
            Self::A2 => [0.5; 3],
            Self::A1 => [1.0; 3],
            Self::A => [2.0, 1.0, 2.0],
            Self::B => [3.0, 2.0, 3.0],
            Self::C => [4.0, 3.0, 4.0],
            Self::D => [5.0; 3],
        }
    }
}

/// Accuracy class after EN 837-1:1996, table 11 (confirmed): the class is the permissible error in percent of span.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum En837Class {
    /// 0.1 %.
    C0_1,
    /// 0.25 %.
    C0_25,
    /// 0.6 %.
    C0_6,
    /// 1 %.
    C1,
    /// 1.6 %.
    C1_6,
    /// 2.5 %.
    C2_5,
    /// 4 %.
    C4,
}

impl En837Class {
    /// Every class, finest first.
    pub const ALL: [Self; 7] =
        [Self::C0_1, Self::C0_25, Self::C0_6, Self::C1, Self::C1_6, Self::C2_5, Self::C4];

    /// Percent of span.
    pub fn percent(self) -> f64 {
        match self {
            Self::C0_1 => 0.1,
            Self::C0_25 => 0.25,
            Self::C0_6 => 0.6,
            Self::C1 => 1.0,
            Self::C1_6 => 1.6,
            Self::C2_5 => 2.5,
            Self::C4 => 4.0,
        }
    }
}

/// What an instrument's maker promises.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Accuracy {
    /// A grade after ASME B40.100.
    Asme(AsmeGrade),
    /// A class after EN 837-1.
    En837(En837Class),
    /// Percent of the span of the scale.
    Span(f64),
    /// Percent of what is read.
    Reading(f64),
    /// A digital meter: percent of what is read and so many counts of the last digit.
    Counts {
        /// Percent of the reading.
        percent: f64,
        /// Counts of the last digit.
        counts: f64,
    },
}

/// Why a text is not taken as an accuracy.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum AccuracyError {
    /// Neither a class nor a percentage of a known form.
    Unknown {
        /// The text as found.
        found: String,
    },
    /// No such grade or class in the standard named.
    NoSuchClass {
        /// The standard.
        standard: &'static str,
        /// The class as found.
        found: String,
        /// The classes it has.
        classes: String,
    },
    /// A bare percentage: of the span or of the reading makes a large difference.
    PercentOfWhat {
        /// The text as found.
        found: String,
    },
    /// A negative, missing or absurd number.
    BadNumber {
        /// The number as found.
        found: String,
    },
}

impl fmt::Display for AccuracyError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Unknown { found } => write!(
                f,
                "expected an accuracy, found '{found}'; write it as 'ASME B40.100 B', 'EN 837-1 1.6', '1.6 % of span', \
                 '2 % of reading' or '0.5 % + 2 counts'"
            ),
            Self::NoSuchClass { standard, found, classes } => {
                write!(f, "{standard} has no class '{found}'; it has {classes}")
            }
            Self::PercentOfWhat { found } => write!(
                f,
                "'{found}' does not say percent of what; write '{found} of span' for a dial or '{found} of reading'"
            ),
            Self::BadNumber { found } => {
                write!(f, "'{found}' is no accuracy: expected a number above 0 and at most 100, such as 1.6")
            }
        }
    }
}

impl std::error::Error for AccuracyError {}

/// A percentage or a count: finite, above zero, at most 100.
fn number(text: &str) -> Result<f64, AccuracyError> {
    crate::quantity::parse_number(text.trim())
        .ok()
        .filter(|n| *n > 0.0 && *n <= 100.0)
        .ok_or_else(|| AccuracyError::BadNumber { found: text.trim().to_owned() })
}

/// What follows one of `starts` in `text`, whatever the case.
fn after<'a>(text: &'a str, starts: &[&str]) -> Option<&'a str> {
    starts.iter().find_map(|s| {
        let head = text.get(..s.len())?;
        head.eq_ignore_ascii_case(s).then(|| text[s.len()..].trim())
    })
}

impl FromStr for Accuracy {
    type Err = AccuracyError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let found = || text.trim().to_owned();
        let body = text.trim().trim_start_matches(['±', '+']).trim_start_matches("/-").trim_start();
        if let Some(rest) = after(body, &["ASME B40.100", "ASME B40.1", "B40.100", "ASME"]) {
            let grade = after(rest, &["grade", "class"]).unwrap_or(rest);
            return AsmeGrade::ALL
                .into_iter()
                .find(|g| g.id().eq_ignore_ascii_case(grade))
                .map(Self::Asme)
                .ok_or_else(|| AccuracyError::NoSuchClass {
                    standard: "ASME B40.100",
                    found: grade.to_owned(),
                    classes: AsmeGrade::ALL.map(AsmeGrade::id).join(", "),
                });
        }
        if let Some(rest) = after(body, &["EN 837-1", "EN837-1", "EN 837", "EN837"]) {
            let class = after(rest, &["class", "cl.", "cl"]).unwrap_or(rest);
            let value = crate::quantity::parse_number(class).ok();
            return En837Class::ALL
                .into_iter()
                .find(|c| Some(c.percent()) == value)
                .map(Self::En837)
                .ok_or_else(|| AccuracyError::NoSuchClass {
                    standard: "EN 837-1",
                    found: class.to_owned(),
                    classes: En837Class::ALL.map(|c| c.percent().to_string()).join(", "),
                });
        }
        let Some((percent, rest)) = body.split_once('%') else {
            return Err(AccuracyError::Unknown { found: found() });
        };
        let percent = number(percent)?;
        let rest = rest.trim();
        if let Some(counts) = rest.split_once('+').map(|(of, counts)| (of.trim(), counts.trim()))
            && (counts.0.is_empty() || after(counts.0, &["of reading", "reading", "rdg"]) == Some(""))
        {
            let word = counts.1.trim_start_matches(|c: char| c.is_ascii_digit() || c == '.').trim();
            if ["count", "counts", "digit", "digits", "dgt", "d"].contains(&word) {
                let counts = number(&counts.1[..counts.1.len() - word.len()])?;
                return Ok(Self::Counts { percent, counts });
            }
            return Err(AccuracyError::Unknown { found: found() });
        }
        match rest.to_lowercase().as_str() {
            "of span" | "span" | "fs" | "of full scale" | "of scale" | "full scale" => {
                Ok(Self::Span(percent))
            }
            "of reading" | "reading" | "rdg" => Ok(Self::Reading(percent)),
            "" => Err(AccuracyError::PercentOfWhat { found: found() }),
            _ => Err(AccuracyError::Unknown { found: found() }),
        }
    }
}

impl fmt::Display for Accuracy {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Asme(grade) => write!(f, "ASME B40.100 {}", grade.id()),
            Self::En837(class) => write!(f, "EN 837-1 {}", class.percent()),
            Self::Span(percent) => write!(f, "{percent} % of span"),
            Self::Reading(percent) => write!(f, "{percent} % of reading"),
            Self::Counts { percent, counts } => write!(f, "{percent} % + {counts} counts"),
        }
    }
}

impl serde::Serialize for Accuracy {
    fn serialize<S: serde::Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(self)
    }
}

impl<'de> serde::Deserialize<'de> for Accuracy {
    fn deserialize<D: serde::Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let text = std::borrow::Cow::<str>::deserialize(from)?;
        text.parse().map_err(serde::de::Error::custom)
    }
}

impl Accuracy {
    /// Whether the half-width needs the span of the scale.
    pub fn needs_span(self) -> bool {
        matches!(self, Self::Asme(_) | Self::En837(_) | Self::Span(_))
    }

    /// The permissible error either way, in the unit of `reading`.
    ///
    /// `position` is where on the scale the reading lies, 0 at its low end and 1 at its high end, `span` the length of
    /// the scale and `count` one step of the last digit. On the border of two quarters of an ASME scale the wider holds.
    pub fn half_width(self, reading: f64, position: f64, span: f64, count: f64) -> f64 {
        match self {
            Self::Asme(grade) => {
                let [lower, middle, upper] = grade.percent();
                let percent = if position <= 0.25 {
                    lower
                } else if position < 0.75 {
                    middle
                } else {
                    upper
                };
                percent / 100.0 * span
            }
            Self::En837(class) => class.percent() / 100.0 * span,
            Self::Span(percent) => percent / 100.0 * span,
            Self::Reading(percent) => percent / 100.0 * reading.abs(),
            Self::Counts { percent, counts } => percent / 100.0 * reading.abs() + counts * count,
        }
    }

    /// How well the figures behind this accuracy are confirmed, in words to print beside it.
    pub fn confirmation(self) -> &'static str {
        match self {
            Self::Asme(AsmeGrade::A) => "ASME B40.100 grade A: partly confirmed",
            Self::Asme(_) => "ASME B40.100 figures from memory",
            Self::En837(_) => "EN 837-1:1996, table 11",
            Self::Span(_) | Self::Reading(_) | Self::Counts { .. } => "as the instrument's maker states it",
        }
    }

    /// The same kind of accuracy in every class of its standard that is finer, coarsest of them first.
    pub fn finer(self) -> Vec<Self> {
        match self {
            Self::Asme(grade) => {
                AsmeGrade::ALL.into_iter().rev().filter(|g| *g < grade).map(Self::Asme).collect()
            }
            Self::En837(class) => {
                En837Class::ALL.into_iter().rev().filter(|c| *c < class).map(Self::En837).collect()
            }
            Self::Span(percent) => {
                En837Class::ALL.into_iter().rev().filter(|c| c.percent() < percent).map(Self::En837).collect()
            }
            Self::Reading(_) | Self::Counts { .. } => Vec::new(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_form_is_read_and_prints_itself() {
        for (text, printed) in [
            ("ASME B40.100 B", "ASME B40.100 B"),
            ("asme b40.100 grade 2a", "ASME B40.100 2A"),
            ("EN 837-1 1.6", "EN 837-1 1.6"),
            ("EN 837-1 class 4.0", "EN 837-1 4"),
            ("EN 837-1 cl. 2,5", "EN 837-1 2.5"),
            ("1.6 % of span", "1.6 % of span"),
            ("±0.5% FS", "0.5 % of span"),
            ("2 % of reading", "2 % of reading"),
            ("0.5 % + 2 counts", "0.5 % + 2 counts"),
            ("0.5% of reading + 2 digits", "0.5 % + 2 counts"),
            ("+/- 0.8 % + 1 count", "0.8 % + 1 counts"),
        ] {
            let accuracy: Accuracy = text.parse().unwrap_or_else(|e| panic!("{text}: {e}"));
            assert_eq!(accuracy.to_string(), printed, "{text}");
            assert_eq!(printed.parse(), Ok(accuracy), "{printed}");
        }
    }

    #[test]
    fn what_is_not_understood_says_what_would_be() {
        for (text, part) in [
            ("ASME B40.100 E", "4A, 3A, 2A, 1A, A, B, C, D"),
            ("EN 837-1 1.5", "0.1, 0.25, 0.6, 1, 1.6, 2.5, 4"),
            ("1.6 %", "1.6 % of span"),
            ("fine", "'EN 837-1 1.6'"),
            ("0 % of span", "above 0"),
            ("-2 % of span", "above 0"),
            ("0.5 % + 2 psi", "'0.5 % + 2 counts'"),
            ("2 % of tea", "'2 % of reading'"),
        ] {
            let error = text.parse::<Accuracy>().unwrap_err().to_string();
            assert!(error.contains(part), "{text}: {error}");
        }
    }

    #[test]
    fn the_border_of_two_quarters_takes_the_wider() {
        let b = Accuracy::Asme(AsmeGrade::B);
        for (position, half) in
            [(0.0, 3.0), (0.25, 3.0), (0.26, 2.0), (0.5, 2.0), (0.74, 2.0), (0.75, 3.0), (1.0, 3.0)]
        {
            assert!((b.half_width(0.0, position, 100.0, 1.0) - half).abs() < 1e-12, "{position}");
        }
    }

    #[test]
    fn finer_classes_come_coarsest_first() {
        let finer = Accuracy::Asme(AsmeGrade::A).finer();
        assert_eq!(finer[0], Accuracy::Asme(AsmeGrade::A1));
        assert_eq!(finer.len(), 4);
        assert!(Accuracy::Reading(1.0).finer().is_empty());
    }
}
