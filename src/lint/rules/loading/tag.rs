//! The file uses a tag.
//!
//! Why: a tag makes a value mean something else than it says.
//!
//! Remedy: remove it.
use crate::lint::rule::{Check, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "tag",
    level: Level::Error,
    source: include_str!("tag.rs"),
    check: Check::Loading,
};
