//! A word is not in the shared vocabulary.
//!
//! Why: readings, conditions, tools, states, cautions, faults and outcomes have the same names in all files, answers
//! and reports.
//!
//! Remedy: use a word of the list; near misses are offered.
use crate::lint::rule::{Check, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "unknown-term",
    level: Level::Error,
    source: include_str!("unknown_term.rs"),
    check: Check::Loading,
};
