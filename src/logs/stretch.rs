//! Steady stretches: the part of a log in which a reading means something, found without being told where.

use super::channel::Channel;
use super::robust::{median, spread};
use super::window::Window;
use crate::terms::Condition;
use serde::Serialize;

/// The sensors have caught up this long after a change, s (common practice).
const SETTLE: f64 = 1.0;
/// Shortest stretch after that, s: of a full-load pull, and of anything else (common practice).
const LEAST_LOAD: f64 = 1.0;
const LEAST: f64 = 2.0;
/// A longer stretch is cut, s, so that nothing grows with the log.
const MOST: f64 = 60.0;
/// What counts as steady: manifold pressure, Pa, and engine speed, 1/min and as a share (common practice).
const STEADY_MANIFOLD: f64 = 3_000.0;
const STEADY_SPEED: f64 = 60.0;
const STEADY_SPEED_SHARE: f64 = 0.05;
/// Stretches kept of a log; beyond that every second one of the commonest condition goes.
const KEPT: usize = 20_000;

/// What parts the conditions of one car.
#[derive(Debug, Clone, Copy)]
pub(super) struct Regime {
    /// The atmosphere, Pa.
    pub atmosphere: f64,
    /// Manifold pressure at full load, Pa.
    pub full: f64,
    /// Manifold pressure at 2,500 1/min without load, Pa.
    pub raised: f64,
    /// Rail pressure below which the pump does not run, Pa.
    pub off: f64,
}

/// One end of a full-load pull.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct PullEnd {
    /// Rail pressure, Pa gauge.
    pub rail: f64,
    /// Manifold pressure, Pa absolute; none where the log has none.
    pub manifold: Option<f64>,
    /// What stands for the fuel flow there, in the unit of [`Pull::by`].
    pub flow: f64,
    /// Engine speed, 1/min; none where the log has none.
    pub speed: Option<f64>,
}

/// A full-load pull from its least to its greatest fuel flow.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Pull {
    /// The channel that stands for the fuel flow: the flow itself, the injectors' duty, or the engine speed.
    pub by: Channel,
    /// The third of it with the least flow.
    pub low: PullEnd,
    /// The fifth of it with the greatest flow.
    pub high: PullEnd,
}

/// A steady stretch.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    /// What engine and pump were doing.
    pub condition: Condition,
    /// When it began, s of the log.
    pub begin: f64,
    /// How long it lasted, the settling left out, s.
    pub seconds: f64,
    /// Windows in it.
    pub windows: usize,
    /// Middle value by channel, SI; NaN where there is none.
    pub middle: [f64; Channel::COUNT],
    /// Standard deviation of the windows by channel, SI.
    pub spread: [f64; Channel::COUNT],
    /// Standard deviation of the rail's samples about their half-second middles, Pa.
    pub ripple: f64,
    /// Of a full-load pull, its two ends.
    pub pull: Option<Pull>,
}

impl Stretch {
    /// The middle value of a channel.
    pub fn get(&self, channel: Channel) -> Option<f64> {
        Some(self.middle[channel as usize]).filter(|v| !v.is_nan())
    }

    /// Live and learned trim together, as a share.
    pub fn trim(&self) -> Option<f64> {
        let (live, learned) = (self.get(Channel::Trim), self.get(Channel::LearnedTrim));
        let both = |v: Option<f64>| 1.0 + v.unwrap_or(0.0);
        live.or(learned).map(|_| both(live) * both(learned) - 1.0)
    }
}

