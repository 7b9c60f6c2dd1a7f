//! Estimates that a few wrong values do not move: medians, and a line by Huber's weights.
//!
//! The line is the weighted M-estimate with Huber's function, k = 1.345 (P. J. Huber, E. M. Ronchetti, *Robust Statistics*, 2nd
//! ed., Wiley 2009, chapters 4 and 7; from memory), found by reweighting. Its scale is never below the uncertainty of the points
//! themselves, so that a handful that happen to lie on a line do not pass for certain.

/// Huber's constant: 95 % of the efficiency of least squares where errors are normal.
const K: f64 = 1.345;
const ROUNDS: usize = 30;

/// Middle of `values`, which are reordered; none of nothing.
pub(super) fn median(values: &mut [f64]) -> Option<f64> {
    if values.is_empty() {
        return None;
    }
    let middle = values.len() / 2;
    let (below, upper, _) = values.select_nth_unstable_by(middle, f64::total_cmp);
    let upper = *upper;
    if below.len() < middle || values.len() % 2 == 1 {
        return Some(upper);
    }
    let lower = values[..middle].iter().copied().fold(f64::NEG_INFINITY, f64::max);
    Some(f64::midpoint(lower, upper))
}

/// Standard deviation by the median of the absolute deviations, as of a normal distribution.
pub(super) fn spread(values: &[f64]) -> f64 {
    let mut all = values.to_vec();
    let Some(middle) = median(&mut all) else { return 0.0 };
    let mut off: Vec<f64> = values.iter().map(|v| (v - middle).abs()).collect();
    1.4826 * median(&mut off).unwrap_or(0.0)
}

/// Factor for a two-sided 95 % interval at `freedom` degrees of freedom (Student's t, tables; between rows the wider).
pub(super) fn student(freedom: usize) -> f64 {
    match freedom {
        0 => f64::INFINITY,
        1 => 12.71,
        2 => 4.303,
        3 => 3.182,
        4 => 2.776,
        5 => 2.571,
        6 => 2.447,
        7 => 2.365,
        8 => 2.306,
        9 => 2.262,
        10..=14 => 2.228,
        15..=19 => 2.131,
        20..=29 => 2.086,
        30..=59 => 2.042,
        _ => 2.0,
    }
}

/// One point with its standard uncertainty along `y`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Point {
    pub x: f64,
    pub y: f64,
    pub u: f64,
}

/// A line `y = level + slope · (x − x0)` with its uncertainty.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Fit {
    /// Where `level` stands.
    pub x0: f64,
    /// Value at `x0`.
    pub level: f64,
    /// Slope.
    pub slope: f64,
    /// Standard error of the level.
    pub level_error: f64,
    /// Standard error of the slope; infinite where all points have one `x`.
    pub slope_error: f64,
    /// Factor from a standard error to half a 95 % interval.
    pub coverage: f64,
    /// Points it rests on.
    pub points: usize,
}

impl Fit {
    /// Value at `x`.
    pub fn at(&self, x: f64) -> f64 {
        if x == self.x0 { self.level } else { self.level + self.slope * (x - self.x0) }
    }

    /// Half the 95 % interval of the value at `x`.
    pub fn half_at(&self, x: f64) -> f64 {
        let along = if x == self.x0 { 0.0 } else { self.slope_error * (x - self.x0) };
        self.coverage * self.level_error.hypot(along)
    }

    /// The 95 % interval of the slope.
    pub fn slope_interval(&self) -> (f64, f64) {
        let half = self.coverage * self.slope_error;
        (self.slope - half, self.slope + half)
    }
}

/// Scale of residuals in units of their points' uncertainty, never below one.
fn scale(points: &[Point], residual: impl Fn(&Point) -> f64) -> f64 {
    let mut all: Vec<f64> = points.iter().map(|p| (residual(p) / p.u).abs()).collect();
    (1.4826 * median(&mut all).unwrap_or(0.0)).max(1.0)
}

