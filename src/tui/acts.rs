//! What can be done in the open case without a text, and the pages it can show.

use crate::session::Conclusion;
use crate::walk::Reason;

/// An act without text.
#[derive(Debug, Clone, PartialEq)]
pub enum Act {
    /// The cautions were read.
    ConfirmCautions,
    /// The do-step is done.
    Done,
    /// It can't be done.
    Cannot(Reason, Option<String>),
    /// One step back.
    Back,
    /// A note; private ones are never shared.
    Note {
        /// The text.
        text: String,
        /// For the agent alone.
        private: bool,
    },
    /// Fuel smelt or seen.
    Leak,
    /// The leak is mended.
    LeakMended(Option<String>),
    /// The remedy was carried out.
    Repaired(Option<String>),
    /// The finding is taken as it is.
    Accepted(Option<String>),
    /// Walk again from the start.
    StartAgain,
    /// Hand over.
    HandOver(Option<String>),
    /// Stop for now.
    Pause,
    /// Go on.
    Resume,
    /// End the case.
    Close,
    /// What stands in the way of the open step is put back.
    PutBackFirst,
    /// A finding is named before the tree comes to its end.
    Conclude(Conclusion),
    /// A parked step is taken up, or a test is done before the path comes to it.
    TakeUp(String),
    /// Another instrument from here on: keys of a rig file with their texts.
    Instrument(Vec<(String, String)>),
}

/// The pages a case can show.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Page {
    /// The sum behind the expected value and what each outcome means.
    Why,
    /// Every fault with what raised it or set it aside.
    Standing,
    /// The mixture ledger.
    Ledger,
    /// The car and its drawings.
    Car,
    /// The report.
    Report,
    /// Five lines for a ticket.
    Summary,
}
