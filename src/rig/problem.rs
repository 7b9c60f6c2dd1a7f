//! What is wrong with a rig file: everything at once, each with its place and what to do.

use std::fmt;

/// One thing wrong.
#[derive(Debug, Clone, PartialEq)]
pub struct Problem {
    /// Dotted path of the key, empty for the file as a whole.
    pub path: String,
    /// Line and column from 1, where known.
    pub at: Option<(usize, usize)>,
    /// What was expected, what was found, what to do.
    pub message: String,
}

/// A rig that can't be used.
#[derive(Debug, Clone, PartialEq)]
pub struct RigError {
    /// Where it came from, such as a file name.
    pub source: String,
    /// Everything wrong with it.
    pub problems: Vec<Problem>,
}

impl fmt::Display for RigError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, p) in self.problems.iter().enumerate() {
            if i > 0 {
                writeln!(f)?;
            }
            write!(f, "{}", self.source)?;
            if let Some((line, column)) = p.at {
                write!(f, ":{line}:{column}")?;
            }
            if p.path.is_empty() {
                write!(f, ": {}", p.message)?;
            } else {
                write!(f, ": {}: {}", p.path, p.message)?;
            }
        }
        Ok(())
    }
}

impl std::error::Error for RigError {}

impl RigError {
    /// A key that does not describe an instrument, where only instruments can change.
    pub(super) fn no_such_instrument(path: &str, text: &str) -> Self {
        let message = format!(
            "expected a key of an instrument, such as instruments.pressure.range, found '{path}: {text}'; the rest of a car stays as the case \
             began with it"
        );
        Self {
            source: "the car".into(),
            problems: vec![Problem { path: path.to_owned(), at: None, message }],
        }
    }
}