/// What engine and pump do in a window; none where it can't be said or is none of the conditions.
fn condition(w: &Window, regime: &Regime) -> Option<Condition> {
    let get = |c: Channel| Some(w.middle[c as usize]).filter(|v| !v.is_nan());
    let speed = get(Channel::Speed)?;
    let manifold = get(Channel::ManifoldPressure);
    let throttle = get(Channel::Throttle);
    if speed < 50.0 {
        return get(Channel::RailPressure).filter(|r| *r > regime.off).map(|_| Condition::Prime);
    }
    if speed < 400.0 {
        return None;
    }
    let near_full = match (manifold, throttle) {
        (Some(m), _) if m >= regime.full - 0.08 * regime.full => true,
        (Some(m), Some(t)) => t >= 0.85 && m >= 0.85 * regime.full,
        (None, Some(t)) => t >= 0.85,
        _ => false,
    };
    if near_full && speed >= 1_200.0 {
        return Some(Condition::Load);
    }
    let vacuum = manifold.is_none_or(|m| m <= 0.85 * regime.atmosphere);
    if speed <= 1_300.0 {
        return vacuum.then_some(Condition::Idle);
    }
    let unloaded = manifold.is_some_and(|m| m <= regime.raised + 7_000.0)
        || (manifold.is_none() && throttle.is_some_and(|t| t <= 0.15));
    if (2_000.0..=3_200.0).contains(&speed) && unloaded {
        return Some(Condition::Raised);
    }
    Some(Condition::Cruise)
}

/// Finds the stretches in windows as they come.
#[derive(Debug)]
pub(super) struct Finder {
    regime: Regime,
    now: Option<Condition>,
    windows: Vec<Window>,
    found: Vec<Stretch>,
}

impl Finder {
    pub fn new(regime: Regime) -> Self {
        Self { regime, now: None, windows: Vec::new(), found: Vec::new() }
    }

    /// Takes the next window.
    pub fn push(&mut self, window: Window) {
        let condition = condition(&window, &self.regime);
        let goes_on =
            condition.is_some() && condition == self.now && !window.after_gap && self.steady(&window);
        if !goes_on {
            self.end();
            self.now = condition;
        }
        if condition.is_some() {
            self.windows.push(window);
            if self.windows.len() > 1 && window.to - self.windows[0].from >= MOST {
                self.end();
                self.now = condition;
            }
        }
    }

    fn steady(&self, window: &Window) -> bool {
        // Against the few before it, so that a slow drift goes on and a change does not.
        let recent = &self.windows[self.windows.len().saturating_sub(4)..];
        let near = |channel: Channel, within: &dyn Fn(f64) -> f64| {
            let now = window.middle[channel as usize];
            let mut before: Vec<f64> =
                recent.iter().map(|w| w.middle[channel as usize]).filter(|v| !v.is_nan()).collect();
            median(&mut before).is_none_or(|b| now.is_nan() || (now - b).abs() <= within(b))
        };
        let pull = self.now == Some(Condition::Load);
        near(Channel::ManifoldPressure, &|b| if pull { 0.06 * b } else { STEADY_MANIFOLD })
            && (pull || near(Channel::Speed, &|b| STEADY_SPEED.max(STEADY_SPEED_SHARE * b)))
            && near(Channel::Throttle, &|_| 0.08)
    }

    fn end(&mut self) {
        let windows = std::mem::take(&mut self.windows);
        let (Some(condition), Some(first)) = (self.now.take(), windows.first()) else { return };
        let settled = first.from + SETTLE;
        let kept: Vec<&Window> = windows.iter().filter(|w| w.from >= settled).collect();
        let (Some(from), Some(to)) = (kept.first().map(|w| w.from), kept.last().map(|w| w.to)) else {
            return;
        };
        let seconds = to - from;
        if seconds < if condition == Condition::Load { LEAST_LOAD } else { LEAST } {
            return;
        }
        let mut middle = [f64::NAN; Channel::COUNT];
        let mut spreads = [0.0; Channel::COUNT];
        for (i, m) in middle.iter_mut().enumerate() {
            let mut all: Vec<f64> = kept.iter().map(|w| w.middle[i]).filter(|v| !v.is_nan()).collect();
            spreads[i] = spread(&all);
            *m = median(&mut all).unwrap_or(f64::NAN);
        }
        let mut ripples: Vec<f64> = kept.iter().map(|w| w.ripple).collect();
        self.found.push(Stretch {
            condition,
            begin: from,
            seconds,
            windows: kept.len(),
            middle,
            spread: spreads,
            ripple: median(&mut ripples).unwrap_or(0.0),
            pull: if condition == Condition::Load { pull(&kept) } else { None },
        });
        if self.found.len() > KEPT {
            self.thin();
        }
    }

