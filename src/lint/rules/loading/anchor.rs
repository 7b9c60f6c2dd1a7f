//! The file uses an anchor or an alias.
//!
//! Why: one place would stand for another, and a few lines can unfold to gigabytes.
//!
//! Remedy: write it out.
use crate::lint::rule::{Check, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "anchor",
    level: Level::Error,
    source: include_str!("anchor.rs"),
    check: Check::Loading,
};
