//! A step is of no kind, or of two.
//!
//! Why: each step is exactly one of do, read, observe, choose and include.
//!
//! Remedy: give it one of `next`, `read`, `observe`, `choose`, `include`; make two steps of two.
use crate::lint::rule::{Check, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "step-kind",
    level: Level::Error,
    source: include_str!("step_kind.rs"),
    check: Check::Loading,
};
