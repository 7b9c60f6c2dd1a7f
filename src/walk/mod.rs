//! The engine: one pure step from event to event through a flat tree, replayable to the last detail.
//!
//! Why: what was measured must survive anything, so a case is nothing but its list of events, and where it stands is a fold
//! over them. In: a flat [`crate::tree::Tree`], the state so far, one [`Event`]. Out: the next state, or why the event is
//! refused. A reading's event carries the raw reading, the expected band, the instrument and the verdict, so a replay solves
//! no model.
//!
//! This room knows no rig, no physics, no odds, no clock, no files and no screens.

mod event;

pub use event::{Band, Event, Given, Reason, Taken};
