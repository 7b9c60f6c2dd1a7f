//! How long a person waits for the screens: first frame, a key typed into a reading, a reading taken with sync and odds. Run with
//! `cargo bench --bench screens`. The targets are 30 ms, 16 ms and 100 ms.

// A bench that can't open its case has nothing to measure.
#![allow(clippy::unwrap_used, missing_docs)]

use faultwalk::tui::{App, Door, Key, Look, Msg, Places, Settings, draw};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::path::Path;
use std::time::Duration;

struct Desk {
    app: App,
    now: Duration,
    _folder: tempfile::TempDir,
}

impl Desk {
    /// The short walk on the orchard pickup, at its first reading, with the odds drawn.
    fn at_reading() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let places = Places {
            cases: Some(folder.path().join("cases")),
            trees: Some(Path::new("fixtures/trees/short-walk").to_owned()),
            ..Places::default()
        };
        let mut door = Door::open(places, Settings::default()).unwrap();
        let rig = std::fs::read_to_string("fixtures/rigs/orchard-pickup.yaml").unwrap();
        door.begin_with("short-walk", &rig, "lean on hills").unwrap();
        let app = App::new(Box::new(door), Look::default(), Settings::default());
        let mut desk = Self { app, now: Duration::ZERO, _folder: folder };
        desk.send(Msg::Resize(80, 24));
        let y = Key::Char('y');
        for key in [y, y, Key::Enter, y, Key::Enter] {
            desk.press(key);
        }
        while let Some(at) = desk.app.wake_at() {
            std::thread::sleep(Duration::from_millis(10));
            desk.now = desk.now.max(at);
            desk.send(Msg::Tick);
        }
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
    divan::main();
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