    /// Lets every second stretch of the commonest condition go.
    fn thin(&mut self) {
        let count = |c: Condition| self.found.iter().filter(|s| s.condition == c).count();
        let Some(commonest) = Condition::ALL.iter().copied().max_by_key(|c| count(*c)) else { return };
        let mut odd = false;
        self.found.retain(|s| {
            if s.condition != commonest {
                return true;
            }
            odd = !odd;
            odd
        });
    }

    /// The stretches found, in the order of the log.
    pub fn finish(mut self) -> Vec<Stretch> {
        self.end();
        self.found
    }
}

/// The two ends of a pull; none where nothing stands for the flow or the rail was not recorded.
fn pull(windows: &[&Window]) -> Option<Pull> {
    let by = [Channel::FuelFlow, Channel::InjectorDuty, Channel::Speed]
        .into_iter()
        .find(|c| windows.iter().all(|w| !w.middle[*c as usize].is_nan()))?;
    let mut all: Vec<&&Window> =
        windows.iter().filter(|w| !w.middle[Channel::RailPressure as usize].is_nan()).collect();
    if all.len() < 2 {
        return None;
    }
    all.sort_by(|a, b| a.middle[by as usize].total_cmp(&b.middle[by as usize]));
    let (third, fifth) = ((all.len() / 3).max(1), (all.len() / 5).max(1));
    let end = |part: &[&&Window]| {
        let of = |c: Channel| {
            let mut all: Vec<f64> =
                part.iter().map(|w| w.middle[c as usize]).filter(|v| !v.is_nan()).collect();
            median(&mut all)
        };
        Some(PullEnd {
            rail: of(Channel::RailPressure)?,
            manifold: of(Channel::ManifoldPressure),
            flow: of(by)?,
            speed: of(Channel::Speed),
        })
    };
    Some(Pull { by, low: end(&all[..third])?, high: end(&all[all.len() - fifth..])? })
}

#[cfg(test)]
mod tests {
    use super::*;
    use Condition::{Cruise, Idle, Load, Prime, Raised};

    const REGIME: Regime = Regime { atmosphere: 101e3, full: 98e3, raised: 36e3, off: 100e3 };

    fn windows(parts: &[(f64, f64, f64, f64)]) -> Vec<Stretch> {
        let mut finder = Finder::new(REGIME);
        let mut time = 0.0;
        for (seconds, speed, manifold, rail) in parts {
            let end = time + seconds;
            while time < end {
                let mut middle = [f64::NAN; Channel::COUNT];
                middle[Channel::Speed as usize] = *speed;
                middle[Channel::ManifoldPressure as usize] = *manifold;
                middle[Channel::RailPressure as usize] = *rail;
                finder.push(Window { from: time, to: time + 0.4, middle, ripple: 0.0, after_gap: false });
                time += 0.5;
            }
        }
        finder.finish()
    }

    #[test]
    fn conditions_are_found_and_named_and_what_is_short_is_not() {
        let found = windows(&[
            (2.0, 0.0, 101e3, 5e3),
            (5.0, 0.0, 101e3, 300e3),
            (1.0, 250.0, 95e3, 280e3),
            (20.0, 850.0, 45e3, 250e3),
            (1.0, 1_700.0, 70e3, 260e3),
            (10.0, 2_500.0, 36e3, 240e3),
            (10.0, 2_400.0, 60e3, 255e3),
            (5.0, 4_000.0, 98e3, 300e3),
        ]);
        let conditions: Vec<Condition> = found.iter().map(|s| s.condition).collect();
        assert_eq!(conditions, [Prime, Idle, Raised, Cruise, Load]);
        assert_eq!(found[1].get(Channel::RailPressure), Some(250e3));
        assert!(found[1].seconds > 17.0 && found[1].seconds < 20.0);
        assert!(found[4].pull.is_some());
    }

    #[test]
    fn a_long_idle_is_cut_and_memory_does_not_grow() {
        let found = windows(&[(300.0, 850.0, 45e3, 250e3)]);
        assert_eq!(found.len(), 5);
        let mut finder = Finder::new(REGIME);
        finder.found = vec![found[0].clone(); KEPT + 1];
        finder.thin();
        assert_eq!(finder.found.len(), KEPT / 2 + 1);
    }
}
