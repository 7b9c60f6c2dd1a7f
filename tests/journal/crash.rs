//! Requirements 3 and 4: power cuts and failing calls, on a disk that keeps what is written and what is safe apart.

use super::sim::{EIO, ENOSPC, EROFS, Fault, Sim};
use super::{Toy, folder, header, numbers, walk};
use faultwalk::case::{Case, CaseError, CaseFolder, Draft, Header, ReadOnly};
use std::path::Path;

const ID: &str = "20260101-080000-test";

/// What a person saw during a run.
#[derive(Default)]
struct Seen {
    /// The case was said to be begun.
    begun: bool,
    /// The greatest number said to be kept.
    kept: u64,
    /// The greatest number handed to the journal.
    given: u64,
    /// The last failure, in words.
    failure: Option<CaseError>,
}

/// Begins a case, adds to it, puts half-typed text aside, opens it again, adds more: until something fails.
fn work(cases: &CaseFolder, seen: &mut Seen) -> Result<(), CaseError> {
    let mut case: Case<Toy> = cases.create(Header { id: ID.into(), ..header() })?;
    seen.begun = true;
    for n in 1..=4 {
        add(&mut case, n, seen)?;
    }
    case.save_drafts(&[Draft { text: "43.".into(), ..Draft::default() }])?;
    drop(case);
    let mut case: Case<Toy> = cases.resume(ID)?;
    assert_eq!(numbers(&case).last().copied(), Some(4));
    for n in 5..=8 {
        add(&mut case, n, seen)?;
    }
    Ok(())
}

fn add(case: &mut Case<Toy>, n: u64, seen: &mut Seen) -> Result<(), CaseError> {
    seen.given = n;
    let outcome = case.append(walk(n)).map(|line| assert_eq!(line.seq, n));
    if let Err(error) = outcome {
        if let CaseError::NotKept { .. } = error {
            // Once it is stopped nothing is called kept any more, although the disk works again.
            let again = case.append(walk(n)).map(|line| line.seq);
            assert!(matches!(again, Err(CaseError::NotKept { .. })));
            assert!(case.stopped().is_some());
            assert!(!numbers(case).contains(&n));
        }
        return Err(error);
    }
    seen.kept = n;
    Ok(())
}

/// Everything that was said to be kept is on the disk, what is there is a prefix of what was given, and work goes on.
fn check(sim: &Sim, seen: &Seen, what: &str) {
    let cases = folder(sim);
    let mut case: Case<Toy> = match cases.resume(ID) {
        Ok(case) => case,
        Err(error) => {
            assert!(!seen.begun, "{what}: the case is lost: {error}");
            assert!(
                matches!(error, CaseError::NotFound { .. } | CaseError::NoHeader { .. }),
                "{what}: {error}"
            );
            return;
        }
    };
    let there = numbers(&case);
    let length = there.len() as u64;
    assert!(there.iter().copied().eq(1..=length), "{what}: {there:?}");
    assert!((seen.kept..=seen.given).contains(&length), "{what}: kept {}, found {length}", seen.kept);
    assert_eq!(case.read_only(), None, "{what}");
    case.append(walk(length + 1)).unwrap();
    drop(case);
    // What went on is as safe as what came before: only what is synced survives this second power cut.
    let case: Case<Toy> = folder(&sim.crash(0)).view(ID).unwrap();
    assert_eq!(numbers(&case).len() as u64, length + 1, "{what}: after going on");
}

/// How many operations a run without faults takes.
fn operations() -> usize {
    let sim = Sim::default();
    let cases = folder(&sim);
    sim.plan(usize::MAX, Fault::Power);
    work(&cases, &mut Seen::default()).unwrap();
    sim.operations()
}

