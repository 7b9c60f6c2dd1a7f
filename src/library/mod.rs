//! Where trees come from: built into the program, or a folder. The only room that reads tree files.
//!
//! In: ids and paths. Out: flat [`Tree`](crate::tree::Tree)s, with every include expanded and every state's undoing attached, or everything that is
//! wrong with the files. A tree is read and parsed only when it is asked for. Includes stay inside the library: relative, no
//! `..`, no link that leads out, nothing that is not a plain file, no circle.
//!
//! This room knows what a file says only through the tree room; it knows no cars, no rules of good writing and no screens.

mod flatten;
mod source;
mod whole;

#[cfg(test)]
mod tests;

pub use source::{Answering, Library, Listed};
pub use whole::Loaded;
