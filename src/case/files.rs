//! The few operations on files that a case needs, behind a trait, so that tests can make each of them fail.

use std::fs::{File, OpenOptions, TryLockError};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

/// Beginning and end of a file, read without what lies between.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ends {
    /// Length of the file in bytes.
    pub length: u64,
    /// Its first bytes.
    pub head: Vec<u8>,
    /// Its last bytes; overlaps `head` in a short file.
    pub tail: Vec<u8>,
}

/// What came of asking for a lock.
pub enum Lock {
    /// It is ours until the value is dropped.
    Held(Box<dyn Send + Sync>),
    /// Somebody has it; the bytes they left in the file.
    Busy(Vec<u8>),
    /// This file system has no locks.
    Unsupported,
}

/// A file open for appending.
pub trait Handle: Send + Sync {
    /// Appends at most all of `bytes`; returns how many were taken.
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize>;
    /// Returns once all that was written has reached the disk, with what is needed to read it again.
    fn sync_data(&mut self) -> io::Result<()>;
    /// As [`Handle::sync_data`], with all metadata.
    fn sync_all(&mut self) -> io::Result<()>;
    /// Cuts the file to `length` bytes.
    fn set_length(&mut self, length: u64) -> io::Result<()>;
    /// The length of the file now, whoever changed it.
    fn length(&self) -> io::Result<u64>;
}

/// Operations on files. Each may fail, and what is not synced may be lost or torn by a crash.
pub trait Files: Send + Sync {
    /// A new file; an error if there is one already.
    fn create_new(&self, path: &Path) -> io::Result<Box<dyn Handle>>;
    /// An existing file, for appending.
    fn append(&self, path: &Path) -> io::Result<Box<dyn Handle>>;
    /// All of a regular file.
    fn read(&self, path: &Path) -> io::Result<Vec<u8>>;
    /// The first `head` and the last `tail` bytes of a regular file.
    fn ends(&self, path: &Path, head: usize, tail: usize) -> io::Result<Ends>;
    /// Writes `bytes` over the same bytes at `at` and syncs, so that they reach the disk even if an earlier sync of them
    /// failed and the system has since taken them for written.
    fn rewrite(&self, path: &Path, at: u64, bytes: &[u8]) -> io::Result<()>;
    /// The names in a folder, in no order.
    fn list(&self, folder: &Path) -> io::Result<Vec<String>>;
    /// The folder and those above it, if they are missing, each made lasting.
    fn make_folder(&self, folder: &Path) -> io::Result<()>;
    /// Makes names created, changed and removed in the folder lasting.
    fn sync_folder(&self, folder: &Path) -> io::Result<()>;
    /// Gives a file another name in the same folder, replacing what had it.
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()>;
    /// Removes a file.
    fn remove(&self, path: &Path) -> io::Result<()>;
    /// Tries to lock the file at `path`, creating it, and leaves `holder` in it for others to read.
    fn lock(&self, path: &Path, holder: &[u8]) -> io::Result<Lock>;
}

/// The real file system.
#[derive(Debug, Clone, Copy, Default)]
pub struct Disk;

/// Largest journal that is read: far above any case, far below what fills a small computer's memory.
const LARGEST: u64 = 256 * 1024 * 1024;

struct DiskHandle(File);

impl Handle for DiskHandle {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0.write(bytes)
    }
    fn sync_data(&mut self) -> io::Result<()> {
        self.0.sync_data()
    }
    fn sync_all(&mut self) -> io::Result<()> {
        self.0.sync_all()
    }
    fn set_length(&mut self, length: u64) -> io::Result<()> {
        self.0.set_len(length)
    }
    fn length(&self) -> io::Result<u64> {
        Ok(self.0.metadata()?.len())
    }
}

/// Opens a regular file for reading; a pipe or device would make the reader wait for ever.
fn open_regular(path: &Path) -> io::Result<(File, u64)> {
    let found = std::fs::metadata(path)?;
    if !found.is_file() {
        return Err(io::Error::new(io::ErrorKind::InvalidInput, "not a regular file"));
    }
    Ok((File::open(path)?, found.len()))
}

impl Files for Disk {
    fn create_new(&self, path: &Path) -> io::Result<Box<dyn Handle>> {
        Ok(Box::new(DiskHandle(OpenOptions::new().append(true).create_new(true).open(path)?)))
    }

