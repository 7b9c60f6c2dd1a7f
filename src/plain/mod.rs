//! The line dialogue: the same walk as the screens, one question at a time, no cursor movement.
//!
//! For screen readers, pipes and dumb terminals. In: lines. Out: lines. Every action is a word; the reading or answer itself is
//! typed as it is. This room knows the session and no screens.

mod dialogue;
mod practice;
mod show;
mod standing;
mod start;
mod words;
mod wrap;

pub use dialogue::{Ended, run};
pub use practice::practise;
pub use start::{Beginning, Offer, choose};
pub use wrap::Wrapped;

use crate::session::SessionError;

/// Why the dialogue stopped early.
#[derive(Debug)]
pub enum PlainError {
    /// The input or output is gone.
    Io(std::io::Error),
    /// A case could not go on.
    Session(SessionError),
}

impl std::fmt::Display for PlainError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Io(e) => write!(f, "could not talk to the terminal: {e}"),
            Self::Session(e) => write!(f, "{e}"),
        }
    }
}

impl std::error::Error for PlainError {}

impl From<std::io::Error> for PlainError {
    fn from(error: std::io::Error) -> Self {
        Self::Io(error)
    }
}
