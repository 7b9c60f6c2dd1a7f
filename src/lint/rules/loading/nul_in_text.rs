//! A file holds a NUL character.
//!
//! Why: it may be damaged.
//!
//! Remedy: remove it.
use crate::lint::rule::{Check, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "nul-in-text",
    level: Level::Error,
    source: include_str!("nul_in_text.rs"),
    check: Check::Loading,
};
