//! The engine: one pure step from event to event through a flat tree, replayable to the last detail.
//!
//! Why: what was measured must survive anything, so a case is nothing but its list of events, and where it stands is a fold
//! over them. In: a flat [`crate::tree::Tree`], the state so far, one [`Event`]. Out: the next state, or why the event is
//! refused. A reading's event carries the raw reading, the expected band, the instrument and the verdict, so a replay solves
//! no model.
//!
//! Where the walk stands follows from the answers alone: the path is traced from the start through everything answered, so
//! going back keeps later answers, and they come back with the path. What holds at the car follows from what was done, in
//! the order of time, and is never undone by thinking again.
//!
//! This room knows no rig, no physics, no odds, no clock, no files and no screens.

mod ahead;
mod engine;
mod event;
mod hindered;
mod lead;
mod logged;
mod state;
mod trace;
mod undo;

pub use ahead::{ahead, may_put_off, may_repeat, never_waits, to_come};
pub use engine::{Refusal, in_the_way, may_be_left, may_conclude, may_start_again, replay, step};
pub use event::{Band, Event, Given, Reason, Taken};
pub use hindered::{Hindrance, gauge_elsewhere, hindrance, unready_for};
pub use lead::{Aim, makes_safe};
pub use logged::{FromLog, LogFile, Logged};
pub use state::{At, Ending, State, Visit};
pub use trace::choices;
