//! An exit of an included procedure leads nowhere.
//!
//! Why: a walk that left the procedure that way could not go on.
//!
//! Remedy: add the exit under `exits:` with where it leads.
use crate::lint::rule::{Check, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "exit-not-routed",
    level: Level::Error,
    source: include_str!("exit_not_routed.rs"),
    check: Check::Loading,
};
