//! The file as written: one shape a key, unknown keys denied, nothing resolved.
//!
//! Every field may be missing here, so that a file with one thing wrong can still be looked at as a whole; what must be
//! there is said by the resolver, with better words than a parser has. The JSON Schema for editors, and the second pass that
//! finds every wrong shape, are both derived from these types, so they cannot drift from them.

use crate::terms::{
    Caution, Complaint, Condition, Fault, Induction, LoadBy, Observation, Place, PressureModel, PumpType,
    Reading, State, Station, SupplyStyle, Tip, Tool,
};
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::{self, Deserialize, Deserializer, MapAccess, SeqAccess, Visitor};
use std::borrow::Cow;
use std::collections::HashSet;
use std::fmt;
use std::marker::PhantomData;

/// A key that may be left out, but not left empty.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Opt<T>(pub Option<T>);

impl<T> Default for Opt<T> {
    fn default() -> Self {
        Self(None)
    }
}

impl<'de, T: Deserialize<'de>> Deserialize<'de> for Opt<T> {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        T::deserialize(from).map(|value| Self(Some(value)))
    }
}

impl<T: JsonSchema> JsonSchema for Opt<T> {
    fn schema_name() -> Cow<'static, str> {
        T::schema_name()
    }
    fn inline_schema() -> bool {
        T::inline_schema()
    }
    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        T::json_schema(generator)
    }
}

/// A map in the order written; the same key twice is refused.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Entries<T>(pub Vec<(String, T)>);

impl<'de, T: Deserialize<'de>> Deserialize<'de> for Entries<T> {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        struct InOrder<T>(PhantomData<T>);
        impl<'de, T: Deserialize<'de>> Visitor<'de> for InOrder<T> {
            type Value = Entries<T>;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a map")
            }
            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
                let (mut seen, mut entries) = (HashSet::new(), Vec::new());
                while let Some((key, value)) = map.next_entry::<String, T>()? {
                    if !seen.insert(key.clone()) {
                        return Err(de::Error::custom(format!("duplicate key '{key}'")));
                    }
                    entries.push((key, value));
                }
                Ok(Entries(entries))
            }
        }
        from.deserialize_map(InOrder(PhantomData))
    }
}

impl<T: JsonSchema> JsonSchema for Entries<T> {
    fn schema_name() -> Cow<'static, str> {
        format!("MapOf{}", T::schema_name()).into()
    }
    fn inline_schema() -> bool {
        true
    }
    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let value = generator.subschema_for::<T>();
        json_schema!({ "type": "object", "additionalProperties": value })
    }
}

/// One value or a list of them.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct OneOrMany<T>(pub Vec<T>);

impl<'de, T: Deserialize<'de>> Deserialize<'de> for OneOrMany<T> {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        struct Either<T>(PhantomData<T>);
        impl<'de, T: Deserialize<'de>> Visitor<'de> for Either<T> {
            type Value = OneOrMany<T>;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("one value or a list")
            }
            fn visit_str<E: de::Error>(self, text: &str) -> Result<Self::Value, E> {
                let one = T::deserialize(de::value::StringDeserializer::new(text.to_owned()))?;
                Ok(OneOrMany(vec![one]))
            }
            fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Self::Value, A::Error> {
                let mut many = Vec::new();
                while let Some(item) = list.next_element()? {
                    many.push(item);
                }
                Ok(OneOrMany(many))
            }
        }
        from.deserialize_any(Either(PhantomData))
    }
}

impl<T: JsonSchema> JsonSchema for OneOrMany<T> {
    fn schema_name() -> Cow<'static, str> {
        format!("OneOrMore{}", T::schema_name()).into()
    }
    fn inline_schema() -> bool {
        true
    }
    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let one = generator.subschema_for::<T>();
        json_schema!({ "anyOf": [one, { "type": "array", "items": one }] })
    }
}

