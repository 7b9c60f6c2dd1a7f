//! How likely readings are for a car that should read something else, when one instrument took them all.
//!
//! Reading `i` is `predicted_i + shared_i · z + noise_i`, with one unknown standard normal `z` for the instrument: a gauge
//! of class error half-width `a` is off by the same share of its class at every reading (`shared_i = a_i/√3`), while
//! resolution, repeatability and the model's own spread are new each time. The joint density is a multivariate normal
//! whose covariance is a diagonal plus a rank-one part, so it factors reading by reading in closed form (a scalar Kalman
//! filter on `z`): counting two readings of one gauge as independent would count its bias twice.

use super::device::Uncertainty;
use super::normal::{LN_SQRT_2PI, density, log_cdf};

/// What was seen on the instrument.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Seen {
    /// A value.
    Value(f64),
    /// At least this: the end of the scale or the ceiling of the test was reached.
    AtLeast(f64),
    /// At most this: the pointer lay on its lower stop.
    AtMost(f64),
}

impl Seen {
    /// The number read, whatever it says.
    pub fn number(self) -> f64 {
        match self {
            Self::Value(v) | Self::AtLeast(v) | Self::AtMost(v) => v,
        }
    }
}

/// One reading beside what one candidate car predicts for it; one unit for all.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// What was seen.
    pub seen: Seen,
    /// What the candidate would read on a perfect instrument.
    pub predicted: f64,
    /// The instrument's uncertainty there.
    pub uncertainty: Uncertainty,
    /// Standard deviation of the prediction itself, independent from reading to reading.
    pub spread: f64,
}

/// What is known of an instrument's bias, in units of its class error, after the readings so far.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SharedBias {
    mean: f64,
    variance: f64,
}

impl Default for SharedBias {
    fn default() -> Self {
        Self { mean: 0.0, variance: 1.0 }
    }
}

impl SharedBias {
    /// An instrument nothing is known of yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// The bias in units of the shared uncertainty: mean and standard deviation.
    pub fn estimate(self) -> (f64, f64) {
        (self.mean, self.variance.sqrt())
    }

    /// The natural logarithm of the likelihood of the next reading given those before, and learns from it.
    ///
    /// Exact for values. After an "at least" the bias is no longer normal; it is replaced by the normal of equal mean
    /// and variance, so that one such reading is exact when it comes last and close otherwise.
    pub fn take(&mut self, sample: &Sample) -> f64 {
        let shared = sample.uncertainty.shared;
        // An instrument without any step or noise would make two unequal readings impossible; a thousandth of its class
        // error is below what any hand can read.
        let own =
            sample.uncertainty.own.hypot(sample.spread).max(1e-3 * shared).max(f64::MIN_POSITIVE.sqrt());
        let spread = own.hypot(shared * self.variance.sqrt());
        let expected = sample.predicted + shared * self.mean;
        let gain = shared * self.variance / spread;
        match sample.seen {
            Seen::Value(value) => {
                let off = (value - expected) / spread;
                self.mean += gain * off;
                self.variance *= (own / spread).powi(2);
                -0.5 * off * off - spread.ln() - LN_SQRT_2PI
            }
            Seen::AtLeast(limit) => self.censored((expected - limit) / spread, gain, 1.0),
            Seen::AtMost(limit) => self.censored((limit - expected) / spread, gain, -1.0),
        }
    }

    /// Moments of a normal cut off `inside` standard deviations from its mean.
    fn censored(&mut self, inside: f64, gain: f64, side: f64) -> f64 {
        let log_p = log_cdf(inside);
        // φ/Φ: far out in the tail it is −inside to first order, where the plain quotient would be 0/0.
        let hazard = if inside < -30.0 { -inside - 1.0 / inside } else { density(inside) / log_p.exp() };
        self.mean += side * gain * hazard;
        let shrink = gain * gain * hazard * (hazard + inside);
        self.variance = (self.variance - shrink).max(1e-6 * self.variance);
        log_p
    }
}

