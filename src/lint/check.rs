//! Running the rules.

use super::file::FileView;
use super::flow::Flow;
use super::rule::{Check, Found, Hit, Rule, Sink, Whole, place};
use super::rules;
use crate::library::Library;
use crate::tree::{Diagnostic, Document, Level, Tree};
use rayon::prelude::*;

/// What was checked, and everything found.
#[derive(Debug, Clone, Default)]
pub struct Checked {
    /// How many files.
    pub files: usize,
    /// How many steps they hold.
    pub steps: usize,
    /// Everything found, by file and line.
    pub diagnostics: Vec<Diagnostic>,
}

/// Whether any of `diagnostics` is an error.
pub fn has_errors(diagnostics: &[Diagnostic]) -> bool {
    diagnostics.iter().any(|d| d.level == Level::Error)
}

/// Checks every file of a library.
pub fn check_library(library: &Library) -> Checked {
    check_paths(library, &library.paths())
}

/// Checks the files of a library named by their paths without the ending. What they include is loaded, and complained of where
/// it stands.
pub fn check_paths(library: &Library, paths: &[String]) -> Checked {
    let loaded = library.load_all(paths);
    let mut diagnostics = loaded.problems.clone();
    diagnostics.extend(check_graphs(&loaded.documents, &loaded.graphs));
    diagnostics.sort_by(|a, b| (&a.file, a.line, a.column).cmp(&(&b.file, b.line, b.column)));
    diagnostics.dedup();
    let steps = loaded.documents.iter().map(|d| d.steps.len()).sum();
    Checked { files: paths.len(), steps, diagnostics }
}

/// Checks documents and their flat graphs.
pub fn check_graphs<D: AsRef<Document> + Sync>(documents: &[D], graphs: &[Tree]) -> Vec<Diagnostic> {
    let files: Vec<FileView<'_>> = documents.par_iter().map(|d| FileView::new(d.as_ref())).collect();
    let flows: Vec<Flow<'_>> = graphs.par_iter().map(Flow::new).collect();
    let whole = Whole { files: &files, flows: &flows };
    let all: Vec<&'static Rule> = rules::all().collect();
    // What is found twice is dropped within one rule only, so rules may run side by side.
    let found = |rule: &&'static Rule| {
        let mut sink = Sink::default();
        let mut found = Found::of(rule, &mut sink);
        match rule.check {
            Check::Loading => {}
            Check::File(check) => files.iter().for_each(|f| check(f, &mut found)),
            Check::Paths(check) => flows.iter().for_each(|f| check(f, &mut found)),
            Check::Whole(check) => check(&whole, &mut found),
        }
        sink.hits
    };
    let hits: Vec<Vec<Hit>> = all.par_iter().map(found).collect();
    place(hits.into_iter().flatten().collect(), &all)
}
