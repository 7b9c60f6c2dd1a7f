//! What would decide an undecided reading: a smaller uncertainty, more repeats, or a finer instrument.

use super::accuracy::Accuracy;
use super::device::{Instrument, Uncertainty};
use super::normal::quantile;
use super::verdict::{CONFIDENCE, Verdict, judge};

/// More repeats than a technician will take are no advice.
const MOST_REPEATS: u32 = 20;

/// What would turn an undecided reading into a verdict, were the same value read again.
#[derive(Debug, Clone, PartialEq)]
pub struct Advice {
    /// The verdict it would become.
    pub toward: Verdict,
    /// The largest standard uncertainty that decides, SI.
    pub needed: f64,
    /// How many readings with this instrument, averaged, would do; `None` when its class error alone is too large.
    pub repeats: Option<u32>,
    /// The coarsest class of the same standard that would do with the same graduation.
    pub finer: Option<Accuracy>,
}

/// The verdict a reading leans to and the largest standard uncertainty that decides it; `None` for a reading exactly on
/// a limit, which nothing decides.
pub fn uncertainty_that_decides(reading: f64, low: Option<f64>, high: Option<f64>) -> Option<(Verdict, f64)> {
    let z = quantile(CONFIDENCE);
    let to_low = low.map(|l| reading - l);
    let to_high = high.map(|h| h - reading);
    if let Some(outside) = to_low.filter(|d| *d < 0.0) {
        return Some((Verdict::Low, -outside / z));
    }
    if let Some(outside) = to_high.filter(|d| *d < 0.0) {
        return Some((Verdict::High, -outside / z));
    }
    match (to_low, to_high) {
        (None, None) => None,
        (Some(d), None) | (None, Some(d)) => (d > 0.0).then_some((Verdict::Within, d / z)),
        (Some(a), Some(b)) => {
            let nearest = a.min(b);
            if nearest <= 0.0 {
                return None;
            }
            // P(within) falls as u grows; one tail alone gives the upper bracket, both tails at most double it.
            let (mut decides, mut fails) = (nearest / quantile(0.5 + CONFIDENCE / 2.0), nearest / z);
            if judge(reading, fails, low, high).p_within >= CONFIDENCE {
                return Some((Verdict::Within, fails));
            }
            for _ in 0..80 {
                let middle = 0.5 * (decides + fails);
                if judge(reading, middle, low, high).p_within >= CONFIDENCE {
                    decides = middle;
                } else {
                    fails = middle;
                }
            }
            Some((Verdict::Within, decides))
        }
    }
}

/// What would decide `reading`, taken once with `instrument`, against these limits; `None` when nothing would (it lies
/// on a limit) or when it is decided already. `other` is uncertainty beside the instrument's that no repeat averages,
/// such as that of the limits.
pub fn advise(
    instrument: &Instrument,
    reading: f64,
    other: f64,
    low: Option<f64>,
    high: Option<f64>,
) -> Option<Advice> {
    let (toward, needed) = uncertainty_that_decides(reading, low, high)?;
    let with_other = |u: Uncertainty| Uncertainty { shared: u.shared.hypot(other), ..u };
    let now = with_other(instrument.uncertainty(reading));
    if now.total() <= needed {
        return None;
    }
    let repeats = (2..=MOST_REPEATS).find(|n| now.of_mean(*n) <= needed);
    let finer = instrument.accuracy.finer().into_iter().find(|accuracy| {
        let finer = Instrument { accuracy: *accuracy, ..instrument.clone() };
        with_other(finer.uncertainty(reading)).total() <= needed
    });
    Some(Advice { toward, needed, repeats, finer })
}

#[cfg(test)]
mod tests {
    use super::super::device::Range;
    use super::*;
    use crate::quantity::Dimension;

    fn gauge(accuracy: &str, resolution: f64) -> Instrument {
        let range = Some(Range { low: 0.0, high: 100.0 });
        Instrument::new("gauge", Dimension::Pressure, range, accuracy.parse().unwrap(), resolution).unwrap()
    }

    #[test]
    fn the_needed_uncertainty_is_the_edge_of_the_verdict() {
        for (reading, low, high) in [
            (10.0, Some(8.0), Some(12.0)),
            (11.5, Some(8.0), Some(12.0)),
            (7.0, Some(8.0), Some(12.0)),
            (12.7, Some(8.0), Some(12.0)),
            (9.0, Some(8.0), None),
            (9.0, None, Some(12.0)),
        ] {
            let (toward, u) = uncertainty_that_decides(reading, low, high).unwrap();
            assert_eq!(judge(reading, u * (1.0 - 1e-9), low, high).verdict, toward, "{reading}");
            assert_eq!(judge(reading, u * (1.0 + 1e-9), low, high).verdict, Verdict::Undecided, "{reading}");
        }
        assert_eq!(uncertainty_that_decides(8.0, Some(8.0), Some(12.0)), None);
        assert_eq!(uncertainty_that_decides(8.0, None, None), None);
    }

    #[test]
    fn repeats_help_only_where_the_class_error_allows() {
        // 1 % of 100 with a graduation of 5: the class gives u 0.577, the graduation 1.443.
        let advice = advise(&gauge("EN 837-1 1", 5.0), 56.0, 0.0, Some(54.0), None).unwrap();
        assert_eq!(advice.toward, Verdict::Within);
        assert_eq!(advice.repeats, Some(2));
        let advice = advise(&gauge("EN 837-1 4", 1.0), 56.0, 0.0, Some(54.0), None).unwrap();
        assert_eq!(advice.repeats, None);
        assert_eq!(advice.finer, Some("EN 837-1 1.6".parse().unwrap()));
    }

    #[test]
    fn a_decided_reading_needs_no_advice() {
        assert_eq!(advise(&gauge("EN 837-1 1", 1.0), 70.0, 0.0, Some(54.0), None), None);
    }
}
