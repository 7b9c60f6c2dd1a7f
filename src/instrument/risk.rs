//! Guard bands, the odds of each verdict before the reading is taken, and the risks of a decision rule over a whole
//! population (JCGM 106:2012, clauses 8 and 9).

use super::normal::{cdf, quantile};

/// The odds of each verdict for a car whose reading is normal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VerdictOdds {
    /// P(verdict is low).
    pub low: f64,
    /// P(verdict is within).
    pub within: f64,
    /// P(verdict is high).
    pub high: f64,
    /// P(undecided).
    pub undecided: f64,
}

/// The odds of each verdict for a reading that will fall as a normal of `mean` and standard deviation `sigma` (model
/// spread and instrument, root sum of squares), judged with a guard band `guard` on both sides of each limit; 0 gives
/// the three plain zones. ISO 14253-1 at 95 % is a guard band of 1.645 standard uncertainties.
pub fn verdict_odds(mean: f64, sigma: f64, low: Option<f64>, high: Option<f64>, guard: f64) -> VerdictOdds {
    let below = |limit: f64| {
        if sigma > 0.0 { cdf((limit - mean) / sigma) } else { f64::from(u8::from(mean < limit)) }
    };
    let p_low = low.map_or(0.0, |l| below(l - guard));
    let p_high = high.map_or(0.0, |h| 1.0 - below(h + guard));
    let from = low.map_or(0.0, |l| below(l + guard));
    let to = high.map_or(1.0, |h| below(h - guard));
    let within = (to - from).max(0.0);
    let undecided = (1.0 - p_low - p_high - within).max(0.0);
    VerdictOdds { low: p_low, within, high: p_high, undecided }
}

/// P(the true value lies beyond a limit) when the reading sits on an acceptance limit drawn in by `ratio` times the
/// expanded uncertainty U = 2u (JCGM 106:2012, 8.3.2).
pub fn false_accept_at_limit(ratio: f64) -> f64 {
    cdf(-2.0 * ratio)
}

/// The reading from which a `limit` is exceeded with `probability`, when the standard uncertainty is the share
/// `relative` of the reading (guarded rejection, JCGM 106:2012, 8.3.3); infinite when no reading is enough.
pub fn guarded_limit(limit: f64, relative: f64, probability: f64) -> f64 {
    let share = 1.0 - quantile(probability) * relative;
    if share > 0.0 { limit / share } else { f64::INFINITY }
}

/// The risks of a rule over a population (JCGM 106:2012, 9.5).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GlobalRisk {
    /// P(conforms).
    pub conforming: f64,
    /// P(accepted and does not conform): the consumer's.
    pub consumer: f64,
    /// P(rejected and conforms): the producer's.
    pub producer: f64,
}

/// The risks when the property falls with `density` over `support`, conforms inside `tolerance` (either end may be
/// infinite), is measured with standard uncertainty `u` and accepted when the reading lies inside `acceptance`.
///
/// Integrated by the composite Gauss–Legendre rule of five points on 400 pieces on each side of every limit.
pub fn global_risk(
    density: impl Fn(f64) -> f64,
    support: (f64, f64),
    tolerance: (f64, f64),
    acceptance: (f64, f64),
    u: f64,
) -> GlobalRisk {
    let accepted = |y: f64| cdf((acceptance.1 - y) / u) - cdf((acceptance.0 - y) / u);
    let inside = (tolerance.0.max(support.0), tolerance.1.min(support.1));
    let conforming = integral(&density, inside);
    let producer = integral(&|y| density(y) * (1.0 - accepted(y)), inside);
    let out = |y: f64| density(y) * accepted(y);
    let consumer = integral(&out, (support.0, inside.0)) + integral(&out, (inside.1, support.1));
    GlobalRisk { conforming, consumer, producer }
}

/// ∫ f over (from, to); zero where the range is empty.
fn integral(f: &impl Fn(f64) -> f64, (from, to): (f64, f64)) -> f64 {
    /// Abscissa and weight of the five-point rule on (−1, 1) (Abramowitz & Stegun, table 25.4).
    const POINTS: [(f64, f64); 5] = [
        (0.0, 0.568_888_888_888_888_9),
        (0.538_469_310_105_683_1, 0.478_628_670_499_366_5),
        (-0.538_469_310_105_683_1, 0.478_628_670_499_366_5),
        (0.906_179_845_938_664, 0.236_926_885_056_189_1),
        (-0.906_179_845_938_664, 0.236_926_885_056_189_1),
    ];
    const PIECES: u32 = 400;
    if from >= to {
        return 0.0;
    }
    let half = (to - from) / f64::from(2 * PIECES);
    (0..PIECES)
        .map(|i| {
            let middle = from + half * f64::from(2 * i + 1);
            half * POINTS.iter().map(|(x, w)| w * f(middle + half * x)).sum::<f64>()
        })
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_rule_integrates_a_polynomial() {
        assert!((integral(&|x| x.powi(4), (0.0, 2.0)) - 6.4).abs() < 1e-12);
        assert_eq!(integral(&|_| 1.0, (2.0, 1.0)), 0.0);
    }

    #[test]
    fn a_reading_without_spread_falls_in_one_zone() {
        let odds = verdict_odds(55.0, 0.0, Some(50.0), Some(60.0), 1.0);
        assert_eq!((odds.low, odds.within, odds.high, odds.undecided), (0.0, 1.0, 0.0, 0.0));
        let narrow = verdict_odds(55.0, 1.0, Some(54.0), Some(56.0), 2.0);
        assert_eq!(narrow.within, 0.0);
    }

    #[test]
    fn no_reading_is_enough_for_a_hopeless_instrument() {
        assert_eq!(guarded_limit(100.0, 0.5, 0.999), f64::INFINITY);
    }
}
