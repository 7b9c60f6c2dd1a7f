//! A disk in memory that keeps apart what is written and what is safe, can fail any operation, and can crash.
//!
//! A file has the content a program sees and the content on the platter; a write, a cut and a name reach the platter with
//! the sync of their file or folder. At a crash any part of what was not synced may have reached it: pieces of a write
//! without their neighbours, the length without the bytes, later writes without earlier ones. A sync that fails loses
//! what it should have written although the program still sees it, and the next sync succeeds: what Linux file systems do.

use faultwalk::case::{Ends, Files, Handle, Lock};
use rand::{RngExt as _, SeedableRng as _};
use rand_pcg::Pcg64;
use std::collections::{BTreeMap, BTreeSet};
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};

#[derive(Clone)]
enum Pending {
    Write(usize, Vec<u8>),
    Length(usize),
}

fn apply(content: &mut Vec<u8>, change: &Pending) {
    match change {
        Pending::Write(at, bytes) => {
            if content.len() < at + bytes.len() {
                content.resize(at + bytes.len(), 0);
            }
            content[*at..at + bytes.len()].copy_from_slice(bytes);
        }
        Pending::Length(length) => content.resize(*length, 0),
    }
}

#[derive(Default, Clone)]
struct Node {
    seen: Vec<u8>,
    safe: Vec<u8>,
    pending: Vec<Pending>,
}

/// Names changed together: `None` is a name that is gone.
type Renaming = Vec<(PathBuf, Option<usize>)>;

#[derive(Default)]
struct State {
    nodes: Vec<Node>,
    names: BTreeMap<PathBuf, usize>,
    safe_names: BTreeMap<PathBuf, usize>,
    pending_names: Vec<Renaming>,
    locked: BTreeSet<PathBuf>,
    count: usize,
    plan: Option<(usize, Fault)>,
    dead: bool,
    short: bool,
    hit: bool,
}

/// What is to happen to one operation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Fault {
    /// It fails with this error number; a write takes nothing.
    Errno(i32),
    /// A write takes half, and what comes next finds the disk full; anything else finds it full at once.
    Short,
    /// The power goes: it may still happen, nothing after it does.
    Power,
}

/// No space left on device, input/output error, read-only file system (Linux, `asm-generic/errno-base.h`).
pub const ENOSPC: i32 = 28;
/// See [`ENOSPC`].
pub const EIO: i32 = 5;
/// See [`ENOSPC`].
pub const EROFS: i32 = 30;

/// The disk.
#[derive(Clone, Default)]
pub struct Sim(Arc<Mutex<State>>);

fn missing() -> io::Error {
    io::ErrorKind::NotFound.into()
}

impl State {
    /// Counts an operation; the error it is to fail with, if so.
    fn step(&mut self, writes: bool) -> io::Result<()> {
        if self.dead {
            return Err(io::Error::other("the power is off"));
        }
        if self.short && writes {
            self.short = false;
            return Err(io::Error::from_raw_os_error(ENOSPC));
        }
        self.count += 1;
        match self.plan {
            Some((at, fault)) if at == self.count - 1 => {
                self.hit = true;
                match fault {
                    Fault::Errno(number) => Err(io::Error::from_raw_os_error(number)),
                    Fault::Short => {
                        self.short = true;
                        Err(io::Error::from_raw_os_error(ENOSPC))
                    }
                    Fault::Power => {
                        self.dead = true;
                        Err(io::Error::other("the power is off"))
                    }
                }
            }
            _ => Ok(()),
        }
    }

    fn find(&self, path: &Path) -> io::Result<usize> {
        self.names.get(path).copied().ok_or_else(missing)
    }

    fn name(&mut self, change: Renaming) {
        for (name, node) in &change {
            match node {
                Some(node) => self.names.insert(name.clone(), *node),
                None => self.names.remove(name),
            };
        }
        self.pending_names.push(change);
    }

    fn change(&mut self, node: usize, change: Pending) {
        let node = &mut self.nodes[node];
        apply(&mut node.seen, &change);
        node.pending.push(change);
    }

