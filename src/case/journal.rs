//! The file layer: one journal open for reading or for writing, whatever its entries mean.

use super::entry::Stored;
use super::error::{CaseError, io_words};
use super::files::{Files, Handle, Lock, write_all};
use super::line::{Digest, Line, Tail, encode, newer, scan, to_millisecond};
use super::lock::Holder;
use jiff::Timestamp;
use serde::de::DeserializeOwned;
use std::fmt;
use std::io;
use std::marker::PhantomData;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Why a journal is open for reading only.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ReadOnly {
    /// It was asked for that way.
    Asked,
    /// Another program writes it; who, if it said so.
    HeldBy(Option<Holder>),
    /// A bad record has valid ones after it.
    Damaged {
        /// Sequence of the bad record.
        seq: u64,
        /// Where it begins in the file, in bytes from 0.
        byte: usize,
    },
    /// The disk or folder does not let it be written; why, in words.
    Storage(String),
}

impl fmt::Display for ReadOnly {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Asked => write!(f, "it was opened to be read"),
            Self::HeldBy(Some(holder)) => write!(f, "it is being written by {holder}; close it there first"),
            Self::HeldBy(None) => write!(f, "another program is writing it; close it there first"),
            Self::Damaged { seq, byte } => write!(
                f,
                "record {seq} (byte {byte}) is damaged and valid records follow it; what stands before it is shown; \
                 nothing was changed; go on from a copy made earlier, or export what is readable into a new case"
            ),
            Self::Storage(why) => write!(f, "it can't be written, because {why}"),
        }
    }
}

/// Something to tell the person once, on opening.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Notice {
    /// The last write had been cut off; its bytes now lie in a file of their own.
    TailSetAside {
        /// How many bytes.
        bytes: usize,
        /// Where they are.
        to: PathBuf,
    },
    /// The last write had been cut off and is not shown; nothing was changed, as the case can only be read now.
    TailIgnored {
        /// How many bytes.
        bytes: usize,
    },
    /// The clock had been set back at these records; their order is right.
    ClockBack {
        /// Their sequences.
        at: Vec<u64>,
    },
    /// The file system has no locks: two programs at once would be noticed only at the next write.
    NoLocks,
}

impl fmt::Display for Notice {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TailSetAside { bytes, to } => write!(
                f,
                "the last write was cut off; its {bytes} bytes were moved to {}; every record before it is kept; check \
                 whether the last thing you did is there",
                crate::text::visible(&to.to_string_lossy())
            ),
            Self::TailIgnored { bytes } => {
                write!(f, "the last {bytes} bytes are no whole record and are not shown; nothing was changed")
            }
            Self::ClockBack { at } => {
                let at: Vec<String> = at.iter().map(u64::to_string).collect();
                write!(
                    f,
                    "the clock had been set back at record {}; the order of records is right",
                    at.join(", ")
                )
            }
            Self::NoLocks => write!(
                f,
                "this folder has no locks; make sure that nobody else has the case open, or the second of two writers \
                 stops being saved"
            ),
        }
    }
}

/// A journal, opened.
pub struct Opened<E> {
    /// Its records.
    pub lines: Vec<Line<E>>,
    /// The journal if it may be written, or why it may not.
    pub journal: Result<Journal<E>, ReadOnly>,
    /// What to tell the person.
    pub notices: Vec<Notice>,
}

/// A journal open for writing. Dropping it frees the lock.
pub struct Journal<E> {
    path: PathBuf,
    handle: Box<dyn Handle>,
    next: u64,
    end: u64,
    last: Digest,
    latest: Timestamp,
    stopped: Option<String>,
    _lock: Option<Box<dyn Send + Sync>>,
    entries: PhantomData<fn(E) -> E>,
}

/// The sidecar that is locked in place of the journal, which others may want to read.
pub(super) fn lock_path(path: &Path) -> PathBuf {
    path.with_extension("lock")
}

fn folder_of(path: &Path) -> &Path {
    path.parent().unwrap_or(Path::new("."))
}

