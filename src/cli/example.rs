//! `example WHAT`: a file to begin with, printed: a car, answers, a table, a tree.

use super::{Done, Failure, Output};

/// What there is an example of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Of {
    /// A car: a rig file with every part of the fuel supply.
    Rig,
    /// Answers to walk `runs-lean` with on that car; its filter is blocked.
    Answers,
    /// A table of faults, tests and outcomes.
    Table,
    /// A whole small tree.
    Tree,
}

/// Arguments of `example`.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  faultwalk example rig > car.yaml\n  faultwalk example answers > answers.yaml\n  \
faultwalk example table > table.json\n  faultwalk example tree > my-tree.yaml"
)]
pub struct Args {
    /// What to print an example of.
    #[arg(value_enum)]
    of: Of,
}

/// Prints the example.
pub fn run(args: &Args, out: &mut Output) -> Result<Done, Failure> {
    let text = match args.of {
        Of::Rig => include_str!("../../fixtures/rigs/orchard-pickup.yaml"),
        Of::Answers => {
            include_str!("../../fixtures/answers/runs-lean--orchard-pickup--feed-filter-blocked.yaml")
        }
        Of::Table => include_str!("../../fixtures/tables/no-prime.json"),
        Of::Tree => include_str!("../../fixtures/template-tree.yaml"),
    };
    out.bytes(text.as_bytes())?;
    Ok(Done::Fine)
}
