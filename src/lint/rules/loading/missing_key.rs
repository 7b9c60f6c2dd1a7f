//! Something that must be there is missing.
//!
//! Why: without it a walk could not go on, or a person would not know what to do.
//!
//! Remedy: add the key named.
use crate::lint::rule::{Check, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "missing-key",
    level: Level::Error,
    source: include_str!("missing_key.rs"),
    check: Check::Loading,
};
