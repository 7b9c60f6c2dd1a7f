//! Half seconds of a log, each boiled down to the middle of its values, so that a dropout or a spike leaves no trace.

use super::channel::Channel;
use super::robust::median;

/// Shortest window, s, and fewest rows in it.
const LENGTH: f64 = 0.5;
const LEAST: usize = 3;
/// A gap longer than this ends a window and any stretch, s.
const GAP: f64 = 3.0;
/// A rail sample this far from its window's middle, as a share of it, is a dropout and no ripple.
const DROPOUT: f64 = 0.4;

/// One window.
#[derive(Debug, Clone, Copy)]
pub(super) struct Window {
    pub from: f64,
    pub to: f64,
    /// Middle value by channel; NaN where it has none.
    pub middle: [f64; Channel::COUNT],
    /// Standard deviation of the rail's samples about their middle, dropouts aside, Pa.
    pub ripple: f64,
    /// Whether time jumped before it.
    pub after_gap: bool,
}

/// Collects rows into windows.
#[derive(Debug, Default)]
pub(super) struct Windows {
    values: [Vec<f64>; Channel::COUNT],
    from: f64,
    last: f64,
    rows: usize,
    gap: bool,
}

impl Windows {
    /// Takes one row; gives a window when one is full.
    pub fn push(&mut self, time: f64, row: &[f64; Channel::COUNT]) -> Option<Window> {
        let jumped = self.rows > 0 && (time < self.last || time - self.last > GAP);
        let full = self.rows >= LEAST && time - self.from >= LENGTH;
        let done = if jumped || full { self.flush() } else { None };
        self.gap |= jumped;
        if self.rows == 0 {
            self.from = time;
        }
        self.rows += 1;
        self.last = time;
        for (all, value) in self.values.iter_mut().zip(row) {
            if !value.is_nan() {
                all.push(*value);
            }
        }
        done
    }

    /// What has been collected so far as a window.
    pub fn flush(&mut self) -> Option<Window> {
        if self.rows < LEAST {
            for all in &mut self.values {
                all.clear();
            }
            self.rows = 0;
            return None;
        }
        let mut middle = [f64::NAN; Channel::COUNT];
        for (m, all) in middle.iter_mut().zip(&mut self.values) {
            *m = median(all).unwrap_or(f64::NAN);
        }
        let rail = &self.values[Channel::RailPressure as usize];
        let at = middle[Channel::RailPressure as usize];
        let near: Vec<f64> = rail.iter().map(|v| v - at).filter(|d| d.abs() <= DROPOUT * at.abs()).collect();
        let ripple = if near.len() > 1 {
            (near.iter().map(|d| d * d).sum::<f64>() / (near.len() - 1) as f64).sqrt()
        } else {
            0.0
        };
        let window = Window { from: self.from, to: self.last, middle, ripple, after_gap: self.gap };
        for all in &mut self.values {
            all.clear();
        }
        (self.rows, self.gap) = (0, false);
        Some(window)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_dropout_leaves_no_trace_and_a_gap_is_marked() {
        let mut windows = Windows::default();
        let mut row = [f64::NAN; Channel::COUNT];
        let mut seen = Vec::new();
        for i in 0..30 {
            let time = f64::from(i) * 0.1 + if i >= 15 { 60.0 } else { 0.0 };
            row[Channel::RailPressure as usize] = if i == 2 { 0.0 } else { 300e3 };
            seen.extend(windows.push(time, &row));
        }
        seen.extend(windows.flush());
        assert!(seen.iter().all(|w| w.middle[Channel::RailPressure as usize] == 300e3 && w.ripple == 0.0));
        assert!(seen.iter().all(|w| w.middle[Channel::Lambda as usize].is_nan()));
        assert_eq!(seen.iter().filter(|w| w.after_gap).count(), 1);
        assert!(seen.iter().all(|w| w.to - w.from < 1.0));
    }
}
