//! The car under test: from a rig file to checked parameters, with every default marked as one.
//!
//! In: YAML text (the caller reads the file). Out: a [`Rig`]: the model's [`Car`], the instruments, and for each key what was
//! stated or taken as default; or a [`RigError`] with everything wrong, its place and its remedy. This room knows nothing of
//! faults, trees or screens.

mod build;
mod draft;
mod fields;
mod problem;
mod read;
mod uncertain;
mod values;

pub use draft::{RigDraft, name_in};
pub use fields::{FIELDS, Field, Kind, dash_bore, field};
pub use problem::{Problem, RigError};
pub use read::{RigText, Value};
pub use uncertain::{SPREADS, Spread, spread_of, spreads, tolerance};

use crate::instrument::Instrument;
use crate::physics::Car;
use crate::terms::Tool;

/// One key of the rig as used.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Fact {
    /// Dotted path of the key.
    pub path: String,
    /// The value as written, or the default as text.
    pub text: String,
    /// Whether nobody stated it.
    pub default: bool,
}

/// What is measured with.
#[derive(Debug, Clone, PartialEq)]
pub struct Instruments {
    /// Fuel pressure gauge.
    pub pressure: Instrument,
    /// Vacuum and boost gauge.
    pub vacuum: Instrument,
    /// Multimeter on volts.
    pub meter: Instrument,
    /// Clamp meter.
    pub clamp: Instrument,
}

/// A checked car.
#[derive(Debug, Clone, PartialEq)]
pub struct Rig {
    /// Its name.
    pub name: String,
    /// The model's parameters.
    pub car: Car,
    /// Every key with its value, in the order of the rig file.
    pub facts: Vec<Fact>,
    /// The instruments.
    pub instruments: Instruments,
    /// Tools at hand, if the rig file says; otherwise all are taken to be.
    pub tools: Option<Vec<Tool>>,
}

impl Rig {
    /// Builds a rig from what was read.
    ///
    /// # Errors
    /// Everything that is wrong with its values, at once.
    pub fn build(text: &RigText) -> Result<Self, RigError> {
        values::Builder::new(text).build()
    }

    /// Reads and builds a rig; `source` names it in messages.
    ///
    /// # Errors
    /// Everything that is wrong with it, at once.
    pub fn parse(source: &str, text: &str) -> Result<Self, RigError> {
        Self::build(&RigText::parse(source, text)?)
    }

    /// Whether a key was left to its default.
    pub fn is_default(&self, path: &str) -> bool {
        self.facts.iter().any(|f| f.path == path && f.default)
    }
}
