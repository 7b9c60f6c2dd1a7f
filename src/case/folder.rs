//! The folder cases lie in.

use super::entry::{Entry, Header, JOURNAL_VERSION, Stored};
use super::error::CaseError;
use super::files::{Disk, Files, replace};
use super::line::{Line, Tail, scan};
use super::list::{CaseSummary, summary};
use super::one::Case;
use super::share::{Imported, shared_copy, write_new};
use crate::text::Redactor;
use jiff::Timestamp;
use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::sync::Arc;

const EXTENSION: &str = "jsonl";

/// The folder for cases of this account, after the XDG Base Directory Specification 0.8: `$XDG_DATA_HOME/faultwalk/cases`,
/// or `$HOME/.local/share/faultwalk/cases` where the variable is unset, empty or relative. `variable` looks one up.
pub fn data_folder(variable: impl Fn(&str) -> Option<OsString>) -> Option<PathBuf> {
    let absolute = |name: &str| variable(name).map(PathBuf::from).filter(|p| p.is_absolute());
    let data =
        absolute("XDG_DATA_HOME").or_else(|| absolute("HOME").map(|home| home.join(".local/share")))?;
    Some(data.join("faultwalk").join("cases"))
}

/// A folder of cases.
#[derive(Clone)]
pub struct CaseFolder {
    files: Arc<dyn Files>,
    folder: PathBuf,
}

impl CaseFolder {
    /// The folder `given`, or else the one of this account; made if it is not there.
    ///
    /// # Errors
    /// [`CaseError::NoFolder`] or [`CaseError::Io`].
    pub fn open(given: Option<&Path>) -> Result<Self, CaseError> {
        let folder = match given {
            Some(folder) => folder.to_owned(),
            None => data_folder(|name| std::env::var_os(name)).ok_or(CaseError::NoFolder)?,
        };
        Self::with_files(Arc::new(Disk), &folder)
    }

    /// A folder reached through given file operations.
    ///
    /// # Errors
    /// [`CaseError::Io`] if it is not there and can't be made.
    pub fn with_files(files: Arc<dyn Files>, folder: &Path) -> Result<Self, CaseError> {
        files.make_folder(folder).map_err(|e| CaseError::io("make the folder for cases", folder, &e))?;
        Ok(Self { files, folder: folder.to_owned() })
    }

    /// Where it is.
    pub fn path(&self) -> &Path {
        &self.folder
    }

    pub(super) fn file(&self, id: &str) -> PathBuf {
        self.folder.join(format!("{id}.{EXTENSION}"))
    }

    /// Begins a case. Version, program and an empty id are filled in; when this returns the case is on disk.
    ///
    /// # Errors
    /// What failed; then there is no case.
    pub fn create<W: Stored>(&self, header: Header) -> Result<Case<W>, CaseError> {
        self.create_at(header, Timestamp::now())
    }

    /// Begins a case at a given time.
    ///
    /// # Errors
    /// See [`CaseFolder::create`].
    pub fn create_at<W: Stored>(&self, mut header: Header, time: Timestamp) -> Result<Case<W>, CaseError> {
        header.version = JOURNAL_VERSION;
        env!("CARGO_PKG_VERSION").clone_into(&mut header.program);
        if header.id.is_empty() {
            header.id = new_id(time);
        }
        if !is_id(&header.id) {
            return Err(CaseError::NotFound { name: header.id, folder: self.folder.clone() });
        }
        let path = self.file(&header.id);
        Case::create(&self.files, &path, header, time)
    }

    /// Every case, the newest first, from the first line and the end of each file alone. Files that are no cases are not
    /// among them, damaged ones are.
    ///
    /// # Errors
    /// [`CaseError::Io`] if the folder can't be read.
    pub fn list(&self) -> Result<Vec<CaseSummary>, CaseError> {
        use rayon::prelude::*;
        let ids = self.ids()?;
        let mut found: Vec<CaseSummary> =
            ids.par_iter().map(|id| summary(self.files.as_ref(), &self.file(id), id)).collect();
        found.sort_by(|a, b| (b.created, &b.id).cmp(&(a.created, &a.id)));
        Ok(found)
    }

    fn ids(&self) -> Result<Vec<String>, CaseError> {
        let names = self
            .files
            .list(&self.folder)
            .map_err(|e| CaseError::io("list the cases in", &self.folder, &e))?;
        let id = |name: String| {
            let id = name.strip_suffix(EXTENSION)?.strip_suffix('.')?;
            is_id(id).then(|| id.to_owned())
        };
        Ok(names.into_iter().filter_map(id).collect())
    }

    /// The id of the case called `name`: an id, or the beginning of exactly one.
    ///
    /// # Errors
    /// [`CaseError::NotFound`], [`CaseError::Ambiguous`], [`CaseError::Io`].
    pub fn find(&self, name: &str) -> Result<String, CaseError> {
        let mut fits: Vec<String> = self.ids()?.into_iter().filter(|id| id.starts_with(name)).collect();
        fits.sort();
        match fits.as_slice() {
            _ if fits.iter().any(|id| id == name) => Ok(name.to_owned()),
            [id] if !name.is_empty() => Ok(id.clone()),
            [] => Err(CaseError::NotFound { name: name.to_owned(), folder: self.folder.clone() }),
            _ => {
                fits.truncate(8);
                Err(CaseError::Ambiguous { name: name.to_owned(), fits })
            }
        }
    }

