//! Half-typed text, in a file beside the journal, so that neither Esc nor quit nor a kill loses it.

use super::files::{Files, replace};
use serde::{Deserialize, Serialize};
use std::io;
use std::path::Path;

/// Text that was typed but not yet given.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Draft {
    /// The step it belongs to, if to one.
    pub step: Option<String>,
    /// The field, such as `reading` or `note`.
    pub field: String,
    /// The text as it stands.
    pub text: String,
}

/// Replaces the drafts in the file at `path`; none at all removes it. Survives a kill; not synced, as it is written while
/// somebody types.
pub(super) fn save(files: &dyn Files, path: &Path, drafts: &[Draft]) -> io::Result<()> {
    if drafts.is_empty() {
        return match files.remove(path) {
            Err(e) if e.kind() != io::ErrorKind::NotFound => Err(e),
            _ => Ok(()),
        };
    }
    let bytes = serde_json::to_vec(drafts).map_err(io::Error::other)?;
    replace(files, path, &bytes, false)
}

/// The drafts in the file at `path`; none if there is no such file or it can't be read as drafts.
pub(super) fn load(files: &dyn Files, path: &Path) -> Vec<Draft> {
    files.read(path).ok().and_then(|bytes| serde_json::from_slice(&bytes).ok()).unwrap_or_default()
}
