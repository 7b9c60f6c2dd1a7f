//! One case in progress.

mod bench;
mod entry;
mod expectation;
mod facts;
mod instruments;

pub use bench::{Bench, FaultyCar};
pub use entry::{Entry, EntryError, bare_unit, understand};
pub use expectation::{Expectation, Width, expectation, seen_at};
pub use facts::car_facts;
pub use instruments::{describe, instrument_for};