    fn append(&self, path: &Path) -> io::Result<Box<dyn Handle>> {
        Ok(Box::new(DiskHandle(OpenOptions::new().append(true).open(path)?)))
    }

    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        let (file, length) = open_regular(path)?;
        if length > LARGEST {
            return Err(io::Error::new(io::ErrorKind::FileTooLarge, "larger than 256 MiB"));
        }
        let mut bytes = Vec::with_capacity(usize::try_from(length).unwrap_or(0));
        file.take(LARGEST).read_to_end(&mut bytes)?;
        Ok(bytes)
    }

    fn ends(&self, path: &Path, head: usize, tail: usize) -> io::Result<Ends> {
        let (mut file, length) = open_regular(path)?;
        let mut ends = Ends { length, head: Vec::with_capacity(head.min(16 * 1024)), tail: Vec::new() };
        Read::by_ref(&mut file).take(length.min(head as u64)).read_to_end(&mut ends.head)?;
        if length <= ends.head.len() as u64 {
            let from = ends.head.len().saturating_sub(tail);
            ends.tail = ends.head[from..].to_vec();
        } else {
            file.seek(SeekFrom::Start(length.saturating_sub(tail as u64)))?;
            file.take(tail as u64).read_to_end(&mut ends.tail)?;
        }
        Ok(ends)
    }

    fn rewrite(&self, path: &Path, at: u64, bytes: &[u8]) -> io::Result<()> {
        let mut file = OpenOptions::new().write(true).open(path)?;
        file.seek(SeekFrom::Start(at))?;
        file.write_all(bytes)?;
        file.sync_all()
    }

    fn list(&self, folder: &Path) -> io::Result<Vec<String>> {
        let names = std::fs::read_dir(folder)?.map(|e| e.map(|e| e.file_name().into_string().ok()));
        names.filter_map(Result::transpose).collect()
    }

    fn make_folder(&self, folder: &Path) -> io::Result<()> {
        if folder.is_dir() {
            return Ok(());
        }
        let parent = folder.parent().filter(|p| !p.as_os_str().is_empty());
        if let Some(parent) = parent {
            self.make_folder(parent)?;
        }
        match std::fs::create_dir(folder) {
            Err(e) if e.kind() == io::ErrorKind::AlreadyExists && folder.is_dir() => Ok(()),
            Err(e) => Err(e),
            Ok(()) => self.sync_folder(parent.unwrap_or(Path::new("."))),
        }
    }

    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        let folder: PathBuf = if folder.as_os_str().is_empty() { ".".into() } else { folder.into() };
        // Only Unix lets a folder be opened as a file; elsewhere the file system keeps its own names in order.
        if cfg!(unix) { File::open(folder)?.sync_all() } else { Ok(()) }
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        std::fs::rename(from, to)
    }

    fn remove(&self, path: &Path) -> io::Result<()> {
        std::fs::remove_file(path)
    }

    fn lock(&self, path: &Path, holder: &[u8]) -> io::Result<Lock> {
        let mut file = OpenOptions::new().read(true).write(true).create(true).truncate(false).open(path)?;
        match file.try_lock() {
            Ok(()) => {
                file.set_len(0)?;
                file.write_all(holder)?;
                Ok(Lock::Held(Box::new(file)))
            }
            Err(TryLockError::WouldBlock) => {
                let mut bytes = Vec::new();
                // Where locks are mandatory the text can't be read; then the holder is simply not known.
                let _ = file.take(4096).read_to_end(&mut bytes);
                Ok(Lock::Busy(bytes))
            }
            Err(TryLockError::Error(e)) if e.kind() == io::ErrorKind::Unsupported => Ok(Lock::Unsupported),
            Err(TryLockError::Error(e)) => Err(e),
        }
    }
}

/// Appends all of `bytes`, in one write if the system takes them in one.
pub(super) fn write_all(handle: &mut dyn Handle, mut bytes: &[u8]) -> io::Result<()> {
    while !bytes.is_empty() {
        match handle.write(bytes) {
            Ok(0) => return Err(io::ErrorKind::WriteZero.into()),
            Ok(n) => bytes = &bytes[n.min(bytes.len())..],
            Err(e) if e.kind() == io::ErrorKind::Interrupted => {}
            Err(e) => return Err(e),
        }
    }
    Ok(())
}

/// A whole new file that is either there with all of `bytes` or not there: a temporary file in the same folder is
/// written and synced, gets the name, and the folder is synced. Replaces what had the name.
pub(super) fn replace(files: &dyn Files, path: &Path, bytes: &[u8], lasting: bool) -> io::Result<()> {
    let mut name = path.file_name().unwrap_or_default().to_owned();
    name.push(".new");
    let temporary = path.with_file_name(name);
    let _ = files.remove(&temporary);
    let written = (|| {
        let mut handle = files.create_new(&temporary)?;
        write_all(handle.as_mut(), bytes)?;
        if lasting {
            handle.sync_all()?;
        }
        files.rename(&temporary, path)
    })();
    if written.is_err() {
        let _ = files.remove(&temporary);
        return written;
    }
    if lasting { files.sync_folder(path.parent().unwrap_or(Path::new("."))) } else { Ok(()) }
}
