//! Units, numbers as people type them, and pressure that knows what it is measured from.
//!
//! In: text such as `43.5 psi` or `3,5 bar`. Out: a [`Measure`] in SI with the text as typed kept beside it, or a
//! [`QuantityError`] that says what was expected, what was found and what to do. Gauge and absolute pressure are
//! different types ([`Gauge`], [`Absolute`]) and meet only where the atmosphere is named.
//!
//! This room knows nothing of cars, fuel systems, files or screens.

mod amount;
mod measure;
mod number;
mod pressure;
#[cfg(test)]
mod tests;
mod unit;

pub use amount::flow;
pub use measure::{Datum, Measure, QuantityError, figures, show};
pub use number::{NumberError, parse_number};
pub use pressure::{Absolute, Difference, Gauge};
pub use unit::{Dimension, Unit, UnitSystem, nearest_unit, unit};
