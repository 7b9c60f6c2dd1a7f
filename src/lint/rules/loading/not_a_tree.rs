//! The file is no tree and no procedure.
//!
//! Why: nothing in it can be judged by the rules for trees, and a list of what it lacks would lead astray.
//!
//! Remedy: name a tree. A tree begins like this, and goes on with steps and findings:
//!
//! ```yaml
//! format: 1
//! tree: hard-to-start
//! title: Hard to start
//! complaints: [no-start]
//! start: look
//! finds: [pump-fuse-open]
//! steps:
//!   look:
//!     do: Walk round the car with the key off. Look under it for wet fuel.
//!     observe: fuel-smell-or-leak
//!     cautions: [fuel-leak, fuel-vapour]
//!     answers: {none: {next: fuse}, leak: {next: stop}}
//! ```
use crate::lint::rule::{Check, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "not-a-tree",
    level: Level::Error,
    source: include_str!("not_a_tree.rs"),
    check: Check::Loading,
};
