//! An include routes an exit that the procedure does not have.
//!
//! Why: what it should take care of never comes.
//!
//! Remedy: use the exits the procedure names.
use crate::lint::rule::{Check, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "no-such-exit",
    level: Level::Error,
    source: include_str!("no_such_exit.rs"),
    check: Check::Loading,
};
