//! The catalogue of faults: each a change of the model's parameters with a severity, a prior weight, and what a look would show.
//!
//! In: a [`Rig`](crate::rig::Rig), a [`Fault`] and a severity from 0 (none) to 1 (the worst seen), for two-sided faults −1 to 1.
//! Out: the changed car, the probability of each answer to an observation, and what a faulty gauge would say. Severities, priors
//! and what a look shows are common practice. This room knows nothing of trees, cases or screens.

mod apply;
mod catalogue;
mod noticed;
mod shows;

pub use apply::{GaugeError, apply, change, gauge_error};
pub use catalogue::{CATALOGUE, Entry, applies, entry};
pub use noticed::noticed;
pub use shows::{can_show, likeliest, shows};

use crate::terms::Fault;

/// Why a fault can't be put into a car.
#[derive(Debug, Clone, PartialEq)]
pub struct CannotApply {
    /// The fault.
    pub fault: Fault,
    /// Why, and what to do.
    pub why: String,
}

impl std::fmt::Display for CannotApply {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}: {}", self.fault, self.why)
    }
}

impl std::error::Error for CannotApply {}
