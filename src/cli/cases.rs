//! `cases`: list, filter, export, hand over, share, take in, count.

use super::report::of_case;
use super::walk::library;
use super::{Done, Failure, Output, note};
use crate::case::{CaseFolder, CaseState, CaseSummary, Entry, Imported, Line, scan, shared_copy};
use crate::library::Library;
use crate::report;
use crate::rig::Rig;
use crate::text::{Personal, Redactor, one_line, visible};
use crate::tree::Tree;
use crate::walk::Event;
use anyhow::anyhow;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Arguments of `cases`.
#[derive(Debug, clap::Args)]
#[command(
    args_conflicts_with_subcommands = true,
    after_help = "Examples:\n  faultwalk cases --state open\n  faultwalk cases --text hills\n  faultwalk cases export --format csv > cases.csv\n  \
faultwalk cases hand-over 20261101-0812 --to desk-two.jsonl\n  faultwalk cases share 20261101-0812 --to for-the-forum.jsonl\n  \
faultwalk cases take-in desk-two.jsonl\n  faultwalk cases statistics"
)]
pub struct Args {
    #[command(flatten)]
    chosen: Chosen,
    #[command(subcommand)]
    what: Option<What>,
}

/// Which cases.
#[derive(Debug, Clone, Default, clap::Args)]
struct Chosen {
    /// Only cases with this text in id, tree, complaint, car, answers or notes.
    #[arg(long, value_name = "TEXT")]
    text: Option<String>,
    /// Only cases that stand like this.
    #[arg(long, value_enum)]
    state: Option<State>,
    /// Only cases of this tree.
    #[arg(long, value_name = "TREE")]
    tree: Option<String>,
    /// Practice cases instead of real ones; they are never mixed.
    #[arg(long)]
    practice: bool,
    /// Folder the cases are kept in.
    #[arg(long, value_name = "DIR")]
    cases: Option<PathBuf>,
}

/// How a case stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum State {
    /// It goes on.
    Open,
    /// It was closed.
    Closed,
    /// It can't be read here.
    Damaged,
}

/// The form of an export.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Format {
    /// One JSON object a line.
    Jsonl,
    /// Comma-separated, with a heading.
    Csv,
}

/// What to do with cases.
#[derive(Debug, clap::Subcommand)]
enum What {
    /// One row a step of every case, for a database or a spreadsheet; personal data left out.
    Export {
        #[command(flatten)]
        chosen: Chosen,
        /// The form.
        #[arg(long, value_enum, default_value = "jsonl")]
        format: Format,
        /// Trees from this folder instead of the built-in ones.
        #[arg(long, value_name = "DIR")]
        trees: Option<PathBuf>,
    },
    /// The whole case as one file for a colleague, who takes it in and goes on.
    HandOver(OneCase),
    /// A copy without names, phones, plates, VINs, addresses and notes for the agent alone.
    Share(OneCase),
    /// Takes in a file that was handed over.
    TakeIn {
        /// The file.
        file: PathBuf,
        /// Folder the cases are kept in.
        #[arg(long, value_name = "DIR")]
        cases: Option<PathBuf>,
    },
    /// What was found, how often the cure proved it, minutes, what was skipped.
    Statistics {
        #[command(flatten)]
        chosen: Chosen,
        /// Trees from this folder instead of the built-in ones.
        #[arg(long, value_name = "DIR")]
        trees: Option<PathBuf>,
    },
}

/// One case and where its copy goes.
#[derive(Debug, clap::Args)]
struct OneCase {
    /// The case: its id or the beginning of it.
    case: String,
    /// The file to write; it must not be there yet.
    #[arg(long, value_name = "FILE")]
    to: PathBuf,
    /// Folder the cases are kept in.
    #[arg(long, value_name = "DIR")]
    cases: Option<PathBuf>,
}

