//! A state is undone by something that is no step.
//!
//! Why: a state is undone by doing something.
//!
//! Remedy: name a step or a procedure.
use crate::lint::rule::{Check, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "bad-undo",
    level: Level::Error,
    source: include_str!("bad_undo.rs"),
    check: Check::Loading,
};
