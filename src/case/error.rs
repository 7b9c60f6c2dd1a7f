//! What can go wrong with a case, in words for the person in front of it.

use super::journal::ReadOnly;
use crate::text::visible;
use std::fmt;
use std::io;
use std::path::{Path, PathBuf};

/// Why a case could not be opened, read or added to. The message says what was expected, what was found, where, and what
/// to do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum CaseError {
    /// There is no case of that name.
    NotFound {
        /// What was asked for.
        name: String,
        /// Where it was looked for.
        folder: PathBuf,
    },
    /// Several cases start with that name.
    Ambiguous {
        /// What was asked for.
        name: String,
        /// Those that fit.
        fits: Vec<String>,
    },
    /// No folder was given and the environment names none.
    NoFolder,
    /// An operation on a file failed.
    Io {
        /// What was being done, such as `read the case`.
        doing: &'static str,
        /// The file or folder.
        path: PathBuf,
        /// Why, in words.
        why: String,
    },
    /// The journal was written by a newer program.
    Newer {
        /// The file.
        path: PathBuf,
        /// What it says of itself.
        found: String,
    },
    /// The file does not begin with a whole header: no case, or one whose first record is damaged.
    NoHeader {
        /// The file.
        path: PathBuf,
    },
    /// The case can only be read now.
    ReadOnly {
        /// The file.
        path: PathBuf,
        /// Why.
        why: ReadOnly,
    },
    /// A write or a sync failed: the entry is not kept, and neither is any after it.
    NotKept {
        /// The file.
        path: PathBuf,
        /// Why, in words.
        why: String,
    },
    /// An entry holds a value that does not come back from JSON as it was, such as a number that is not finite.
    NotStorable {
        /// Why, in words.
        why: String,
    },
    /// A file of that name is there already.
    Exists {
        /// The file.
        path: PathBuf,
    },
    /// Two histories of one case: neither is the beginning of the other.
    Forked {
        /// The case.
        id: String,
        /// Records both have.
        common: usize,
        /// Records only the case here has.
        here: usize,
        /// Records only the file has.
        there: usize,
    },
}

impl CaseError {
    pub(super) fn io(doing: &'static str, path: &Path, error: &io::Error) -> Self {
        Self::Io { doing, path: path.to_owned(), why: io_words(error) }
    }
}

/// A system's error in plain words.
pub(super) fn io_words(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => "the disk is full".into(),
        io::ErrorKind::ReadOnlyFilesystem => "the disk can only be read".into(),
        io::ErrorKind::PermissionDenied => "there is no permission for it".into(),
        io::ErrorKind::NotFound => "it is not there".into(),
        io::ErrorKind::AlreadyExists => "it is there already".into(),
        _ => {
            let text = error.to_string();
            text.split(" (os error").next().unwrap_or(&text).to_lowercase()
        }
    }
}

fn shown(path: &Path) -> String {
    visible(&path.to_string_lossy()).into_owned()
}

impl fmt::Display for CaseError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotFound { name, folder } => write!(
                f,
                "there is no case '{}' in {}; `faultwalk cases` lists those there are",
                visible(name),
                shown(folder)
            ),
            Self::Ambiguous { name, fits } => write!(
                f,
                "'{}' is the beginning of several cases: {}; type more of the name",
                visible(name),
                visible(&fits.join(", "))
            ),
            Self::NoFolder => write!(
                f,
                "expected a folder for cases, but neither XDG_DATA_HOME nor HOME names one; give it with --cases FOLDER"
            ),
            Self::Io { doing, path, why } => write!(f, "could not {doing} {}: {why}", shown(path)),
            Self::Newer { path, found } => write!(
                f,
                "{} was written by a newer program ({}); it was not touched; open it with that program",
                shown(path),
                visible(found)
            ),
            Self::NoHeader { path } => write!(
                f,
                "{} does not begin with the header of a case; it was not touched; if it was one, its first record is \
                 damaged and a copy made earlier is needed",
                shown(path)
            ),
            Self::ReadOnly { path, why } => write!(f, "{} can only be read: {why}", shown(path)),
            Self::NotKept { path, why } => write!(
                f,
                "not saved: {} takes no more, because {why}; what is on the screen is not kept; copy the case to another \
                 folder and go on there",
                shown(path)
            ),
            Self::NotStorable { why } => write!(f, "not saved: the entry can't be stored, because {why}"),
            Self::Exists { path } => {
                write!(f, "{} is there already and was not touched; choose another name", shown(path))
            }
            Self::Forked { id, common, here, there } => write!(
                f,
                "case {} went on in two places: after {common} common records there are {here} here and {there} in the \
                 file; nothing was changed; keep both by importing into another folder",
                visible(id)
            ),
        }
    }
}

impl std::error::Error for CaseError {}