#[test]
fn requirement_03_a_thousand_crash_states_lose_nothing_acknowledged() {
    let total = operations();
    let mut begun = 0;
    for seed in 0..1000u64 {
        let sim = Sim::default();
        let cases = folder(&sim);
        let at = usize::try_from(seed).unwrap() % (total + 1);
        sim.plan(at, Fault::Power);
        let mut seen = Seen::default();
        let outcome = work(&cases, &mut seen);
        assert_eq!(outcome.is_err(), at < total && sim.unplan(), "operation {at}");
        begun += usize::from(seen.begun);
        let what = format!("power cut at operation {at}, seed {seed}");
        let crashed = sim.crash(seed);
        if seed % 2 == 0 {
            check(&crashed, &seen, &what);
            continue;
        }
        // A second power cut, while the case is being opened again.
        crashed.plan(usize::try_from(seed / 2).unwrap() % 12, Fault::Power);
        let opened = folder_or_none(&crashed).and_then(|cases| cases.resume::<Toy>(ID).ok());
        if let Some(case) = opened.filter(|c| c.read_only().is_none()) {
            assert!(numbers(&case).len() as u64 >= seen.kept, "{what}");
        }
        check(&crashed.crash(seed + 1), &seen, &format!("{what}, and again while opening"));
    }
    assert!(begun > 500, "most runs must get far enough to have something to lose, got {begun}");
}

fn folder_or_none(sim: &Sim) -> Option<CaseFolder> {
    CaseFolder::with_files(std::sync::Arc::new(sim.clone()), Path::new("/cases")).ok()
}

#[test]
fn requirement_04_any_failing_call_never_says_kept_when_it_is_not() {
    let total = operations();
    for fault in [Fault::Errno(EIO), Fault::Errno(ENOSPC), Fault::Errno(EROFS), Fault::Short] {
        let mut failures = 0;
        for at in 0..total {
            let sim = Sim::default();
            let cases = folder(&sim);
            sim.plan(at, fault);
            let mut seen = Seen::default();
            let outcome = work(&cases, &mut seen);
            assert!(sim.unplan(), "operation {at} was never reached");
            let what = format!("{fault:?} at operation {at}");
            if let Err(error) = outcome {
                failures += 1;
                let message = error.to_string();
                assert!(message.len() > 20 && !message.contains("os error"), "{what}: {message}");
                seen.failure = Some(error);
            }
            // The program sees it after the fault; and so does whoever opens the disk after a power cut.
            for seed in 0..4 {
                check(&sim.crash(seed * 1000 + at as u64), &seen, &format!("{what}, then power cut {seed}"));
            }
            if seen.begun {
                check(&sim, &seen, &what);
            }
        }
        assert!(failures > total / 2, "{fault:?}: {failures} of {total} failed");
    }
}

#[test]
fn requirement_04_a_failed_sync_is_not_repeated_and_the_case_can_be_copied_out() {
    for at in 0..3 {
        let sim = Sim::default();
        let cases = folder(&sim);
        let mut case: Case<Toy> = cases.create(Header { id: ID.into(), ..header() }).unwrap();
        case.append(walk(1)).unwrap();
        // The calls of an append are: length, write, sync.
        sim.plan(at, Fault::Errno(EIO));
        let error = case.append(walk(2)).err().unwrap();
        assert!(sim.unplan());
        let message = error.to_string();
        assert!(
            message.starts_with("not saved: ") && message.contains("copy the case to another folder"),
            "{message}"
        );
        let before = sim.operations();
        assert!(case.append(walk(2)).is_err());
        assert_eq!(sim.operations(), before, "the disk is not asked again");
        let path = Path::new("/elsewhere").join(format!("{ID}.jsonl"));
        case.copy_out(&path, vec![walk(2)]).unwrap();
        assert_eq!((case.path(), case.stopped()), (&*path, None));
        case.append(walk(3)).unwrap();
        drop(case);
        let rescued = sim.crash(0);
        let there = CaseFolder::with_files(std::sync::Arc::new(rescued), Path::new("/elsewhere")).unwrap();
        assert_eq!(numbers(&there.view(ID).unwrap()), [1, 2, 3]);
    }
}

