//! `report CASE`: the findings report of a case, and the check of its journal's digests.

use super::walk::{library, load_tree};
use super::{Done, Failure, Output};
use crate::case::{Case, CaseError, CaseFolder, Entry, Tail, scan};
use crate::report;
use crate::rig::Rig;
use crate::walk::Event;
use std::path::PathBuf;

/// The form of a report.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Format {
    /// Markdown, fit for a ticket.
    Md,
    /// One HTML file that prints on paper and asks for nothing outside.
    Html,
    /// JSON; `faultwalk schema --of report` gives its schema.
    Json,
}

/// Arguments of `report`.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  faultwalk report 20261101-0812 > findings.md\n  faultwalk report 20261101-0812 --format html > findings.html\n  faultwalk report 20261101-0812 --verify"
)]
pub struct Args {
    /// The case: its id or the beginning of it; `faultwalk cases` lists them.
    case: Option<String>,
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

/// An error of a case as the exit code it calls for: no such case is wrong input, anything else a file.
pub fn of_case(error: &CaseError) -> Failure {
    match error {
        CaseError::NotFound { .. } | CaseError::Ambiguous { .. } => Failure::Input(error.to_string()),
        _ => Failure::File(error.clone().into()),
    }
}

/// Prints the report.
pub fn run(args: &Args, out: &mut Output) -> Result<Done, Failure> {
    let folder = CaseFolder::open(args.cases.as_deref()).map_err(|e| of_case(&e))?;
    let Some(name) = &args.case else {
        return Err(Failure::Input(
            "expected the case to report on, its id or the beginning of it, found none; 'faultwalk cases' lists them"
                .into(),
        ));
    };
    if args.verify {
        return verify(&folder, name, out);
    }
    let case: Case = folder.view(name).map_err(|e| of_case(&e))?;
    let library = library(args.trees.as_deref())?;
    let tree = load_tree(&library, &case.header().tree)?;
    let rig = Rig::parse("the rig kept in the case", &case.header().rig).map_err(Failure::input)?;
    let report = report::build(case.lines(), &tree, &rig).map_err(|error| {
        Failure::Input(format!(
            "no report of {}: {error}; give the trees it was walked with by --trees",
            case.id()
        ))
    })?;
    match args.format {
        Format::Json => out.json(&report)?,
        _ if out.wants_json() => out.json(&report)?,
        Format::Md => out.bytes(report::markdown(&report).as_bytes())?,
        Format::Html => out.bytes(report::html(&report).map_err(Failure::Input)?.as_bytes())?,
    }
    Ok(Done::Fine)
}

/// Recomputes the chain from the bytes of the file and says where it breaks.
fn verify(folder: &CaseFolder, name: &str, out: &mut Output) -> Result<Done, Failure> {
    let id = folder.find(name).map_err(|e| of_case(&e))?;
    let path = folder.path().join(format!("{id}.jsonl"));
    let bytes = std::fs::read(&path).map_err(|e| Failure::file("read", &path, &e))?;
    let scanned = scan::<Entry<Event>>(&bytes);
    let records = scanned.lines.len();
    let digest = scanned.lines.last().map(|l| l.digest.to_string());
    let mut wrong = Vec::new();
    let broken = format!("record {records} (line {}, byte {})", records + 1, scanned.good);
    match &scanned.tail {
        Tail::Clean if records == 0 => wrong.push("the file is empty; expected the header of a case".to_owned()),
        Tail::Clean => {}
        Tail::Torn => wrong.push(format!(
            "{broken}: expected a whole record chained to the one before it, found {} bytes that are none, and no \
             valid record after them; a write that was cut off, or a last record that was changed",
            bytes.len() - scanned.good
        )),
        Tail::Damaged => wrong.push(format!(
            "{broken}: its digest is not that of its text and of the record before it, though valid records follow; it was \
             changed or damaged after it was written"
        )),
        Tail::Newer(found) => wrong.push(format!("{broken}: written by a newer program ({found})")),
    }
    if let Some(Entry::Header(header)) = scanned.lines.first().map(|l| &l.entry) {
        let now = crate::case::digest_of(&header.rig);
        if now != header.rig_digest && !header.rig_digest.is_empty() {
            wrong.push(format!(
                "the rig kept in the header has digest {now}, the header says {}",
                header.rig_digest
            ));
        }
    }
    if out.wants_json() {
        out.json(&serde_json::json!({
            "case": id, "in_order": wrong.is_empty(), "records": records, "digest": digest, "differs": wrong,
        }))?;
    } else if wrong.is_empty() {
        out.line(format!("{id}: each of {records} records fits the one before it."))?;
        out.line(format!("Digest of the last: {}", digest.unwrap_or_default()))?;
    } else {
        out.line(format!("{id}: the first {records} records fit; then it differs:"))?;
        for line in &wrong {
            out.line(line)?;
        }
    }
    Ok(if wrong.is_empty() { Done::Fine } else { Done::NotInOrder })
}
