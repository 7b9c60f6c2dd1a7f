//! `report CASE`: the findings report of a case, and the check of its journal's digests.

use super::walk::{library, load_tree};
use super::{Done, Failure, Output};
use crate::case::{Case, CaseFolder};
use crate::report;
use crate::rig::Rig;
use std::path::PathBuf;

/// The form of a report.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Format {
    /// Markdown.
    Md,
    /// JSON.
    Json,
}

/// Arguments of `report`.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  faultwalk report 20261101-0812 > findings.md\n  faultwalk report 20261101-0812 --verify"
)]
pub struct Args {
    /// The case: its id or the beginning of it.
    case: String,
    /// The form.
    #[arg(long, value_enum, default_value = "md")]
    format: Format,
    /// Only recompute the journal's chain of digests and say what differs.
    #[arg(long)]
    verify: bool,
    /// Folder the cases are kept in.
    #[arg(long, value_name = "DIR")]
    cases: Option<PathBuf>,
    /// Trees from this folder instead of the built-in ones.
    #[arg(long, value_name = "DIR")]
    trees: Option<PathBuf>,
}

/// Prints the report.
pub fn run(args: &Args, out: &mut Output) -> Result<Done, Failure> {
    let folder = CaseFolder::open(args.cases.as_deref()).map_err(|e| Failure::File(e.to_string()))?;
    let case: Case = folder.view(&args.case).map_err(|e| Failure::File(e.to_string()))?;
    if args.verify {
        let wrong: Vec<String> = case.notices().iter().map(ToString::to_string).collect();
        if wrong.is_empty() {
            out.line(format!(
                "{}: every one of {} records fits the one before it.",
                case.id(),
                case.lines().len()
            ))?;
            return Ok(Done::Fine);
        }
        for line in wrong {
            out.line(line)?;
        }
        return Ok(Done::NotInOrder);
    }
    let library = library(args.trees.as_deref())?;
    let tree = load_tree(&library, &case.header().tree)?;
    let rig = Rig::parse("the rig kept in the case", &case.header().rig).map_err(Failure::input)?;
    let report = report::build(case.lines(), &tree, &rig).map_err(Failure::input)?;
    if args.format == Format::Json || out.wants_json() {
        out.json(&report)?;
    } else {
        out.bytes(report::markdown(&report).as_bytes())?;
    }
    Ok(Done::Fine)
}
