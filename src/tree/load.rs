//! Loading one file: the quick way for good files, the thorough way once anything is wrong.

use super::diagnostic::{Diagnostic, Level};
use super::graph::{Document, SourceFile};
use super::node::{Place, Refused, read};
use super::positions::{Positions, at_place};
use super::raw::{RawFile, schema};
use super::resolve::{Problem, document};
use super::shape;
use super::source::suspicious;

/// Reads one file.
///
/// # Errors
/// Everything wrong with it, each with its place, in the order of the file.
pub fn load(file: &SourceFile) -> Result<Document, Vec<Diagnostic>> {
    if !suspicious(&file.text) {
        match serde_yaml::from_str::<RawFile>(&file.text) {
            Ok(raw) => match document(&raw, file) {
                Ok(document) => return Ok(document),
                Err(_) => return Err(thorough(file, None)),
            },
            Err(e) => return Err(thorough(file, Some(&e))),
        }
    }
    // A mark of something refused was seen; the careful reader decides, and stops where it must.
    let (_, refused) = read(&file.text);
    if !refused.is_empty() {
        return Err(thorough(file, None));
    }
    let raw = serde_yaml::from_str::<RawFile>(&file.text).map_err(|e| thorough(file, Some(&e)))?;
    document(&raw, file).map_err(|_| thorough(file, None))
}

/// What a file says of itself without its steps: enough for a list of trees.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Heading {
    /// Its id, if it is a tree.
    pub tree: Option<String>,
    /// Its id, if it is a procedure.
    pub procedure: Option<String>,
    /// Its title.
    pub title: String,
    /// The paragraph about it.
    pub about: Option<String>,
    /// The complaints it answers.
    pub complaints: Vec<crate::terms::Complaint>,
    /// The faults it claims to find.
    pub finds: Vec<crate::terms::Fault>,
}

/// The heading of a file, read without its steps. `None` if the file is not written as its heading should be; loading it says
/// why.
pub fn heading(file: &SourceFile) -> Option<Heading> {
    let end = file.text.match_indices('\n').map(|(i, _)| i + 1).find(|&i| {
        let rest = &file.text[i..];
        ["steps:", "findings:", "handovers:", "states:"].iter().any(|key| rest.starts_with(key))
    });
    let head = file.text.get(..end.unwrap_or(file.text.len()))?;
    let parse = |text: &str| if suspicious(text) { None } else { serde_yaml::from_str::<RawFile>(text).ok() };
    let raw = parse(head).filter(|r| r.title.0.is_some() && (r.tree.0.is_some() || r.procedure.0.is_some()));
    let raw = raw.or_else(|| parse(&file.text))?;
    Some(Heading {
        tree: raw.tree.0,
        procedure: raw.procedure.0,
        title: raw.title.0.unwrap_or_default(),
        about: raw.about.0,
        complaints: raw.complaints.0.unwrap_or_default(),
        finds: raw.finds.0.unwrap_or_default(),
    })
}

/// Reads the file again with places, and reports all that is wrong. `serde` is what the quick way tripped over.
fn thorough(file: &SourceFile, serde: Option<&serde_yaml::Error>) -> Vec<Diagnostic> {
    let (root, refused) = read(&file.text);
    // A file that could not be read to its end lacks things only because of that.
    let cut_short = refused.iter().any(|r| matches!(r.rule, "yaml" | "too-deep" | "several-documents"));
    let mut all: Vec<Diagnostic> = refused.into_iter().map(|r| from_refused(file, r, None)).collect();
    let positions = Positions::from_node(root.clone());
    if let Some(root) = root {
        let shaped = shape::check(&root, schema().as_value());
        all.extend(shaped.wrong.into_iter().map(|(r, near)| from_refused(file, r, near)));
        if let Ok(raw) = serde_json::from_value::<RawFile>(shaped.clean)
            && let Err(problems) = document(&raw, file)
        {
            let kept =
                problems.into_iter().filter(|p| !(p.follows && (cut_short || follows(p, &shaped.damaged))));
            all.extend(kept.map(|p| from_problem(file, &positions, p)));
        }
    }
    if !meant_as_one(&file.text) {
        // What it lacks and what stands too much in it would only lead astray; what the language never takes is still said.
        all.retain(|d| REFUSED_ANYWHERE.contains(&d.rule));
        all.insert(0, no_tree(file));
    }
    if all.is_empty() {
        let place = serde.and_then(serde_yaml::Error::location);
        let place =
            place.map_or(Place::default(), |l| Place { line: l.line(), column: l.column(), length: 0 });
        let mut d = at_place(file, place, "yaml", Level::Error);
        d.message = serde.map_or_else(|| "this file cannot be read".to_owned(), ToString::to_string);
        d.hint = Some("check quotes, colons and indentation here".to_owned());
        all.push(d);
    }
    all.sort_by_key(|d| (d.line, d.column));
    all
}

