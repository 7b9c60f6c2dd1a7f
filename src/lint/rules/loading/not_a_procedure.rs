//! An include names a tree.
//!
//! Why: a tree ends in findings and hand-overs and has no exits, so the walk could not come back from it.
//!
//! Remedy: include a procedure; move what both trees need into one.
use crate::lint::rule::{Check, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "not-a-procedure",
    level: Level::Error,
    source: include_str!("not_a_procedure.rs"),
    check: Check::Loading,
};
