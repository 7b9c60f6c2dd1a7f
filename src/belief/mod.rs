//! What is believed of a car: every fault in every severity as a crowd of simulated cars, weighed by what was seen.
//!
//! Why it exists: a tree asks in a fixed order, a car need not follow it; the belief says at any moment which faults still
//! stand, which reading to doubt, and what would tell most a minute. In: a [`Rig`](crate::rig::Rig), solved once into
//! [`Particles`], and [`Evidence`]. Out: [`Belief`]: odds by fault and by part, doubts, states of the circuit's parts, and a
//! [`Suggestion`] for each test still possible.
//!
//! This room knows no tree, no case, no screen and no file.

mod crowd;
mod doubt;
mod effort;
mod evidence;
mod named;
mod particles;
mod parts;
mod rank;
mod stated;
mod weigh;

pub use doubt::{Fate, Fragile, Misfit, Odd};
pub use effort::{Effort, Key, effort, instrument, setup_minutes};
pub use evidence::Evidence;
pub use named::Wanted;
pub use particles::Particles;
pub use parts::{PartState, Why};
pub use rank::{Available, Suggestion};
pub use stated::Stated;
pub use weigh::{Belief, OTHER_PRIOR, SLIP};
