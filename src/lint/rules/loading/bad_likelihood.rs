//! What a file states of likelihoods or priors is no probability.
//!
//! Why: the odds over the faults are reckoned from it; a row that does not add up to one shifts all of them.
//!
//! Remedy: give each outcome a share from 0 to 1 so that every row adds up to 1, and each fault that the tree finds a
//! prior above zero.
use crate::lint::rule::{Check, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "bad-likelihood",
    level: Level::Error,
    source: include_str!("bad_likelihood.rs"),
    check: Check::Loading,
};
