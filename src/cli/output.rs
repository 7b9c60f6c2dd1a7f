//! What a command gives back and where it goes.

use crate::plain::Wrapped;
use crate::text::visible_lines;
use anyhow::anyhow;
use serde::Serialize;
use std::fmt::Display;
use std::io::{self, BufWriter, IsTerminal, Write};
use std::path::Path;
use std::process::ExitCode;

/// How a command that ran ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Done {
    /// It did what was asked.
    Fine,
    /// It did, and the thing it checked is not in order.
    NotInOrder,
    /// A signal ended it; the exit code is 128 and the signal's number.
    Stopped(u8),
}

/// Why a command could not do what was asked. Each text says what was expected, what was found and what to do.
#[derive(Debug)]
pub enum Failure {
    /// The input is wrong, contradicts itself or ran out: exit code 2.
    Input(String),
    /// Something could not be read or written: exit code 3.
    File(anyhow::Error),
    /// The reader of our output went away; nothing is left to say.
    BrokenPipe,
}

impl Failure {
    /// Wrong input, said by `error`.
    pub fn input(error: impl Display) -> Self {
        Self::Input(error.to_string())
    }

    /// `path` could not be read or written.
    pub fn file(verb: &str, path: &Path, error: &io::Error) -> Self {
        Self::File(anyhow!(reason(error)).context(format!("could not {verb} {}", path.display())))
    }
}

/// The reason of an IO error in plain words, without its number.
fn reason(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::NotFound => "there is no such file; check the path".to_owned(),
        io::ErrorKind::PermissionDenied => "permission denied".to_owned(),
        io::ErrorKind::IsADirectory => "it is a folder; name a file".to_owned(),
        io::ErrorKind::InvalidData => "it is not UTF-8 text".to_owned(),
        _ => error.to_string(),
    }
}

/// Reads a text file given as an argument; `-` is standard input.
///
/// # Errors
/// [`Failure::File`] when it can't be read, [`Failure::Input`] when it holds no UTF-8 text.
pub fn read_text(path: &Path) -> Result<String, Failure> {
    let read =
        if path == Path::new("-") { io::read_to_string(io::stdin()) } else { std::fs::read_to_string(path) };
    read.map_err(|error| match error.kind() {
        io::ErrorKind::InvalidData => {
            Failure::Input(format!("expected UTF-8 text in {}, found other bytes", path.display()))
        }
        _ => Failure::file("read", path, &error),
    })
}

/// Where results go: buffered, and told whether JSON is wanted.
pub struct Output {
    to: Box<dyn Write>,
    json: bool,
}

impl Output {
    /// Standard output.
    pub fn stdout(json: bool) -> Self {
        Self { to: Box::new(BufWriter::new(io::stdout())), json }
    }

    /// Whether the user asked for JSON.
    pub fn wants_json(&self) -> bool {
        self.json
    }

    /// One line of text.
    ///
    /// # Errors
    /// A broken pipe or an output that can't be written.
    pub fn line(&mut self, text: impl Display) -> Result<(), Failure> {
        writeln!(self.to, "{text}").map_err(|e| written(&e))
    }

    /// Bytes as they are.
    ///
    /// # Errors
    /// As [`Output::line`].
    pub fn bytes(&mut self, bytes: &[u8]) -> Result<(), Failure> {
        self.to.write_all(bytes).map_err(|e| written(&e))
    }

    /// `value` as one indented JSON document.
    ///
    /// # Errors
    /// As [`Output::line`]; a value that has no JSON form.
    pub fn json(&mut self, value: &impl Serialize) -> Result<(), Failure> {
        let text = serde_json::to_string_pretty(value)
            .map_err(|e| Failure::Input(format!("the result has no JSON form: {e}")))?;
        self.line(text)
    }

    /// Hands everything to the system.
    ///
    /// # Errors
    /// As [`Output::line`].
    pub fn finish(&mut self) -> Result<(), Failure> {
        self.to.flush().map_err(|e| written(&e))
    }
}

fn written(error: &io::Error) -> Failure {
    if error.kind() == io::ErrorKind::BrokenPipe {
        Failure::BrokenPipe
    } else {
        Failure::File(anyhow!(reason(error)).context("could not write the output"))
    }
}

/// Columns of a terminal that does not say how wide it is.
const COLUMNS: u16 = 80;

/// Standard output for a dialogue: on a terminal lines break at spaces, anywhere else they go out as they are.
pub(super) fn lines() -> Box<dyn Write> {
    let out = io::stdout().lock();
    if !out.is_terminal() {
        return Box::new(out);
    }
    let columns = crossterm::terminal::size().map_or(COLUMNS, |(columns, _)| columns);
    let columns = if columns == 0 { COLUMNS } else { columns };
    Box::new(Wrapped::new(out, usize::from(columns)))
}

/// A remark beside the result, on stderr so that the result stays pure. Lost if stderr is closed: there is no one to tell.
pub fn note(text: impl Display) {
    let _ = writeln!(io::stderr(), "note: {}", visible_lines(&text.to_string()));
}

fn complain(text: &str) {
    // What the checker found says itself that it is an error, and by which rule.
    let lead = if text.starts_with("error[") { "" } else { "error: " };
    let _ = writeln!(io::stderr(), "{lead}{}", visible_lines(text));
}

/// Says what clap found wrong with the arguments, or prints the help or version asked for.
pub(super) fn usage(error: &clap::Error) -> ExitCode {
    let code = if error.use_stderr() { 2 } else { 0 };
    match error.print() {
        Err(e) if e.kind() != io::ErrorKind::BrokenPipe => ExitCode::from(3),
        _ => ExitCode::from(code),
    }
}

/// The exit code of `result`, its error said on stderr.
pub(super) fn exit(result: Result<Done, Failure>) -> ExitCode {
    match result {
        Ok(Done::Fine) | Err(Failure::BrokenPipe) => ExitCode::SUCCESS,
        Ok(Done::NotInOrder) => ExitCode::from(1),
        Ok(Done::Stopped(code)) => ExitCode::from(code),
        Err(Failure::Input(text)) => {
            complain(&text);
            ExitCode::from(2)
        }
        Err(Failure::File(error)) => {
            // What was being done, and after a colon why it failed.
            complain(&format!("{error:#}"));
            ExitCode::from(3)
        }
    }
}
