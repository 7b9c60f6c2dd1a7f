//! The terminal: taken over, given back whatever happens.
//!
//! It is given back on leaving, on error, on panic (before the message is printed, so that it can be read), on SIGTERM, SIGHUP
//! and SIGINT, and around a stop by Ctrl-Z. Nothing is ever asked of the terminal, so no answer can arrive late and look
//! like typing. Keys and signals reach the program through one channel: with nothing to do it sleeps without a wake-up.

use super::keys::{Key, Msg, Stop, messages};
use super::runtime::Host;
use crossterm::cursor::Show;
use crossterm::event::{DisableBracketedPaste, EnableBracketedPaste};
use crossterm::terminal::{EnterAlternateScreen, LeaveAlternateScreen, disable_raw_mode, enable_raw_mode};
use crossterm::{execute, queue};
use ratatui::backend::CrosstermBackend;
use std::io::{self, IsTerminal, Write, stdout};
use std::sync::Once;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::time::{Duration, Instant};

/// Whether the terminal is ours now.
static TAKEN: AtomicBool = AtomicBool::new(false);
static HOOK: Once = Once::new();

/// Keys that follow one another faster than this come from a paste without brackets, not from fingers.
const BURST: Duration = Duration::from_millis(10);
/// Characters in a burst before an Enter among them is taken for a line end of a paste.
const BURST_KEYS: u32 = 3;

fn take() -> io::Result<()> {
    enable_raw_mode()?;
    TAKEN.store(true, Ordering::SeqCst);
    execute!(stdout(), EnterAlternateScreen, EnableBracketedPaste)
}

/// Gives the terminal back; a second time does nothing. What can't be written to a closed terminal is lost with it.
fn give_back() {
    if TAKEN.swap(false, Ordering::SeqCst) {
        let mut out = stdout();
        let _ = queue!(out, DisableBracketedPaste, LeaveAlternateScreen, Show);
        let _ = out.flush();
        let _ = disable_raw_mode();
    }
}

fn restore_on_panic() {
    HOOK.call_once(|| {
        let before = std::panic::take_hook();
        std::panic::set_hook(Box::new(move |info| {
            give_back();
            let _ = writeln!(
                io::stderr(),
                "faultwalk stopped on an error of its own. Every reading shown as kept is on disk; start it again to go on.\n\
                 Report the next lines, they say where:"
            );
            before(info);
        }));
    });
}

/// The real terminal with its keys and the process's signals.
#[derive(Debug)]
pub struct RealHost {
    messages: Receiver<Msg>,
    held: Option<Msg>,
    begun: Instant,
    last_key: Option<Instant>,
    burst: u32,
    pasting: bool,
}

impl RealHost {
    /// Takes the terminal over.
    ///
    /// # Errors
    /// Where standard input or output is no terminal, or it can't be set up.
    pub fn enter() -> io::Result<Self> {
        if !io::stdin().is_terminal() || !stdout().is_terminal() {
            return Err(io::Error::new(
                io::ErrorKind::Unsupported,
                "expected a terminal for input and output, found a pipe or a file; use --plain there",
            ));
        }
        restore_on_panic();
        let (sender, messages) = channel();
        // Signals are caught before the terminal changes, so that none can end the program in between.
        listen_to_signals(sender.clone())?;
        if let Err(error) = take() {
            give_back();
            return Err(error);
        }
        std::thread::Builder::new().name("keys".into()).spawn(move || read_keys(&sender))?;
        let now = Instant::now();
        Ok(Self { messages, held: None, begun: now, last_key: None, burst: 0, pasting: false })
    }

    /// What ratatui draws through.
    pub fn backend() -> CrosstermBackend<io::BufWriter<io::Stdout>> {
        // One write a frame: what a slow line shows is never half a frame.
        CrosstermBackend::new(io::BufWriter::with_capacity(16 * 1024, stdout()))
    }

    fn receive(&mut self, wait: Option<Duration>) -> Option<Msg> {
        if let Some(held) = self.held.take() {
            return Some(held);
        }
        match wait {
            None => Some(self.messages.recv().unwrap_or(Msg::Stop(Stop::HangUp))),
            Some(wait) => match self.messages.recv_timeout(wait) {
                Ok(msg) => Some(msg),
                Err(RecvTimeoutError::Timeout) => None,
                Err(RecvTimeoutError::Disconnected) => Some(Msg::Stop(Stop::HangUp)),
            },
        }
    }

    /// Whether this Enter stands inside a burst: typed characters right before it, more right behind it.
    fn is_pasted(&mut self) -> bool {
        if self.pasting {
            return true;
        }
        if self.burst < BURST_KEYS {
            return false;
        }
        self.held = self.receive(Some(BURST));
        self.pasting = matches!(self.held, Some(Msg::Key(Key::Char(_))));
        self.pasting
    }
}

impl Drop for RealHost {
    fn drop(&mut self) {
        give_back();
    }
}

impl Host for RealHost {
    fn next(&mut self, wait: Option<Duration>) -> Option<Msg> {
        let msg = self.receive(wait)?;
        let Msg::Key(key) = msg else { return Some(msg) };
        let now = Instant::now();
        let fast = self.last_key.is_some_and(|last| now.duration_since(last) <= BURST);
        self.last_key = Some(now);
        if !fast {
            (self.burst, self.pasting) = (0, false);
        }
        match key {
            Key::Char(_) => self.burst += 1,
            Key::Enter if fast && self.is_pasted() => return Some(Msg::Paste("\n".to_owned())),
            _ => {}
        }
        Some(Msg::Key(key))
    }

    fn now(&self) -> Duration {
        self.begun.elapsed()
    }

    fn suspend(&mut self) -> io::Result<()> {
        give_back();
        stop_here()?;
        take()
    }

    fn resumed(&mut self) -> io::Result<()> {
        give_back();
        take()
    }

    fn bell(&mut self) {
        let mut out = stdout();
        let _ = out.write_all(b"\x07");
        let _ = out.flush();
    }
}

fn read_keys(sender: &Sender<Msg>) {
    loop {
        match crossterm::event::read() {
            Ok(event) => {
                for msg in messages(event) {
                    if sender.send(msg).is_err() {
                        return;
                    }
                }
            }
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
            Err(_) => {
                let _ = sender.send(Msg::Stop(Stop::HangUp));
                return;
            }
        }
    }
}

#[cfg(unix)]
fn listen_to_signals(sender: Sender<Msg>) -> io::Result<()> {
    use signal_hook::consts::{SIGCONT, SIGHUP, SIGINT, SIGTERM, SIGTSTP};
    let mut signals = signal_hook::iterator::Signals::new([SIGHUP, SIGINT, SIGTERM, SIGTSTP, SIGCONT])?;
    std::thread::Builder::new().name("signals".into()).spawn(move || {
        for signal in signals.forever() {
            let msg = match signal {
                SIGHUP => Msg::Stop(Stop::HangUp),
                SIGINT => Msg::Stop(Stop::Interrupt),
                SIGTERM => Msg::Stop(Stop::Terminate),
                SIGTSTP => Msg::Suspend,
                _ => Msg::Resumed,
            };
            if sender.send(msg).is_err() {
                return;
            }
        }
    })?;
    Ok(())
}

#[cfg(not(unix))]
fn listen_to_signals(_: Sender<Msg>) -> io::Result<()> {
    Ok(())
}

#[cfg(unix)]
fn stop_here() -> io::Result<()> {
    signal_hook::low_level::emulate_default_handler(signal_hook::consts::SIGTSTP)
}

#[cfg(not(unix))]
fn stop_here() -> io::Result<()> {
    Ok(())
}
