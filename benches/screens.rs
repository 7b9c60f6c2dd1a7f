//! How long a person waits for the screens: first frame, a key typed into a reading, a reading taken with sync and odds. Run with
//! `cargo bench --bench screens`. The targets are 30 ms, 16 ms and 100 ms. For reference: an empty frame, the same frame drawn once
//! more, one record's bytes written and synced.
//!
//! Before these it walks a whole case by keys, again and again, and prints how long each key takes to its frame: the share the
//! slowest hundredth takes, and the longest any key takes when nothing else gets in its way (the best of its runs), disk aside.

// A bench that can't open its case has nothing to measure.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::print_stdout, missing_docs)]

use faultwalk::case::{Case, CaseFolder, Header};
use faultwalk::library::Library;
use faultwalk::quantity::UnitSystem;
use faultwalk::rig::Rig;
use faultwalk::session::{Crowd, FaultyCar, Session, Simulated, drive};
use faultwalk::terms::Fault;
use faultwalk::tui::{Action, App, Door, Key, Look, Msg, Places, Settings, draw};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;
use std::time::{Duration, Instant};

const RIG: &str = "fixtures/rigs/orchard-pickup.yaml";

struct Desk {
    app: App,
    now: Duration,
    _folder: tempfile::TempDir,
}

impl Desk {
    /// The first screen with nothing kept.
    fn empty(folder: tempfile::TempDir) -> Self {
        let places = Places {
            cases: Some(folder.path().join("cases")),
            trees: Some(Path::new("fixtures/trees/short-walk").to_owned()),
            ..Places::default()
        };
        let door = Door::open(places, Settings::default()).unwrap();
        let app = App::new(Box::new(door), Look::default(), Settings::default());
        let mut desk = Self { app, now: Duration::ZERO, _folder: folder };
        desk.send(Msg::Resize(80, 24));
        desk
    }

    /// Waits until the odds have been reckoned; gives how long each look for them took.
    fn odds_come(&mut self) -> Vec<Duration> {
        let mut times = Vec::new();
        while let Some(at) = self.app.wake_at() {
            std::thread::sleep(Duration::from_millis(10));
            self.now = self.now.max(at);
            let begun = Instant::now();
            self.send(Msg::Tick);
            times.push(begun.elapsed());
        }
        times
    }

    /// The short walk on the orchard pickup, at its first reading, with the odds drawn.
    fn at_reading() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let places = Places {
            cases: Some(folder.path().join("cases")),
            trees: Some(Path::new("fixtures/trees/short-walk").to_owned()),
            ..Places::default()
        };
        let mut door = Door::open(places, Settings::default()).unwrap();
        let rig = std::fs::read_to_string(RIG).unwrap();
        door.begin_with("short-walk", &rig, "lean on hills").unwrap();
        let app = App::new(Box::new(door), Look::default(), Settings::default());
        let mut desk = Self { app, now: Duration::ZERO, _folder: folder };
        desk.send(Msg::Resize(80, 24));
        let y = Key::Char('y');
        for key in [y, y, Key::Enter, y, Key::Enter] {
            desk.press(key);
        }
        desk.odds_come();
        desk
    }

    fn send(&mut self, msg: Msg) {
        self.app.update(self.now, msg);
    }

    fn press(&mut self, key: Key) {
        self.now += Duration::from_secs(1);
        self.send(Msg::Key(key));
    }

    fn frame(&self) -> Buffer {
        let area = Rect::new(0, 0, 80, 24);
        let mut buffer = Buffer::empty(area);
        draw(self.app.model(), area, &mut buffer);
        buffer
    }
}

fn main() {
    keys_to_frames();
    pages_of_a_long_case();
    divan::main();
}

/// A whole case on the short tree: complaint, car, cautions, a look, readings, the pages beside them, until it is closed.
const CASE: &str = "goes lean on hills\n\nggy_y\ny\n\x0b\x1b\x0c\x1b\x12\x1b20 ps\x7fsi\n\x0b\x1b\n\n\x12\x1b\x0b\x1b\x18\x1b";
const RUNS: usize = 30;

fn key(c: char) -> Key {
    match c {
        '\n' => Key::Enter,
        '\x1b' => Key::Esc,
        '\x7f' => Key::Backspace,
        '\x01'..='\x1a' => Key::Ctrl(char::from(c as u8 - 1 + b'a')),
        c => Key::Char(c),
    }
}

/// Types [`CASE`] and gives the time of each key with its frame; `_` waits for the odds.
fn typed() -> Vec<Duration> {
    let folder = tempfile::tempdir_in("/dev/shm").or_else(|_| tempfile::tempdir()).unwrap();
    let mut desk = Desk::empty(folder);
    let mut times = Vec::new();
    for c in CASE.chars() {
        if c == '_' {
            times.extend(desk.odds_come());
            continue;
        }
        let begun = Instant::now();
        desk.press(key(c));
        std::hint::black_box(desk.frame());
        times.push(begun.elapsed());
    }
    times
}

fn keys_to_frames() {
    let runs: Vec<Vec<Duration>> = (0..RUNS).map(|_| typed()).collect();
    let mut all: Vec<Duration> = runs.iter().flatten().copied().collect();
    all.sort();
    let best = |i: usize| runs.iter().filter_map(|run| run.get(i)).min();
    let (longest, at) =
        (0..CASE.len()).filter_map(|i| best(i).map(|t| (*t, i))).max().expect("there are keys");
    let share = |of: usize| all[(all.len() - 1) * of / 100];
    println!(
        "{} keys to their frames: median {:?}, 99 of 100 within {:?}, longest {:?}; longest when alone {longest:?}, key {at}",
        all.len(),
        share(50),
        share(99),
        all[all.len() - 1]
    );
}