/// Runs what was asked; without anything, the list.
pub fn run(args: &Args, out: &mut Output) -> Result<Done, Failure> {
    match &args.what {
        None => list(&args.chosen, out),
        Some(What::Export { chosen, format, trees }) => export(chosen, *format, trees.as_deref(), out),
        Some(What::HandOver(one)) => {
            let folder = open(one.cases.as_deref())?;
            folder.export::<Event>(&one.case, &one.to).map_err(|e| of_case(&e))?;
            written(
                &one.to,
                "It holds everything, personal data too; 'faultwalk cases take-in' goes on from it.",
                out,
            )
        }
        Some(What::Share(one)) => {
            let folder = open(one.cases.as_deref())?;
            folder.export_shared::<Event>(&one.case, &one.to, &mut redactor()).map_err(|e| of_case(&e))?;
            let words = "Names, phones, plates, VINs, addresses and notes for the agent alone are left out. A name that \
                         nobody entered as one can still stand in a note: read it through before it goes out.";
            written(&one.to, words, out)
        }
        Some(What::TakeIn { file, cases }) => take_in(file, cases.as_deref(), out),
        Some(What::Statistics { chosen, trees }) => statistics(chosen, trees.as_deref(), out),
    }
}

fn open(folder: Option<&Path>) -> Result<CaseFolder, Failure> {
    CaseFolder::open(folder).map_err(|e| of_case(&e))
}

fn written(to: &Path, words: &str, out: &mut Output) -> Result<Done, Failure> {
    let shown = visible(&to.to_string_lossy()).into_owned();
    if out.wants_json() {
        out.json(&json!({"written": shown}))?;
    } else {
        out.line(format!("{shown} is written. {words}"))?;
    }
    Ok(Done::Fine)
}

/// A redactor that knows of this computer and account.
fn redactor() -> Redactor {
    let mut redactor = Redactor::new();
    let host =
        ["/proc/sys/kernel/hostname", "/etc/hostname"].iter().find_map(|p| std::fs::read_to_string(p).ok());
    let variable = |name: &str| std::env::var(name).ok();
    for (kind, value) in [
        (Personal::Host, host),
        (Personal::Host, variable("HOSTNAME")),
        (Personal::Host, variable("COMPUTERNAME")),
        (Personal::User, variable("USER")),
        (Personal::User, variable("LOGNAME")),
        (Personal::User, variable("USERNAME")),
        (Personal::Path, variable("HOME")),
    ] {
        // A name of one or two letters would take ordinary words with it.
        if let Some(value) = value.filter(|v| v.trim().chars().count() > 2) {
            redactor.token(kind, &value);
        }
    }
    redactor
}

fn state_words(state: &CaseState) -> (&'static str, Option<String>) {
    match state {
        CaseState::Open => ("open", None),
        CaseState::Closed => ("closed", None),
        CaseState::NoHeader => ("damaged", Some("it does not begin with a whole header".to_owned())),
        CaseState::Newer(found) => ("damaged", Some(format!("written by a newer program, {found}"))),
        CaseState::Unreadable(why) => ("damaged", Some(why.clone())),
    }
}

/// Every text of a case somebody could search for.
fn texts(lines: &[Line<Entry>]) -> Vec<String> {
    let mut all = Vec::new();
    for line in lines {
        match &line.entry {
            Entry::Header(h) => {
                all.extend(h.complaint.clone());
                all.extend(Rig::parse("rig", &h.rig).ok().map(|r| r.name));
            }
            Entry::Personal(data) => all.push(data.value.clone()),
            Entry::Person(person) => {
                all.extend([&person.measured, &person.typed].into_iter().flatten().cloned());
            }
            Entry::Walk(event) => match event {
                Event::NoteAdded { text, .. } => all.push(text.clone()),
                Event::Read { taken, .. } => all.push(taken.typed.clone()),
                Event::Answered { typed, .. } => all.push(typed.clone()),
                Event::CannotDo { note: Some(note), .. }
                | Event::Repaired { note: Some(note) }
                | Event::Accepted { note: Some(note) }
                | Event::HandedOver { note: Some(note) }
                | Event::LeakReported { note: Some(note) }
                | Event::LeakMended { note: Some(note) } => all.push(note.clone()),
                _ => {}
            },
            _ => {}
        }
    }
    all
}

fn has_text(case: &CaseSummary, wanted: &str) -> bool {
    let wanted = wanted.to_lowercase();
    let holds = |text: &str| text.to_lowercase().contains(&wanted);
    if holds(&case.id) || holds(&case.tree) || case.complaint.as_deref().is_some_and(holds) {
        return true;
    }
    // Only now is the whole journal read.
    std::fs::read(&case.path).is_ok_and(|bytes| texts(&scan::<Entry>(&bytes).lines).iter().any(|t| holds(t)))
}

