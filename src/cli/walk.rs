//! `walk [TREE]`: one case, by a person or from an answers file.

use super::car::read_rig;
use super::{Done, Failure, Output, answers, check, note, read_text, wizard};
use crate::belief::Particles;
use crate::case::{Case, CaseFolder, Header, digest_of};
use crate::library::Library;
use crate::plain::PlainError;
use crate::quantity::UnitSystem;
use crate::rig::Rig;
use crate::session::{self, Driven, Session};
use crate::terms::nearest;
use crate::tree::{Diagnostic, Tree};
use crate::tui::Begin;
use crate::walk::{Ending, Given};
use serde_json::{Value, json};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Arguments of `walk`.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  faultwalk example rig > car.yaml\n  faultwalk example answers > answers.yaml\n  faultwalk walk runs-lean --rig car.yaml\n  \
faultwalk walk runs-lean --rig car.yaml --answers answers.yaml --json"
)]
pub struct Args {
    /// The tree: an id of the built-in library, or a file. Without one the wizard asks.
    tree: Option<String>,
    /// The rig file; without one every default is taken.
    #[arg(long)]
    rig: Option<PathBuf>,
    /// Answers to walk with, instead of asking a person.
    #[arg(long)]
    answers: Option<PathBuf>,
    /// Ask one question a line, without moving the cursor.
    #[arg(long)]
    plain: bool,
    /// Take up a case where it stood.
    #[arg(long, value_name = "CASE")]
    resume: Option<String>,
    /// Folder the cases are kept in.
    #[arg(long, value_name = "DIR")]
    cases: Option<PathBuf>,
    /// Trees from this folder instead of the built-in ones.
    #[arg(long, value_name = "DIR")]
    trees: Option<PathBuf>,
    /// What is wrong, in the driver's words.
    #[arg(long)]
    complaint: Option<String>,
}

/// Every diagnostic of a tree that can't be used, as one text.
pub fn tree_errors(diagnostics: &[Diagnostic]) -> String {
    crate::tree::render_all(diagnostics)
}

/// Opens the library a command works on.
pub fn library(folder: Option<&Path>) -> Result<Library, Failure> {
    folder.map_or_else(|| Ok(Library::embedded()), |f| Library::open(f).map_err(Failure::input))
}

/// Loads a tree by id, or from a file.
pub fn load_tree(library: &Library, name: &str) -> Result<Tree, Failure> {
    let path = Path::new(name);
    if path.extension().is_some_and(|e| e == "yaml" || e == "yml") {
        let (library, _, file) = check::one_file(path)?;
        return file.and_then(|f| library.tree_from(&f)).map_err(|d| Failure::Input(tree_errors(&d)));
    }
    if !library.paths().iter().any(|p| p == name) {
        return Err(no_such_tree(library, name));
    }
    library.tree(name).map_err(|d| Failure::Input(tree_errors(&d)))
}

/// No tree has that id: the nearest that one has, and where all of them stand.
pub fn no_such_tree(library: &Library, name: &str) -> Failure {
    let ids: Vec<String> = library.trees().into_iter().map(|t| t.path).collect();
    let near = nearest(name, ids.iter().map(String::as_str));
    let near = near.map_or_else(String::new, |near| format!(" did you mean '{near}'?"));
    Failure::Input(format!(
        "expected the id of a tree, or a file ending in .yaml; found '{name}', and no tree has that id;{near} \
         'faultwalk trees' lists them"
    ))
}

/// The rig of a path, or all defaults.
pub fn rig_and_text(path: Option<&Path>) -> Result<(Rig, String), Failure> {
    if let Some(path) = path {
        return Ok((read_rig(path)?, read_text(path)?));
    }
    let text = "format: 1\n".to_owned();
    Ok((Rig::parse("defaults", &text).map_err(Failure::input)?, text))
}

/// The header of a new case.
pub fn header(tree: &Tree, rig_text: &str, complaint: Option<String>) -> Header {
    Header {
        tree: tree.id.clone(),
        tree_digest: tree.digest.clone(),
        rig: rig_text.to_owned(),
        rig_digest: digest_of(rig_text),
        complaint,
        ..Header::default()
    }
}

