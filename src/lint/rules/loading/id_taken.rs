//! Two things of a file have the same name.
//!
//! Why: steps, findings, hand-overs and exits share one namespace, and an edge would not say which it means.
//!
//! Remedy: rename one.
use crate::lint::rule::{Check, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "id-taken",
    level: Level::Error,
    source: include_str!("id_taken.rs"),
    check: Check::Loading,
};