    fn sync(&mut self, node: usize) -> io::Result<()> {
        let outcome = self.step(true);
        let node = &mut self.nodes[node];
        if self.dead {
            return outcome;
        }
        let pending = std::mem::take(&mut node.pending);
        if outcome.is_ok() {
            for change in &pending {
                apply(&mut node.safe, change);
            }
        }
        outcome
    }
}

impl Sim {
    fn with<T>(&self, act: impl FnOnce(&mut State) -> T) -> T {
        act(&mut self.0.lock().unwrap())
    }

    /// From here on, operation number `at` (from 0) meets `fault`.
    pub fn plan(&self, at: usize, fault: Fault) {
        self.with(|s| {
            s.count = 0;
            s.hit = false;
            s.plan = Some((at, fault));
        });
    }

    /// No more faults; whether the planned one was met.
    pub fn unplan(&self) -> bool {
        self.with(|s| {
            s.plan = None;
            s.short = false;
            s.hit
        })
    }

    /// How many operations there were since the last plan.
    pub fn operations(&self) -> usize {
        self.with(|s| s.count)
    }

    /// The content a program sees.
    pub fn content(&self, path: &Path) -> Option<Vec<u8>> {
        self.with(|s| s.names.get(path).map(|n| s.nodes[*n].seen.clone()))
    }

    /// Puts a file there, safe.
    pub fn put(&self, path: &Path, bytes: &[u8]) {
        self.with(|s| {
            s.nodes.push(Node { seen: bytes.to_vec(), safe: bytes.to_vec(), pending: Vec::new() });
            let node = s.nodes.len() - 1;
            s.names.insert(path.to_owned(), node);
            s.safe_names.insert(path.to_owned(), node);
        });
    }

    /// Every name a program sees.
    pub fn names(&self) -> Vec<PathBuf> {
        self.with(|s| s.names.keys().cloned().collect())
    }

    /// The disk after a crash now: what was synced, and of the rest whatever `seed` lets through. Locks are gone.
    pub fn crash(&self, seed: u64) -> Self {
        let mut rng = Pcg64::seed_from_u64(seed);
        let new = self.with(|s| {
            let keep: f64 = [0.0, 0.3, 0.5, 0.9, 1.0][rng.random_range(0..5usize)];
            let mut new = State { safe_names: s.safe_names.clone(), ..State::default() };
            for change in &s.pending_names {
                if rng.random_bool(keep) {
                    for (name, node) in change {
                        match node {
                            Some(node) => new.safe_names.insert(name.clone(), *node),
                            None => new.safe_names.remove(name),
                        };
                    }
                }
            }
            for node in &s.nodes {
                let mut content = node.safe.clone();
                let mut pieces: Vec<Pending> = Vec::new();
                for change in &node.pending {
                    match change {
                        Pending::Length(_) => pieces.push(change.clone()),
                        Pending::Write(at, bytes) => {
                            let size = rng.random_range(1..=64usize);
                            for (n, piece) in bytes.chunks(size).enumerate() {
                                pieces.push(Pending::Write(at + n * size, piece.to_vec()));
                            }
                        }
                    }
                }
                if rng.random_bool(0.5) {
                    for i in (1..pieces.len()).rev() {
                        pieces.swap(i, rng.random_range(0..=i));
                    }
                }
                pieces.iter().filter(|_| rng.random_bool(keep)).for_each(|p| apply(&mut content, p));
                new.nodes.push(Node { seen: content.clone(), safe: content, pending: Vec::new() });
            }
            new.names = new.safe_names.clone();
            new
        });
        Self(Arc::new(Mutex::new(new)))
    }
}

struct Open(Sim, usize);

