//! `schema`: the JSON Schema of a tree or procedure file, for editors, or of a report, for whoever reads one.

use super::{Done, Failure, Output};

/// What is described.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Of {
    /// A tree or procedure file.
    Tree,
    /// A findings report as JSON.
    Report,
}

/// Arguments of `schema`.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  faultwalk schema > tree.schema.json\n  faultwalk schema --of report > report.schema.json"
)]
pub struct Args {
    /// What is described.
    #[arg(long, value_enum, default_value = "tree")]
    of: Of,
}

/// Prints the schema.
pub fn run(args: &Args, out: &mut Output) -> Result<Done, Failure> {
    match args.of {
        Of::Tree => out.json(&crate::tree::schema())?,
        Of::Report => out.json(&crate::report::schema())?,
    }
    Ok(Done::Fine)
}
