//! A bracketing root finder.

/// The balance did not close. Carries what was being solved for.
#[derive(Debug, Clone, PartialEq)]
pub struct NoBalance {
    /// What was being solved for, in words.
    pub what: &'static str,
}

impl std::fmt::Display for NoBalance {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "the model found no balance for {}; check the rig for a pump curve, bore or pressure far from what a car has",
            self.what
        )
    }
}

impl std::error::Error for NoBalance {}

const STEPS: usize = 200;

/// The root of `f` between `a` and `b` to within `tolerance`, by Brent's method (R. P. Brent, *Algorithms for Minimization
/// without Derivatives*, 1973, chapter 4). `f(a)` and `f(b)` must not have the same sign.
///
/// # Errors
/// [`NoBalance`] where the ends do not bracket a root, a value is not finite, or the steps run out.
pub fn brent(
    what: &'static str,
    a: f64,
    b: f64,
    tolerance: f64,
    mut f: impl FnMut(f64) -> f64,
) -> Result<f64, NoBalance> {
    let (mut a, mut b) = (a, b);
    let (mut fa, mut fb) = (f(a), f(b));
    if fa == 0.0 {
        return Ok(a);
    }
    if fb == 0.0 {
        return Ok(b);
    }
    if !fa.is_finite() || !fb.is_finite() || (fa > 0.0) == (fb > 0.0) {
        return Err(NoBalance { what });
    }
    let (mut c, mut fc, mut d, mut e) = (a, fa, b - a, b - a);
    for _ in 0..STEPS {
        if (fb > 0.0) == (fc > 0.0) {
            (c, fc, d, e) = (a, fa, b - a, b - a);
        }
        if fc.abs() < fb.abs() {
            (a, b, c) = (b, c, b);
            (fa, fb, fc) = (fb, fc, fb);
        }
        let near = 2.0 * f64::EPSILON * b.abs() + 0.5 * tolerance;
        let half = 0.5 * (c - b);
        if half.abs() <= near || fb == 0.0 {
            return Ok(b);
        }
        if e.abs() >= near && fa.abs() > fb.abs() {
            let s = fb / fa;
            let (mut p, mut q) = if a == c {
                (2.0 * half * s, 1.0 - s)
            } else {
                let (q, r) = (fa / fc, fb / fc);
                (s * (2.0 * half * q * (q - r) - (b - a) * (r - 1.0)), (q - 1.0) * (r - 1.0) * (s - 1.0))
            };
            if p > 0.0 {
                q = -q;
            } else {
                p = -p;
            }
            if 2.0 * p < (3.0 * half * q - (near * q).abs()).min((e * q).abs()) {
                (e, d) = (d, p / q);
            } else {
                (d, e) = (half, half);
            }
        } else {
            (d, e) = (half, half);
        }
        (a, fa) = (b, fb);
        b += if d.abs() > near { d } else { near.copysign(half) };
        fb = f(b);
        if !fb.is_finite() {
            return Err(NoBalance { what });
        }
    }
    Err(NoBalance { what })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn roots_are_found_and_missing_ones_are_errors() {
        let root = brent("cosine", 0.0, 3.0, 1e-12, f64::cos).unwrap();
        assert!((root - std::f64::consts::FRAC_PI_2).abs() < 1e-11);
        let kink =
            brent("kink", -1.0, 4.0, 1e-12, |x| if x < 1.0 { x - 1.0 } else { 50.0 * (x - 1.0) }).unwrap();
        assert!((kink - 1.0).abs() < 1e-10);
        assert!(brent("none", 0.0, 1.0, 1e-12, |_| 1.0).is_err());
        assert!(brent("not a number", 0.0, 1.0, 1e-12, |x| if x > 0.0 { f64::NAN } else { -1.0 }).is_err());
    }
}