/// The natural logarithm of the likelihood of all `samples`, read from one instrument: a density for each value, a
/// probability for each "at least" or "at most". Values are taken first, which makes one censored reading exact.
pub fn log_likelihood(samples: &[Sample]) -> f64 {
    let mut bias = SharedBias::new();
    let is_value = |s: &&Sample| matches!(s.seen, Seen::Value(_));
    let values: f64 = samples.iter().filter(is_value).map(|s| bias.take(s)).sum();
    let rest: f64 = samples.iter().filter(|s| !is_value(s)).map(|s| bias.take(s)).sum();
    values + rest
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sample(seen: Seen, predicted: f64, shared: f64, own: f64) -> Sample {
        Sample { seen, predicted, uncertainty: Uncertainty { shared, own }, spread: 0.0 }
    }

    /// The joint density by quadrature over the bias, the slow way: Simpson's rule over ±9 standard deviations.
    fn by_quadrature(samples: &[Sample]) -> f64 {
        let n = 4000;
        let h = 18.0 / f64::from(n);
        let mut sum = 0.0;
        for i in 0..=n {
            let z = -9.0 + f64::from(i) * h;
            let mut p = density(z);
            for s in samples {
                let (m, sd) = (s.predicted + s.uncertainty.shared * z, s.uncertainty.own);
                p *= match s.seen {
                    Seen::Value(v) => density((v - m) / sd) / sd,
                    Seen::AtLeast(v) => log_cdf((m - v) / sd).exp(),
                    Seen::AtMost(v) => log_cdf((v - m) / sd).exp(),
                };
            }
            let weight = if i == 0 || i == n { 1.0 } else { f64::from(2 + 2 * (i % 2)) };
            sum += weight * p;
        }
        (sum * h / 3.0).ln()
    }

    #[test]
    fn the_closed_form_is_the_integral_over_the_bias() {
        let samples = [
            sample(Seen::Value(51.0), 53.0, 1.2, 0.4),
            sample(Seen::Value(40.5), 42.0, 1.2, 0.3),
            sample(Seen::Value(12.0), 12.5, 1.8, 0.4),
        ];
        assert!((log_likelihood(&samples) - by_quadrature(&samples)).abs() < 1e-9);
        let with_end = [samples[0], sample(Seen::AtLeast(100.0), 99.0, 1.8, 0.4), samples[1]];
        assert!((log_likelihood(&with_end) - by_quadrature(&with_end)).abs() < 1e-9);
        let with_stop = [samples[0], sample(Seen::AtMost(0.0), 1.0, 1.8, 0.4)];
        assert!((log_likelihood(&with_stop) - by_quadrature(&with_stop)).abs() < 1e-9);
    }

    #[test]
    fn two_ends_are_close() {
        let samples = [
            sample(Seen::AtLeast(100.0), 99.0, 1.8, 0.6),
            sample(Seen::AtLeast(100.0), 101.0, 1.8, 0.6),
            sample(Seen::Value(60.0), 61.0, 1.2, 0.6),
        ];
        assert!((log_likelihood(&samples) - by_quadrature(&samples)).abs() < 0.02);
    }

    #[test]
    fn a_bias_is_not_counted_twice() {
        // Two readings of one gauge, both 2 low where its class allows 1.2: one bias explains both.
        let one = sample(Seen::Value(51.0), 53.0, 1.2, 0.1);
        let joint = log_likelihood(&[one, one]);
        let apart = 2.0 * log_likelihood(&[one]);
        assert!(joint > apart + 1.0, "{joint} {apart}");
    }

    #[test]
    fn order_does_not_matter_for_values() {
        let a = sample(Seen::Value(51.0), 53.0, 1.2, 0.4);
        let b = sample(Seen::Value(30.0), 29.0, 1.8, 0.5);
        assert!((log_likelihood(&[a, b]) - log_likelihood(&[b, a])).abs() < 1e-12);
    }

    #[test]
    fn a_reading_far_off_stays_a_number() {
        let wild = sample(Seen::AtLeast(1e6), 1.0, 1.2, 0.4);
        assert!(log_likelihood(&[wild, wild]).is_finite());
        assert!(log_likelihood(&[sample(Seen::Value(5.0), 5.0, 0.0, 0.0)]).is_finite());
        assert_eq!(log_likelihood(&[]), 0.0);
    }
}
