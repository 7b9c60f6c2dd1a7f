//! Maps and lists are nested too deep.
//!
//! Why: no tree needs it, and a file built to hurt does. At most 32 levels are read.
//!
//! Remedy: flatten it.
use crate::lint::rule::{Check, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "too-deep",
    level: Level::Error,
    source: include_str!("too_deep.rs"),
    check: Check::Loading,
};
