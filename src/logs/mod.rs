//! Readings out of a data log: much of what a technician measures has been recorded already.
//!
//! In: a table of comma-, semicolon- or tab-separated values with any column names, read once from end to end and never held
//! whole, and the rig. Out: a [`Mapping`] of columns to quantities that a person can change and keep, the steady [`Stretch`]es
//! found, readings with their spread, and [`Judgement`]s of the regulator's reference, its set pressure, the supply under load and
//! the steadiness of the rail, each of which may be "cannot tell" with what to record next time.
//!
//! What a sound car should read comes from the physics alone, at the manifold pressure the log itself shows. This room knows
//! nothing of faults by name, trees, cases or screens, and of no program that writes logs.

mod analysis;
mod channel;
mod error;
mod expect;
mod guess;
mod judge;
mod judgement;
mod layout;
mod mapping;
mod plot;
mod read;
mod reference;
mod robust;
mod scale;
mod stretch;
mod supply;
mod unnamed;
mod window;

pub use analysis::{Analysis, Figure, TrimSlope, analyse};
pub use channel::Channel;
pub use error::LogError;
pub use guess::guess;
pub use judgement::{About, Answer, Judgement};
pub use layout::{Layout, Sampled, sample};
pub use mapping::{Column, Mapping, Override};
pub use plot::{Dot, scatter};
pub use robust::Fit;
pub use scale::Origin;
pub use stretch::{Pull, Stretch};
