//! Parts of screens: each is plain data with a function that lays it out on a [`super::sheet::Sheet`].

mod circuit;
mod field;
mod induction;
mod scale;
mod timer;

pub use circuit::{Circuit, Part, PartState};
pub use field::Field;
pub use induction::{InductionPath, StationView};
pub use scale::Scale;
pub use timer::Timer;