#[test]
fn requirement_04_a_record_whose_sync_failed_is_made_safe_before_the_case_goes_on() {
    let sim = Sim::default();
    let mut case: Case<Toy> = folder(&sim).create(Header { id: ID.into(), ..header() }).unwrap();
    sim.plan(2, Fault::Errno(EIO));
    assert!(case.append(walk(1)).is_err());
    sim.unplan();
    drop(case);
    // The system shows the record, though the disk does not have it and a plain sync would do nothing.
    let mut case: Case<Toy> = folder(&sim).resume(ID).unwrap();
    assert_eq!(numbers(&case), [1]);
    case.append(walk(2)).unwrap();
    drop(case);
    assert_eq!(numbers(&folder(&sim.crash(0)).view(ID).unwrap()), [1, 2]);
}

#[test]
fn requirement_04_another_writer_is_noticed_where_there_are_no_locks() {
    let sim = Sim::default();
    let mut case: Case<Toy> = folder(&sim).create(Header { id: ID.into(), ..header() }).unwrap();
    let path = case.path().to_owned();
    let mut bytes = sim.content(&path).unwrap();
    bytes.extend_from_slice(b"{\"seq\":1,");
    {
        use faultwalk::case::Files as _;
        sim.append(&path).unwrap().write(b"{\"seq\":1,").unwrap();
    }
    let error = case.append(walk(1)).err().unwrap();
    assert!(error.to_string().contains("another program has changed the file"), "{error}");
    assert_eq!(sim.content(&path).unwrap(), bytes, "nothing was added");
}

#[test]
fn requirement_04_a_folder_that_can_only_be_read_still_shows_the_case() {
    let sim = Sim::default();
    let cases = folder(&sim);
    let mut case: Case<Toy> = cases.create(Header { id: ID.into(), ..header() }).unwrap();
    case.append(walk(1)).unwrap();
    drop(case);
    // The calls of opening are: list, ends, lock, read, append, rewrite (two), sync of the folder.
    for (at, fault) in [(2, EROFS), (4, EROFS), (5, ENOSPC), (6, EIO), (7, EIO)] {
        sim.plan(at, Fault::Errno(fault));
        let mut case: Case<Toy> = cases.resume(ID).unwrap();
        assert!(sim.unplan());
        assert_eq!(numbers(&case), [1]);
        assert!(matches!(case.read_only(), Some(ReadOnly::Storage(_))), "call {at}: {:?}", case.read_only());
        let error = case.append(walk(2)).err().unwrap().to_string();
        assert!(error.contains("can only be read: it can't be written, because "), "{error}");
    }
}

#[test]
fn requirement_02_a_tail_set_aside_is_never_lost_to_a_power_cut() {
    let sim = Sim::default();
    let case: Case<Toy> = folder(&sim).create(Header { id: ID.into(), ..header() }).unwrap();
    let path = case.path().to_owned();
    drop(case);
    let torn = [&sim.content(&path).unwrap()[..], b"{\"seq\":1,\"time\":\"20"].concat();
    let mut moved = 0;
    for seed in 0..200u64 {
        let sim = Sim::default();
        sim.put(&path, &torn);
        let cases = folder(&sim);
        sim.plan(usize::try_from(seed).unwrap() % 20, Fault::Power);
        let opened = cases.resume::<Toy>(ID);
        let finished = opened.is_ok_and(|c| c.read_only().is_none());
        let crashed = sim.crash(seed);
        let journal = crashed.content(&path).unwrap();
        let sides: Vec<_> =
            crashed.names().into_iter().filter(|n| n.to_string_lossy().contains(".torn-")).collect();
        if finished || journal.len() < torn.len() {
            let side = crashed.content(&sides[0]).unwrap();
            assert_eq!([journal, side].concat(), torn, "seed {seed}: bytes are gone");
            moved += 1;
        } else {
            assert_eq!(journal, torn, "seed {seed}");
        }
    }
    assert!((20..180).contains(&moved), "{moved}");
}