impl Handle for Open {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0.with(|s| {
            let was_dead = s.dead;
            let end = s.nodes[self.1].seen.len();
            let taken = match s.step(true) {
                Ok(()) => bytes.len(),
                Err(_) if s.short => bytes.len() / 2,
                Err(e) => {
                    if s.dead && !was_dead {
                        // The power went during the write: some of it may be on the way.
                        s.change(self.1, Pending::Write(end, bytes.to_vec()));
                    }
                    return Err(e);
                }
            };
            s.change(self.1, Pending::Write(end, bytes[..taken].to_vec()));
            Ok(taken)
        })
    }
    fn sync_data(&mut self) -> io::Result<()> {
        self.0.with(|s| s.sync(self.1))
    }
    fn sync_all(&mut self) -> io::Result<()> {
        self.0.with(|s| s.sync(self.1))
    }
    fn set_length(&mut self, length: u64) -> io::Result<()> {
        self.0.with(|s| {
            s.step(true)?;
            s.change(self.1, Pending::Length(usize::try_from(length).unwrap()));
            Ok(())
        })
    }
    fn length(&self) -> io::Result<u64> {
        self.0.with(|s| s.step(false).map(|()| s.nodes[self.1].seen.len() as u64))
    }
}

struct Held(Sim, PathBuf);

impl Drop for Held {
    fn drop(&mut self) {
        self.0.with(|s| s.locked.remove(&self.1));
    }
}

impl Files for Sim {
    fn create_new(&self, path: &Path) -> io::Result<Box<dyn Handle>> {
        self.with(|s| {
            s.step(true)?;
            if s.names.contains_key(path) {
                return Err(io::ErrorKind::AlreadyExists.into());
            }
            s.nodes.push(Node::default());
            let node = s.nodes.len() - 1;
            s.name(vec![(path.to_owned(), Some(node))]);
            Ok(Box::new(Open(self.clone(), node)) as Box<dyn Handle>)
        })
    }
    fn append(&self, path: &Path) -> io::Result<Box<dyn Handle>> {
        self.with(|s| {
            s.step(true)?;
            Ok(Box::new(Open(self.clone(), s.find(path)?)) as Box<dyn Handle>)
        })
    }
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        self.with(|s| {
            s.step(false)?;
            Ok(s.nodes[s.find(path)?].seen.clone())
        })
    }
    fn ends(&self, path: &Path, head: usize, tail: usize) -> io::Result<Ends> {
        let all = self.read(path)?;
        Ok(Ends {
            length: all.len() as u64,
            head: all[..head.min(all.len())].to_vec(),
            tail: all[all.len().saturating_sub(tail)..].to_vec(),
        })
    }
    fn rewrite(&self, path: &Path, at: u64, bytes: &[u8]) -> io::Result<()> {
        self.with(|s| {
            s.step(true)?;
            let node = s.find(path)?;
            s.change(node, Pending::Write(usize::try_from(at).unwrap(), bytes.to_vec()));
            s.sync(node)
        })
    }
    fn list(&self, folder: &Path) -> io::Result<Vec<String>> {
        self.with(|s| {
            s.step(false)?;
            let names = s.names.keys().filter(|n| n.parent() == Some(folder));
            Ok(names.map(|n| n.file_name().unwrap().to_str().unwrap().to_owned()).collect())
        })
    }
    fn make_folder(&self, _: &Path) -> io::Result<()> {
        self.with(|s| s.step(true))
    }
    fn sync_folder(&self, _: &Path) -> io::Result<()> {
        self.with(|s| {
            s.step(true)?;
            s.pending_names.clear();
            s.safe_names = s.names.clone();
            Ok(())
        })
    }
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.with(|s| {
            s.step(true)?;
            let node = s.find(from)?;
            s.name(vec![(to.to_owned(), Some(node)), (from.to_owned(), None)]);
            Ok(())
        })
    }
    fn remove(&self, path: &Path) -> io::Result<()> {
        self.with(|s| {
            s.step(true)?;
            s.find(path)?;
            s.name(vec![(path.to_owned(), None)]);
            Ok(())
        })
    }
    fn lock(&self, path: &Path, holder: &[u8]) -> io::Result<Lock> {
        self.with(|s| {
            s.step(true)?;
            if s.locked.contains(path) {
                let text = s.names.get(path).map(|n| s.nodes[*n].seen.clone());
                return Ok(Lock::Busy(text.unwrap_or_default()));
            }
            s.locked.insert(path.to_owned());
            s.nodes.push(Node { seen: holder.to_vec(), ..Node::default() });
            let node = s.nodes.len() - 1;
            s.name(vec![(path.to_owned(), Some(node))]);
            Ok(Lock::Held(Box::new(Held(self.clone(), path.to_owned()))))
        })
    }
}
