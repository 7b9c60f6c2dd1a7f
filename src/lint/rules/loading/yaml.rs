//! The file is not YAML.
//!
//! Why: nothing in it can be read past this place.
//!
//! Remedy: check quotes, colons and indentation here.
use crate::lint::rule::{Check, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "yaml",
    level: Level::Error,
    source: include_str!("yaml.rs"),
    check: Check::Loading,
};
