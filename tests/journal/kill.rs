//! Requirement 1: a process that writes is killed again and again, in the middle of writing.

use super::{Toy, again_as_child, header, numbers, walk};
use faultwalk::case::{Case, CaseFolder, Header, Notice, ReadOnly};
use rand::{RngExt as _, SeedableRng as _};
use rand_pcg::Pcg64;
use std::io::{BufRead as _, BufReader, Write as _};
use std::path::Path;
use std::process::{Child, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

const ID: &str = "20260101-080000-kill";
const FOLDER: &str = "FAULTWALK_TEST_KILL_FOLDER";
/// Far above what a write or a start of the program takes; only a hang reaches it.
const DEADLINE: Duration = Duration::from_secs(20);

/// What the writer says, one line each: it is about to write a record, or the record is kept.
#[derive(Debug, PartialEq)]
enum Said {
    Start(u64),
    Kept(u64),
}

/// Opens the case to write. The lock of a killed program is free at once, but for the moment in which some other test of this very
/// process starts a program: between fork and exec that holds every lock its parent had.
fn reopened(cases: &CaseFolder) -> Case<Toy> {
    let begun = Instant::now();
    loop {
        let case: Case<Toy> = cases.resume(ID).unwrap();
        if case.read_only().is_none() || begun.elapsed() > DEADLINE {
            assert_eq!(case.read_only(), None);
            return case;
        }
        std::thread::yield_now();
    }
}

/// Writes until it is killed; says before and after each record which one it is.
fn write_for_ever(folder: &Path) {
    let cases = CaseFolder::open(Some(folder)).unwrap();
    let mut case = reopened(&cases);
    let mut out = std::io::stderr().lock();
    for n in case.lines().len() as u64.. {
        writeln!(out, "start {n}").unwrap();
        case.append(walk(n)).unwrap();
        writeln!(out, "kept {n}").unwrap();
    }
}

fn listen(child: &mut Child) -> Receiver<Said> {
    let (say, said) = channel();
    let lines = BufReader::new(child.stderr.take().unwrap()).lines();
    std::thread::spawn(move || {
        for line in lines.map_while(Result::ok) {
            let heard = match line.split_once(' ') {
                Some(("start", n)) => n.parse().map(Said::Start),
                Some(("kept", n)) => n.parse().map(Said::Kept),
                _ => continue,
            };
            if heard.map_or(true, |h| say.send(h).is_err()) {
                return;
            }
        }
    });
    said
}

/// Starts a writer and kills it a random time after a random record; returns the last record said to be kept, the last
/// said to be started, and how long a record took.
fn kill_once(folder: &Path, rng: &mut Pcg64) -> (u64, u64, u32) {
    let test = "journal::kill::requirement_01_kill_9_during_writes_loses_nothing_acknowledged";
    let mut child = again_as_child(test)
        .env(FOLDER, folder)
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let said = listen(&mut child);
    let (mut kept, mut started) = (0, 0);
    let mut hear = |said: Said| match said {
        Said::Start(n) => started = n,
        Said::Kept(n) => kept = n,
    };
    let wanted = rng.random_range(1..=40);
    let first = said.recv_timeout(DEADLINE).expect("the writer starts");
    let begun = Instant::now();
    hear(first);
    let mut records = 0;
    while records < wanted {
        let heard = said.recv_timeout(DEADLINE).expect("the writer goes on");
        records += u32::from(matches!(heard, Said::Kept(_)));
        hear(heard);
    }
    if rng.random_bool(0.1) {
        // Whoever looks in while it is written reads, and is told by whom it is written.
        let second: Case<Toy> = CaseFolder::open(Some(folder)).unwrap().resume(ID).unwrap();
        let Some(ReadOnly::HeldBy(Some(holder))) = second.read_only() else {
            panic!("two writers: {:?}", second.read_only())
        };
        assert_eq!(holder.pid, child.id());
        assert!(second.notices().is_empty());
    }
    let each = begun.elapsed() / wanted;
    let until = Instant::now() + each.mul_f64(rng.random_range(0.0..2.0));
    while Instant::now() < until {
        std::hint::spin_loop();
    }
    child.kill().unwrap();
    child.wait().unwrap();
    said.iter().for_each(hear);
    (kept, started, u32::try_from(each.as_micros()).unwrap())
}

#[test]
fn requirement_01_kill_9_during_writes_loses_nothing_acknowledged() {
    if let Some(folder) = std::env::var_os(FOLDER) {
        return write_for_ever(Path::new(&folder));
    }
    let wanted: u32 =
        std::env::var("FAULTWALK_KILLS").ok().map_or(100, |n| n.parse().expect("a number of kills"));
    let mut rng = Pcg64::seed_from_u64(1);
    let (mut hits, mut kills, mut torn, mut acknowledged, mut slowest) = (0, 0, 0, 0, Duration::ZERO);
    while hits < wanted {
        let folder = tempfile::tempdir().unwrap();
        let cases = CaseFolder::open(Some(folder.path())).unwrap();
        drop(cases.create::<Toy>(Header { id: ID.into(), ..header() }).unwrap());
        let mut before = 0;
        for _ in 0..25 {
            let (kept, started, _) = kill_once(folder.path(), &mut rng);
            kills += 1;
            hits += u32::from(started > kept);
            acknowledged += kept - before;
            let begun = Instant::now();
            let case = reopened(&cases);
            slowest = slowest.max(begun.elapsed());
            let there = numbers(&case);
            let length = there.len() as u64;
            assert!(there.iter().copied().eq(1..=length), "holes after kill {kills}: {there:?}");
            assert!(kept <= length, "kill {kills}: record {kept} was acknowledged, {length} are there");
            assert!(length <= started, "kill {kills}: record {length} was never started");
            torn += u32::from(case.notices().iter().any(|n| matches!(n, Notice::TailSetAside { .. })));
            before = length;
            if hits >= wanted {
                break;
            }
        }
        // How many land during a write depends on what else the machine does; the count wanted does not.
        assert!(kills < 40 * wanted + 25, "only {hits} of {kills} kills landed during a write");
    }
    // How fast a case opens again is for a benchmark; here it only has to open.
    assert!(slowest <= DEADLINE, "opening again took {slowest:?}");
    println!(
        "{kills} kills, {hits} during a write, {torn} torn, {acknowledged} acknowledged, 0 lost; opening {slowest:?}"
    );
}