/// Walks.
pub fn run(args: &Args, looks: wizard::Looks, out: &mut Output) -> Result<Done, Failure> {
    let library = library(args.trees.as_deref())?;
    match (&args.answers, &args.resume) {
        (Some(file), None) => from_answers(args, &library, file, out),
        (Some(_), Some(_)) => Err(Failure::Input(
            "--resume goes on with a person, --answers without one; give one of them".into(),
        )),
        (None, Some(name)) if on_screens(args) => {
            wizard::walk(Begin::Case(name.clone()), args.cases.clone(), args.trees.clone(), looks)
        }
        (None, None) if on_screens(args) => {
            let begin = begin(args, &library)?;
            wizard::walk(begin, args.cases.clone(), args.trees.clone(), looks)
        }
        (None, Some(name)) => {
            let folder = CaseFolder::open(args.cases.as_deref()).map_err(|e| Failure::File(e.into()))?;
            let (rig, tree, case) = kept(&folder, &library, name)?;
            let units = rig.units().unwrap_or_default();
            let session = Session::resume(rig, tree, case, units).map_err(Failure::input)?;
            by_a_person(session)
        }
        (None, None) => {
            let (tree, rig, rig_text) = asked_for(args, &library)?;
            let case = open_case(args, &tree, &rig_text)?;
            let units = rig.units().unwrap_or_default();
            let session = Session::begin(Arc::new(rig), Arc::new(tree), case, units);
            by_a_person(session.map_err(Failure::input)?)
        }
    }
}

/// Whether a person walks on the screens rather than line by line.
fn on_screens(args: &Args) -> bool {
    !args.plain && !wizard::wants_plain() && wizard::has_terminal()
}

/// What the screens begin with; what is wrong with tree or rig is said before the terminal changes.
fn begin(args: &Args, library: &Library) -> Result<Begin, Failure> {
    if args.tree.is_none() && args.rig.is_none() {
        return Ok(Begin::Start);
    }
    let (tree, _, rig) = asked_for(args, library)?;
    Ok(Begin::Tree { tree: tree.id, rig, complaint: args.complaint.clone().unwrap_or_default() })
}

/// The tree and rig the arguments name.
fn asked_for(args: &Args, library: &Library) -> Result<(Tree, Rig, String), Failure> {
    let Some(name) = &args.tree else {
        return Err(Failure::Input("expected the tree to walk; 'faultwalk trees' lists them".into()));
    };
    let tree = load_tree(library, name)?;
    let (rig, rig_text) = rig_and_text(args.rig.as_deref())?;
    Ok((tree, rig, rig_text))
}

/// A case to go on with, its rig and its tree as they were.
pub fn kept(
    folder: &CaseFolder,
    library: &Library,
    name: &str,
) -> Result<(Arc<Rig>, Arc<Tree>, Case), Failure> {
    let case: Case = folder.resume(name).map_err(|e| Failure::File(e.into()))?;
    let tree = load_tree(library, &case.header().tree)?;
    let rig = Rig::parse("the rig kept in the case", &case.header().rig).map_err(Failure::input)?;
    Ok((Arc::new(rig), Arc::new(tree), case))
}

/// The line dialogue on standard input and output.
pub fn by_a_person(mut session: Session) -> Result<Done, Failure> {
    let mut input = std::io::stdin().lock();
    let mut output = super::output::lines();
    crate::plain::run(&mut session, &mut input, &mut output).map(|_| Done::Fine).map_err(plain_failure)
}

/// What a dialogue that broke off is to the outside; a reader that went away is no error.
pub fn plain_failure(error: PlainError) -> Failure {
    match error {
        PlainError::Io(e) if e.kind() == std::io::ErrorKind::BrokenPipe => Failure::BrokenPipe,
        error => Failure::File(error.into()),
    }
}

/// A walk without a person.
fn from_answers(args: &Args, library: &Library, file: &Path, out: &mut Output) -> Result<Done, Failure> {
    let (tree, rig, rig_text) = asked_for(args, library)?;
    let name = tree.id.clone();
    let text = read_text(file)?;
    let answers = answers::parse(&file.display().to_string(), &text).map_err(Failure::Input)?;
    let case = open_case(args, &tree, &rig_text)?;
    let mut session =
        Session::begin(Arc::new(rig), Arc::new(tree), case, UnitSystem::Metric).map_err(Failure::input)?;
    let driven = session::drive(&mut session, &answers)
        .map_err(|(step, error)| Failure::Input(format!("{name}, step {step}: {error}")))?;
    if let Driven::RanOut { step, asks } = driven {
        return Err(Failure::Input(format!(
            "{name}: the answers ran out at step {step}, which asks for {asks} and can't be left out; add it to {}",
            file.display()
        )));
    }
    let report = write_report(&session)?;
    if out.wants_json() {
        out.json(&as_json(&session, &odds(&session), report.as_deref()))?;
    } else {
        as_text(&session, out)?;
    }
    Ok(Done::Fine)
}

