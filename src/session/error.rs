//! Why a session did not take something. What was typed stays with the front; the case stands where it stood.

use super::entry::EntryError;
use crate::case::CaseError;
use crate::physics::NoBalance;
use crate::walk::Refusal;
use std::fmt;

/// Why something was not taken.
#[derive(Debug)]
pub enum SessionError {
    /// The text is not this reading or answer.
    Entry(EntryError),
    /// It does not fit what is asked, or would be unsafe.
    Refused(Refusal),
    /// It could not be kept on disk. It is not shown as kept, and nothing moves on.
    NotKept(CaseError),
    /// The model gives no expectation.
    Model(NoBalance),
    /// The reading does not exist on this car in this condition.
    NoSuchReading(String),
    /// The text is no answer to what is asked.
    NoAnswer(String),
    /// The instrument described can't be.
    Instrument(String),
}

impl fmt::Display for SessionError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Entry(e) => write!(f, "{e}"),
            Self::Refused(e) => write!(f, "{e}"),
            Self::NotKept(e) => write!(f, "not kept: {e}"),
            Self::Model(e) => write!(f, "{e}"),
            Self::NoSuchReading(e) | Self::NoAnswer(e) | Self::Instrument(e) => f.write_str(e),
        }
    }
}

impl std::error::Error for SessionError {}

impl From<EntryError> for SessionError {
    fn from(error: EntryError) -> Self {
        Self::Entry(error)
    }
}

impl From<Refusal> for SessionError {
    fn from(error: Refusal) -> Self {
        Self::Refused(error)
    }
}

impl From<NoBalance> for SessionError {
    fn from(error: NoBalance) -> Self {
        Self::Model(error)
    }
}
