//! An included file lies outside the library or is no plain file.
//!
//! Why: a link, a device or a path that leads out could bring in anything.
//!
//! Remedy: put the file itself into the library.
use crate::lint::rule::{Check, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "include-path",
    level: Level::Error,
    source: include_str!("include_path.rs"),
    check: Check::Loading,
};
