//! Requirements 1 to 6 and 30: nothing that was acknowledged is lost, and nothing is called kept that is not.

mod copies;
mod crash;
mod damage;
mod kill;
mod mounted;
mod real;
pub mod sim;
mod size;

use faultwalk::case::{Case, CaseFolder, Entry, Header};
use serde::{Deserialize, Serialize};
use sim::Sim;
use std::path::Path;
use std::sync::Arc;

/// An event whose content follows from its number, so that a survivor can be checked to the last byte.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
struct Toy {
    event: String,
    n: u64,
    value: f64,
    limit: Option<f64>,
    text: String,
}

impl Toy {
    fn nth(n: u64) -> Self {
        let mixed = n.wrapping_mul(0x9E37_79B9_7F4A_7C15);
        // Short ones for the tests at every byte; up to 8 kB, more than one page, where records are many.
        let bits = if n >= 100 && n.is_multiple_of(3) { 13 } else { 6 };
        let length = usize::try_from(mixed >> (64 - bits)).unwrap();
        Self {
            event: "toy".into(),
            n,
            value: f64::from_bits((mixed >> 12) | 0x3FF0_0000_0000_0000),
            limit: n.is_multiple_of(2).then_some(0.1),
            text: "½\"\\\n{\"seq\": psi ".chars().cycle().take(length).collect(),
        }
    }
}

/// A header with everything in it but the rig's real text.
fn header() -> Header {
    Header {
        tree: "falls-under-load".into(),
        tree_digest: "00".repeat(32),
        complaint: Some("load".into()),
        site: [("altitude".to_owned(), "200 ft".to_owned())].into(),
        rig: "pump: in-tank\n".into(),
        rig_digest: faultwalk::case::digest_of("pump: in-tank\n"),
        ..Header::default()
    }
}

fn folder(sim: &Sim) -> CaseFolder {
    CaseFolder::with_files(Arc::new(sim.clone()), Path::new("/cases")).unwrap()
}

/// The numbers of a case's events, after a check that each event is as it was written.
fn numbers(case: &Case<Toy>) -> Vec<u64> {
    case.events()
        .inspect(|toy| assert_eq!(**toy, Toy::nth(toy.n), "a record changed"))
        .map(|toy| toy.n)
        .collect()
}

fn walk(n: u64) -> Entry<Toy> {
    Entry::Walk(Toy::nth(n))
}

/// This test program again, to run the one test `name` as a process of its own.
fn again_as_child(name: &str) -> std::process::Command {
    let mut child = std::process::Command::new(std::env::current_exe().unwrap());
    child.args(["--exact", name, "--nocapture", "--test-threads=1"]);
    child
}
