//! The step that proves a repair cannot prove it.
//!
//! Why: a repair is proved by a reading or a look of the same file, and by a result it can give.
//!
//! Remedy: repeat a read-step with `expect: within`, or an observe-step with one of its outcomes.
use crate::lint::rule::{Check, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "bad-confirm",
    level: Level::Error,
    source: include_str!("bad_confirm.rs"),
    check: Check::Loading,
};
