//! Low, within, high or undecided: the decision rule of JCGM 106:2012 at 95 %.

use super::likelihood::Seen;
use super::normal::cdf;
use std::fmt;

/// The probability a verdict needs (JCGM 106:2012, 8.2; the default of ISO 14253-1).
pub const CONFIDENCE: f64 = 0.95;

/// What a reading says about its limits. A closed list with stable ids.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Verdict {
    /// Below the lower limit with at least 95 %: `low`.
    Low,
    /// Between the limits with at least 95 %: `within`.
    Within,
    /// Above the upper limit with at least 95 %: `high`.
    High,
    /// None of the three reaches 95 %: `undecided`.
    Undecided,
    /// No reading was taken: `not-tested`.
    NotTested,
}

impl Verdict {
    /// Every verdict.
    pub const ALL: &'static [Self] = &[Self::Low, Self::Within, Self::High, Self::Undecided, Self::NotTested];

    /// The stable id, as trees, journals and JSON write it.
    pub fn id(self) -> &'static str {
        match self {
            Self::Low => "low",
            Self::Within => "within",
            Self::High => "high",
            Self::Undecided => "undecided",
            Self::NotTested => "not-tested",
        }
    }

    /// The word shown to people.
    pub fn word(self) -> &'static str {
        match self {
            Self::NotTested => "not tested",
            other => other.id(),
        }
    }

    /// The verdict with this id.
    pub fn from_id(id: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|v| v.id() == id)
    }
}

impl fmt::Display for Verdict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.id())
    }
}

/// A text that is the id of no verdict.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnknownVerdict(String);

impl fmt::Display for UnknownVerdict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "'{}' is no verdict; use low, within, high, undecided or not-tested", self.0)
    }
}

impl std::error::Error for UnknownVerdict {}

impl std::str::FromStr for Verdict {
    type Err = UnknownVerdict;
    fn from_str(text: &str) -> Result<Self, Self::Err> {
        Self::from_id(text).ok_or_else(|| UnknownVerdict(text.to_owned()))
    }
}

impl serde::Serialize for Verdict {
    fn serialize<S: serde::Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(self.id())
    }
}

impl<'de> serde::Deserialize<'de> for Verdict {
    fn deserialize<D: serde::Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let text = std::borrow::Cow::<str>::deserialize(from)?;
        text.parse().map_err(serde::de::Error::custom)
    }
}

impl schemars::JsonSchema for Verdict {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Verdict".into()
    }
    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        let ids: Vec<&str> = Self::ALL.iter().map(|v| v.id()).collect();
        schemars::json_schema!({ "type": "string", "enum": ids })
    }
}

/// A verdict with the probabilities it rests on.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Judgement {
    /// The verdict at [`CONFIDENCE`].
    pub verdict: Verdict,
    /// Probability that the quantity lies below the lower limit; 0 without one.
    pub p_low: f64,
    /// Probability that it lies between the limits.
    pub p_within: f64,
    /// Probability that it lies above the upper limit; 0 without one.
    pub p_high: f64,
}

impl Judgement {
    /// The probability of the verdict; for an undecided one, that of the likeliest of the three.
    pub fn probability(&self) -> f64 {
        match self.verdict {
            Verdict::Low => self.p_low,
            Verdict::Within => self.p_within,
            Verdict::High => self.p_high,
            Verdict::Undecided | Verdict::NotTested => self.p_low.max(self.p_within).max(self.p_high),
        }
    }
}

/// Limits or an uncertainty that no verdict can be given on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LimitError {
    /// Neither a lower nor an upper limit.
    NoLimit,
    /// The lower limit lies above the upper one.
    Crossed,
    /// A number that is not finite.
    NotFinite,
    /// An uncertainty below zero.
    NegativeUncertainty,
}

impl fmt::Display for LimitError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::NoLimit => "expected a lower or an upper limit, found neither; give at least one",
            Self::Crossed => "the lower limit lies above the upper one; swap them",
            Self::NotFinite => "the reading, its limits and its uncertainty must be finite numbers",
            Self::NegativeUncertainty => "expected an uncertainty of zero or more, found one below zero",
        })
    }
}

impl std::error::Error for LimitError {}

/// Whether a verdict can be given on these numbers at all.
///
/// # Errors
/// Any [`LimitError`].
pub fn check_limits(reading: f64, u: f64, low: Option<f64>, high: Option<f64>) -> Result<(), LimitError> {
    if low.is_none() && high.is_none() {
        return Err(LimitError::NoLimit);
    }
    if [Some(reading), Some(u), low, high].into_iter().flatten().any(|n| !n.is_finite()) {
        return Err(LimitError::NotFinite);
    }
    if u < 0.0 {
        return Err(LimitError::NegativeUncertainty);
    }
    match (low, high) {
        (Some(low), Some(high)) if low > high => Err(LimitError::Crossed),
        _ => Ok(()),
    }
}

/// P(a value read as `reading` with standard uncertainty `u` lies below `limit`).
fn below(limit: f64, reading: f64, u: f64) -> f64 {
    if u > 0.0 {
        cdf((limit - reading) / u)
    } else if reading < limit {
        1.0
    } else {
        0.0
    }
}

/// P(the value lies above `limit`), from its own tail so that small probabilities keep their digits.
fn above(limit: f64, reading: f64, u: f64) -> f64 {
    below(-limit, -reading, u)
}