/// A case to keep the walk in. Without a folder named and without a home the walk goes on unkept, and says so.
fn open_case(args: &Args, tree: &Tree, rig_text: &str) -> Result<Option<Case>, Failure> {
    let folder = match CaseFolder::open(args.cases.as_deref()) {
        Ok(folder) => folder,
        Err(error) if args.cases.is_none() => {
            note(format!("this walk is not kept: {error}"));
            return Ok(None);
        }
        Err(error) => return Err(Failure::File(error.into())),
    };
    let header = header(tree, rig_text, args.complaint.clone());
    folder.create(header).map(Some).map_err(|e| Failure::File(e.into()))
}

fn end_of(session: &Session) -> (Option<String>, Option<&'static str>, bool) {
    let tree = session.tree();
    match session.state().ending() {
        Some(Ending::Finding { finding, .. }) => {
            let finding = &tree.findings[finding];
            (Some(finding.id.clone()), Some(finding.fault.id()), false)
        }
        Some(_) => (None, None, true),
        None => (None, None, false),
    }
}

/// Writes the report beside the journal, where the walk is kept.
fn write_report(session: &Session) -> Result<Option<PathBuf>, Failure> {
    let Some(case) = session.case() else { return Ok(None) };
    let report =
        crate::report::build(case.lines(), session.tree(), session.begun_with()).map_err(Failure::input)?;
    let path = case.path().with_extension("md");
    std::fs::write(&path, crate::report::markdown(&report)).map_err(|e| Failure::file("write", &path, &e))?;
    Ok(Some(path))
}

/// Cars drawn for each fault when the odds are reckoned without a person waiting.
const PER_FAULT: usize = 64;

/// The odds after everything given, by fault, most probable first; `other` is a fault in no catalogue.
fn odds(session: &Session) -> Value {
    let particles = Arc::new(Particles::draw(session.rig(), PER_FAULT, 1));
    let belief = session.belief(&particles);
    let mut map: serde_json::Map<String, Value> =
        belief.odds().into_iter().map(|(fault, p)| (fault.id().to_owned(), json!(p))).collect();
    map.insert("other".into(), json!(belief.other()));
    Value::Object(map)
}

fn as_json(session: &Session, odds: &Value, report: Option<&Path>) -> Value {
    let (finding, fault, handed_over) = end_of(session);
    let tree = session.tree();
    let record: Vec<(usize, &Given)> = session.state().record().collect();
    let end = session::end_id(session);
    let steps: Vec<Value> = record
        .iter()
        .enumerate()
        .map(|(i, (index, given))| {
            let next = record.get(i + 1).map(|(n, _)| tree.steps[*n].id.clone()).or_else(|| end.clone());
            let mut step = json!({"step": tree.steps[*index].id});
            match given {
                Given::Done => step["done"] = json!(true),
                Given::Read { taken } => {
                    step["reading"] = json!(taken.typed);
                    step["verdict"] = json!(taken.verdict.id());
                    step["probability"] = json!(taken.probability);
                }
                Given::Answered { outcome, .. } => {
                    step["answer"] = json!(outcome);
                    step["verdict"] = json!(outcome);
                }
                Given::Cannot { reason, .. } => {
                    step["cannot"] = json!(reason.id());
                    step["verdict"] = json!("not-tested");
                }
            }
            step["next"] = json!(next);
            step
        })
        .collect();
    json!({
        "finding": finding,
        "fault": fault,
        "handed_over": handed_over,
        "handover": if handed_over { end } else { None },
        "steps": steps,
        "odds": odds,
        "minutes": session.state().minutes(),
        "report": report.map(|p| p.display().to_string()),
    })
}

fn as_text(session: &Session, out: &mut Output) -> Result<(), Failure> {
    let tree = session.tree();
    for (index, given) in session.state().record() {
        let step = &tree.steps[index];
        let line = match given {
            Given::Done => "done".to_owned(),
            Given::Read { taken } => format!("{} {}", taken.said(), taken.verdict),
            Given::Answered { outcome, .. } => outcome.clone(),
            Given::Cannot { reason, .. } => format!("not tested: {}", reason.name()),
        };
        out.line(format!("{:<44} {line}", step.id))?;
    }
    out.line("")?;
    match session.state().ending() {
        Some(Ending::Finding { finding, .. }) => {
            let finding = &tree.findings[finding];
            out.line(format!("Finding: {} ({})", session.says(finding), finding.fault.name()))?;
            if let Some(remedy) = &finding.remedy {
                out.line(format!("Remedy: {remedy}"))?;
                if let Some(aim) = session.aim(finding, session.units()) {
                    out.line(aim)?;
                }
            }
        }
        Some(Ending::Handover(handover)) => {
            let handover = &tree.handovers[handover];
            out.line(format!("Handed over: {}", handover.says))?;
            out.line(&handover.advice)?;
        }
        _ => out.line("No end was reached.")?,
    }
    out.line(format!("{:.0} minutes by the tree's figures.", session.state().minutes()))
}