/// Small closed lists of the language itself.
macro_rules! words {
    ($(#[$meta:meta])* $name:ident { $($variant:ident = $id:literal),+ $(,)? }) => {
        $(#[$meta])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Deserialize, JsonSchema)]
        pub(crate) enum $name { $(#[serde(rename = $id)] $variant),+ }
    };
}
words! { /// Yes or no, as words.
YesOrNo { Yes = "yes", No = "no" } }
words! { /// Whether a part is fitted.
FittedOrNone { Fitted = "fitted", None = "none" } }
words! { /// Where an expected band comes from.
ExpectedBy { Model = "model", Limits = "limits" } }

/// A whole tree or procedure file.
#[derive(Debug, Clone, Default, PartialEq, serde::Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields, rename_all = "kebab-case")]
#[schemars(rename = "tree or procedure file")]
pub(crate) struct RawFile {
    /// Version of the tree language: 1.
    pub format: Opt<u32>,
    /// Id of the tree; the file is named after it.
    pub tree: Opt<String>,
    /// Id of the procedure; the file is named after it.
    pub procedure: Opt<String>,
    /// One line for people.
    pub title: Opt<String>,
    /// A paragraph about it.
    pub about: Opt<String>,
    /// The complaints a tree answers.
    pub complaints: Opt<Vec<Complaint>>,
    /// The step it begins with.
    pub start: Opt<String>,
    /// Every fault it claims to find.
    pub finds: Opt<Vec<Fault>>,
    /// States that must hold on entry to a procedure.
    pub needs: Opt<Vec<State>>,
    /// Names of a procedure's exits.
    pub exits: Opt<Vec<String>>,
    /// Steps by id.
    pub steps: Opt<Entries<RawStep>>,
    /// Findings by id.
    pub findings: Opt<Entries<RawFinding>>,
    /// Hand-overs by id.
    pub handovers: Opt<Entries<RawHandover>>,
    /// How each state made here is undone.
    pub states: Opt<Entries<RawState>>,
    /// How common each fault is where this tree is used, if other than by the catalogue: a weight above zero by fault; only the
    /// ratios count, and a fault left out never happens.
    pub priors: Opt<Entries<f64>>,
}

/// One step, of whichever kind.
#[derive(Debug, Clone, Default, PartialEq, serde::Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields, rename_all = "kebab-case")]
#[schemars(rename = "step")]
pub(crate) struct RawStep {
    /// A short name, such as "supply pressure".
    pub title: Opt<String>,
    /// The one action, as an order of at most 20 words a sentence.
    #[serde(rename = "do")]
    pub action: Opt<String>,
    /// Words to read aloud to a caller.
    pub tell: Opt<String>,
    /// A note for the agent, never read aloud.
    pub note: Opt<String>,
    /// What the step parts.
    pub why: Opt<String>,
    /// Do-step: where it goes on.
    pub next: Opt<String>,
    /// Read-step: what is measured.
    pub read: Opt<Reading>,
    /// The condition it puts the car in.
    pub at: Opt<Condition>,
    /// Read-step: the instrument.
    pub with: Opt<Tool>,
    /// Read-step: where a pressure gauge may sit.
    pub places: Opt<Vec<Place>>,
    /// Read-step: what is expected.
    pub expect: Opt<RawExpect>,
    /// Read-step: where it goes on below the band.
    pub low: Opt<String>,
    /// Read-step: where it goes on in the band.
    pub within: Opt<String>,
    /// Read-step: where it goes on above the band.
    pub high: Opt<String>,
    /// Read-step: what follows when a verdict stays undecided.
    pub undecided: Opt<RawUndecided>,
    /// Observe-step: what is looked at, listened to or tried.
    pub observe: Opt<Observation>,
    /// Observe-step: where each outcome leads.
    pub answers: Opt<Entries<RawNext>>,
    /// Choose-step: arms, tried in order.
    pub choose: Opt<Vec<RawArm>>,
    /// Choose-step: where it goes when no arm fits.
    #[serde(rename = "else")]
    pub otherwise: Opt<RawNext>,
    /// Include-step: the procedure, such as `procedures/fit-gauge`.
    pub include: Opt<String>,
    /// Include-step: where each exit of the procedure leads.
    pub exits: Opt<Entries<String>>,
    /// States that must hold before it.
    pub requires: Opt<Vec<State>>,
    /// States that must not hold before it.
    pub forbids: Opt<Vec<State>>,
    /// States it makes.
    pub makes: Opt<Vec<State>>,
    /// States it ends.
    pub clears: Opt<Vec<State>>,
    /// Cautions that stand before it.
    pub cautions: Opt<Vec<Caution>>,
    /// Tools beyond the instrument.
    pub tools: Opt<Vec<Tool>>,
    /// Minutes it takes.
    pub minutes: Opt<f64>,
    /// How long a timed step lasts, such as `10 min`.
    pub timer: Opt<String>,
    /// Where it goes when it cannot be done.
    pub cannot: Opt<RawNext>,
    /// Read- and observe-steps: the probability of each outcome with a fault, by fault and outcome, `else` for all other faults; for
    /// what the physical model does not know.
    pub likelihood: Opt<Entries<Entries<f64>>>,
}

/// A target on its own.
#[derive(Debug, Clone, Default, PartialEq, serde::Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
#[schemars(rename = "next")]
pub(crate) struct RawNext {
    /// Step, finding, hand-over or exit.
    pub next: Opt<String>,
}

/// What follows when a verdict stays undecided.
#[derive(Debug, Clone, Default, PartialEq, serde::Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
#[schemars(rename = "undecided")]
pub(crate) struct RawUndecided {
    /// How often the reading is repeated.
    pub retry: Opt<u32>,
    /// Where it goes on then.
    pub next: Opt<String>,
}

/// What a reading should show.
#[derive(Debug, Clone, Default, PartialEq, serde::Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
#[schemars(rename = "expectation")]
pub(crate) struct RawExpect {
    /// From the physical model, or from limits given here.
    pub by: Opt<ExpectedBy>,
    /// With the model: least half-width of the band.
    pub tolerance: Opt<String>,
    /// With limits: the lower one.
    pub min: Opt<String>,
    /// With limits: the upper one.
    pub max: Opt<String>,
}

/// One arm of a choose-step.
#[derive(Debug, Clone, Default, PartialEq, serde::Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
#[schemars(rename = "arm")]
pub(crate) struct RawArm {
    /// What must hold.
    pub when: Opt<RawWhen>,
    /// Where it goes then.
    pub next: Opt<String>,
}

/// What a choose-step asks of the car and of the results so far.
#[derive(Debug, Clone, Default, PartialEq, serde::Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields, rename_all = "kebab-case")]
#[schemars(rename = "condition of a choice")]
pub(crate) struct RawWhen {
    /// How air reaches the engine.
    pub induction: Opt<OneOrMany<Induction>>,
    /// Where the injector's tip sprays.
    pub tip: Opt<OneOrMany<Tip>>,
    /// How the supply is regulated.
    pub style: Opt<OneOrMany<SupplyStyle>>,
    /// Where the regulator's reference hose goes.
    pub reference: Opt<OneOrMany<Station>>,
    /// What the controller reckons air from.
    pub load_by: Opt<OneOrMany<LoadBy>>,
    /// What the controller takes the injector's pressure to be.
    pub pressure_model: Opt<OneOrMany<PressureModel>>,
    /// How the pump delivers.
    pub pump_type: Opt<OneOrMany<PumpType>>,
    /// Whether fuel returns outside the tank.
    pub returns: Opt<YesOrNo>,
    /// Whether a feed filter is fitted.
    pub filter: Opt<FittedOrNone>,
    /// Whether an inlet strainer is fitted.
    pub strainer: Opt<FittedOrNone>,
    /// Whether the pump holds pressure at rest.
    pub holds: Opt<YesOrNo>,
    /// Whether the plenum sees boost.
    pub boosted: Opt<YesOrNo>,
    /// Conditions with closed loop.
    pub trims_at: Opt<OneOrMany<Condition>>,
    /// Latest results: `reading@condition` or an observation, with verdicts or outcomes.
    pub was: Opt<Entries<OneOrMany<String>>>,
}

/// A finding.
#[derive(Debug, Clone, Default, PartialEq, serde::Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
#[schemars(rename = "finding")]
pub(crate) struct RawFinding {
    /// The fault.
    pub fault: Opt<Fault>,
    /// Faults not separable from it here.
    pub also: Opt<Vec<Fault>>,
    /// What is wrong, in words.
    pub says: Opt<String>,
    /// What to do about it.
    pub remedy: Opt<String>,
    /// How the repair is proved.
    pub confirm: Opt<RawConfirm>,
    /// Cautions before the repair.
    pub cautions: Opt<Vec<Caution>>,
    /// Minutes the repair takes.
    pub minutes: Opt<f64>,
}

/// How a repair is proved.
#[derive(Debug, Clone, Default, PartialEq, serde::Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
#[schemars(rename = "confirmation")]
pub(crate) struct RawConfirm {
    /// The step to repeat.
    pub repeat: Opt<String>,
    /// `within`, or an outcome.
    pub expect: Opt<String>,
}

/// A hand-over.
#[derive(Debug, Clone, Default, PartialEq, serde::Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
#[schemars(rename = "hand-over")]
pub(crate) struct RawHandover {
    /// What is known.
    pub says: Opt<String>,
    /// What to do next, and what not to buy on it.
    pub advice: Opt<String>,
    /// The faults left.
    pub narrowed: Opt<Vec<Fault>>,
}

/// How a state is undone.
#[derive(Debug, Clone, Default, PartialEq, serde::Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
#[schemars(rename = "state")]
pub(crate) struct RawState {
    /// A step of this file, or a procedure such as `procedures/remove-gauge`.
    pub undo: Opt<String>,
}

/// The JSON Schema of a tree or procedure file, for editors.
pub fn schema() -> Schema {
    schemars::schema_for!(RawFile)
}
