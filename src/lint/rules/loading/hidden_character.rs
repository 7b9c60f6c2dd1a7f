//! A text holds an invisible character.
//!
//! Why: what is read on the screen could differ from what is written.
//!
//! Remedy: delete it.
use crate::lint::rule::{Check, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "hidden-character",
    level: Level::Error,
    source: include_str!("hidden_character.rs"),
    check: Check::Loading,
};
