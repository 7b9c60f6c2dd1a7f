//! A procedure includes itself, directly or through others.
//!
//! Why: the flat tree would be endless.
//!
//! Remedy: take one of the includes out.
use crate::lint::rule::{Check, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "include-circle",
    level: Level::Error,
    source: include_str!("include_circle.rs"),
    check: Check::Loading,
};
