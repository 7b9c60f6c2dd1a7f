//! Includes nest too deep.
//!
//! Why: nobody can follow them, and a file built to hurt does it.
//!
//! Remedy: flatten them by hand; eight levels are taken.
use crate::lint::rule::{Check, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "include-depth",
    level: Level::Error,
    source: include_str!("include_depth.rs"),
    check: Check::Loading,
};
