//! Exact bounds on a probability from counts (Clopper & Pearson, *Biometrika* 26, 1934).

/// The two-sided 95 % bounds on a probability seen as `hits` out of `of`.
pub fn clopper_pearson(hits: u64, of: u64) -> (f64, f64) {
    if of == 0 {
        return (0.0, 1.0);
    }
    let tail = 0.025;
    let (k, n) = (hits as f64, of as f64);
    let low = if hits == 0 { 0.0 } else { root(|p| beta(k, n - k + 1.0, p) - tail) };
    let high = if hits >= of { 1.0 } else { root(|p| beta(k + 1.0, n - k, p) - (1.0 - tail)) };
    (low, high)
}

/// Where a growing function of a probability crosses zero, by halving.
fn root(f: impl Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if f(middle) < 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    f64::midpoint(low, high)
}

/// The regularised incomplete beta function, by its continued fraction (Lentz's method, from memory).
fn beta(a: f64, b: f64, x: f64) -> f64 {
    if x <= 0.0 || x >= 1.0 {
        return x.clamp(0.0, 1.0);
    }
    if x > (a + 1.0) / (a + b + 2.0) {
        return 1.0 - beta(b, a, 1.0 - x);
    }
    let front =
        (libm::lgamma(a + b) - libm::lgamma(a) - libm::lgamma(b) + a * x.ln() + b * (1.0 - x).ln()).exp() / a;
    let tiny = 1e-300;
    let (mut c, mut d) = (1.0, 1.0 - (a + b) * x / (a + 1.0));
    d = 1.0 / if d.abs() < tiny { tiny } else { d };
    let mut fraction = d;
    for m in 1..10_000 {
        let m = f64::from(m);
        let even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
        let odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
        let mut step = 1.0;
        for term in [even, odd] {
            d = 1.0 + term * d;
            d = 1.0 / if d.abs() < tiny { tiny } else { d };
            c = 1.0 + term / c;
            if c.abs() < tiny {
                c = tiny;
            }
            step = c * d;
            fraction *= step;
        }
        if (step - 1.0).abs() < 1e-14 {
            break;
        }
    }
    front * fraction
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bounds_are_those_of_the_tables() {
        // No hit in n: the upper bound is 1 − 0.025^(1/n). Five of ten: 0.187 to 0.813 (from memory of the usual tables).
        let (low, high) = clopper_pearson(0, 30);
        assert_eq!(low, 0.0);
        assert!((high - (1.0 - 0.025_f64.powf(1.0 / 30.0))).abs() < 1e-9, "{high}");
        let (low, high) = clopper_pearson(5, 10);
        assert!((low - 0.1871).abs() < 1e-4 && (high - 0.8129).abs() < 1e-4, "{low} {high}");
        assert_eq!(clopper_pearson(10, 10).1, 1.0);
        assert_eq!(clopper_pearson(0, 0), (0.0, 1.0));
    }

    #[test]
    fn bounds_hold_what_they_promise() {
        // At the lower bound, that many hits or more have a chance of 2.5 %: checked by summing the binomial.
        let (low, _) = clopper_pearson(37, 50);
        let term = |k: i32| {
            let choose: f64 = (1..=k).map(|i| f64::from(50 - k + i) / f64::from(i)).product();
            choose * low.powi(k) * (1.0 - low).powi(50 - k)
        };
        let above: f64 = (37..=50).map(term).sum();
        assert!((above - 0.025).abs() < 1e-9, "{above}");
    }
}
