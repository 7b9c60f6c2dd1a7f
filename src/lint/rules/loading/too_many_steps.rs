//! There are too many steps.
//!
//! Why: at most 20,000 are taken, in a library and in one flat tree.
//!
//! Remedy: include less.
use crate::lint::rule::{Check, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "too-many-steps",
    level: Level::Error,
    source: include_str!("too_many_steps.rs"),
    check: Check::Loading,
};
