//! The way out where the disk of a case takes no more: the case goes on in another folder.

use super::error::SessionError;
use super::one::Session;
use crate::case::{Case, CaseFolder};
use std::path::Path;

impl Session {
    /// Whether nothing more is kept where the case lies, and it could go on in another folder.
    pub fn is_stranded(&self) -> bool {
        self.case().is_some_and(Case::is_stranded)
    }

    /// Copies the case whole into another folder and goes on there; gives that folder. The walk stands where it stood, and what could not
    /// be kept is given again by whoever holds it.
    ///
    /// # Errors
    /// [`SessionError::NotKept`], or where no case is kept at all; then nothing has changed.
    pub fn go_on_in(&mut self, folder: &Path) -> Result<CaseFolder, SessionError> {
        let case = self.case_mut();
        let case = case.ok_or_else(|| SessionError::NoAnswer("This walk is not kept on disk.".into()))?;
        case.go_on_in(folder).map_err(SessionError::NotKept)
    }
}