impl<E: Stored> Journal<E> {
    /// Creates the journal with its first entry; returns once file and folder are on disk.
    ///
    /// # Errors
    /// [`CaseError::Exists`], [`CaseError::ReadOnly`] if another program has just taken the name, or what failed; then
    /// there is no journal.
    pub fn create(
        files: &Arc<dyn Files>,
        path: &Path,
        first: E,
        time: Timestamp,
    ) -> Result<(Self, Line<E>), CaseError> {
        let failed = |e: &io::Error| CaseError::io("create the case", path, e);
        let time = to_millisecond(time);
        let (bytes, digest) =
            encode(0, time, &first, &Digest::NONE).map_err(|why| CaseError::NotStorable { why })?;
        let lock = match files.lock(&lock_path(path), &Holder::this().to_bytes()).map_err(|e| failed(&e))? {
            Lock::Held(lock) => Some(lock),
            Lock::Unsupported => None,
            Lock::Busy(holder) => {
                let why = ReadOnly::HeldBy(Holder::read(&holder));
                return Err(CaseError::ReadOnly { path: path.to_owned(), why });
            }
        };
        let mut handle = files.create_new(path).map_err(|e| match e.kind() {
            io::ErrorKind::AlreadyExists => CaseError::Exists { path: path.to_owned() },
            _ => failed(&e),
        })?;
        let written = write_all(handle.as_mut(), &bytes)
            .and_then(|()| handle.sync_all())
            .and_then(|()| files.sync_folder(folder_of(path)));
        if let Err(e) = written {
            drop(handle);
            let _ = files.remove(path);
            return Err(failed(&e));
        }
        let journal = Self {
            path: path.to_owned(),
            handle,
            next: 1,
            end: bytes.len() as u64,
            last: digest,
            latest: time,
            stopped: None,
            _lock: lock,
            entries: PhantomData,
        };
        Ok((journal, Line { seq: 0, time, entry: first, digest, clock_back: false }))
    }

    /// Opens a journal, for writing if that is possible now. Sets a torn tail aside and makes what is read lasting before
    /// anything is added to it.
    ///
    /// # Errors
    /// [`CaseError::Newer`] and [`CaseError::Io`]; in both the file is untouched.
    pub fn open(files: &Arc<dyn Files>, path: &Path) -> Result<Opened<E>, CaseError> {
        // A newer program's journal is left alone before even a lock file is put beside it.
        let head = files.ends(path, 64 * 1024, 0).map_err(|e| CaseError::io("read the case", path, &e))?.head;
        if let Some(found) = newer(head.split(|b| *b == b'\n').next().unwrap_or_default()) {
            return Err(CaseError::Newer { path: path.to_owned(), found });
        }
        let (lock, notice) = match files.lock(&lock_path(path), &Holder::this().to_bytes()) {
            Ok(Lock::Held(lock)) => (Some(lock), None),
            Ok(Lock::Unsupported) => (None, Some(Notice::NoLocks)),
            Ok(Lock::Busy(holder)) => return read(files, path, ReadOnly::HeldBy(Holder::read(&holder))),
            Err(e) => return read(files, path, ReadOnly::Storage(io_words(&e))),
        };
        let (bytes, mut opened) = load(files, path, ReadOnly::Asked)?;
        let Loaded { good, torn, .. } = opened;
        if opened.lines.is_empty() {
            opened.journal = Err(ReadOnly::Damaged { seq: 0, byte: 0 });
        }
        if let Err(ReadOnly::Damaged { .. }) = opened.journal {
            return Ok(opened.into());
        }
        let mut side = None;
        match make_writable(files, path, &bytes, good, torn, &mut side) {
            Ok(handle) => {
                opened.notices.retain(|n| !matches!(n, Notice::TailIgnored { .. }));
                let last = opened.lines.last();
                opened.journal = Ok(Self {
                    path: path.to_owned(),
                    handle,
                    next: opened.lines.len() as u64,
                    end: good as u64,
                    last: last.map_or(Digest::NONE, |l| l.digest),
                    latest: opened.lines.iter().map(|l| l.time).max().unwrap_or(Timestamp::MIN),
                    stopped: None,
                    _lock: lock,
                    entries: PhantomData,
                });
                opened.notices.extend(notice);
            }
            Err(e) => opened.journal = Err(ReadOnly::Storage(io_words(&e))),
        }
        opened.notices.extend(side.map(|to| Notice::TailSetAside { bytes: bytes.len() - good, to }));
        Ok(opened.into())
    }

    /// Opens a journal to be read; nothing is locked, written or moved.
    ///
    /// # Errors
    /// [`CaseError::Newer`] and [`CaseError::Io`].
    pub fn read(files: &Arc<dyn Files>, path: &Path) -> Result<Opened<E>, CaseError> {
        read(files, path, ReadOnly::Asked)
    }

    /// Adds an entry; returns it as a record once it is on disk.
    ///
    /// # Errors
    /// [`CaseError::NotStorable`] leaves the journal as it was. [`CaseError::NotKept`] means that this entry and all later
    /// ones are not kept: after one failure nothing more is written, because a second sync could succeed although the
    /// first lost the data.
    pub fn append(&mut self, entry: E, time: Timestamp) -> Result<Line<E>, CaseError> {
        let time = to_millisecond(time);
        if let Some(why) = &self.stopped {
            return Err(CaseError::NotKept { path: self.path.clone(), why: why.clone() });
        }
        let (bytes, digest) =
            encode(self.next, time, &entry, &self.last).map_err(|why| CaseError::NotStorable { why })?;
        if let Err(why) = self.put(&bytes) {
            self.stopped = Some(why.clone());
            return Err(CaseError::NotKept { path: self.path.clone(), why });
        }
        let line = Line { seq: self.next, time, entry, digest, clock_back: time < self.latest };
        self.next += 1;
        self.end += bytes.len() as u64;
        self.last = digest;
        self.latest = self.latest.max(time);
        Ok(line)
    }

