//! An include is no plain path inside the library.
//!
//! Why: includes stay inside the library: relative, without `..`, drive, backslash or ending.
//!
//! Remedy: write `procedures/ID`.
use crate::lint::rule::{Check, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "unsafe-include",
    level: Level::Error,
    source: include_str!("unsafe_include.rs"),
    check: Check::Loading,
};
