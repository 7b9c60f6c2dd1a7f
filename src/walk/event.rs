//! What can happen in a case; each is one line of its journal.

use super::logged::{FromLog, LogFile, Logged};
use crate::quantity::Datum;
use crate::terms::{Caution, Condition, Observation, Place, Reading, State};
use crate::tree::{CarFacts, Verdict};
use serde::{Deserialize, Serialize};
use std::fmt;
use std::sync::Arc;

/// Why a step was not done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Reason {
    /// The tool is not at hand.
    NoTool,
    /// It would be unsafe here and now.
    Unsafe,
    /// The place cannot be reached.
    NoAccess,
    /// It is put off; the step is parked and offered again.
    Later,
}

impl Reason {
    /// Every one, in the order offered.
    pub const ALL: &'static [Self] = &[Self::NoTool, Self::Unsafe, Self::NoAccess, Self::Later];

    /// The stable id.
    pub fn id(self) -> &'static str {
        match self {
            Self::NoTool => "no-tool",
            Self::Unsafe => "unsafe",
            Self::NoAccess => "no-access",
            Self::Later => "later",
        }
    }

    /// In words.
    pub fn name(self) -> &'static str {
        match self {
            Self::NoTool => "no tool for it",
            Self::Unsafe => "not safe here",
            Self::NoAccess => "no access",
            Self::Later => "later",
        }
    }
}

impl fmt::Display for Reason {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.id())
    }
}

impl std::str::FromStr for Reason {
    type Err = String;
    fn from_str(text: &str) -> Result<Self, String> {
        Self::ALL
            .iter()
            .copied()
            .find(|r| r.id() == text)
            .ok_or_else(|| format!("'{text}' is no reason; expected no-tool, unsafe, no-access or later"))
    }
}

/// The expected band of a reading, in the SI unit of its dimension and measured from what the reading is measured from.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Band {
    /// Lower limit, if there is one.
    pub low: Option<f64>,
    /// Upper limit, if there is one.
    pub high: Option<f64>,
    /// The value expected, where one value is.
    pub expected: Option<f64>,
}

/// A reading as taken, with all that its verdict rests on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Taken {
    /// What was measured.
    pub reading: Reading,
    /// In which condition.
    pub condition: Condition,
    /// The text as typed; of a reading from a log, its value in words.
    pub typed: String,
    /// The raw value in the SI unit of its dimension.
    pub si: f64,
    /// The symbol of the unit it was given in.
    pub unit: String,
    /// For a pressure, what it was measured from.
    pub datum: Option<Datum>,
    /// Where the gauge sat.
    pub place: Option<Place>,
    /// The instrument in words, such as `0..100 psi, ASME B40.100 B`.
    pub instrument: String,
    /// Standard uncertainty of this reading, SI.
    pub u: f64,
    /// What was expected.
    pub band: Band,
    /// The verdict.
    pub verdict: Verdict,
    /// Probability that the true value lies where the verdict says, 0 to 1.
    pub probability: f64,
    /// Of a reading taken from a data log, what it rests on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub log: Option<FromLog>,
}

impl Taken {
    /// The text as typed, with the unit it was taken in where it has none of its own. A decimal comma is shown as a point, as everything
    /// beside it is.
    pub fn with_unit(&self) -> String {
        let typed = self.typed.trim();
        let comma = typed.matches(',').count() == 1 && !typed.contains('.');
        let typed = if comma { typed.replace(',', ".") } else { typed.to_owned() };
        let bare = typed.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+' | ' '));
        if bare && !self.unit.is_empty() { format!("{typed} {}", self.unit) } else { typed }
    }

    /// The reading as given, with its unit, marked where no gauge was read.
    pub fn said(&self) -> String {
        match self.log {
            Some(_) => format!("{} (log)", self.with_unit()),
            None => self.with_unit(),
        }
    }

    /// How sure the verdict is, in words. No reading is wholly sure, however far it lies from a limit.
    pub fn sure(&self) -> String {
        if self.probability >= 0.995 {
            "over 99 % sure".to_owned()
        } else {
            format!("{:.0} % sure", self.probability * 100.0)
        }
    }
}