    fn put(&mut self, bytes: &[u8]) -> Result<(), String> {
        let length = self.handle.length().map_err(|e| io_words(&e))?;
        if length != self.end {
            return Err("another program has changed the file".into());
        }
        write_all(self.handle.as_mut(), bytes).map_err(|e| io_words(&e))?;
        self.handle.sync_data().map_err(|e| io_words(&e))
    }

    /// Why nothing more is kept, once a write or sync has failed.
    pub fn stopped(&self) -> Option<&str> {
        self.stopped.as_deref()
    }
}

/// A journal read but not yet opened for writing.
struct Loaded<E> {
    lines: Vec<Line<E>>,
    journal: Result<Journal<E>, ReadOnly>,
    notices: Vec<Notice>,
    good: usize,
    torn: bool,
}

impl<E> From<Loaded<E>> for Opened<E> {
    fn from(loaded: Loaded<E>) -> Self {
        Self { lines: loaded.lines, journal: loaded.journal, notices: loaded.notices }
    }
}

fn read<E: DeserializeOwned>(
    files: &Arc<dyn Files>,
    path: &Path,
    why: ReadOnly,
) -> Result<Opened<E>, CaseError> {
    let held = matches!(why, ReadOnly::HeldBy(_));
    let (_, mut loaded) = load(files, path, why)?;
    if held {
        // The writer may be in the middle of a record, which is no accident.
        loaded.notices.retain(|n| !matches!(n, Notice::TailIgnored { .. }));
    }
    Ok(loaded.into())
}

fn load<E: DeserializeOwned>(
    files: &Arc<dyn Files>,
    path: &Path,
    why: ReadOnly,
) -> Result<(Vec<u8>, Loaded<E>), CaseError> {
    let bytes = files.read(path).map_err(|e| CaseError::io("read the case", path, &e))?;
    let scanned = scan::<E>(&bytes);
    let mut notices = Vec::new();
    let back: Vec<u64> = scanned.lines.iter().filter(|l| l.clock_back).map(|l| l.seq).collect();
    if !back.is_empty() {
        notices.push(Notice::ClockBack { at: back });
    }
    let mut why = why;
    match scanned.tail {
        Tail::Newer(found) => return Err(CaseError::Newer { path: path.to_owned(), found }),
        Tail::Clean => {}
        Tail::Torn => notices.push(Notice::TailIgnored { bytes: bytes.len() - scanned.good }),
        Tail::Damaged => {
            why = ReadOnly::Damaged { seq: scanned.lines.len() as u64, byte: scanned.good };
        }
    }
    let torn = scanned.tail == Tail::Torn;
    Ok((bytes, Loaded { lines: scanned.lines, journal: Err(why), notices, good: scanned.good, torn }))
}

/// Sets a torn tail aside, makes the last good record and the file's name lasting, and opens the file for appending.
fn make_writable(
    files: &Arc<dyn Files>,
    path: &Path,
    bytes: &[u8],
    good: usize,
    torn: bool,
    side: &mut Option<PathBuf>,
) -> io::Result<Box<dyn Handle>> {
    let mut handle = files.append(path)?;
    if torn {
        let to = set_aside(files, path, &bytes[good..])?;
        // The sync that follows makes the cut lasting as well.
        handle.set_length(good as u64)?;
        *side = Some(to);
    }
    // The last record may be one whose sync failed in a program before this one; its bytes are written once more, so that
    // the sync means what it says. Every record before it was synced before it was written.
    let from = bytes[..good.saturating_sub(1)].iter().rposition(|b| *b == b'\n').map_or(0, |at| at + 1);
    files.rewrite(path, from as u64, &bytes[from..good])?;
    files.sync_folder(folder_of(path))?;
    Ok(handle)
}

/// Writes the bytes of a torn tail to a file of their own and makes it lasting.
fn set_aside(files: &Arc<dyn Files>, path: &Path, tail: &[u8]) -> io::Result<PathBuf> {
    for number in 1..10_000 {
        let side = path.with_extension(format!("torn-{number}"));
        match files.create_new(&side) {
            Ok(mut handle) => {
                let written = write_all(handle.as_mut(), tail).and_then(|()| handle.sync_all());
                if let Err(e) = written {
                    drop(handle);
                    let _ = files.remove(&side);
                    return Err(e);
                }
                files.sync_folder(folder_of(path))?;
                return Ok(side);
            }
            // A crash between this and the cut leaves the same bytes set aside already.
            Err(e) if e.kind() == io::ErrorKind::AlreadyExists => {
                if files.read(&side).is_ok_and(|there| there == tail) {
                    files.sync_folder(folder_of(path))?;
                    return Ok(side);
                }
            }
            Err(e) => return Err(e),
        }
    }
    Err(io::Error::new(io::ErrorKind::AlreadyExists, "ten thousand torn tails are set aside already"))
}
