//! How each part stands, for people to see, and why.

use super::weigh::{Belief, OTHER_PRIOR};
use crate::terms::{Fault, Part};

/// How a part stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum PartState {
    /// The evidence speaks against it, and no single slip would bring it back.
    Cleared,
    /// Neither.
    Open,
    /// The evidence speaks for it.
    Likely,
}

/// What one piece of evidence did to a fault.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Why {
    /// The evidence's index.
    pub evidence: usize,
    /// Natural log of the fault's likelihood over the mean one: above 0 it raised the fault, below 0 it lowered it.
    pub ratio: f64,
}

impl Belief {
    /// How each part of this rig stands, the likeliest first, the car without fault left out.
    pub fn part_states(&self) -> Vec<(Part, f64, PartState)> {
        let priors = self.particles.priors();
        let sum: f64 = priors.iter().sum();
        let before = |part: Part| -> f64 {
            let of: f64 = self
                .particles
                .faults()
                .iter()
                .zip(priors)
                .filter(|(f, _)| f.part() == part)
                .map(|(_, p)| p)
                .sum();
            of / sum * (1.0 - OTHER_PRIOR)
        };
        let slipped = self.after_one_slip();
        let brought_back =
            |part: Part| -> f64 { slipped.iter().filter(|(f, _)| f.part() == part).map(|(_, p)| p).sum() };
        let low = |part: Part, p: f64| p < before(part) / 5.0 && p < 0.02;
        self.part_odds()
            .into_iter()
            .filter(|(part, _)| *part != Part::Nothing)
            .map(|(part, p)| {
                let state = if p >= 0.25 && p > before(part) {
                    PartState::Likely
                } else if low(part, p) && low(part, brought_back(part)) {
                    PartState::Cleared
                } else {
                    PartState::Open
                };
                (part, p, state)
            })
            .collect()
    }

    /// What each piece of evidence did to `fault`, what mattered most first; empty for a fault this rig can't have.
    pub fn why(&self, fault: Fault) -> Vec<Why> {
        let Some(block) = self.particles.block(fault) else { return Vec::new() };
        let mut why: Vec<Why> = self
            .taken
            .iter()
            .enumerate()
            .filter(|(_, t)| t.counts)
            .map(|(evidence, t)| Why { evidence, ratio: t.ratios[block] })
            .collect();
        why.sort_by(|a, b| b.ratio.abs().total_cmp(&a.ratio.abs()));
        why
    }
}
