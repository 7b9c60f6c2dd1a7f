//! No command at all: the screens.

use super::{Done, Failure};
use crate::tui::{self, Begin, End, OpenError, Options};
use std::io::IsTerminal;
use std::path::PathBuf;

/// Arguments of the screens.
#[derive(Debug, Clone, Default, clap::Args)]
pub struct Args {
    /// Folder the cases are kept in.
    #[arg(long, value_name = "DIR")]
    cases: Option<PathBuf>,
    /// Trees from this folder instead of the built-in ones.
    #[arg(long, value_name = "DIR")]
    trees: Option<PathBuf>,
    /// The terminal has a light ground.
    #[arg(long)]
    light: bool,
}

/// How the screens look, for every command that opens them.
#[derive(Debug, Clone, Copy, Default, clap::Args)]
pub struct Looks {
    /// No colour; NO_COLOR does the same.
    #[arg(long, global = true)]
    pub no_color: bool,
    /// Plain ASCII characters only.
    #[arg(long, global = true)]
    pub ascii: bool,
}

/// Whether the screens can be opened here.
pub fn has_terminal() -> bool {
    std::io::stdin().is_terminal() && std::io::stdout().is_terminal()
}

/// Opens the screens on the start.
pub fn run(args: Args, looks: Looks) -> Result<Done, Failure> {
    if !has_terminal() {
        return Err(Failure::Input(
            "expected a terminal for the screens, found a pipe or a file; 'faultwalk walk TREE --plain' asks line by line, \
             'faultwalk --help' lists every command"
                .into(),
        ));
    }
    let options = Options { cases: args.cases, trees: args.trees, light: args.light, ..Options::default() };
    open(options, looks)
}

/// Opens the screens where `options` say.
pub fn open(options: Options, looks: Looks) -> Result<Done, Failure> {
    let options = Options { no_color: looks.no_color, ascii: looks.ascii, ..options };
    match tui::open(options) {
        Ok(End::Left) => Ok(Done::Fine),
        Ok(End::Stopped(stop)) => Ok(Done::Stopped(stop.exit_code())),
        Err(OpenError::Input(text)) => Err(Failure::Input(text)),
        Err(error @ OpenError::Terminal(_)) => Err(Failure::File(error.to_string())),
    }
}

/// Opens the screens in a case, or in a new case of a tree.
pub fn walk(
    begin: Begin,
    cases: Option<PathBuf>,
    trees: Option<PathBuf>,
    looks: Looks,
) -> Result<Done, Failure> {
    open(Options { cases, trees, begin, ..Options::default() }, looks)
}
