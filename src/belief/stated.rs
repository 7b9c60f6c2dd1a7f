//! A test whose outcomes the author of a tree states himself, where the model has nothing to say.

use super::effort::Key;
use super::weigh::SLIP;
use crate::terms::Fault;

/// P(outcome | fault) of one test, as stated.
#[derive(Debug, Clone, PartialEq)]
pub struct Stated {
    key: Key,
    outcomes: Vec<String>,
    rows: Vec<(Fault, Vec<f64>)>,
    rest: Vec<f64>,
}

impl Stated {
    /// The test `key` with the ids of its outcomes, a row for some faults and one for all others; each row sums to one. What a reader
    /// slips is added here: a stated 0 or 1 is never quite certain.
    pub fn new(key: Key, outcomes: Vec<String>, rows: Vec<(Fault, Vec<f64>)>, rest: Vec<f64>) -> Self {
        let even = SLIP / outcomes.len().max(1) as f64;
        let read = |row: Vec<f64>| row.into_iter().map(|p| (1.0 - SLIP) * p + even).collect();
        Self {
            key,
            rows: rows.into_iter().map(|(fault, row)| (fault, read(row))).collect(),
            rest: read(rest),
            outcomes,
        }
    }

    /// The test.
    pub fn key(&self) -> Key {
        self.key
    }

    /// The ids of its outcomes.
    pub fn outcomes(&self) -> &[String] {
        &self.outcomes
    }

    /// P(outcome | fault) as read by a person, in the order of the outcomes.
    pub fn of(&self, fault: Fault) -> &[f64] {
        self.rows.iter().find(|(f, _)| *f == fault).map_or(&self.rest, |(_, row)| row)
    }
}
