//! A condition asks nothing.
//!
//! Why: it always holds and hides all arms after it.
//!
//! Remedy: say what must hold, or use `else`.
use crate::lint::rule::{Check, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "empty-condition",
    level: Level::Error,
    source: include_str!("empty_condition.rs"),
    check: Check::Loading,
};
