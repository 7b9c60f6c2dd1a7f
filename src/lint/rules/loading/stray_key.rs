//! A key stands where its kind of step or file has none.
//!
//! Why: nobody would see it or heed it.
//!
//! Remedy: move it to the step it belongs to, or remove it.
use crate::lint::rule::{Check, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "stray-key",
    level: Level::Error,
    source: include_str!("stray_key.rs"),
    check: Check::Loading,
};