/// The cases chosen, the newest first, and how many of the other kind (practice or real) were left out.
fn choose(chosen: &Chosen) -> Result<(CaseFolder, Vec<CaseSummary>, usize), Failure> {
    use rayon::prelude::*;
    let folder = open(chosen.cases.as_deref())?;
    let all = folder.list().map_err(|e| of_case(&e))?;
    let fits = |c: &CaseSummary| {
        chosen.tree.as_ref().is_none_or(|t| *t == c.tree)
            && chosen.state.is_none_or(|wanted| {
                let word = match wanted {
                    State::Open => "open",
                    State::Closed => "closed",
                    State::Damaged => "damaged",
                };
                state_words(&c.state).0 == word
            })
            && chosen.text.as_ref().is_none_or(|t| has_text(c, t))
    };
    let (kept, others): (Vec<CaseSummary>, Vec<CaseSummary>) =
        all.into_par_iter().filter(fits).partition(|c| c.simulated == chosen.practice);
    Ok((folder, kept, others.len()))
}

/// Why the list is empty, and what to do.
fn none_listed(chosen: &Chosen, others: usize, folder: &str) -> String {
    let picky = chosen.text.is_some() || chosen.state.is_some() || chosen.tree.is_some();
    match (picky, others > 0, chosen.practice) {
        (true, ..) => {
            format!(
                "None of the cases in {folder} is like that; without --text, --state and --tree all are listed."
            )
        }
        (_, true, true) => format!("No practice case is kept in {folder}."),
        (_, true, false) => format!("No case of a real car is kept in {folder} yet."),
        _ => format!(
            "No case is kept in {folder} yet. 'faultwalk' begins one; 'faultwalk practice' needs no car at hand."
        ),
    }
}

fn list(chosen: &Chosen, out: &mut Output) -> Result<Done, Failure> {
    let (folder, cases, others) = choose(chosen)?;
    if out.wants_json() {
        let rows: Vec<Value> = cases
            .iter()
            .map(|c| {
                let (state, why) = state_words(&c.state);
                json!({
                    "case": c.id, "begun": c.created.map(|t| t.to_string()), "changed": c.changed.map(|t| t.to_string()),
                    "tree": c.tree, "complaint": c.complaint, "simulated": c.simulated, "records": c.records,
                    "state": state, "why": why,
                })
            })
            .collect();
        out.json(&json!({"cases": rows}))?;
        return Ok(Done::Fine);
    }
    if cases.is_empty() {
        out.line(none_listed(chosen, others, &visible(&folder.path().to_string_lossy())))?;
    }
    for c in &cases {
        let (state, why) = state_words(&c.state);
        let mark = if c.simulated { "  SIMULATED" } else { "" };
        let complaint = c.complaint.as_deref().map(one_line).unwrap_or_default();
        let why = why.map(|w| format!(": {}", one_line(&w))).unwrap_or_default();
        let changed = c.changed.map_or_else(|| "–".to_owned(), |t| t.strftime("%Y-%m-%d %H:%M").to_string());
        let line = format!(
            "{:<22} {changed:<16} {state:<7} {:>4} records  {:<18} {complaint}{mark}{why}",
            c.id,
            c.records,
            one_line(&c.tree)
        );
        out.line(line.trim_end())?;
    }
    if others > 0 {
        let other = if chosen.practice {
            "real ones, shown without --practice"
        } else {
            "practice ones, shown by --practice"
        };
        out.line(format!("and {others} {other}"))?;
    }
    Ok(Done::Fine)
}

/// Trees by id, each loaded once; a tree that is not at hand is none.
fn trees(library: &Library, cases: &[CaseSummary]) -> BTreeMap<String, Option<Tree>> {
    let mut all = BTreeMap::new();
    for case in cases {
        all.entry(case.tree.clone()).or_insert_with(|| library.tree(&case.tree).ok());
    }
    all
}

/// The whole records of a case; none where it can't be read, which is said.
fn lines_of(folder: &CaseFolder, case: &CaseSummary) -> Option<Vec<Line<Entry>>> {
    match folder.view::<Event>(&case.id) {
        Ok(case) => Some(case.lines().to_vec()),
        Err(error) => {
            note(format!("left out: {error}"));
            None
        }
    }
}

