//! One case, open.

use super::draft::{self, Draft};
use super::entry::{Entry, Header, Stored};
use super::error::{CaseError, io_words};
use super::files::Files;
use super::folder::CaseFolder;
use super::journal::{Journal, Notice, ReadOnly};
use super::line::Line;
use super::share::{copied, write_new};
use crate::walk::Event;
use jiff::Timestamp;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// One case: its records in memory and its journal on disk. `W` is the event of the walk.
///
/// What [`Case::lines`] holds is on disk, in this order; an entry that could not be kept is not among them.
pub struct Case<W = Event> {
    files: Arc<dyn Files>,
    path: PathBuf,
    header: Header,
    lines: Vec<Line<Entry<W>>>,
    journal: Result<Journal<Entry<W>>, ReadOnly>,
    notices: Vec<Notice>,
}

impl<W: Stored> Case<W> {
    pub(super) fn create(
        files: &Arc<dyn Files>,
        path: &Path,
        header: Header,
        time: Timestamp,
    ) -> Result<Self, CaseError> {
        let (journal, line) = Journal::create(files, path, Entry::Header(header.clone()), time)?;
        Ok(Self {
            files: files.clone(),
            path: path.to_owned(),
            header,
            lines: vec![line],
            journal: Ok(journal),
            notices: Vec::new(),
        })
    }

    /// Opens the journal at `path`, for writing if `write` and if that is possible now.
    pub(super) fn open(files: &Arc<dyn Files>, path: &Path, write: bool) -> Result<Self, CaseError> {
        let opened = if write { Journal::open(files, path)? } else { Journal::read(files, path)? };
        let Some(Entry::Header(header)) = opened.lines.first().map(|l| &l.entry) else {
            return Err(CaseError::NoHeader { path: path.to_owned() });
        };
        Ok(Self {
            files: files.clone(),
            path: path.to_owned(),
            header: header.clone(),
            lines: opened.lines,
            journal: opened.journal,
            notices: opened.notices,
        })
    }

    /// The case's id.
    pub fn id(&self) -> &str {
        &self.header.id
    }

    /// Its journal.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// What it is about.
    pub fn header(&self) -> &Header {
        &self.header
    }

    /// Whether nothing was kept for so many minutes or longer.
    pub fn rested(&self, minutes: i64) -> bool {
        self.lines.last().is_some_and(|l| Timestamp::now().duration_since(l.time).as_mins() >= minutes)
    }

    /// Every record kept, in order, the header first.
    pub fn lines(&self) -> &[Line<Entry<W>>] {
        &self.lines
    }

    /// The walk's events, in order.
    pub fn events(&self) -> impl Iterator<Item = &W> {
        self.lines.iter().filter_map(|l| match &l.entry {
            Entry::Walk(event) => Some(event),
            _ => None,
        })
    }

    /// What to tell the person once.
    pub fn notices(&self) -> &[Notice] {
        &self.notices
    }

    /// Why the case can only be read, if so.
    pub fn read_only(&self) -> Option<&ReadOnly> {
        self.journal.as_ref().err()
    }

    /// Whether nothing more is kept where the case lies, and it could go on in another folder.
    pub fn is_stranded(&self) -> bool {
        self.stopped().is_some() || matches!(self.read_only(), Some(ReadOnly::Storage(_)))
    }

    /// Why nothing more is kept, once a write or sync has failed.
    pub fn stopped(&self) -> Option<&str> {
        self.journal.as_ref().ok().and_then(Journal::stopped)
    }

    /// Adds an entry now. When this returns the record it is on disk and may be shown as kept.
    ///
    /// # Errors
    /// See [`Case::append_at`].
    pub fn append(&mut self, entry: Entry<W>) -> Result<&Line<Entry<W>>, CaseError> {
        self.append_at(entry, Timestamp::now())
    }

    /// Adds an entry with a given time.
    ///
    /// # Errors
    /// [`CaseError::ReadOnly`], [`CaseError::NotStorable`], and [`CaseError::NotKept`], after which only
    /// [`Case::copy_out`] saves what is not kept.
    pub fn append_at(&mut self, entry: Entry<W>, time: Timestamp) -> Result<&Line<Entry<W>>, CaseError> {
        let journal = match &mut self.journal {
            Ok(journal) => journal,
            Err(why) => return Err(CaseError::ReadOnly { path: self.path.clone(), why: why.clone() }),
        };
        if matches!(entry, Entry::Header(_)) {
            return Err(CaseError::NotStorable { why: "a header is only the first record".into() });
        }
        let line = journal.append(entry, time)?;
        self.lines.push(line);
        Ok(&self.lines[self.lines.len() - 1])
    }

