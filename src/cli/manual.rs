//! `manual`: the manual page on stdout, or one page a command into a folder.

use super::{Done, Failure, Output};
use std::path::{Path, PathBuf};

/// Arguments of `manual`.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  faultwalk manual > faultwalk.1\n  faultwalk manual --out ~/.local/share/man/man1"
)]
pub struct Args {
    /// Write one page a command into this folder, which is made if it is not there.
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
}

/// Prints or writes the manual.
pub fn run(args: &Args, out: &mut Output) -> Result<Done, Failure> {
    let mut whole = super::command();
    whole.build();
    let Some(folder) = &args.out else {
        out.bytes(&page(whole, Path::new("the manual page"))?)?;
        return Ok(Done::Fine);
    };
    std::fs::create_dir_all(folder).map_err(|e| Failure::file("make the folder", folder, &e))?;
    let name = whole.get_name().to_owned();
    let mut pages = vec![(name.clone(), whole.clone())];
    for sub in whole.get_subcommands().filter(|s| s.get_name() != "help" && !s.is_hide_set()) {
        let full = format!("{name}-{}", sub.get_name());
        pages.push((full, sub.clone()));
    }
    for (name, command) in pages {
        let path = folder.join(format!("{name}.1"));
        let bytes = page(command, &path)?;
        std::fs::write(&path, bytes).map_err(|e| Failure::file("write", &path, &e))?;
        out.line(path.display())?;
    }
    Ok(Done::Fine)
}

fn page(command: clap::Command, path: &Path) -> Result<Vec<u8>, Failure> {
    let mut bytes = Vec::new();
    clap_mangen::Man::new(command).render(&mut bytes).map_err(|e| Failure::file("write", path, &e))?;
    Ok(bytes)
}
