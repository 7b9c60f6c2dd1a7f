//! `schema`: the JSON Schema of a tree or procedure file, for editors.

use super::{Done, Failure, Output};

/// Arguments of `schema`.
#[derive(Debug, clap::Args)]
#[command(after_help = "Example:\n  faultwalk schema > tree.schema.json")]
pub struct Args {}

/// Prints the schema.
pub fn run(_args: &Args, out: &mut Output) -> Result<Done, Failure> {
    out.json(&crate::tree::schema())?;
    Ok(Done::Fine)
}
