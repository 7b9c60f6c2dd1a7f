//! A file is too large.
//!
//! Why: at most 4 MiB are read.
//!
//! Remedy: split it into a tree and procedures.
use crate::lint::rule::{Check, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "file-too-large",
    level: Level::Error,
    source: include_str!("file_too_large.rs"),
    check: Check::Loading,
};
