//! A value has another shape than its key.
//!
//! Why: each key has one shape, so that everybody reads it alike.
//!
//! Remedy: write the shape named: a word, a list, a map, a number.
use crate::lint::rule::{Check, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "wrong-shape",
    level: Level::Error,
    source: include_str!("wrong_shape.rs"),
    check: Check::Loading,
};