    /// Opens a case to go on with it. If that is not possible now, it is open to be read, and [`Case::read_only`] says why.
    ///
    /// # Errors
    /// As for [`CaseFolder::find`]; [`CaseError::Newer`], [`CaseError::NoHeader`], [`CaseError::Io`].
    pub fn resume<W: Stored>(&self, name: &str) -> Result<Case<W>, CaseError> {
        Case::open(&self.files, &self.file(&self.find(name)?), true)
    }

    /// Opens a case to be read, without a lock and without changing anything.
    ///
    /// # Errors
    /// As for [`CaseFolder::resume`].
    pub fn view<W: Stored>(&self, name: &str) -> Result<Case<W>, CaseError> {
        Case::open(&self.files, &self.file(&self.find(name)?), false)
    }

    /// Writes a case as one file for somebody else, half-typed text with it: [`CaseFolder::import`] goes on from it with
    /// nothing asked again. `to` must not exist.
    ///
    /// # Errors
    /// As for [`CaseFolder::view`]; [`CaseError::Exists`].
    pub fn export<W: Stored>(&self, name: &str, to: &Path) -> Result<(), CaseError> {
        let case: Case<W> = self.view(name)?;
        case.hand_over(to)
    }

    /// Writes a copy without personal data to `to`, which must not exist. See [`shared_copy`].
    ///
    /// # Errors
    /// As for [`CaseFolder::export`].
    pub fn export_shared<W: Stored>(
        &self,
        name: &str,
        to: &Path,
        redactor: &mut Redactor,
    ) -> Result<(), CaseError> {
        let case: Case<W> = self.view(name)?;
        let bytes = shared_copy(case.lines(), redactor, |entry| Some(entry.clone()))?;
        write_new(self.files.as_ref(), to, &bytes)
    }

    /// Takes in a file written by [`CaseFolder::export`] or any journal. A case that is here already goes on if the file
    /// begins with all of it.
    ///
    /// # Errors
    /// [`CaseError::Forked`] if both went on; [`CaseError::ReadOnly`] if the case is open elsewhere or the file is damaged
    /// in the middle; otherwise as for opening. Nothing is changed then.
    pub fn import<W: Stored>(&self, from: &Path) -> Result<Imported, CaseError> {
        let bytes = self.files.read(from).map_err(|e| CaseError::io("read", from, &e))?;
        let scanned = scan::<Entry<W>>(&bytes);
        match scanned.tail {
            Tail::Newer(found) => return Err(CaseError::Newer { path: from.to_owned(), found }),
            Tail::Damaged => {
                let why = super::ReadOnly::Damaged { seq: scanned.lines.len() as u64, byte: scanned.good };
                return Err(CaseError::ReadOnly { path: from.to_owned(), why });
            }
            Tail::Clean | Tail::Torn => {}
        }
        let id = match scanned.lines.first().map(|l| &l.entry) {
            Some(Entry::Header(header)) if is_id(&header.id) => header.id.clone(),
            _ => return Err(CaseError::NoHeader { path: from.to_owned() }),
        };
        let path = self.file(&id);
        let good = &bytes[..scanned.good];
        match write_new(self.files.as_ref(), &path, good) {
            Ok(()) => return Ok(Imported::New(id)),
            Err(CaseError::Exists { .. }) => {}
            Err(e) => return Err(e),
        }
        let here: Case<W> = Case::open(&self.files, &path, true)?;
        let common = common(here.lines(), &scanned.lines);
        let (ours, theirs) = (here.lines().len() - common, scanned.lines.len() - common);
        if theirs == 0 {
            return Ok(Imported::Known(id));
        }
        if ours > 0 {
            return Err(CaseError::Forked { id, common, here: ours, there: theirs });
        }
        if let Some(why) = here.read_only() {
            return Err(CaseError::ReadOnly { path, why: why.clone() });
        }
        replace(self.files.as_ref(), &path, good, true).map_err(|e| CaseError::io("write", &path, &e))?;
        Ok(Imported::Continued(id, theirs))
    }
}

fn common<E>(a: &[Line<E>], b: &[Line<E>]) -> usize {
    a.iter().zip(b).take_while(|(x, y)| x.digest == y.digest).count()
}

/// Whether a name can be the id of a case: lower-case letters, digits and dashes, so that no id leads out of the folder.
fn is_id(name: &str) -> bool {
    let fits = |b: u8| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-';
    (1..=64).contains(&name.len()) && name.bytes().all(fits) && !name.starts_with('-')
}

/// A new id: the time to the second and four letters by chance, so that two computers do not take the same.
fn new_id(time: Timestamp) -> String {
    const LETTERS: &[u8] = b"abcdefghjkmnpqrstuvwxyz23456789";
    let mut chance: u32 = rand::random();
    let mut letters = String::new();
    for _ in 0..4 {
        letters.push(char::from(LETTERS[chance as usize % LETTERS.len()]));
        chance /= 31;
    }
    format!("{}-{letters}", time.strftime("%Y%m%d-%H%M%S"))
}
