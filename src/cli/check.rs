//! `check [PATH…] [--explain RULE]`: whether trees are in order, by every rule.

use super::{Done, Failure, Output};
use crate::library::{Library, Loaded};
use crate::lint;
use crate::terms::nearest;
use crate::text::visible;
use crate::tree::{Diagnostic, Level, SourceFile, heading, read_text, render};
use serde_json::{Value, json};
use std::io::IsTerminal as _;
use std::path::{Path, PathBuf};

/// Arguments of `check`.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  faultwalk check\n  faultwalk check my-trees                a folder of your own\n  \
faultwalk check my-tree.yaml\n  faultwalk check --explain requires-unmet"
)]
pub struct Args {
    /// Files, or folders that hold a library; the built-in trees when left out.
    paths: Vec<PathBuf>,
    /// Print the page of one rule, or of all with `all`, instead of checking.
    #[arg(long, value_name = "RULE")]
    explain: Option<String>,
    /// List every rule with its level and what it refuses.
    #[arg(long)]
    rules: bool,
}

/// Checks, and prints what was found.
pub fn run(args: &Args, out: &mut Output) -> Result<Done, Failure> {
    if let Some(id) = &args.explain {
        return explain(id, out);
    }
    if args.rules {
        return list(out);
    }
    let mut checked = lint::Checked::default();
    if args.paths.is_empty() {
        checked = lint::check_library(&Library::embedded());
    }
    for path in &args.paths {
        let part = check_path(path)?;
        checked.files += part.files;
        checked.steps += part.steps;
        checked.diagnostics.extend(part.diagnostics);
    }
    shorten(&mut checked.diagnostics);
    if out.wants_json() {
        out.json(&json!({ "diagnostics": checked.diagnostics.iter().map(as_json).collect::<Vec<_>>() }))?;
    } else {
        let colour = std::env::var_os("NO_COLOR").is_none() && std::io::stdout().is_terminal();
        for d in &checked.diagnostics {
            out.line(render(d, colour))?;
        }
        let count = |level: Level| checked.diagnostics.iter().filter(|d| d.level == level).count();
        // A file that could not be read as a tree has no count of steps.
        let steps = format!(", {}", many(checked.steps, "step"));
        let steps = if lint::has_errors(&checked.diagnostics) { String::new() } else { steps };
        out.line(format!(
            "{}{steps}: {}, {}, {}",
            many(checked.files, "file"),
            many(count(Level::Error), "error"),
            many(count(Level::Warning), "warning"),
            many(count(Level::Note), "note")
        ))?;
    }
    Ok(if lint::has_errors(&checked.diagnostics) { Done::NotInOrder } else { Done::Fine })
}

/// A count with its word.
fn many(count: usize, word: &str) -> String {
    format!("{count} {word}{}", if count == 1 { "" } else { "s" })
}

fn as_json(d: &Diagnostic) -> Value {
    json!({
        "rule": d.rule,
        "level": d.level.id(),
        "file": visible(&d.file),
        "line": d.line,
        "column": d.column,
        "message": visible(&d.message),
        "why": d.why.as_deref().map(visible),
        "hint": d.hint.as_deref().map(visible),
    })
}

/// Names files below the working folder as a person would write them.
fn shorten(diagnostics: &mut [Diagnostic]) {
    let Ok(here) = std::env::current_dir().and_then(|d| d.canonicalize()) else { return };
    for d in diagnostics {
        if let Ok(short) = Path::new(&d.file).strip_prefix(&here) {
            d.file = short.display().to_string();
        }
    }
}

fn check_path(path: &Path) -> Result<lint::Checked, Failure> {
    if path.is_dir() {
        let library = Library::open(path).map_err(Failure::input)?;
        return Ok(lint::check_library(&library));
    }
    let (library, name, file) = one_file(path)?;
    let file = match file {
        Ok(file) => file,
        Err(diagnostics) => return Ok(lint::Checked { files: 1, steps: 0, diagnostics }),
    };
    Ok(check_loaded(library.load_texts(vec![(name, file)])))
}

fn check_loaded(loaded: Loaded) -> lint::Checked {
    let mut diagnostics = lint::check_graphs(&loaded.documents, &loaded.graphs);
    diagnostics.extend(loaded.problems);
    let steps = loaded.documents.iter().map(|d| d.steps.len()).sum();
    lint::Checked { files: 1, steps, diagnostics }
}

/// What stands in a file: its text, or why it is none.
type Text = Result<SourceFile, Vec<Diagnostic>>;

/// Reads a file, and says which library its includes come from (the folder it stands in if that has procedures, else the
/// built-in one) and what it is called there.
pub fn one_file(path: &Path) -> Result<(Library, String, Text), Failure> {
    let bytes = std::fs::read(path).map_err(|e| Failure::file("read", path, &e))?;
    let file = read_text(&path.display().to_string(), &bytes);
    let stem = path.file_stem().map_or_else(String::new, |s| s.to_string_lossy().into_owned());
    let folder = path.canonicalize().ok().and_then(|p| p.parent().map(Path::to_path_buf));
    let root = folder.as_deref().and_then(|f| {
        let inside = f.file_name().is_some_and(|n| n == "procedures");
        if inside { f.parent() } else { f.join("procedures").is_dir().then_some(f) }
    });
    let library = match root {
        Some(root) => Library::open(root).map_err(Failure::input)?,
        None => Library::embedded(),
    };
    let procedure = file.as_ref().ok().and_then(heading).is_some_and(|h| h.procedure.is_some());
    let name = if procedure { format!("procedures/{stem}") } else { stem };
    Ok((library, name, file))
}

fn explain(id: &str, out: &mut Output) -> Result<Done, Failure> {
    if id == "all" {
        for rule in lint::rules() {
            out.line(rule.page())?;
        }
        return Ok(Done::Fine);
    }
    let Some(rule) = lint::rule(id) else {
        let near = nearest(id, lint::rules().map(|r| r.id));
        let hint = near.map_or_else(
            || "'faultwalk check --rules' lists them".to_owned(),
            |near| format!("did you mean '{near}'?"),
        );
        return Err(Failure::Input(format!("expected the id of a rule, found '{id}'; {hint}")));
    };
    if out.wants_json() {
        out.json(&json!({ "rule": rule.id, "level": rule.level.id(), "page": rule.page() }))?;
    } else {
        out.line(rule.page().trim_end())?;
    }
    Ok(Done::Fine)
}

fn list(out: &mut Output) -> Result<Done, Failure> {
    if out.wants_json() {
        let rules: Vec<Value> = lint::rules()
            .map(|r| json!({ "rule": r.id, "level": r.level.id(), "title": r.title() }))
            .collect();
        out.json(&json!({ "rules": rules }))?;
        return Ok(Done::Fine);
    }
    for rule in lint::rules() {
        out.line(format!("{:<28} {:<8} {}", rule.id, rule.level.id(), rule.title()))?;
    }
    Ok(Done::Fine)
}
