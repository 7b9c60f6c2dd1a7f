//! The program itself in a pseudo-terminal: taken over, given back, closed, stopped, killed.

use portable_pty::{Child, CommandBuilder, MasterPty, PtySize, native_pty_system};
use std::io::{Read, Write};
use std::path::Path;
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

/// The longest anything may take on a busy machine before a test gives up.
const PATIENCE: Duration = Duration::from_mins(1);

struct Terminal {
    master: Option<Box<dyn MasterPty + Send>>,
    writer: Option<Box<dyn Write + Send>>,
    child: Box<dyn Child + Send + Sync>,
    bytes: Receiver<Vec<u8>>,
    seen: Vec<u8>,
    parser: vt100::Parser,
    /// The terminal's modes before the program began.
    before: String,
}

impl Terminal {
    fn start(home: &Path, columns: u16, rows: u16, more: &[(&str, &str)]) -> Self {
        let mut command = CommandBuilder::new(env!("CARGO_BIN_EXE_faultwalk"));
        command.env_clear();
        command.env("HOME", home);
        command.env("TERM", "xterm-256color");
        command.env("LC_ALL", "C.UTF-8");
        for (name, value) in more {
            command.env(name, value);
        }
        command.arg("--trees");
        command.arg(Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/trees/short-walk"));
        Self::run(command, columns, rows)
    }

    fn run(command: CommandBuilder, columns: u16, rows: u16) -> Self {
        let size = PtySize { rows, cols: columns, pixel_width: 0, pixel_height: 0 };
        let pair = native_pty_system().openpty(size).unwrap();
        let before = format!("{:?}", pair.master.get_termios());
        let child = pair.slave.spawn_command(command).unwrap();
        drop(pair.slave);
        let mut reader = pair.master.try_clone_reader().unwrap();
        let (sender, bytes) = channel();
        std::thread::spawn(move || {
            let mut buffer = [0; 4096];
            while let Ok(n) = reader.read(&mut buffer) {
                if n == 0 || sender.send(buffer[..n].to_vec()).is_err() {
                    return;
                }
            }
        });
        let writer = Some(pair.master.take_writer().unwrap());
        let parser = vt100::Parser::new(rows.try_into().unwrap(), columns.try_into().unwrap(), 0);
        Self { master: Some(pair.master), writer, child, bytes, seen: Vec::new(), parser, before }
    }

    /// Takes in what arrives within `time`; gives how many bytes.
    fn listen(&mut self, time: Duration) -> usize {
        let until = Instant::now() + time;
        let mut count = 0;
        while let Ok(bytes) = self.bytes.recv_timeout(until.saturating_duration_since(Instant::now())) {
            count += bytes.len();
            self.parser.process(&bytes);
            self.seen.extend(bytes);
        }
        count
    }

    fn sees(&mut self, text: &str) {
        let until = Instant::now() + PATIENCE;
        while !self.parser.screen().contents().contains(text) {
            self.listen(Duration::from_millis(30));
            let screen = self.parser.screen().contents();
            assert!(Instant::now() < until, "waited for {text:?}, found\n{screen}");
        }
    }

    fn types(&mut self, text: &str) {
        let writer = self.writer.as_mut().unwrap();
        writer.write_all(text.as_bytes()).unwrap();
        writer.flush().unwrap();
    }

    /// Types, and waits for what it brings on the screen.
    fn does(&mut self, keys: &str, then: &str) {
        self.types(keys);
        self.sees(then);
    }

    fn signal(&self, name: &str) {
        let pid = self.child.process_id().unwrap().to_string();
        assert!(std::process::Command::new("kill").args([name, &pid]).status().unwrap().success());
    }

    /// Waits until the process is stopped, as the shell's job control sees it.
    fn waits_until_stopped(&mut self) {
        let pid = self.child.process_id().unwrap().to_string();
        let until = Instant::now() + PATIENCE;
        loop {
            let ps = std::process::Command::new("ps").args(["-o", "stat=", "-p", &pid]).output().unwrap();
            if String::from_utf8_lossy(&ps.stdout).trim_start().starts_with('T') {
                return;
            }
            assert!(Instant::now() < until, "it did not stop on Ctrl-Z");
            self.listen(Duration::from_millis(20));
        }
    }

    /// The exit code, within `time`.
    fn ends(&mut self, time: Duration) -> u32 {
        let until = Instant::now() + time;
        loop {
            if let Some(status) = self.child.try_wait().unwrap() {
                self.listen(Duration::from_millis(100));
                return status.exit_code();
            }
            assert!(Instant::now() < until, "still running after {time:?}");
            self.listen(Duration::from_millis(10));
            std::thread::sleep(Duration::from_millis(5));
        }
    }

    fn modes(&self) -> String {
        format!("{:?}", self.master.as_ref().unwrap().get_termios())
    }

    /// Whether everything that was switched on is off again, cursor shown.
    fn assert_given_back(&self) {
        let text = String::from_utf8_lossy(&self.seen);
        for (on, off) in [("\x1b[?1049h", "\x1b[?1049l"), ("\x1b[?2004h", "\x1b[?2004l")] {
            assert!(text.rfind(off) > text.rfind(on), "{on:?} was not followed by {off:?}");
        }
        assert!(!self.parser.screen().hide_cursor(), "the cursor is hidden");
    }

    fn walk_to_the_reading(&mut self) {
        self.sees("What is wrong with the car?");
        self.does("goes lean on hills", "Understood");
        self.does("\r", "Which car?");
        self.does("\r", "300 hp");
        self.does("g", "Where it is");
        self.does("g", "1 of 2");
        self.does("y", "2 of 2");
        // The same key at once would count as held down.
        std::thread::sleep(Duration::from_millis(800));
        self.does("y", "no smell, no leak");
        self.does("1\r", "Fuel under pressure");
        self.does("y", "Fit the pressure gauge.");
        self.does("\r", "Step 3, supply pressure");
    }
}

#[test]
fn requirement_14_and_16_leaving_gives_the_terminal_back_and_nothing_was_asked_of_it() {
    let home = tempfile::tempdir().unwrap();
    let mut t = Terminal::start(home.path(), 80, 24, &[]);
    t.sees("What is wrong with the car?");
    assert_ne!(t.modes(), t.before, "the terminal was not taken over");
    t.does("\x03", "Leave?");
    t.types("\r");
    assert_eq!(t.ends(PATIENCE), 0);
    assert_eq!(t.modes(), t.before);
    t.assert_given_back();
    let text = String::from_utf8_lossy(&t.seen).into_owned();
    for query in ["\x1b[6n", "\x1b[c", "\x1b[0c", "\x1b[>c", "\x1b]10;?", "\x1b]11;?", "\x1b[?u", "\x1bP"] {
        assert!(!text.contains(query), "the terminal was asked {query:?}");
    }
}

/// Set for the child of the next test, which then is the one that panics.
const PANIC: &str = "FAULTWALK_TEST_PANICS";

#[test]
fn requirement_14_a_panic_gives_the_terminal_back_before_its_message() {
    if std::env::var_os(PANIC).is_some() {
        let _host = faultwalk::tui::RealHost::enter().unwrap();
        panic!("told to");
    }
    let me = std::env::current_exe().unwrap();
    let name = "screens::pty::requirement_14_a_panic_gives_the_terminal_back_before_its_message";
    let mut command = CommandBuilder::new(me);
    command.args(["--exact", name, "--nocapture", "--test-threads", "1"]);
    command.env(PANIC, "1");
    let mut t = Terminal::run(command, 80, 24);
    t.sees("Every reading shown as kept is on disk");
    t.sees("told to");
    t.ends(PATIENCE);
    t.assert_given_back();
    assert_eq!(t.modes(), t.before);
}

#[test]
fn requirement_14_signals_end_it_with_their_code_and_give_the_terminal_back() {
    for (name, code) in [("-TERM", 143), ("-HUP", 129), ("-INT", 130)] {
        let home = tempfile::tempdir().unwrap();
        let mut t = Terminal::start(home.path(), 80, 24, &[]);
        t.sees("What is wrong with the car?");
        t.signal(name);
        assert_eq!(t.ends(PATIENCE), code);
        assert_eq!(t.modes(), t.before);
        t.assert_given_back();
    }
}

#[test]
fn requirement_14_a_closed_terminal_ends_it_within_a_second() {
    let home = tempfile::tempdir().unwrap();
    let mut t = Terminal::start(home.path(), 80, 24, &[]);
    t.sees("What is wrong with the car?");
    // Nobody listens any more: the next frame ends the reading thread, and with it goes the last copy of the terminal's far end.
    t.bytes = channel().1;
    let size = PtySize { rows: 24, cols: 90, pixel_width: 0, pixel_height: 0 };
    t.master.as_ref().unwrap().resize(size).unwrap();
    t.writer = None;
    t.master = None;
    t.ends(Duration::from_secs(1));
}

#[test]
fn requirement_14_stopped_and_continued_it_stands_where_it_stood() {
    let home = tempfile::tempdir().unwrap();
    let mut t = Terminal::start(home.path(), 80, 24, &[]);
    t.walk_to_the_reading();
    t.does("20", "reading > 20");
    t.types("\x1a");
    t.waits_until_stopped();
    assert_eq!(t.modes(), t.before, "the terminal was not given back on Ctrl-Z");
    t.listen(Duration::from_millis(200));
    t.assert_given_back();
    t.signal("-CONT");
    t.sees("reading > 20");
    t.does(" psi\r", "filter by eye");
    t.does("\x03", "Leave?");
    t.types("\r");
    assert_eq!(t.ends(PATIENCE), 0);
}

#[test]
fn killed_in_the_middle_and_started_again_nothing_is_lost() {
    let home = tempfile::tempdir().unwrap();
    let mut t = Terminal::start(home.path(), 80, 24, &[]);
    t.walk_to_the_reading();
    t.does("20 psi\r", "Kept: 20 psi is low");
    t.signal("-KILL");
    t.ends(PATIENCE);
    let mut t = Terminal::start(home.path(), 80, 24, &[]);
    t.does("\x1b[B", "> Go on with unnamed car, goes lean on hills");
    t.does("\r", "filter by eye");
    t.sees("20 psi ▼ low");
    t.signal("-TERM");
    t.ends(PATIENCE);
}

#[test]
fn requirement_16_escape_and_a_letter_that_arrive_together_are_both_taken() {
    let home = tempfile::tempdir().unwrap();
    let mut t = Terminal::start(home.path(), 80, 24, &[]);
    t.walk_to_the_reading();
    t.does("\x1bx", "never as passed");
    t.does("\x1b", "reading >");
    t.does("\x1b\x14", "Five lines for a ticket");
    t.signal("-TERM");
    t.ends(PATIENCE);
}

#[test]
fn requirement_22_idle_it_is_silent_and_a_key_costs_little() {
    let home = tempfile::tempdir().unwrap();
    let mut t = Terminal::start(home.path(), 80, 24, &[]);
    t.sees("What is wrong with the car?");
    t.listen(Duration::from_millis(500));
    let first = t.seen.len();
    assert!(first <= 8 * 1024, "the first frame took {first} bytes");
    assert_eq!(t.listen(Duration::from_secs(3)), 0, "something was drawn while nothing happened");
    let mut most = 0;
    for c in "goes lean on hills".chars() {
        t.types(&c.to_string());
        let mut count = t.listen(Duration::from_millis(150));
        if count == 0 {
            count = t.listen(Duration::from_secs(2));
        }
        most = most.max(count);
    }
    assert!(most > 0 && most <= 512, "one key took {most} bytes");
    t.signal("-TERM");
    t.ends(PATIENCE);
}

#[test]
fn requirement_22_idle_on_an_open_step_it_is_silent_once_the_odds_are_there() {
    let home = tempfile::tempdir().unwrap();
    let mut t = Terminal::start(home.path(), 80, 24, &[]);
    t.walk_to_the_reading();
    // The odds are reckoned beside the screen and drawn when they come; after that nothing has a reason to draw.
    let until = Instant::now() + PATIENCE;
    loop {
        t.does("\x13", "Still standing");
        if t.parser.screen().contents().contains("By the odds of everything seen") {
            break;
        }
        assert!(Instant::now() < until, "the odds never come");
        t.does("\x1b", "reading >");
        t.listen(Duration::from_millis(500));
    }
    t.does("\x1b", "reading >");
    t.listen(Duration::from_millis(500));
    assert_eq!(t.listen(Duration::from_secs(4)), 0, "something was drawn while nothing happened");
    t.signal("-TERM");
    t.ends(PATIENCE);
}

#[test]
fn requirement_18_no_color_is_honoured_on_the_wire() {
    let home = tempfile::tempdir().unwrap();
    let mut t = Terminal::start(home.path(), 80, 24, &[("NO_COLOR", "1")]);
    t.walk_to_the_reading();
    t.does("20 psi\r", "filter by eye");
    let text = String::from_utf8_lossy(&t.seen).into_owned();
    let colours = text.match_indices("\x1b[").filter(|(at, _)| {
        let body: String = text[at + 2..].chars().take_while(|c| c.is_ascii_digit() || *c == ';').collect();
        let is_sgr = text[at + 2 + body.len()..].starts_with('m');
        is_sgr && body.split(';').any(|n| matches!(n.parse::<u8>(), Ok(30..=38 | 40..=48 | 90..=107)))
    });
    assert_eq!(colours.count(), 0);
    t.signal("-TERM");
    t.ends(PATIENCE);
}

#[test]
fn line_by_line_a_terminal_gets_lines_broken_at_spaces_and_a_pipe_gets_them_whole() {
    let folder = tempfile::tempdir().unwrap();
    let mut command = CommandBuilder::new(env!("CARGO_BIN_EXE_faultwalk"));
    command.env_clear();
    command.env("HOME", folder.path());
    command.env("TERM", "xterm");
    command.args(["walk", "runs-lean", "--plain"]);
    let mut t = Terminal::run(command, 50, 60);
    t.sees("for help >");
    let screen = t.parser.screen().contents();
    assert!(screen.lines().count() > 10 && screen.contains("DANGER"), "{screen}");
    // What the terminal would have broken itself, in a word, goes on in the next row without a line end.
    let text = String::from_utf8_lossy(&t.seen).into_owned();
    for line in text.lines() {
        assert!(line.chars().count() <= 50, "{line:?} is wider than the terminal in\n{text}");
    }
    t.does("quit\r", "");
    t.ends(PATIENCE);

    let piped = std::process::Command::new(env!("CARGO_BIN_EXE_faultwalk"))
        .args(["walk", "runs-lean", "--plain"])
        .env("HOME", folder.path())
        .stdin(std::process::Stdio::null())
        .output()
        .unwrap();
    let text = String::from_utf8_lossy(&piped.stdout).into_owned();
    assert!(text.lines().any(|line| line.chars().count() > 150), "{text}");
}
