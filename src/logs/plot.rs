//! A scatter of points as text.

/// One point with the letter it is drawn by.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dot {
    /// Along.
    pub x: f64,
    /// Up.
    pub y: f64,
    /// Its letter.
    pub letter: char,
}

const WIDTH: usize = 56;
const HEIGHT: usize = 14;

/// Rows of text with `dots` in a frame, axes marked at their ends by `x` and `y`; none of no dots.
pub fn scatter(dots: &[Dot], x: impl Fn(f64) -> String, y: impl Fn(f64) -> String) -> Vec<String> {
    let finite: Vec<&Dot> = dots.iter().filter(|d| d.x.is_finite() && d.y.is_finite()).collect();
    if finite.is_empty() {
        return Vec::new();
    }
    let ends = |of: &dyn Fn(&Dot) -> f64| {
        let low = finite.iter().map(|d| of(d)).fold(f64::INFINITY, f64::min);
        let high = finite.iter().map(|d| of(d)).fold(f64::NEG_INFINITY, f64::max);
        let pad = 0.05 * (high - low).max(0.02 * high.abs()).max(1e-12);
        (low - pad, high + pad)
    };
    let ((x0, x1), (y0, y1)) = (ends(&|d| d.x), ends(&|d| d.y));
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // A share of the frame, clamped.
    let place = |v: f64, low: f64, high: f64, cells: usize| {
        (((v - low) / (high - low)).clamp(0.0, 1.0) * (cells - 1) as f64).round() as usize
    };
    let mut frame = vec![vec![' '; WIDTH]; HEIGHT];
    for dot in &finite {
        frame[HEIGHT - 1 - place(dot.y, y0, y1, HEIGHT)][place(dot.x, x0, x1, WIDTH)] = dot.letter;
    }
    let mut rows: Vec<String> = frame
        .iter()
        .enumerate()
        .map(|(i, cells)| {
            let mark = match i {
                0 => y(y1),
                _ if i == HEIGHT - 1 => y(y0),
                _ => String::new(),
            };
            format!("{mark:>11} |{}", cells.iter().collect::<String>()).trim_end().to_owned()
        })
        .collect();
    rows.push(format!("{:>11} +{}", "", "-".repeat(WIDTH)));
    let (left, right) = (x(x0), x(x1));
    let gap = WIDTH.saturating_sub(left.chars().count() + right.chars().count()).max(1);
    rows.push(format!("{:>13}{left}{}{right}", "", " ".repeat(gap)));
    rows
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_dot_is_in_the_frame() {
        let dots: Vec<Dot> = ('a'..='e')
            .zip([0.0, 1.0, 2.0, 3.0, 4.0])
            .map(|(letter, x)| Dot { x, y: x * x, letter })
            .collect();
        let rows = scatter(&dots, |v| format!("{v:.0}"), |v| format!("{v:.0}"));
        let text = rows.join("\n");
        for letter in 'a'..='e' {
            assert_eq!(text.matches(letter).count(), 1, "{text}");
        }
        assert_eq!(rows.len(), HEIGHT + 2);
        assert!(rows.iter().all(|r| r.chars().count() <= 13 + WIDTH));
        assert!(scatter(&[], |v| v.to_string(), |v| v.to_string()).is_empty());
        let one = scatter(&[Dot { x: 1.0, y: 1.0, letter: 'i' }], |v| v.to_string(), |v| v.to_string());
        assert_eq!(one.join("").matches('i').count(), 1);
    }
}
