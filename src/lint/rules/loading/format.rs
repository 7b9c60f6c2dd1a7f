//! The file has another format than 1.
//!
//! Why: a newer format may mean other things by the same words.
//!
//! Remedy: use a newer program, or write `format: 1`.
use crate::lint::rule::{Check, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "format",
    level: Level::Error,
    source: include_str!("format.rs"),
    check: Check::Loading,
};
