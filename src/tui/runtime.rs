//! The loop: waits, lets the app change, draws. Generic over where messages come from and what is drawn on, so that tests
//! drive the same app as a person does.

use super::app::{App, Effect};
use super::keys::{Msg, Stop};
use super::view::view;
use ratatui::Terminal;
use ratatui::backend::Backend;
use ratatui::layout::Rect;
use std::io;
use std::time::Duration;

/// Where messages come from, and what else the surroundings can do.
pub trait Host {
    /// The next message; nothing when `wait` passed without one. Without a `wait` it sleeps until there is one.
    fn next(&mut self, wait: Option<Duration>) -> Option<Msg>;
    /// Time since the start, never backwards.
    fn now(&self) -> Duration;
    /// Gives the terminal back, stops the process, and takes the terminal again when it goes on.
    ///
    /// # Errors
    /// Where the process can't be stopped or the terminal not set up again.
    fn suspend(&mut self) -> io::Result<()>;
    /// Rings the terminal's bell.
    fn bell(&mut self);
    /// Sets the terminal up again after the process was stopped and continued from outside.
    ///
    /// # Errors
    /// Where the terminal can't be set up again.
    fn resumed(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// How the loop ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// The person left.
    Left,
    /// The surroundings asked for it.
    Stopped(Stop),
}

/// Runs the app until it ends.
///
/// # Errors
/// Where the terminal can't be written to or not be set up again.
pub fn run<B: Backend>(app: &mut App, terminal: &mut Terminal<B>, host: &mut dyn Host) -> io::Result<End>
where
    B::Error: Into<io::Error>,
{
    let size = terminal.size().map_err(Into::into)?;
    app.update(host.now(), Msg::Resize(size.width, size.height));
    draw(app, terminal)?;
    loop {
        let wait = app.wake_at().map(|at| at.saturating_sub(host.now()));
        let mut msg = host.next(wait).unwrap_or(Msg::Tick);
        let mut changed = false;
        // Everything that waits is taken before one frame is drawn; a flood of keys never queues up frames.
        loop {
            match msg {
                Msg::Resumed => {
                    host.resumed()?;
                    anew(terminal)?;
                }
                Msg::Resize(..) => anew(terminal)?,
                _ => {}
            }
            match app.update(host.now(), msg) {
                Effect::None => {}
                Effect::Draw => changed = true,
                Effect::Bell => {
                    host.bell();
                    changed = true;
                }
                Effect::Suspend => {
                    host.suspend()?;
                    anew(terminal)?;
                    app.update(host.now(), Msg::Resumed);
                    changed = true;
                }
                Effect::Quit => return Ok(End::Left),
                Effect::Stop(stop) => return Ok(End::Stopped(stop)),
            }
            match host.next(Some(Duration::ZERO)) {
                Some(next) => msg = next,
                None => break,
            }
        }
        if changed {
            draw(app, terminal)?;
        }
    }
}

/// Forgets what was drawn, so that the next frame draws everything, without asking the terminal anything.
fn anew<B: Backend>(terminal: &mut Terminal<B>) -> io::Result<()>
where
    B::Error: Into<io::Error>,
{
    let size = terminal.size().map_err(Into::into)?;
    terminal.resize(Rect::new(0, 0, size.width, size.height)).map_err(Into::into)
}

fn draw<B: Backend>(app: &App, terminal: &mut Terminal<B>) -> io::Result<()>
where
    B::Error: Into<io::Error>,
{
    terminal.draw(|frame| view(app.model(), frame)).map(|_| ()).map_err(Into::into)
}
