//! What a log comes to, in a form that can be "cannot tell".

use crate::quantity::{Dimension, UnitSystem};
use crate::terms::Caution;
use serde::Serialize;

/// What a judgement is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum About {
    /// Whether the regulator feels the pressure it should.
    Reference,
    /// What it holds with its reference open.
    SetPressure,
    /// Whether the supply lasts at full load.
    Supply,
    /// Whether the rail stands still.
    Steadiness,
}

impl About {
    /// In words.
    pub fn name(self) -> &'static str {
        match self {
            Self::Reference => "reference",
            Self::SetPressure => "set pressure",
            Self::Supply => "supply under load",
            Self::Steadiness => "steadiness",
        }
    }
}

/// What the log says of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Answer {
    /// As it should be.
    InOrder,
    /// Not as it should be.
    Off,
    /// The log does not say.
    CannotTell,
}

impl Answer {
    /// In words.
    pub fn name(self) -> &'static str {
        match self {
            Self::InOrder => "in order",
            Self::Off => "OFF",
            Self::CannotTell => "cannot tell",
        }
    }
}

/// One judgement.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Judgement {
    /// What it is about.
    pub about: About,
    /// The answer.
    pub answer: Answer,
    /// What was seen, and what it means.
    pub says: String,
    /// What to record next time, where the log does not say.
    pub record: Option<String>,
    /// Cautions before that is done.
    pub cautions: Vec<Caution>,
}

impl Judgement {
    pub(super) fn new(about: About, answer: Answer, says: impl Into<String>) -> Self {
        Self { about, answer, says: says.into(), record: None, cautions: Vec::new() }
    }

    /// What only a run under load can tell.
    pub(super) fn cannot_without_load(
        about: About,
        says: impl Into<String>,
        record: impl Into<String>,
    ) -> Self {
        Self { cautions: vec![Caution::LoadRun, Caution::LeanUnderLoad], ..Self::cannot(about, says, record) }
    }

    pub(super) fn cannot(about: About, says: impl Into<String>, record: impl Into<String>) -> Self {
        Self { record: Some(record.into()), ..Self::new(about, Answer::CannotTell, says) }
    }
}

/// A pressure or a difference of two as the judgements say it, in the reader's units.
pub(super) fn shown(pa: f64, units: UnitSystem) -> String {
    let unit = units.unit_for(Dimension::Pressure);
    format!("{:.1} {}", pa / unit.factor, unit.symbol)
}
