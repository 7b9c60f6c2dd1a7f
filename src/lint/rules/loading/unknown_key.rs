//! A key is not part of the tree language.
//!
//! Why: a key that is not understood would be passed over in silence, and a misspelt `requires` guards nothing.
//!
//! Remedy: correct its name; near misses are offered.
use crate::lint::rule::{Check, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "unknown-key",
    level: Level::Error,
    source: include_str!("unknown_key.rs"),
    check: Check::Loading,
};
