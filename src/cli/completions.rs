//! `completions SHELL`: completions for a shell, on stdout.

use super::{Done, Failure, Output};
use clap_complete::Shell;

/// Arguments of `completions`.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  faultwalk completions bash > ~/.local/share/bash-completion/completions/faultwalk\n  \
faultwalk completions fish > ~/.config/fish/completions/faultwalk.fish"
)]
pub struct Args {
    /// The shell to complete for.
    shell: Shell,
}

/// Prints the completion script.
pub fn run(args: &Args, out: &mut Output) -> Result<Done, Failure> {
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut super::command(), "faultwalk", &mut script);
    out.bytes(&script)?;
    Ok(Done::Fine)
}
