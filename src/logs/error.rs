//! Why a log can't be read.

use std::fmt;

/// Why a log can't be read, with what was expected, what was found and what to do.
#[derive(Debug)]
pub enum LogError {
    /// The file itself could not be read.
    Io(std::io::Error),
    /// It holds no table that could be a log.
    NoTable {
        /// What was found instead.
        found: String,
    },
    /// A row goes on beyond what any recorder writes.
    LongRow {
        /// Lines before it.
        after: u64,
    },
    /// A column, channel or unit was named that is not there.
    Mapping {
        /// What is wrong, and what would be right.
        what: String,
    },
}

impl fmt::Display for LogError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Io(e) => write!(f, "the log could not be read: {e}"),
            Self::NoTable { found } => write!(
                f,
                "expected a table of values with a row of column names above it, found {found}; export the log as CSV"
            ),
            Self::LongRow { after } => write!(
                f,
                "expected rows of values, found none that ends within 256 KiB after line {after}; look there for a \
                 quotation mark that is not closed, or export the log as CSV"
            ),
            Self::Mapping { what } => f.write_str(what),
        }
    }
}

impl std::error::Error for LogError {}

impl From<std::io::Error> for LogError {
    fn from(e: std::io::Error) -> Self {
        Self::Io(e)
    }
}
