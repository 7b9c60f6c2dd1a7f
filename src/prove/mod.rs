//! The proof: every fault injected into the model, every tree walked, the figures counted.
//!
//! In: trees, rigs, seeds. Out: where each injected fault ended, and the testability figures. Walks go through the session like
//! any other front's, so what is proved is what a person gets.

mod noise_free;

pub use noise_free::{End, Injected, Outcome, injected, noticed, run, walk_one};
