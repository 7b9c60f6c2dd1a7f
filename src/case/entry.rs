//! What a journal can hold.

use super::draft::Draft;
use crate::text::Personal;
use crate::walk::Event;
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The version of the journal this program writes. Every earlier one is read.
pub const JOURNAL_VERSION: u32 = 1;

/// Anything that can stand in a journal: it goes to JSON, comes back, and one can see that it is the same.
pub trait Stored: Serialize + DeserializeOwned + Clone + PartialEq {}
impl<T: Serialize + DeserializeOwned + Clone + PartialEq> Stored for T {}

/// The first record: what the case is about and what it was made with. When it was begun is the record's time.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Header {
    /// Version of the journal; set when the case is created.
    pub version: u32,
    /// The case's id; set when the case is created.
    pub id: String,
    /// Whether the car is simulated, as in practice.
    pub simulated: bool,
    /// Whether this is a copy with personal data left out.
    #[serde(default)]
    pub shared: bool,
    /// The tree's id.
    pub tree: String,
    /// The complaint, as an id of the vocabulary or in the person's words.
    pub complaint: Option<String>,
    /// The tree's digest.
    pub tree_digest: String,
    /// Version of the program; set when the case is created.
    pub program: String,
    /// Version of the model the bands come from.
    #[serde(default)]
    pub model: String,
    /// The site as given: `altitude`, `barometer`, `air`, `fuel`, each with its unit.
    #[serde(default)]
    pub site: BTreeMap<String, String>,
    /// SHA-256 of the rig's text, in hexadecimal; see [`super::digest_of`].
    pub rig_digest: String,
    /// The rig file's text, empty if there was none.
    pub rig: String,
}

/// Who works on the case from here on.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Person {
    /// Who reads the gauge.
    pub measured: Option<String>,
    /// Who types.
    pub typed: Option<String>,
    /// Whether readings are told by phone rather than read by the one who types.
    pub by_phone: bool,
}

/// A detail that points to a person or a car and never goes into a shared copy.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct PersonalData {
    /// Its kind.
    pub field: Personal,
    /// The text as typed.
    pub value: String,
}

/// One fault and its odds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Candidate {
    /// The fault's id.
    pub fault: String,
    /// Its probability, 0 to 1.
    pub probability: f64,
}

/// The odds as they were shown.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Odds {
    /// Version of the model they come from.
    pub model: String,
    /// The faults, most probable first.
    pub candidates: Vec<Candidate>,
}

/// Anything else a room above wants kept with the case, such as a trainee's score.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Extra {
    /// What it is.
    pub about: String,
    /// The data.
    pub data: serde_json::Value,
}

/// One entry of a journal: `kind` and `event` of its line. `W` is the event of the walk.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", content = "event", rename_all = "kebab-case")]
pub enum Entry<W = Event> {
    /// The first record, and only the first.
    Header(Header),
    /// Something happened in the walk.
    Walk(W),
    /// Somebody else measures or types from here on.
    Person(Person),
    /// A personal detail.
    Personal(PersonalData),
    /// The odds as they were shown.
    Odds(Odds),
    /// Half-typed text that travels with a handed-over case.
    Draft(Draft),
    /// Anything else.
    Extra(Extra),
}
