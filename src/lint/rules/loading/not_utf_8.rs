//! A file is not UTF-8 text.
//!
//! Why: its letters would be guessed.
//!
//! Remedy: save the file as UTF-8.
use crate::lint::rule::{Check, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "not-utf-8",
    level: Level::Error,
    source: include_str!("not_utf_8.rs"),
    check: Check::Loading,
};
