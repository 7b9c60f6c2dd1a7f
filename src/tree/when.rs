//! Conditions that choose-steps branch on: facts of the car and the latest results, evaluated without side effects.

use super::graph::StepKind;
use crate::terms::{
    Condition, Induction, LoadBy, Observation, Outcome, PressureModel, PumpType, Reading, Station,
    SupplyStyle, Tip,
};
use serde::{Deserialize, Serialize};
use std::fmt;

/// What a tree may know of the car. The session fills it from the rig file; a journal keeps it, so that a replay needs no
/// rig.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[allow(clippy::struct_excessive_bools)] // Each is one of the yes-or-no facts that the tree language names.
pub struct CarFacts {
    /// How air reaches the engine.
    pub induction: Induction,
    /// Where the injector's tip sprays.
    pub tip: Tip,
    /// How the supply is regulated.
    pub style: SupplyStyle,
    /// Where the regulator's reference hose goes by the rig file.
    pub reference: Station,
    /// What the controller reckons air from.
    pub load_by: LoadBy,
    /// What the controller takes the pressure across the injector to be.
    pub pressure_model: PressureModel,
    /// How the pump delivers.
    pub pump_type: PumpType,
    /// Whether fuel comes back through a line outside the tank.
    pub returns: bool,
    /// Whether a feed filter is fitted.
    pub filter: bool,
    /// Whether an inlet strainer is fitted.
    pub strainer: bool,
    /// Whether the pump holds pressure at rest.
    pub holds: bool,
    /// Whether the plenum sees boost at full load.
    pub boosted: bool,
    /// Conditions in which the controller trims.
    pub trims_at: Vec<Condition>,
}

/// The verdict on a reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// Below the band.
    Low,
    /// In the band.
    Within,
    /// Above the band.
    High,
    /// Too near a limit to say.
    Undecided,
}

impl Verdict {
    /// Every one.
    pub const ALL: &'static [Self] = &[Self::Low, Self::Within, Self::High, Self::Undecided];

    /// The stable id.
    pub fn id(self) -> &'static str {
        match self {
            Self::Low => "low",
            Self::Within => "within",
            Self::High => "high",
            Self::Undecided => "undecided",
        }
    }
}

impl fmt::Display for Verdict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.id())
    }
}

/// What a case has on a reading or an observation.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Latest {
    /// The verdict of its latest reading.
    Verdict(Verdict),
    /// The latest answer.
    Outcome(Outcome),
    /// It was never taken, or could not be.
    NotTested,
}

impl Latest {
    /// The id a `was` condition compares with.
    pub fn id(self) -> &'static str {
        match self {
            Self::Verdict(v) => v.id(),
            Self::Outcome(o) => o.id,
            Self::NotTested => "not-tested",
        }
    }
}

/// What a result belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Key {
    /// A reading in a condition, written `rail-pressure@prime`.
    Reading(Reading, Condition),
    /// An observation.
    Observation(Observation),
}

impl Key {
    /// What a step of this kind leaves behind, if it is a reading or a look.
    pub fn of<T>(kind: &StepKind<T>) -> Option<Self> {
        match kind {
            StepKind::Read(read) => Some(Self::Reading(read.reading, read.at)),
            StepKind::Observe { observation, .. } => Some(Self::Observation(*observation)),
            _ => None,
        }
    }
}

impl fmt::Display for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Reading(reading, condition) => write!(f, "{reading}@{condition}"),
            Self::Observation(observation) => write!(f, "{observation}"),
        }
    }
}

/// Where a condition looks up results.
pub trait Results {
    /// The latest result for `key` in this case.
    fn latest(&self, key: Key) -> Latest;
}

/// A conjunction; each list that is not empty must contain the fact (any of).
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct When {
    /// `induction:`
    pub induction: Vec<Induction>,
    /// `tip:`
    pub tip: Vec<Tip>,
    /// `style:`
    pub style: Vec<SupplyStyle>,
    /// `reference:`
    pub reference: Vec<Station>,
    /// `load-by:`
    pub load_by: Vec<LoadBy>,
    /// `pressure-model:`
    pub pressure_model: Vec<PressureModel>,
    /// `pump-type:`
    pub pump_type: Vec<PumpType>,
    /// `returns:`
    pub returns: Option<bool>,
    /// `filter:`
    pub filter: Option<bool>,
    /// `strainer:`
    pub strainer: Option<bool>,
    /// `holds:`
    pub holds: Option<bool>,
    /// `boosted:`
    pub boosted: Option<bool>,
    /// `trims-at:` any of these conditions is in closed loop.
    pub trims_at: Vec<Condition>,
    /// `was:` for each key, the ids any of which the latest result must be.
    pub was: Vec<(Key, Vec<String>)>,
}

impl fmt::Display for When {
    /// As authored, shortened: `returns yes, rail-pressure@prime low or high`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fn list<T: fmt::Display>(all: &mut Vec<String>, key: &str, wanted: &[T]) {
            if !wanted.is_empty() {
                let ids: Vec<String> = wanted.iter().map(ToString::to_string).collect();
                all.push(format!("{key} {}", ids.join(" or ")));
            }
        }
        let mut all = Vec::new();
        list(&mut all, "induction", &self.induction);
        list(&mut all, "tip", &self.tip);
        list(&mut all, "style", &self.style);
        list(&mut all, "reference", &self.reference);
        list(&mut all, "load-by", &self.load_by);
        list(&mut all, "pressure-model", &self.pressure_model);
        list(&mut all, "pump-type", &self.pump_type);
        let yes = |b: bool| if b { "yes" } else { "no" };
        let fitted = |b: bool| if b { "fitted" } else { "none" };
        list(&mut all, "returns", self.returns.map(yes).as_slice());
        list(&mut all, "filter", self.filter.map(fitted).as_slice());
        list(&mut all, "strainer", self.strainer.map(fitted).as_slice());
        list(&mut all, "holds", self.holds.map(yes).as_slice());
        list(&mut all, "boosted", self.boosted.map(yes).as_slice());
        list(&mut all, "trims-at", &self.trims_at);
        for (key, ids) in &self.was {
            list(&mut all, &key.to_string(), ids);
        }
        f.write_str(&all.join(", "))
    }
}

impl When {
    /// Whether it holds for this car with these results.
    pub fn holds(&self, facts: &CarFacts, results: &impl Results) -> bool {
        fn any<T: PartialEq>(wanted: &[T], is: &T) -> bool {
            wanted.is_empty() || wanted.contains(is)
        }
        let same = |wanted: Option<bool>, is: bool| wanted.is_none_or(|w| w == is);
        any(&self.induction, &facts.induction)
            && any(&self.tip, &facts.tip)
            && any(&self.style, &facts.style)
            && any(&self.reference, &facts.reference)
            && any(&self.load_by, &facts.load_by)
            && any(&self.pressure_model, &facts.pressure_model)
            && any(&self.pump_type, &facts.pump_type)
            && same(self.returns, facts.returns)
            && same(self.filter, facts.filter)
            && same(self.strainer, facts.strainer)
            && same(self.holds, facts.holds)
            && same(self.boosted, facts.boosted)
            && (self.trims_at.is_empty() || self.trims_at.iter().any(|c| facts.trims_at.contains(c)))
            && self.was.iter().all(|(key, ids)| ids.iter().any(|id| id == results.latest(*key).id()))
    }
}
