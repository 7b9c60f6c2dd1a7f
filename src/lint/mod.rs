//! What no author can see by reading: one file a rule, over single files, over all paths of a flat tree, and over a whole
//! library.
//!
//! Why: a wrong or unsafe tree hurts people, and a library can only grow once every tree is held to rules that catch what
//! reading does not. In: documents and flat trees of a [`Library`](crate::library::Library). Out: every
//! [`Diagnostic`](crate::tree::Diagnostic) at once, each with its place, why it is wrong and what to do.
//!
//! Safety is proved by data-flow: [`Flow`] follows every path of the flat tree, the putting back after an end included, and keeps
//! every situation a walk can be in at each place. Which cautions and states a step calls for follows from what it does, by one
//! table.
//!
//! This room knows no car, no physics, no odds and no screens; whether a finding is true is for the proof, not for a rule.

mod calls;
mod check;
mod clash;
mod file;
mod flow;
mod held;
mod instruments;
mod marks;
mod repairs;
mod rule;
mod rules;
mod summary;
mod words;

pub use check::{Checked, check_graphs, check_library, check_paths, has_errors};
pub use flow::{Flow, Spot};
pub use held::Held;
pub use rule::{Check, Rule};
pub use rules::{all as rules, find as rule};
pub use summary::{Summary, summary};
