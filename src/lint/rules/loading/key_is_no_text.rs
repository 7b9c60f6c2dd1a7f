//! A map or a list stands where a key belongs.
//!
//! Why: ids and keys are words.
//!
//! Remedy: write a word.
use crate::lint::rule::{Check, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "key-is-no-text",
    level: Level::Error,
    source: include_str!("key_is_no_text.rs"),
    check: Check::Loading,
};
