//! A quantity has no unit, a wrong one, or cannot be.
//!
//! Why: a number without a fitting unit can be read two ways; units are checked against what is measured.
//!
//! Remedy: write it with a unit of the quantity, such as `17 kPa`, `11.5 V`, `10 min`.
use crate::lint::rule::{Check, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "bad-quantity",
    level: Level::Error,
    source: include_str!("bad_quantity.rs"),
    check: Check::Loading,
};
