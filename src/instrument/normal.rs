//! The standard normal distribution: density, probability, its logarithm far into the tail, and quantile.

use std::f64::consts::{FRAC_1_SQRT_2, PI, SQRT_2};

/// ln √(2π).
pub(super) const LN_SQRT_2PI: f64 = 0.918_938_533_204_672_8;

/// The density at `x`.
pub fn density(x: f64) -> f64 {
    (-0.5 * x * x).exp() / (2.0 * PI).sqrt()
}

/// The probability of a value below `x`, from the complementary error function so that both tails keep their digits.
pub fn cdf(x: f64) -> f64 {
    0.5 * libm::erfc(-x * FRAC_1_SQRT_2)
}

/// The natural logarithm of [`cdf`], finite for every finite `x`.
///
/// Below −30, where the probability itself nears the smallest number that can be stored, the asymptotic series of
/// Mills' ratio is used (Abramowitz & Stegun, *Handbook of Mathematical Functions*, 26.2.12), whose error is far below 1e−12.
pub fn log_cdf(x: f64) -> f64 {
    if x > -30.0 {
        return if x > 5.0 { (-cdf(-x)).ln_1p() } else { cdf(x).ln() };
    }
    let z = 1.0 / (x * x);
    let series = 1.0 - z * (1.0 - 3.0 * z * (1.0 - 5.0 * z * (1.0 - 7.0 * z * (1.0 - 9.0 * z))));
    -0.5 * x * x - LN_SQRT_2PI - (-x).ln() + series.ln()
}

/// The value below which a normal value falls with probability `p`: −∞ for 0, +∞ for 1, NaN outside.
///
/// A first guess from the tail formula of Abramowitz & Stegun 26.2.23 (good to 4.5e−4), then Halley steps on [`cdf`] until
/// nothing moves.
pub fn quantile(p: f64) -> f64 {
    if p.is_nan() || !(0.0..=1.0).contains(&p) {
        return f64::NAN;
    }
    if p == 0.0 || p == 1.0 {
        return if p == 0.0 { f64::NEG_INFINITY } else { f64::INFINITY };
    }
    let t = (-2.0 * p.min(1.0 - p).ln()).sqrt();
    let guess = t
        - (2.515_517 + t * (0.802_853 + t * 0.010_328))
            / (1.0 + t * (1.432_788 + t * (0.189_269 + t * 0.001_308)));
    let mut x = if p < 0.5 { -guess } else { guess };
    for _ in 0..8 {
        // The error is taken in the nearer tail, where subtracting loses no digits.
        let error = if p < 0.5 { cdf(x) - p } else { (1.0 - p) - cdf(-x) };
        let step = error * (2.0 * PI).sqrt() * (0.5 * x * x).exp();
        let next = x - step / (1.0 + 0.5 * x * step);
        if (next - x).abs() <= 1e-16 * x.abs().max(SQRT_2) {
            return next;
        }
        x = next;
    }
    x
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_probability_is_the_tabulated_one() {
        // Abramowitz & Stegun, table 26.1 (from memory), and the guard band factors of ISO 14253-1.
        for (x, p) in [(0.0, 0.5), (1.0, 0.841_344_746_068_543), (-3.0, 1.349_898_031_630_094_6e-3)] {
            assert!((cdf(x) - p).abs() < 1e-15, "{x}");
        }
        assert!((quantile(0.95) - 1.644_853_626_951_472_4).abs() < 1e-14);
        assert!((quantile(0.975) - 1.959_963_984_540_054).abs() < 1e-14);
    }

    #[test]
    fn the_quantile_undoes_the_probability() {
        for i in -800..=800 {
            let x = f64::from(i) / 100.0;
            // Near 1 the probability itself has lost digits of x: the slope says how many.
            let tolerance = 1e-13 + 4e-16 / density(x);
            assert!((quantile(cdf(x)) - x).abs() < tolerance, "{x}: {}", quantile(cdf(x)));
        }
        assert_eq!(quantile(0.0), f64::NEG_INFINITY);
        assert_eq!(quantile(1.0), f64::INFINITY);
        assert!(quantile(1.5).is_nan());
    }

    #[test]
    fn the_logarithm_joins_its_series_without_a_step() {
        let (a, b) = (log_cdf(-30.0 + 1e-9), log_cdf(-30.0 - 1e-9));
        // Its slope there is about 30, so 2e-9 apart is 6e-8.
        assert!((a - b).abs() < 1e-7, "{a} {b}");
        assert!((log_cdf(-10.0) - cdf(-10.0).ln()).abs() < 1e-12);
        assert!(log_cdf(-1e6).is_finite());
        assert!(log_cdf(9.0) < 0.0 && log_cdf(9.0) > -1e-18);
    }
}
