//! Listing a folder of 10,000 cases: aim 300 ms for the whole program, from its start to the last line. For reference, the
//! beginning of each file read, one after the other.

// A benchmark that cannot set up its files has nobody else to tell.
#![allow(clippy::expect_used, missing_docs)]

use faultwalk::case::{CaseFolder, Entry, Header, rechained};
use faultwalk::walk::Event;
use std::io::Read as _;
use std::path::Path;
use std::process::{Command, Stdio};

fn main() {
    divan::main();
}

const CASES: u32 = 10_000;
const RECORDS: u32 = 60;

/// One journal with a rig of usual length and sixty records.
fn journal(number: u32) -> Vec<u8> {
    let rig = std::fs::read_to_string(
        Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/rigs/orchard-pickup.yaml"),
    )
    .expect("the rig is there");
    let header = Header {
        version: 1,
        id: format!("case-{number:05}"),
        tree: "runs-lean".into(),
        complaint: Some("goes lean on hills".into()),
        rig,
        ..Header::default()
    };
    let notes = (1..RECORDS).map(|i| {
        let text = format!("what was seen at step {i} of case {number}, in a sentence of usual length");
        Entry::Walk(Event::NoteAdded { step: None, text, private: false })
    });
    let timed = std::iter::once(Entry::Header(header)).chain(notes).enumerate().map(|(i, entry)| {
        let second = 1_770_000_000 + i64::from(number) * 600 + i64::try_from(i).expect("few records") * 30;
        (entry, jiff::Timestamp::from_second(second).expect("a time of this century"))
    });
    rechained(timed).expect("a journal")
}

fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a temporary folder");
    for number in 0..CASES {
        std::fs::write(folder.path().join(format!("case-{number:05}.jsonl")), journal(number))
            .expect("a case is written");
    }
    folder
}

#[divan::bench(sample_count = 10, sample_size = 1)]
fn reference_reading(bencher: divan::Bencher) {
    let folder = folder();
    bencher.bench(|| {
        let mut bytes = [0; 12 * 1024];
        let files = std::fs::read_dir(folder.path()).expect("the folder").filter_map(Result::ok);
        let read = |e: std::fs::DirEntry| std::fs::File::open(e.path()).and_then(|mut f| f.read(&mut bytes));
        files.map(read).map(|n| n.expect("a case is read")).sum::<usize>()
    });
}

#[divan::bench(sample_count = 10, sample_size = 1)]
fn the_folder(bencher: divan::Bencher) {
    let folder = folder();
    let cases = CaseFolder::open(Some(folder.path())).expect("the folder opens");
    bencher.bench(|| cases.list().expect("a list").len());
}

#[divan::bench(sample_count = 10, sample_size = 1)]
fn the_whole_program(bencher: divan::Bencher) {
    let folder = folder();
    bencher.bench(|| {
        Command::new(env!("CARGO_BIN_EXE_faultwalk"))
            .arg("cases")
            .arg("--cases")
            .arg(folder.path())
            .stdout(Stdio::null())
            .status()
            .expect("the program runs")
            .success()
    });
}
