//! The clock of a timed step. It rings once; nothing happens by itself when it does.

use super::super::sheet::Sheet;
use super::super::theme::Role;
use std::time::Duration;

/// A countdown.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Timer {
    length: Duration,
    begun: Duration,
    now: Duration,
    rung: bool,
}

impl Timer {
    /// Starts a countdown of `seconds` at `now`.
    pub fn start(seconds: f64, now: Duration) -> Self {
        let seconds = if seconds.is_finite() { seconds.clamp(0.0, 86_400.0) } else { 0.0 };
        Self { length: Duration::from_secs_f64(seconds), begun: now, now, rung: false }
    }

    /// Moves the clock on; `true` the one time it reaches its end.
    pub fn tick(&mut self, now: Duration) -> bool {
        self.now = now.max(self.now);
        let rings = !self.rung && self.left().is_zero();
        self.rung |= rings;
        rings
    }

    /// What is left.
    pub fn left(&self) -> Duration {
        self.length.saturating_sub(self.now.saturating_sub(self.begun))
    }

    /// When it wants to be looked at again: at the next full second; never once it rang.
    pub fn wake_at(&self) -> Option<Duration> {
        if self.rung {
            return None;
        }
        let passed = self.now.saturating_sub(self.begun);
        let next = Duration::from_secs(passed.as_secs() + 1).min(self.length);
        Some(self.begun + next)
    }

    /// Lays it out.
    pub fn lay(&self, sheet: &mut Sheet) {
        let left = self.left();
        // Rounded up, so that zero is shown only when the time is over.
        let seconds = left.as_secs() + u64::from(left.subsec_millis() > 0);
        if self.rung {
            sheet.item("*", Role::Strong, "time: over. Read now.");
        } else {
            sheet.item("*", Role::Strong, &format!("time: {}:{:02} left", seconds / 60, seconds % 60));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_rings_once_and_then_lets_the_program_sleep() {
        let s = Duration::from_secs;
        let mut timer = Timer::start(2.5, s(10));
        assert_eq!(timer.wake_at(), Some(s(11)));
        assert!(!timer.tick(s(11)));
        assert!(!timer.tick(s(12)));
        assert_eq!(timer.wake_at(), Some(Duration::from_millis(12_500)));
        assert!(timer.tick(Duration::from_millis(12_500)));
        assert!(!timer.tick(s(13)));
        assert_eq!(timer.wake_at(), None);
    }

    #[test]
    fn a_nonsense_length_is_over_at_once() {
        assert!(Timer::start(f64::NAN, Duration::ZERO).tick(Duration::ZERO));
    }
}
