//! The file says both `tree:` and `procedure:`.
//!
//! Why: a tree ends in findings, a procedure in exits.
//!
//! Remedy: keep one.
use crate::lint::rule::{Check, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "file-kind",
    level: Level::Error,
    source: include_str!("file_kind.rs"),
    check: Check::Loading,
};
