//! An id is not written as ids are.
//!
//! Why: ids stand in journals, paths and links.
//!
//! Remedy: use small letters, digits and single hyphens, a letter first, 64 characters at most.
use crate::lint::rule::{Check, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "bad-id",
    level: Level::Error,
    source: include_str!("bad_id.rs"),
    check: Check::Loading,
};
