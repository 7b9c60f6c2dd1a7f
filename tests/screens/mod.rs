//! The screens: keys in, state out; drawn buffers; every size; storms of keys. The app is the real one on the real door, in an
//! empty folder, with a short tree that has every kind of step.

mod agent;
mod cautions;
mod drawn;
mod elsewhere;
mod in_sight;
mod logged;
mod messages;
mod outside;
mod people;
mod practice;
#[cfg(unix)]
mod pty;
mod quick;
mod storms;
mod supply;
mod typing;
mod walked;
mod whole_words;

use faultwalk::case::CaseFolder;
use faultwalk::quantity::UnitSystem;
use faultwalk::tui::{App, Depth, Door, Effect, Ground, Key, Look, Msg, Places, Settings, Theme, draw};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::path::{Path, PathBuf};
use std::time::Duration;

/// The app with its own empty folders and its own clock.
pub struct Bench {
    pub app: App,
    pub now: Duration,
    pub look: Look,
    home: PathBuf,
    patient: bool,
    _folder: Option<tempfile::TempDir>,
}

fn places(home: &Path) -> Places {
    Places {
        cases: Some(home.join("cases")),
        trees: Some(Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/trees/short-walk")),
        cars: Some(home.join("cars")),
        settings: Some(home.join("settings.json")),
    }
}

fn look() -> Look {
    Look { theme: Theme { depth: Depth::Sixteen, ground: Ground::Dark }, ascii: false }
}

impl Bench {
    pub fn new(columns: u16, rows: u16) -> Self {
        Self::with(columns, rows, look())
    }

    pub fn with(columns: u16, rows: u16, look: Look) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let home = folder.path().to_owned();
        let door = Door::open(places(&home), Settings::default()).unwrap();
        let app = App::new(Box::new(door), look, Settings::default());
        let mut bench = Self { app, now: Duration::ZERO, look, home, patient: false, _folder: Some(folder) };
        bench.send(Msg::Resize(columns, rows));
        bench
    }

    /// The app on the built-in trees, in psi, with one car kept if `rig` gives its file.
    pub fn built_in(columns: u16, rows: u16, rig: Option<&str>) -> Self {
        let mut bench = Self::new(columns, rows);
        let cars = bench.home.join("cars");
        std::fs::create_dir_all(&cars).unwrap();
        if let Some(text) = rig {
            std::fs::write(cars.join("mine.yaml"), text).unwrap();
        }
        let settings = Settings { units: Some(UnitSystem::Us), ..Settings::default() };
        let door = Door::open(Places { trees: None, ..places(&bench.home) }, settings).unwrap();
        bench.app = App::new(Box::new(door), bench.look, settings);
        bench.send(Msg::Resize(columns, rows));
        bench
    }

    /// The app with its cases in this folder.
    pub fn kept_in(folder: CaseFolder) -> Self {
        let mut bench = Self::new(80, 24);
        let mut door = Door::open(places(&bench.home), Settings::default()).unwrap();
        door.keep_in(folder);
        bench.app = App::new(Box::new(door), bench.look, Settings::default());
        bench.send(Msg::Resize(80, 24));
        bench
    }

    /// The app begun with the car of a rig file.
    pub fn with_car(rig: &str) -> Self {
        let mut bench = Self::new(80, 24);
        let mut door = Door::open(places(&bench.home), Settings::default()).unwrap();
        door.take_given(rig).unwrap();
        bench.app = App::new(Box::new(door), bench.look, Settings::default());
        bench.send(Msg::Resize(80, 24));
        bench
    }

    /// The program killed and started again: nothing of the old app is asked for anything.
    pub fn killed_and_started_again(&mut self) {
        let door = Door::open(places(&self.home), Settings::default()).unwrap();
        let size = self.app.model().size;
        let fresh = App::new(Box::new(door), self.look, Settings::default());
        // A killed process runs no destructor, but the lock of its case falls.
        drop(std::mem::replace(&mut self.app, fresh));
        self.send(Msg::Resize(size.0, size.1));
    }

    /// The folder everything of this bench is kept in.
    pub fn home(&self) -> &Path {
        &self.home
    }

    /// Typing stops for so long that what is half-typed is kept.
    pub fn draft_time(&mut self) {
        self.now += Duration::from_secs(2);
        self.send(Msg::Tick);
    }

    /// Waits until all work beside the screens is done, the odds of the open case among it; from now on after all keys.
    #[track_caller]
    pub fn odds_come(&mut self) -> &mut Self {
        self.patient = true;
        for _ in 0..6_000 {
            if !self.app.working() {
                return self;
            }
            std::thread::sleep(Duration::from_millis(10));
            let at = self.app.wake_at().expect("what waits for work looks for it");
            self.now = self.now.max(at);
            self.send(Msg::Tick);
        }
        panic!("the work did not end within a minute");
    }

    /// The settings as the next run finds them.
    pub fn remembered(&self) -> Settings {
        faultwalk::tui::recall_settings(&self.home.join("settings.json"))
    }

    pub fn send(&mut self, msg: Msg) -> Effect {
        self.app.update(self.now, msg)
    }

    pub fn press(&mut self, key: Key) -> Effect {
        self.now += Duration::from_millis(900);
        self.send(Msg::Key(key))
    }

    /// Types text; `<enter>`, `<esc>`, `<tab>`, `<down>`, `<up>`, `<left>`, `<right>`, `<bs>`, `<c-x>` are keys.
    pub fn keys(&mut self, text: &str) -> &mut Self {
        let mut rest = text;
        while let Some(c) = rest.chars().next() {
            if c == '<'
                && let Some((name, after)) = rest[1..].split_once('>')
            {
                let key = match name {
                    "enter" => Key::Enter,
                    "esc" => Key::Esc,
                    "tab" => Key::Tab,
                    "down" => Key::Down,
                    "up" => Key::Up,
                    "left" => Key::Left,
                    "right" => Key::Right,
                    "bs" => Key::Backspace,
                    "pgdn" => Key::PageDown,
                    "pgup" => Key::PageUp,
                    _ => Key::Ctrl(name.strip_prefix("c-").unwrap().chars().next().unwrap()),
                };
                self.press(key);
                rest = after;
            } else {
                self.press(Key::Char(c));
                rest = &rest[c.len_utf8()..];
            }
        }
        if self.patient { self.odds_come() } else { self }
    }

    pub fn buffer(&self) -> Buffer {
        let (columns, rows) = self.app.model().size;
        let area = Rect::new(0, 0, columns, rows);
        let mut buffer = Buffer::empty(area);
        draw(self.app.model(), area, &mut buffer);
        buffer
    }

    /// The screen as text, without spaces at the ends of lines.
    pub fn screen(&self) -> String {
        let buffer = self.buffer();
        let width = usize::from(buffer.area.width.max(1));
        let rows: Vec<String> = buffer
            .content
            .chunks(width)
            .map(|row| {
                row.iter().map(ratatui::buffer::Cell::symbol).collect::<String>().trim_end().to_owned()
            })
            .collect();
        rows.join("\n")
    }

    #[track_caller]
    pub fn sees(&mut self, text: &str) -> &mut Self {
        let screen = self.screen();
        let flat = |t: &str| t.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(flat(&screen).contains(&flat(text)), "expected to see {text:?} on\n{screen}");
        self
    }

    #[track_caller]
    pub fn sees_not(&mut self, text: &str) -> &mut Self {
        let screen = self.screen();
        assert!(!screen.contains(text), "expected not to see {text:?} on\n{screen}");
        self
    }

    /// From the start to the first step of a case.
    pub fn begun(columns: u16, rows: u16) -> Self {
        let mut bench = Self::new(columns, rows);
        bench.keys("goes lean on hills<enter><enter>gg").sees("fuel smell");
        bench
    }

    /// On to the reading.
    pub fn at_reading(columns: u16, rows: u16) -> Self {
        let mut bench = Self::begun(columns, rows);
        bench.keys("yy1<enter>y<enter>").sees("Step 3, supply pressure");
        bench
    }
}
