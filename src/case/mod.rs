//! The journal on disk: what was measured survives a kill, a full disk, a torn write and a clumsy second opener.
//!
//! In: entries (what happened, who measured, the odds as they were). Out: the same entries after any accident, or a plain
//! word that they are not kept. A case is one append-only file of JSON lines:
//!
//! ```text
//! {"seq":0,"time":"2026-01-01T08:00:00.000Z","kind":"header","event":{…},"digest":"<64 hex digits>"}
//! {"seq":1,"time":"2026-01-01T08:02:13.250Z","kind":"walk","event":{…},"digest":"<64 hex digits>"}
//! ```
//!
//! `digest` is SHA-256 over the 32 bytes of the previous line's digest (zeros before the first) and this line's bytes
//! before `,"digest":`. The chain shows damage and careless edits; it is no signature. A record ends with its newline.
//!
//! What holds:
//! - A new file is synced, then its folder; an append is one write and one sync; only then is a record kept.
//! - A failed write or sync is never repeated: the journal takes nothing more and says so, and what is in memory can be
//!   copied to another file ([`Case::copy_out`]).
//! - A torn tail moves to a side file and is reported once. A bad record with valid ones after it makes the case read-only.
//!   A journal of a newer version is refused untouched. Order is the sequence; a clock set back is only flagged.
//! - One writer at a time, by a lock on a sidecar file; everybody else reads and is told who writes.
//!
//! What can't be seen from here: bit rot in the very last record looks like a torn write.
//!
//! Half-typed text lies in a file beside the journal. The file layer ([`Journal`]) knows nothing of what an entry means;
//! this room knows no rig, no physics, no odds but as numbers to keep, and no screens.

mod digesting;
mod draft;
mod entry;
mod error;
mod files;
mod folder;
mod journal;
mod line;
mod list;
mod lock;
mod one;
mod share;
#[cfg(test)]
mod tests;

pub use digesting::Digesting;
pub use draft::Draft;
pub use entry::{Candidate, Entry, Extra, Header, JOURNAL_VERSION, Odds, Person, PersonalData, Stored};
pub use error::CaseError;
pub use files::{Disk, Ends, Files, Handle, Lock};
pub use folder::{CaseFolder, data_folder};
pub use journal::{Journal, Notice, Opened, ReadOnly};
pub use line::{Digest, Line, Scan, Tail, digest_of, scan};
pub use list::{CaseState, CaseSummary};
pub use lock::Holder;
pub use one::Case;
pub use share::{Imported, rechained, shared_copy};