/// What is refused in any text, whatever it was meant to be.
const REFUSED_ANYWHERE: [&str; 8] = [
    "anchor",
    "duplicate-key",
    "hidden-character",
    "key-is-no-text",
    "nul-in-text",
    "several-documents",
    "tag",
    "too-deep",
];

/// Whether a text looks as if a tree or a procedure was to be written.
fn meant_as_one(text: &str) -> bool {
    let begins = |key: &str| text.lines().any(|line| line.trim_start_matches('\u{feff}').starts_with(key));
    ["tree:", "procedure:", "steps:", "findings:"].into_iter().any(begins)
}

/// The file is something else.
fn no_tree(file: &SourceFile) -> Diagnostic {
    let mut d = at_place(file, Place { line: 1, column: 1, length: 0 }, "not-a-tree", Level::Error);
    let found = match file.text.lines().find(|l| !l.trim().is_empty()) {
        None => "found an empty file".to_owned(),
        Some(_) if file.text.lines().any(|l| l.starts_with("rig:")) => "found a rig file".to_owned(),
        Some(_) => "found neither a line 'tree: ID' nor 'procedure: ID'".to_owned(),
    };
    d.message = format!("expected a tree or a procedure, {found}");
    d.why = Some(
        "only trees and procedures are checked; a rig file is read by 'faultwalk expect FILE'".to_owned(),
    );
    d.hint = Some(
        "a tree begins with the lines  format: 1 / tree: ID / title: … / complaints: […] / start: STEP / finds: […]; \
         'faultwalk check --explain not-a-tree' shows a small one"
            .to_owned(),
    );
    d
}

/// Whether `problem` may come only from something wrong in a damaged map.
fn follows(problem: &Problem, damaged: &[String]) -> bool {
    damaged.iter().any(|d| match problem.rule {
        // A name may be missing because the map of names could not be read.
        "dangling-target" => {
            d.is_empty() || matches!(d.as_str(), "steps" | "findings" | "handovers" | "exits")
        }
        _ => {
            *d == problem.path
                || d.strip_prefix(problem.path.as_str()).is_some_and(|rest| rest.starts_with('/'))
                || problem
                    .path
                    .strip_prefix(d.as_str())
                    .is_some_and(|rest| rest.starts_with('/') && !d.is_empty())
        }
    })
}

fn from_refused(file: &SourceFile, refused: Refused, near: Option<String>) -> Diagnostic {
    let mut d = at_place(file, refused.place, refused.rule, Level::Error);
    d.message = refused.message;
    d.why = Some(refused.why.to_owned());
    d.hint = Some(near.map_or_else(|| refused.hint.to_owned(), |near| format!("did you mean '{near}'?")));
    d
}

fn from_problem(file: &SourceFile, positions: &Positions, problem: Problem) -> Diagnostic {
    let mut d = positions.diagnostic(file, &problem.path, problem.rule, Level::Error);
    if let Some(key) = positions.key(&problem.path).filter(|_| problem.at_key) {
        d = at_place(file, key, problem.rule, Level::Error);
    }
    d.message = problem.message;
    d.why = Some(problem.why.to_owned());
    d.hint = problem.hint;
    d
}