/// The verdict on `reading` with standard uncertainty `u` (JCGM 106:2012, 7.4 and 8): one unit for all.
///
/// A limit that is absent can't be missed. With no limit at all everything is within; [`check_limits`] refuses such
/// input where a person gives it.
pub fn judge(reading: f64, u: f64, low: Option<f64>, high: Option<f64>) -> Judgement {
    let p_low = low.map_or(0.0, |l| below(l, reading, u));
    let p_high = high.map_or(0.0, |h| above(h, reading, u));
    // Inside, the two tails are subtracted; outside, two nearby tails on one side, so that no digits are lost.
    let p_within = match (low, high) {
        (Some(l), Some(_)) if reading < l => above(l, reading, u) - p_high,
        (Some(_), Some(h)) if reading > h => below(h, reading, u) - p_low,
        _ => 1.0 - p_low - p_high,
    }
    .max(0.0);
    decide(p_low, p_within, p_high)
}

fn decide(p_low: f64, p_within: f64, p_high: f64) -> Judgement {
    let verdict = if p_low >= CONFIDENCE {
        Verdict::Low
    } else if p_within >= CONFIDENCE {
        Verdict::Within
    } else if p_high >= CONFIDENCE {
        Verdict::High
    } else {
        Verdict::Undecided
    };
    Judgement { verdict, p_low, p_within, p_high }
}

/// The verdict on what was seen, which may be only "at least" or "at most" a value.
///
/// For "at least" the probability of low is the most it can be and that of high the least it can be; how the rest
/// falls between within and high is not known, so within is decided only where there is no upper limit. "At most" is
/// its mirror.
pub fn judge_seen(seen: Seen, u: f64, low: Option<f64>, high: Option<f64>) -> Judgement {
    match seen {
        Seen::Value(reading) => judge(reading, u, low, high),
        Seen::AtLeast(reading) => {
            let p_low = low.map_or(0.0, |l| below(l, reading, u));
            match high {
                None => sure_of(Verdict::Within, p_low, 1.0 - p_low, 0.0),
                Some(high) => {
                    let p_high = above(high, reading, u);
                    sure_of(Verdict::High, p_low, (1.0 - p_low - p_high).max(0.0), p_high)
                }
            }
        }
        Seen::AtMost(reading) => {
            let p_high = high.map_or(0.0, |h| above(h, reading, u));
            match low {
                None => sure_of(Verdict::Within, 0.0, 1.0 - p_high, p_high),
                Some(low) => {
                    let p_low = below(low, reading, u);
                    sure_of(Verdict::Low, p_low, (1.0 - p_low - p_high).max(0.0), p_high)
                }
            }
        }
    }
}

/// The judgement of an open-ended reading, which can decide on `only` this verdict: the other probabilities are bounds.
fn sure_of(only: Verdict, p_low: f64, p_within: f64, p_high: f64) -> Judgement {
    let decided = decide(p_low, p_within, p_high);
    let verdict = if decided.verdict == only { only } else { Verdict::Undecided };
    Judgement { verdict, ..decided }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_three_probabilities_fill_the_whole() {
        for reading in [-3.0, 7.0, 8.0, 10.0, 12.0, 12.5, 400.0] {
            for u in [0.0, 0.01, 0.5, 1.0, 20.0] {
                let j = judge(reading, u, Some(8.0), Some(12.0));
                assert!((j.p_low + j.p_within + j.p_high - 1.0).abs() < 1e-12, "{reading} {u} {j:?}");
            }
        }
    }

    #[test]
    fn without_uncertainty_the_limits_alone_decide() {
        assert_eq!(judge(7.9, 0.0, Some(8.0), Some(12.0)).verdict, Verdict::Low);
        assert_eq!(judge(8.0, 0.0, Some(8.0), Some(12.0)).verdict, Verdict::Within);
        assert_eq!(judge(12.0, 0.0, Some(8.0), Some(12.0)).verdict, Verdict::Within);
        assert_eq!(judge(12.1, 0.0, Some(8.0), Some(12.0)).verdict, Verdict::High);
    }

    #[test]
    fn a_stopped_pointer_decides_only_upward() {
        let seen = Seen::AtLeast(75.0);
        assert_eq!(judge_seen(seen, 1.0, Some(60.0), None).verdict, Verdict::Within);
        assert_eq!(judge_seen(seen, 1.0, Some(60.0), Some(70.0)).verdict, Verdict::High);
        assert_eq!(judge_seen(seen, 1.0, Some(60.0), Some(90.0)).verdict, Verdict::Undecided);
        assert_eq!(judge_seen(seen, 1.0, Some(90.0), None).verdict, Verdict::Undecided);
        assert_eq!(judge_seen(Seen::AtMost(0.0), 1.0, Some(60.0), Some(70.0)).verdict, Verdict::Low);
        assert_eq!(judge_seen(Seen::AtMost(0.0), 1.0, None, Some(70.0)).verdict, Verdict::Within);
    }

    #[test]
    fn ids_go_there_and_back() {
        for v in Verdict::ALL {
            assert_eq!(serde_json::to_string(v).unwrap(), format!("\"{}\"", v.id()));
            assert_eq!(v.id().parse(), Ok(*v));
        }
        assert_eq!(Verdict::NotTested.word(), "not tested");
        assert!("fine".parse::<Verdict>().unwrap_err().to_string().contains("within"));
    }

    #[test]
    fn limits_that_can_not_be_are_refused() {
        assert_eq!(check_limits(1.0, 1.0, None, None), Err(LimitError::NoLimit));
        assert_eq!(check_limits(1.0, 1.0, Some(2.0), Some(1.0)), Err(LimitError::Crossed));
        assert_eq!(check_limits(f64::NAN, 1.0, Some(2.0), None), Err(LimitError::NotFinite));
        assert_eq!(check_limits(1.0, -1.0, Some(2.0), None), Err(LimitError::NegativeUncertainty));
        assert_eq!(check_limits(1.0, 0.0, Some(2.0), Some(2.0)), Ok(()));
    }
}
