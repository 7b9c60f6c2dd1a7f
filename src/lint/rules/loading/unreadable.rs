//! A file could not be read.
//!
//! Why: nothing is known of it.
//!
//! Remedy: check its permissions.
use crate::lint::rule::{Check, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "unreadable",
    level: Level::Error,
    source: include_str!("unreadable.rs"),
    check: Check::Loading,
};
