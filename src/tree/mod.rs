//! The authored graph: what a tree file says, as plain structs, loaded strictly and with places for every complaint.
//!
//! Why: people write trees by hand, and a wrong or unsafe one hurts people; so nothing is guessed, and everything wrong is
//! reported at once with file, line and column. In: the text of one file ([`load()`]). Out: a [`Document`] (one file,
//! targets as names) or every [`Diagnostic`]; the library room turns documents into one flat [`Tree`] (targets as
//! indices), which is what all other rooms work on. Conditions ([`When`]) and the effects of a step on the state of the car
//! ([`Step::effects`]) are evaluated here, once, so that the engine and the checks cannot disagree.
//!
//! This room knows no files on disk, no includes, no car file, no physics, no screens and no odds.

mod diagnostic;
mod graph;
mod likelihood;
mod load;
mod node;
mod positions;
mod raw;
mod resolve;
mod resolve_step;
mod resolve_when;
mod shape;
mod source;
mod states;
mod when;

pub use crate::terms::nearest;

#[cfg(test)]
mod tests;

pub use diagnostic::{Diagnostic, Level, render, render_all};
pub use graph::{
    Answer, Arm, Confirm, Document, Edge, Expect, Expected, FileKind, Finding, Handover, Include, Origin,
    Read, SourceFile, StateUndo, Step, StepKind, Target, Tree, Undecided, UndoBy,
};
pub use likelihood::Likelihood;
pub use load::{Heading, heading, load};
pub use node::Place;
pub use positions::Positions;
pub use raw::schema;
pub use source::{MAX_DEPTH, MAX_FILE_BYTES, MAX_STEPS, read_text};
pub use states::{Effects, StateSet, condition_takes};
pub use when::{CarFacts, Key, Latest, Results, Verdict, When};