fn fit(points: &[Point], sloped: bool) -> Option<Fit> {
    let parameters = if sloped { 2 } else { 1 };
    if points.is_empty() || points.iter().any(|p| !(p.u > 0.0 && p.x.is_finite() && p.y.is_finite())) {
        return None;
    }
    let (mut level, mut slope, mut x0) = (0.0, 0.0, 0.0);
    let (mut sum_w, mut sum_xx, mut s) = (1.0, 0.0, 1.0);
    for round in 0..ROUNDS {
        let residual = |p: &Point| p.y - (level + slope * (p.x - x0));
        s = if round == 0 { 1.0 } else { scale(points, residual) };
        let weight = |p: &Point| {
            let r = (residual(p) / (p.u * s)).abs();
            let huber = if round == 0 || r <= K { 1.0 } else { K / r };
            huber / (p.u * p.u)
        };
        let weights: Vec<f64> = points.iter().map(weight).collect();
        sum_w = weights.iter().sum::<f64>();
        let mean = |of: &dyn Fn(&Point) -> f64| {
            points.iter().zip(&weights).map(|(p, w)| w * of(p)).sum::<f64>() / sum_w
        };
        let x = mean(&|p| p.x);
        let y = mean(&|p| p.y);
        sum_xx = points.iter().zip(&weights).map(|(p, w)| w * (p.x - x).powi(2)).sum();
        let sum_xy: f64 = points.iter().zip(&weights).map(|(p, w)| w * (p.x - x) * (p.y - y)).sum();
        let next = if sloped && sum_xx > 0.0 { sum_xy / sum_xx } else { 0.0 };
        let moved = (y - (level + slope * (x - x0))).abs() + (next - slope).abs() * (sum_xx / sum_w).sqrt();
        (level, slope, x0) = (y, next, x);
        if round > 1 && moved < 1e-9 * points[0].u {
            break;
        }
    }
    let slope_error = match (sloped, sum_xx > 0.0) {
        (false, _) => 0.0,
        (true, true) => s / sum_xx.sqrt(),
        (true, false) => f64::INFINITY,
    };
    Some(Fit {
        x0,
        level,
        slope,
        level_error: s / sum_w.sqrt(),
        slope_error,
        coverage: student(points.len().saturating_sub(parameters)).min(4.303),
        points: points.len(),
    })
}

/// The line through `points`; none where there are fewer than two. Through two, their own uncertainty alone says how sure it is.
pub(super) fn line(points: &[Point]) -> Option<Fit> {
    if points.len() < 2 { None } else { fit(points, true) }
}

/// The level of `points` alone; none of nothing.
pub(super) fn level(points: &[Point]) -> Option<Fit> {
    fit(points, false)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn point(x: f64, y: f64) -> Point {
        Point { x, y, u: 1.0 }
    }

    #[test]
    fn the_middle_of_odd_and_even() {
        assert_eq!(median(&mut [3.0, 1.0, 2.0]), Some(2.0));
        assert_eq!(median(&mut [4.0, 1.0, 3.0, 2.0]), Some(2.5));
        assert_eq!(median(&mut []), None);
        assert!((spread(&[1.0, 2.0, 3.0, 4.0, 100.0]) - 1.4826).abs() < 1e-12);
    }

    #[test]
    fn a_line_and_its_interval_as_by_hand() {
        // y = 2 + 0.5 x at x = 0, 2, 4 with u = 1: the slope's standard error is 1 / √Σ(x − x̄)² = 1 / √8.
        let fit = line(&[point(0.0, 2.0), point(2.0, 3.0), point(4.0, 4.0)]).unwrap();
        assert!((fit.slope - 0.5).abs() < 1e-9 && (fit.at(0.0) - 2.0).abs() < 1e-9);
        assert!((fit.slope_error - 1.0 / 8f64.sqrt()).abs() < 1e-9);
        assert!((fit.level_error - 1.0 / 3f64.sqrt()).abs() < 1e-9);
    }

    #[test]
    fn one_wild_point_hardly_moves_it() {
        let mut points: Vec<Point> = (0..12).map(|i| point(f64::from(i), 1.0 + 0.3 * f64::from(i))).collect();
        points[5].y += 500.0;
        let fit = line(&points).unwrap();
        assert!((fit.slope - 0.3).abs() < 0.02 && (fit.at(5.0) - 2.5).abs() < 0.3, "{fit:?}");
    }

    #[test]
    fn one_place_has_a_level_and_no_slope() {
        let points = [point(3.0, 1.0), point(3.0, 2.0), point(3.0, 3.0)];
        let fit = line(&points).unwrap();
        assert!(fit.slope_error.is_infinite());
        assert_eq!(level(&points).unwrap().level, 2.0);
        assert_eq!(line(&points[..1]), None);
    }
}
