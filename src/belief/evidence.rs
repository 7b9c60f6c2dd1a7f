//! What was seen at the car.

use super::effort::Key;
use super::weigh::SLIP;
use crate::instrument::Uncertainty;
use crate::terms::{Condition, Observation, Reading, Tool};

/// One thing seen. An undecided verdict is evidence like any other, for the raw value counts; a skipped step is none.
#[derive(Debug, Clone, PartialEq)]
pub enum Evidence {
    /// A reading was taken.
    Reading {
        /// What it effectively measured: the place of the gauge decides between rail, filter and pump outlet.
        reading: Reading,
        /// In which condition.
        condition: Condition,
        /// The value, SI, from the datum of the reading.
        si: f64,
        /// The instrument's uncertainty there, SI.
        uncertainty: Uncertainty,
        /// The instrument: all readings of one share its unknown bias.
        tool: Tool,
        /// The scale or a ceiling ended there: the true value is at least this.
        at_least: bool,
        /// How many times it was read with the same result: who reads a thing twice alike has hardly slipped.
        times: u32,
    },
    /// Something was looked at.
    Observation {
        /// What.
        observation: Observation,
        /// The id of the outcome.
        outcome: String,
        /// How many times it was answered so.
        times: u32,
    },
    /// A reading whose verdict has a likelihood stated in the tree, in place of the model's.
    Verdict {
        /// What was read.
        reading: Reading,
        /// In which condition.
        condition: Condition,
        /// The id of the verdict.
        verdict: String,
    },
    /// The engine does not run in this condition.
    DoesNotRun {
        /// The condition.
        condition: Condition,
    },
}

impl Evidence {
    /// How many times it was read or answered with the same result.
    pub fn times(&self) -> u32 {
        match self {
            Self::Reading { times, .. } | Self::Observation { times, .. } => (*times).max(1),
            _ => 1,
        }
    }

    /// The probability that it is a slip of the reader. A number read twice alike slipped twice in the same way, by chance alone;
    /// an answer given twice may be the same mistake, with the probability that NUREG/CR-1278 gives for moderate dependence,
    /// (1 + 6p)/7 (from memory). A third time counts as the second.
    pub fn slip(&self) -> f64 {
        if self.times() < 2 { SLIP } else { self.slip_twice() }
    }

    /// The same, once it was read or answered alike twice.
    pub(super) fn slip_twice(&self) -> f64 {
        match self {
            Self::Observation { .. } => SLIP * (1.0 + 6.0 * SLIP) / 7.0,
            _ => SLIP * SLIP,
        }
    }

    /// The test that gave it; none for an engine that does not run.
    pub fn key(&self) -> Option<Key> {
        match self {
            Self::Reading { reading, condition, .. } | Self::Verdict { reading, condition, .. } => {
                Some(Key::Reading(*reading, *condition))
            }
            Self::Observation { observation, .. } => Some(Key::Observation(*observation)),
            Self::DoesNotRun { .. } => None,
        }
    }
}
