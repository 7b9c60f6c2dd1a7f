//! An included procedure is not in the library.
//!
//! Why: its steps are part of the tree.
//!
//! Remedy: correct the path; near misses are offered.
use crate::lint::rule::{Check, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "no-such-file",
    level: Level::Error,
    source: include_str!("no_such_file.rs"),
    check: Check::Loading,
};
