//! Arguments, exit codes, wiring: the outermost room.
//!
//! In: the command line. Out: an exit code, results on stdout, errors on stderr. Each command is a file of its own with an
//! `Args` struct for clap and a `run` function that returns a [`Done`] or a [`Failure`]; the enum of commands names them. What a
//! command computes lives in the rooms within; nothing here knows physics, trees or tables.
//!
//! Exit codes: 0 done (a hand-over and mere warnings too); 1 the thing checked is not in order; 2 bad usage or input,
//! impossible evidence, a walk that ran out of answers; 3 could not read or write.

mod answers;
mod calc;
mod car;
mod cases;
mod check;
mod completions;
mod draw;
mod example;
mod expect;
mod log;
mod log_into;
mod manual;
mod odds;
mod output;
mod practice;
mod prove;
mod report;
mod schema;
mod supply;
mod trees;
mod walk;
mod walks;
mod wizard;

pub use output::{Done, Failure, Output, note, read_text};

use clap::{CommandFactory, Parser, Subcommand};
use std::process::ExitCode;

/// Find why a converted, fuel-injected engine runs lean, rich or not at all.
#[derive(Debug, Parser)]
#[command(
    name = "faultwalk",
    version,
    about,
    max_term_width = 100,
    after_help = "Examples:\n  faultwalk                     opens the screens\n  faultwalk example rig > car.yaml\n  faultwalk --rig car.yaml      begins with that car, changed to yours\n  faultwalk --plain             asks line by line, \
for screen readers and plain terminals\n  faultwalk walk runs-lean --rig car.yaml\n  \
faultwalk practice            a fault on a simulated car"
)]
pub struct Cli {
    /// Print the result as JSON, for the commands that have one.
    #[arg(long, global = true)]
    json: bool,
    #[command(flatten)]
    looks: wizard::Looks,
    #[command(flatten)]
    wizard: wizard::Args,
    /// Without a command the screens open.
    #[command(subcommand)]
    command: Option<Command>,
}

/// One command a variant, each run by the file of its name.
#[derive(Debug, Subcommand)]
enum Command {
    /// Walk a tree from a complaint to a finding.
    Walk(walk::Args),
    /// The findings report of a case.
    Report(report::Args),
    /// Find a fault on a simulated car, in the fewest minutes and in a safe order.
    Practice(practice::Args),
    /// Readings out of a data log, and what they say of reference, set pressure and supply.
    Log(log::Args),
    /// Every case kept: list, filter, export, hand over, share, count.
    Cases(cases::Args),
    /// Inject every fault, walk every tree, count.
    Prove(prove::Args),
    /// What each tree finds, and in how many steps and minutes.
    Trees(trees::Args),
    /// Whether trees are in order: shape, safety, completeness, wording.
    Check(check::Args),
    /// A picture of a tree, in the dot or the Mermaid language.
    Draw(draw::Args),
    /// A file to begin with, printed: a car, answers, a table, a tree.
    Example(example::Args),
    /// The JSON Schema of a tree file, for editors.
    Schema(schema::Args),
    /// What every gauge should read on this car.
    Expect(expect::Args),
    /// Whether the supply feeds the engine, and what limits it.
    Supply(supply::Args),
    /// One formula at a time, with its source.
    Calc(calc::Args),
    /// Odds, next best test and cheapest order for a table of faults, tests and outcomes.
    Odds(odds::Args),
    /// Print shell completions.
    Completions(completions::Args),
    /// Print the manual page, or write one page a command into a folder.
    Manual(manual::Args),
}

impl Command {
    fn run(self, looks: wizard::Looks, out: &mut Output) -> Result<Done, Failure> {
        match self {
            Self::Walk(args) => walk::run(&args, looks, out),
            Self::Report(args) => report::run(&args, out),
            Self::Practice(args) => practice::run(&args),
            Self::Log(args) => log::run(&args, out),
            Self::Cases(args) => cases::run(&args, out),
            Self::Prove(args) => prove::run(&args, out),
            Self::Trees(args) => trees::run(&args, out),
            Self::Check(args) => check::run(&args, out),
            Self::Draw(args) => draw::run(&args, out),
            Self::Example(args) => example::run(&args, out),
            Self::Schema(args) => schema::run(&args, out),
            Self::Expect(args) => expect::run(&args, out),
            Self::Supply(args) => supply::run(&args, out),
            Self::Calc(args) => calc::run(&args, out),
            Self::Odds(args) => odds::run(&args, out),
            Self::Completions(args) => completions::run(&args, out),
            Self::Manual(args) => manual::run(&args, out),
        }
    }
}

/// The whole command line as clap sees it, for completions, the manual page and tests.
pub fn command() -> clap::Command {
    Cli::command()
}

/// Runs the program on the process's arguments.
pub fn main() -> ExitCode {
    let cli = match Cli::try_parse() {
        Ok(cli) => cli,
        Err(error) => return output::usage(&error),
    };
    let mut out = Output::stdout(cli.json);
    let result = match cli.command {
        Some(_) if cli.wizard.names_a_place() => Err(Failure::Input(
            "expected --cases, --trees and --rig behind the command they are for, found one before it: it would count for \
             nothing there; put it behind the command"
                .to_owned(),
        )),
        Some(command) => command.run(cli.looks, &mut out),
        None => wizard::run(cli.wizard, cli.looks),
    };
    let result = result.and_then(|done| out.finish().map(|()| done));
    output::exit(result)
}

#[cfg(test)]
mod tests {
    #[test]
    fn the_command_line_is_consistent() {
        super::command().debug_assert();
    }

    #[test]
    fn requirement_29_the_help_of_every_command_has_examples_that_parse() {
        use clap::Parser as _;
        let whole = super::command();
        let all = std::iter::once(&whole).chain(whole.get_subcommands().filter(|c| c.get_name() != "help"));
        for command in all {
            let help = command.get_after_help().map(ToString::to_string).unwrap_or_default();
            let lines: Vec<&str> = help.lines().filter(|l| l.starts_with("  faultwalk")).collect();
            assert!(!lines.is_empty(), "{} has no example", command.get_name());
            for line in lines {
                // What stands behind two spaces says what the example does; what stands behind > or a pipe is the shell's.
                let line =
                    ["  ", " > ", " | "].iter().fold(line.trim(), |l, end| l.split(end).next().unwrap_or(l));
                let words = shell_words(line);
                assert!(!line.contains("fixtures/"), "{line}: who installed the program has no such file");
                let parsed = super::Cli::try_parse_from(&words);
                assert!(
                    parsed.is_ok(),
                    "{line}: {}",
                    parsed.err().map(|e| e.to_string()).unwrap_or_default()
                );
            }
        }
    }

    /// Words as a shell parts them, single quotes alone.
    fn shell_words(line: &str) -> Vec<String> {
        let (mut words, mut word, mut quoted) = (Vec::new(), String::new(), false);
        for c in line.chars() {
            match c {
                '\'' => quoted = !quoted,
                ' ' if !quoted => words.push(std::mem::take(&mut word)),
                c => word.push(c),
            }
        }
        words.push(word);
        words.retain(|w| !w.is_empty());
        words
    }
}