#[divan::bench(sample_count = 20)]
fn first_frame() -> Buffer {
    let folder = tempfile::tempdir().unwrap();
    let places = Places { cases: Some(folder.path().to_owned()), ..Places::default() };
    let door = Door::open(places, Settings::default()).unwrap();
    let app = App::new(Box::new(door), Look::default(), Settings::default());
    let area = Rect::new(0, 0, 80, 24);
    let mut buffer = Buffer::empty(area);
    draw(app.model(), area, &mut buffer);
    buffer
}

#[divan::bench]
fn reference_an_empty_frame() -> Buffer {
    Buffer::empty(Rect::new(0, 0, 80, 24))
}

#[divan::bench(sample_count = 100)]
fn reference_the_frame_alone(bencher: divan::Bencher) {
    let desk = Desk::at_reading();
    bencher.bench_local(|| desk.frame());
}

#[divan::bench(sample_count = 20, sample_size = 1)]
fn reference_a_record_synced(bencher: divan::Bencher) {
    use std::io::Write as _;
    let folder = tempfile::tempdir().unwrap();
    let mut file = std::fs::File::create(folder.path().join("file")).unwrap();
    bencher.bench_local(|| file.write_all(&[b'x'; 600]).and_then(|()| file.sync_data()).unwrap());
}

#[divan::bench(sample_count = 100)]
fn a_digit_typed_into_a_reading(bencher: divan::Bencher) {
    let mut desk = Desk::at_reading();
    let mut keys = [Key::Char('4'), Key::Char('1'), Key::Backspace, Key::Backspace].into_iter().cycle();
    bencher.bench_local(|| {
        desk.press(keys.next().unwrap());
        desk.frame()
    });
}

#[divan::bench(sample_count = 20, sample_size = 1)]
fn a_reading_taken(bencher: divan::Bencher) {
    let ready = || {
        let mut desk = Desk::at_reading();
        "20 psi".chars().for_each(|c| desk.press(Key::Char(c)));
        desk
    };
    bencher.with_inputs(ready).bench_local_values(|mut desk| {
        desk.press(Key::Enter);
        desk.frame();
        desk
    });
}

/// A whole walk of the longest tree on a car with a fault that is found late.
fn long_walk(case: Option<Case>) -> Session {
    let text = std::fs::read_to_string(RIG).unwrap();
    let rig = Arc::new(Rig::parse("orchard-pickup.yaml", &text).unwrap());
    let tree = Arc::new(Library::embedded().tree("runs-lean").unwrap());
    let car = FaultyCar::new(&rig, &[(Fault::ExhaustLeakBeforeSensor, 0.7)]).unwrap();
    let sound = FaultyCar::new(&rig, &[]).unwrap();
    let source = Simulated { bench: &car, tools: None, repaired: Some(&sound) };
    let mut session = Session::begin(rig.clone(), tree, case, UnitSystem::Metric).unwrap();
    drive(&mut session, &source).unwrap();
    assert!(session.evidence().len() > 10, "{}", session.evidence().len());
    session
}

/// From the key to the frame of every page of a long case, the best and the longest of the runs: what no page may hold up.
fn pages_of_a_long_case() {
    let folder = tempfile::tempdir_in("/dev/shm").or_else(|_| tempfile::tempdir()).unwrap();
    let cases = folder.path().join("cases");
    let tree = Library::embedded().tree("runs-lean").unwrap();
    let header = Header {
        tree: tree.id.clone(),
        tree_digest: tree.digest.clone(),
        rig: std::fs::read_to_string(RIG).unwrap(),
        ..Header::default()
    };
    let case: Case = CaseFolder::open(Some(&cases)).unwrap().create(header).unwrap();
    let id = case.id().to_owned();
    drop(long_walk(Some(case)));
    let mut times: BTreeMap<&str, Vec<Duration>> = BTreeMap::new();
    for _ in 0..RUNS {
        let places = Places { cases: Some(cases.clone()), ..Places::default() };
        let mut door = Door::open(places, Settings::default()).unwrap();
        door.resume(&id).unwrap();
        let app = App::new(Box::new(door), Look::default(), Settings::default());
        let mut desk = Desk { app, now: Duration::ZERO, _folder: tempfile::tempdir().unwrap() };
        desk.send(Msg::Resize(80, 24));
        times.entry("(work that came)").or_default().extend(desk.odds_come());
        for action in Action::ALL {
            if matches!(action, Action::Next | Action::Pause | Action::Leak | Action::Back | Action::Cannot) {
                continue;
            }
            let begun = Instant::now();
            desk.app.act_on(action);
            std::hint::black_box(desk.frame());
            times.entry(action.name()).or_default().push(begun.elapsed());
            times.entry("(work that came)").or_default().extend(desk.odds_come());
        }
    }
    println!("pages of a long case, best and longest of {RUNS} runs:");
    for (name, times) in times {
        let (best, longest) = (times.iter().min().unwrap(), times.iter().max().unwrap());
        println!("  {name}: {best:?}, {longest:?}");
    }
}

/// The odds after every reading and look of a whole walk of the longest tree, which is reckoned beside the screens.
#[divan::bench(sample_count = 50)]
fn the_odds_of_a_long_case(bencher: divan::Bencher) {
    let session = long_walk(None);
    let crowd = Crowd::draw(session.rig());
    bencher.bench_local(|| session.outlook(&crowd, true));
}
