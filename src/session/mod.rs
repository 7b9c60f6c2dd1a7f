//! One case in progress: computes the band, takes the reading, decides, keeps it, moves on. The one door for every front.
//!
//! In: a rig, a tree, optionally a case on disk, and what a person types. Out: what to ask next with what is expected and
//! why, verdicts, and events kept before they count. The walk decides where to go; the model decides what to expect; this room
//! only brings them together. It knows no screens, no reports, no proofs.

mod against;
mod another;
mod answer;
mod bench;
mod called;
mod conclusion;
mod drive;
mod elsewhere;
mod entry;
mod error;
mod expectation;
mod facts;
mod gauge_at;
mod instruments;
mod judge;
mod known;
mod known_cautions;
mod logged;
mod look_again;
mod not_now;
mod odds;
mod one;
mod outlook;
mod overview;
mod rests;
mod set_right;
mod step_view;
mod supply;
mod unnamed;
mod vacuum;

pub use against::Against;
pub use another::instrument_fields;
pub use bench::{Bench, FaultyCar};
pub use conclusion::{Conclusion, SURE};
pub use drive::{Answers, Driven, MOST_STEPS, Reply, Simulated, Source, drive, end_id, endless, turn, typed};
pub use entry::{Entry, EntryError, bare_unit, understand};
pub use error::SessionError;
pub use expectation::{Expectation, Width, expectation, seen_at};
pub use facts::car_facts;
pub use gauge_at::GaugeMove;
pub use instruments::{describe, instrument_for};
pub use logged::{Offer, TAKE_FROM_LOG};
pub use look_again::{Again, Hinge};
pub use odds::{first_belief, stated};
pub use one::{Ask, Bookmark, Session};
pub use outlook::{Advice, Crowd, Outlook, Standing, Suspect, twentieths};
pub use overview::{OVERVIEW, Point, ledger, points, reference_advice, station_pressures};
pub use rests::Rest;
pub use step_view::StepView;
pub use supply::{AtPower, Capacity, Planned, SHARES, supply, supply_curve, supply_planned};
pub use unnamed::Unnamed;
pub use vacuum::{on_vacuum_gauge, vacuum, vacuum_band, vacuum_limits, vacuum_taken};
