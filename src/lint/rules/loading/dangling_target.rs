//! An edge leads to a name that is not in the file.
//!
//! Why: a walk that came here could not go on.
//!
//! Remedy: add the step, finding, hand-over or exit, or name one that is there; near misses are offered.
use crate::lint::rule::{Check, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "dangling-target",
    level: Level::Error,
    source: include_str!("dangling_target.rs"),
    check: Check::Loading,
};
