//! The file holds several documents.
//!
//! Why: one file is one tree or procedure.
//!
//! Remedy: split the file.
use crate::lint::rule::{Check, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "several-documents",
    level: Level::Error,
    source: include_str!("several_documents.rs"),
    check: Check::Loading,
};
