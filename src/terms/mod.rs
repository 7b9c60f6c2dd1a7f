//! The shared vocabulary as data: conditions, readings, gauge places, observations with their outcomes, tools, states,
//! cautions, facts of a car, and fault ids with the replaceable part each counts as.
//!
//! Everything here is a closed list with stable ids, used in trees, rig files, answers, journals and reports. Ids are
//! added, never renamed. This room knows what things are called and which belong together; it knows no physics, no
//! probabilities, no files and no screens.

#[macro_use]
mod vocabulary;

mod car;
mod caution;
mod complaint;
mod condition;
mod fault;
mod observation;
mod reading;
mod state;
mod tool;
mod words;

pub use car::{Induction, LoadBy, PressureModel, PumpType, Station, SupplyStyle, Tip};
pub use caution::{Caution, FIRST_WORD, LEAK_ORDERS, SignalWord};
pub use complaint::Complaint;
pub use condition::Condition;
pub use fault::{Fault, Part};
pub use observation::{Observation, Outcome};
pub use reading::{Place, Reading, ReadingDatum};
pub use state::State;
pub use tool::Tool;
pub use vocabulary::{UnknownTerm, nearest};
pub use words::WORDS;