    fn copied(&self, more: impl Iterator<Item = (Entry<W>, Timestamp)>) -> Result<Vec<u8>, CaseError> {
        copied(&self.lines, self.files.read(&self.path).ok().as_deref(), more)
    }

    /// Writes the case to a new file at `path`: every record as it stands, and the half-typed text as records after them.
    pub(super) fn hand_over(&self, path: &Path) -> Result<(), CaseError> {
        let now = Timestamp::now();
        let drafts = draft::load(self.files.as_ref(), &self.draft_path());
        let bytes = self.copied(drafts.into_iter().map(|d| (Entry::Draft(d), now)))?;
        write_new(self.files.as_ref(), path, &bytes)
    }

    /// Copies the case to a new journal at `path` in any folder, with `unsaved` entries after what is kept,
    /// and goes on there: the way out after [`CaseError::NotKept`], on another disk if need be. The old file stays as it is.
    ///
    /// # Errors
    /// [`CaseError::Exists`] or what failed; then nothing has changed.
    pub fn copy_out(&mut self, path: &Path, unsaved: Vec<Entry<W>>) -> Result<(), CaseError> {
        let now = Timestamp::now();
        let bytes = self.copied(unsaved.into_iter().map(|e| (e, now)))?;
        write_new(self.files.as_ref(), path, &bytes)?;
        let copy = Self::open(&self.files, path, true)?;
        if let Some(why) = copy.read_only() {
            return Err(CaseError::ReadOnly { path: path.to_owned(), why: why.clone() });
        }
        *self = copy;
        Ok(())
    }

    /// Copies the case whole into another folder, made if it is not there, and goes on there, with the half-typed text kept beside the old
    /// journal. Gives that folder.
    ///
    /// # Errors
    /// As for [`Case::copy_out`], or where the folder can't be made.
    pub fn go_on_in(&mut self, folder: &Path) -> Result<CaseFolder, CaseError> {
        let drafts = self.drafts();
        let there = CaseFolder::with_files(self.files.clone(), folder)?;
        self.copy_out(&there.file(self.id()), Vec::new())?;
        // What is half-typed is on the screen as well; a new disk that takes the case takes it with the next keystroke.
        let _ = self.save_drafts(&drafts);
        Ok(there)
    }

    /// Reads what another program has added since; for a case that is open to be read.
    ///
    /// # Errors
    /// As for opening.
    pub fn refresh(&mut self) -> Result<(), CaseError> {
        if let Err(why) = &self.journal {
            let why = why.clone();
            let fresh = Self::open(&self.files, &self.path, false)?;
            self.lines = fresh.lines;
            self.journal = Err(why);
        }
        Ok(())
    }

    fn draft_path(&self) -> PathBuf {
        self.path.with_extension("draft")
    }

    /// Keeps half-typed text beside the journal; replaces what was kept before, and no drafts remove it.
    ///
    /// # Errors
    /// [`CaseError::ReadOnly`] or [`CaseError::Io`].
    pub fn save_drafts(&self, drafts: &[Draft]) -> Result<(), CaseError> {
        if let Err(why) = &self.journal {
            return Err(CaseError::ReadOnly { path: self.path.clone(), why: why.clone() });
        }
        let path = self.draft_path();
        draft::save(self.files.as_ref(), &path, drafts).map_err(|e| CaseError::Io {
            doing: "keep the half-typed text in",
            why: io_words(&e),
            path,
        })
    }

    /// Half-typed text to put back into its fields: what lies beside the journal, or else what came with a hand-over as
    /// the last records.
    pub fn drafts(&self) -> Vec<Draft> {
        let beside = draft::load(self.files.as_ref(), &self.draft_path());
        if !beside.is_empty() {
            return beside;
        }
        let mut last: Vec<Draft> = self
            .lines
            .iter()
            .rev()
            .map_while(|l| if let Entry::Draft(draft) = &l.entry { Some(draft.clone()) } else { None })
            .collect();
        last.reverse();
        last
    }
}