/// What a step gave.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "gave", rename_all = "kebab-case")]
pub enum Given {
    /// A do-step was done.
    Done,
    /// A reading was taken.
    Read {
        /// The reading.
        taken: Arc<Taken>,
    },
    /// An observation was answered.
    Answered {
        /// The outcome's id.
        outcome: String,
        /// The text as typed or picked.
        typed: String,
    },
    /// The step could not be done.
    Cannot {
        /// Why.
        reason: Reason,
        /// In the person's own words.
        note: Option<String>,
    },
}

/// One thing that happened. `step` is always a flat step id; for a repair's cautions it is the finding's id.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "event", rename_all = "kebab-case")]
pub enum Event {
    /// The walk begins.
    Begun {
        /// The tree's id.
        tree: String,
        /// The tree's digest.
        digest: String,
        /// What the tree may know of the car.
        facts: CarFacts,
    },
    /// The cautions of the step that is open now were confirmed.
    CautionConfirmed {
        /// The step, or the finding before a repair.
        step: String,
        /// The cautions confirmed.
        cautions: Vec<Caution>,
    },
    /// A do-step was done.
    Done {
        /// The step.
        step: String,
    },
    /// A reading was taken.
    Read {
        /// The step.
        step: String,
        /// The reading.
        taken: Arc<Taken>,
    },
    /// An observation was answered.
    Answered {
        /// The step.
        step: String,
        /// What was observed.
        observation: Observation,
        /// The outcome's id.
        outcome: String,
        /// The text as typed or picked.
        typed: String,
    },
    /// A step could not be done.
    CannotDo {
        /// The step.
        step: String,
        /// Why.
        reason: Reason,
        /// In the person's own words.
        note: Option<String>,
    },
    /// Back to the step before; what it and later ones gave is kept.
    Back,
    /// An earlier answer is corrected.
    Changed {
        /// The step.
        step: String,
        /// What it gives now.
        given: Given,
    },
    /// A parked step is taken up again, or a test is done before the path comes to it.
    TakenUp {
        /// The step.
        step: String,
    },
    /// The tests that are left are not done: all that was seen names this finding surely enough.
    Concluded {
        /// The finding.
        finding: String,
        /// Its probability then, 0 to 1.
        probability: f64,
    },
    /// A note was written.
    NoteAdded {
        /// The step it belongs to, if to one.
        step: Option<String>,
        /// The note.
        text: String,
        /// For the agent only: left out of anything shared.
        private: bool,
    },
    /// From here on another instrument is used; what was read before stays as it was taken.
    InstrumentChanged {
        /// Keys of a rig file under `instruments`, with their texts.
        facts: Vec<(String, String)>,
    },
    /// A data log was read; what it shows is offered at the steps that ask for it.
    LogRead {
        /// The log.
        log: LogFile,
        /// What it shows.
        readings: Vec<Logged>,
    },
    /// Fuel was smelt or seen where it should not be: everything stops.
    LeakReported {
        /// In the person's own words.
        note: Option<String>,
    },
    /// The leak is mended and the walk may go on.
    LeakMended {
        /// What was done.
        note: Option<String>,
    },
    /// A state that stands in the way is undone now.
    UndoBegun {
        /// The state.
        state: State,
    },
    /// The remedy of the finding was carried out.
    Repaired {
        /// What was done.
        note: Option<String>,
    },
    /// The finding is taken as it is, without a repair in this case.
    Accepted {
        /// Why, or what happens now.
        note: Option<String>,
    },
    /// After a repair that did not cure it: put everything back and walk again from the start.
    StartedAgain,
    /// The case goes to somebody else: everything is put back, then it ends.
    HandedOver {
        /// To whom or why.
        note: Option<String>,
    },
    /// Work stops for now.
    Paused,
    /// Work goes on.
    Resumed,
    /// The person has seen all answers and ends the case.
    Closed,
}