fn export(chosen: &Chosen, format: Format, from: Option<&Path>, out: &mut Output) -> Result<Done, Failure> {
    let (folder, cases, _) = choose(chosen)?;
    let trees = trees(&library(from)?, &cases);
    let csv_failed = |e: &dyn std::fmt::Display| Failure::File(anyhow!("could not write the rows: {e}"));
    let mut writer = csv::Writer::from_writer(Vec::new());
    if format == Format::Csv {
        writer.write_record(report::COLUMNS).map_err(|e| csv_failed(&e))?;
    }
    for case in &cases {
        let Some(lines) = lines_of(&folder, case) else { continue };
        let bytes =
            shared_copy(&lines, &mut redactor(), |entry| Some(entry.clone())).map_err(|e| of_case(&e))?;
        let redacted = scan::<Entry>(&bytes).lines;
        let tree = trees.get(&case.tree).and_then(Option::as_ref);
        for row in report::case_rows(&case.id, &redacted, tree) {
            match format {
                Format::Csv => writer.write_record(row.cells()).map_err(|e| csv_failed(&e))?,
                Format::Jsonl => {
                    let text = serde_json::to_string(&row).map_err(|e| csv_failed(&e))?;
                    out.line(text)?;
                }
            }
        }
        if format == Format::Csv {
            // Passed on case by case, so that memory does not grow with the number of cases.
            let bytes = writer.into_inner().map_err(|e| csv_failed(&e))?;
            out.bytes(&bytes)?;
            writer = csv::Writer::from_writer(Vec::new());
        }
    }
    let rest = writer.into_inner().map_err(|e| csv_failed(&e))?;
    out.bytes(&rest)?;
    Ok(Done::Fine)
}

fn take_in(file: &Path, cases: Option<&Path>, out: &mut Output) -> Result<Done, Failure> {
    let folder = open(cases)?;
    let taken = folder.import::<Event>(file).map_err(|e| of_case(&e))?;
    let words = match &taken {
        Imported::New(id) => format!("{id} is taken in; 'faultwalk walk --resume {id}' goes on with it."),
        Imported::Continued(id, more) => format!("{id} was here and goes on by {more} records."),
        Imported::Known(id) => format!("{id} was here already, with all of it."),
    };
    if out.wants_json() {
        out.json(&json!({"case": taken.id(), "new": matches!(taken, Imported::New(_))}))?;
    } else {
        out.line(words)?;
    }
    Ok(Done::Fine)
}

fn statistics(chosen: &Chosen, from: Option<&Path>, out: &mut Output) -> Result<Done, Failure> {
    let (folder, cases, _) = choose(chosen)?;
    let trees = trees(&library(from)?, &cases);
    let counted: Vec<report::Counted> = cases
        .iter()
        .filter_map(|c| {
            let lines = lines_of(&folder, c)?;
            Some(report::count(&lines, trees.get(&c.tree).and_then(Option::as_ref)))
        })
        .collect();
    let all = report::Statistics::over(&counted);
    if out.wants_json() {
        out.json(&all)?;
        return Ok(Done::Fine);
    }
    let kind = if chosen.practice { " practice (SIMULATED)" } else { "" };
    out.line(format!(
        "{}{kind} cases: {} ended in a finding, {} were handed over, {} go on, {} can't be told (their tree is not at hand).",
        all.cases, all.findings, all.handovers, all.open, all.unknown
    ))?;
    if let (Some(median), Some(mean)) = (all.median_minutes, all.mean_minutes) {
        out.line(format!("Minutes by the trees' figures to an end: median {median:.0}, mean {mean:.0}."))?;
    }
    if !all.found.is_empty() {
        out.line("")?;
        out.line(format!(
            "{:<48} {:>5} {:>9} {:>9} {:>12}",
            "found", "cases", "confirmed", "not cured", "not measured"
        ))?;
        for f in &all.found {
            out.line(format!(
                "{:<48} {:>5} {:>9} {:>9} {:>12}",
                f.name, f.cases, f.confirmed, f.not_cured, f.not_measured_again
            ))?;
        }
    }
    if !all.skipped.is_empty() {
        out.line("")?;
        out.line("Skipped, and never done later:")?;
        for s in all.skipped.iter().take(20) {
            let reasons: Vec<String> = s.reasons.iter().map(|(reason, n)| format!("{reason} {n}")).collect();
            out.line(format!("{:>5}  {} ({})", s.cases, one_line(&s.step), reasons.join(", ")))?;
        }
    }
    Ok(Done::Fine)
}
