//! A key stands twice in one map.
//!
//! Why: only one of the two could count, and nobody could say which.
//!
//! Remedy: rename or remove one.
use crate::lint::rule::{Check, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "duplicate-key",
    level: Level::Error,
    source: include_str!("duplicate_key.rs"),
    check: Check::Loading,
};
