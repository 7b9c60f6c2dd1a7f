//! Practice: a trainee finds a fault on a simulated car, where nothing burns.
//!
//! In: a tree, whose steps are the moves that can be picked in any order, a rig, a level and a seed. Out: what each move gives on
//! the faulty car, what stops an unsafe order and why, and at the end what each move set aside and what the cheapest order would
//! have taken. The car is simulated; nothing is kept as a case. This room knows no screens and walks no tree.

mod exercise;
mod lesson;
mod moves;
mod order;
mod standing;
mod told;

pub use exercise::{Exercise, Level, NoExercise};
pub use lesson::{Answer, Done, Lesson, Named};
pub use moves::{Group, Move};
pub use standing::Stop;
pub use told::{Cheapest, Debrief, Followed, Told};
