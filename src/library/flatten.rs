//! From documents to one flat graph.

use super::source::Library;
use crate::terms::{State as CarState, nearest};
use crate::tree::{
    Answer, Arm, Confirm, Diagnostic, Document, FileKind, Finding, Include, Level, MAX_STEPS, Origin,
    Positions, Read, SourceFile, StateUndo, Step, StepKind, Target, Tree, Undecided, UndoBy,
};
use sha2::{Digest, Sha256};
use std::collections::HashMap;
use std::fmt::Write as _;
use std::sync::Arc;

/// Deepest nesting of includes.
const MAX_INCLUDES: usize = 8;

type Names = HashMap<String, Target>;
/// Loaded documents by their paths.
pub(super) type Documents = HashMap<String, Result<Arc<Document>, Vec<Diagnostic>>>;

/// A place in the expansion.
#[derive(Clone)]
struct Scope {
    prefix: String,
    undoes: Option<CarState>,
    exits: Names,
    /// Procedures on the way here.
    through: Vec<String>,
}

struct Flat<'a> {
    library: &'a Library,
    steps: Vec<Option<Step>>,
    findings: Vec<Option<Finding>>,
    handovers: Vec<crate::tree::Handover>,
    files: Vec<SourceFile>,
    documents: HashMap<String, Arc<Document>>,
    /// Documents loaded before, shared by all trees of one run.
    shared: &'a Documents,
    undo_by: Vec<(CarState, UndoBy, usize, Arc<Document>)>,
    problems: Vec<Diagnostic>,
    /// Whether the cap on steps was reached.
    full: bool,
}

/// The flat tree of a document.
pub(super) fn flatten(
    library: &Library,
    document: &Arc<Document>,
    shared: &Documents,
) -> Result<Tree, Vec<Diagnostic>> {
    run(library, document, shared, Names::new())
}

/// The flat graph of a procedure on its own, its exits kept.
pub(super) fn flatten_procedure(
    library: &Library,
    document: &Arc<Document>,
    shared: &Documents,
) -> Result<Tree, Vec<Diagnostic>> {
    let exits = document.exits.iter().enumerate().map(|(i, e)| (e.clone(), Target::Exit(i))).collect();
    run(library, document, shared, exits)
}

fn run(
    library: &Library,
    document: &Arc<Document>,
    shared: &Documents,
    exits: Names,
) -> Result<Tree, Vec<Diagnostic>> {
    let mut flat = Flat {
        library,
        steps: Vec::new(),
        findings: Vec::new(),
        handovers: Vec::new(),
        files: Vec::new(),
        documents: HashMap::new(),
        shared,
        undo_by: Vec::new(),
        problems: Vec::new(),
        full: false,
    };
    let scope = Scope { prefix: String::new(), undoes: None, exits, through: vec![document.id.clone()] };
    let start = flat.expand(document, &scope);
    let undo = flat.undoings();
    if !flat.problems.is_empty() {
        // A procedure included twice is wrong once.
        let mut problems: Vec<Diagnostic> = Vec::new();
        for problem in flat.problems {
            if !problems.contains(&problem) {
                problems.push(problem);
            }
        }
        return Err(problems);
    }
    let digest = digest(library, &flat.files);
    Ok(Tree {
        kind: document.kind,
        id: document.id.clone(),
        title: document.title.clone(),
        about: document.about.clone(),
        complaints: document.complaints.clone(),
        start,
        finds: document.finds.clone(),
        needs: document.needs.clone(),
        exits: document.exits.clone(),
        steps: flat.steps.into_iter().flatten().collect(),
        findings: flat.findings.into_iter().flatten().collect(),
        handovers: flat.handovers,
        undo,
        priors: document.priors.clone(),
        files: flat.files,
        digest,
    })
}

/// Over the names inside the library, so that the same files have the same digest wherever they lie.
fn digest(library: &Library, files: &[SourceFile]) -> String {
    let mut sum = Sha256::new();
    for file in files {
        sum.update(library.inside(&file.name).as_bytes());
        sum.update([0]);
        sum.update(file.text.as_bytes());
        sum.update([0]);
    }
    sum.finalize().iter().fold(String::new(), |mut hex, byte| {
        let _ = write!(hex, "{byte:02x}");
        hex
    })
}

impl Flat<'_> {
    fn fail(
        &mut self,
        document: &Document,
        path: &str,
        rule: &'static str,
        message: String,
        hint: Option<String>,
    ) {
        let positions = Positions::of(&document.file.text);
        let mut d = if rule == "no-such-exit" {
            positions.diagnostic_at_key(&document.file, path, rule, Level::Error)
        } else {
            positions.diagnostic(&document.file, path, rule, Level::Error)
        };
        d.message = message;
        d.hint = hint;
        self.problems.push(d);
    }

    fn file_of(&mut self, document: &Document) -> usize {
        self.files.iter().position(|f| f.name == document.file.name).unwrap_or_else(|| {
            self.files.push(document.file.clone());
            self.files.len() - 1
        })
    }

    /// Lays out a document's steps under the scope's prefix; gives where it starts.
    fn expand(&mut self, document: &Arc<Document>, scope: &Scope) -> Target {
        // Includes that multiply are stopped before they are laid out, and said once.
        if self.full || self.steps.len() + document.steps.len() > MAX_STEPS {
            if !self.full {
                self.full = true;
                let message = format!("the flat tree has more than {MAX_STEPS} steps");
                self.fail(document, "", "too-many-steps", message, Some("include less".to_owned()));
            }
            return Target::Step(0);
        }
        let file = self.file_of(document);
        let mut names = scope.exits.clone();
        let first_step = self.steps.len();
        for (i, step) in document.steps.iter().enumerate() {
            self.steps.push(None);
            names.insert(step.id.clone(), Target::Step(first_step + i));
        }
        let first_finding = self.findings.len();
        for (i, finding) in document.findings.iter().enumerate() {
            self.findings.push(None);
            names.insert(finding.id.clone(), Target::Finding(first_finding + i));
        }
        for handover in &document.handovers {
            names.insert(handover.id.clone(), Target::Handover(self.handovers.len()));
            let mut handover = handover.clone();
            handover.origin = Origin { file, id: handover.id.clone() };
            handover.id = format!("{}{}", scope.prefix, handover.id);
            self.handovers.push(handover);
        }
        for (i, finding) in document.findings.iter().enumerate() {
            self.findings[first_finding + i] = Some(self.finding(document, finding, file, scope, &names));
        }
        for undo in &document.undo {
            if !self.undo_by.iter().any(|(state, ..)| *state == undo.state) {
                self.undo_by.push((undo.state, undo.start.clone(), file, Arc::clone(document)));
            }
        }
        for (i, step) in document.steps.iter().enumerate() {
            let flat = self.step(document, step, file, scope, &names);
            self.steps[first_step + i] = Some(flat);
        }
        self.target(document, &document.start, "start", &names)
    }

    fn target(&mut self, document: &Document, name: &str, path: &str, names: &Names) -> Target {
        if let Some(target) = names.get(name) {
            return *target;
        }
        let near = nearest(name, names.keys().map(String::as_str));
        let hint = near.map(|n| format!("did you mean '{n}'?"));
        let message = format!("'{name}' is no step, finding, hand-over or exit of this file");
        self.fail(document, path, "dangling-target", message, hint);
        Target::Step(0)
    }

    fn finding(
        &mut self,
        document: &Document,
        finding: &Finding<String>,
        file: usize,
        scope: &Scope,
        names: &Names,
    ) -> Finding {
        let confirm = finding.confirm.as_ref().map(|c| {
            let path = format!("findings/{}/confirm/repeat", finding.id);
            let Target::Step(repeat) = self.target(document, &c.repeat, &path, names) else {
                let message = format!("'{}' is no step that can be repeated", c.repeat);
                self.fail(document, &path, "dangling-target", message, None);
                return Confirm { repeat: 0, expect: c.expect };
            };
            Confirm { repeat, expect: c.expect }
        });
        Finding {
            id: format!("{}{}", scope.prefix, finding.id),
            origin: Origin { file, id: finding.id.clone() },
            fault: finding.fault,
            also: finding.also.clone(),
            says: finding.says.clone(),
            remedy: finding.remedy.clone(),
            confirm,
            cautions: finding.cautions.clone(),
            minutes: finding.minutes,
        }
    }

    fn step(
        &mut self,
        document: &Document,
        step: &Step<String>,
        file: usize,
        scope: &Scope,
        names: &Names,
    ) -> Step {
        let at = |key: &str| format!("steps/{}/{key}", step.id);
        let kind = match &step.kind {
            StepKind::Do { next } => StepKind::Do { next: self.target(document, next, &at("next"), names) },
            StepKind::Read(read) => {
                let undecided = self.target(document, &read.undecided.next, &at("undecided/next"), names);
                StepKind::Read(Read {
                    reading: read.reading,
                    at: read.at,
                    with: read.with,
                    places: read.places.clone(),
                    expect: read.expect.clone(),
                    low: read.low.as_ref().map(|t| self.target(document, t, &at("low"), names)),
                    within: self.target(document, &read.within, &at("within"), names),
                    high: read.high.as_ref().map(|t| self.target(document, t, &at("high"), names)),
                    undecided: Undecided { retry: read.undecided.retry, next: undecided },
                })
            }
            StepKind::Observe { observation, answers } => StepKind::Observe {
                observation: *observation,
                answers: answers
                    .iter()
                    .map(|a| {
                        let path = at(&format!("answers/{}/next", a.outcome.id));
                        Answer { outcome: a.outcome, next: self.target(document, &a.next, &path, names) }
                    })
                    .collect(),
            },
            StepKind::Choose { arms, otherwise } => StepKind::Choose {
                arms: arms
                    .iter()
                    .enumerate()
                    .map(|(i, arm)| {
                        let path = at(&format!("choose/{i}/next"));
                        Arm { when: arm.when.clone(), next: self.target(document, &arm.next, &path, names) }
                    })
                    .collect(),
                otherwise: self.target(document, otherwise, &at("else/next"), names),
            },
            StepKind::Include(include) => {
                StepKind::Include(self.include(document, step, include, scope, names))
            }
        };
        Step {
            id: format!("{}{}", scope.prefix, step.id),
            origin: Origin { file, id: step.id.clone() },
            undoes: scope.undoes,
            title: step.title.clone(),
            action: step.action.clone(),
            tell: step.tell.clone(),
            note: step.note.clone(),
            why: step.why.clone(),
            kind,
            requires: step.requires.clone(),
            forbids: step.forbids.clone(),
            makes: step.makes.clone(),
            clears: step.clears.clone(),
            cautions: step.cautions.clone(),
            tools: step.tools.clone(),
            minutes: step.minutes,
            timer: step.timer,
            at: step.at,
            cannot: step.cannot.as_ref().map(|t| self.target(document, t, &at("cannot/next"), names)),
            likelihood: step.likelihood.clone(),
        }
    }

    fn include(
        &mut self,
        document: &Document,
        step: &Step<String>,
        include: &Include<String>,
        scope: &Scope,
        names: &Names,
    ) -> Include {
        let path = format!("steps/{}/include", step.id);
        let exits: Vec<(String, Target)> = include
            .exits
            .iter()
            .map(|(name, target)| {
                let path = format!("steps/{}/exits/{name}", step.id);
                (name.clone(), self.target(document, target, &path, names))
            })
            .collect();
        let inner = Scope {
            prefix: format!("{}{}/", scope.prefix, step.id),
            undoes: scope.undoes,
            exits: exits.iter().cloned().collect(),
            through: scope.through.clone(),
        };
        let procedure = self.procedure(document, &include.procedure, &path, &inner);
        let mut out = Include { procedure: include.procedure.clone(), entry: None, exits, needs: Vec::new() };
        let Some((procedure, mut inner)) = procedure else { return out };
        let given: Vec<&String> = out.exits.iter().map(|(n, _)| n).collect();
        let missing: Vec<&String> = procedure.exits.iter().filter(|e| !given.contains(e)).collect();
        let extra: Vec<&String> = given.into_iter().filter(|e| !procedure.exits.contains(e)).collect();
        let path = format!("steps/{}/exits", step.id);
        for name in &missing {
            let message = format!("the exit '{name}' of {} leads nowhere", include.procedure);
            self.fail(
                document,
                &path,
                "exit-not-routed",
                message,
                Some(format!("add {name}: with where it leads")),
            );
            inner.exits.insert((*name).clone(), Target::Step(0));
        }
        for name in extra {
            let hint = nearest(name, procedure.exits.iter().map(String::as_str)).map_or_else(
                || format!("its exits are {}", procedure.exits.join(", ")),
                |near| format!("did you mean '{near}'?"),
            );
            let message = format!("{} has no exit '{name}'", include.procedure);
            self.fail(document, &format!("{path}/{name}"), "no-such-exit", message, Some(hint));
        }
        out.needs.clone_from(&procedure.needs);
        out.entry = Some(self.expand(&procedure, &inner));
        out
    }

    /// Fetches a procedure, unless it leads in a circle, too deep or nowhere.
    fn procedure(
        &mut self,
        document: &Document,
        path: &str,
        at: &str,
        scope: &Scope,
    ) -> Option<(Arc<Document>, Scope)> {
        if scope.through.iter().any(|p| p == path) {
            let message = format!("'{path}' includes itself: {} → {path}", scope.through.join(" → "));
            self.fail(document, at, "include-circle", message, Some("take one of them out".to_owned()));
            return None;
        }
        if scope.through.len() > MAX_INCLUDES {
            let message = format!("includes nest deeper than {MAX_INCLUDES}");
            self.fail(document, at, "include-depth", message, Some("flatten them by hand".to_owned()));
            return None;
        }
        if !self.documents.contains_key(path) {
            let found = match self.shared.get(path) {
                Some(found) => found.clone(),
                None => self.library.document(path).map(Arc::new),
            };
            match found {
                Ok(found) => {
                    self.documents.insert(path.to_owned(), found);
                }
                Err(problems) => {
                    let own = problems.iter().any(|p| matches!(p.rule, "no-such-file" | "include-path"));
                    if own {
                        for p in problems {
                            self.fail(document, at, p.rule, p.message, p.hint);
                        }
                    } else {
                        self.problems.extend(problems);
                    }
                    return None;
                }
            }
        }
        let found = Arc::clone(self.documents.get(path)?);
        if found.kind == FileKind::Tree {
            let message = format!("'{path}' is a tree, not a procedure");
            let hint = "a tree has no exits; include a procedure".to_owned();
            self.fail(document, at, "not-a-procedure", message, Some(hint));
            return None;
        }
        let mut scope = scope.clone();
        scope.through.push(path.to_owned());
        Some((found, scope))
    }

    /// Attaches to every state how it is undone, states of the undoings themselves included.
    fn undoings(&mut self) -> Vec<StateUndo> {
        let mut out = Vec::new();
        let mut done = 0;
        while done < self.undo_by.len() && self.problems.is_empty() {
            let (state, by, file, document) = self.undo_by[done].clone();
            done += 1;
            let prefix = format!("undo/{state}/");
            let origin = Origin { file, id: state.id().to_owned() };
            let path = format!("states/{state}/undo");
            let start = match by {
                UndoBy::Procedure(procedure) => {
                    let scope =
                        Scope { prefix, undoes: Some(state), exits: Names::new(), through: Vec::new() };
                    let Some((procedure, mut scope)) = self.procedure(&document, &procedure, &path, &scope)
                    else {
                        continue;
                    };
                    for exit in &procedure.exits {
                        let end = if exit == "cannot" { Target::NotUndone } else { Target::Undone };
                        scope.exits.insert(exit.clone(), end);
                    }
                    self.expand(&procedure, &scope)
                }
                UndoBy::Step(id) => {
                    let Some(step) = document.steps.iter().find(|s| s.id == id) else {
                        let message = format!("'{id}' is no step of this file");
                        self.fail(&document, &path, "dangling-target", message, None);
                        continue;
                    };
                    let mut step = step.clone();
                    let names =
                        Names::from([("undone".into(), Target::Undone), ("not".into(), Target::NotUndone)]);
                    step.kind = StepKind::Do { next: "undone".into() };
                    step.cannot = step.cannot.map(|_| "not".into());
                    let scope =
                        Scope { prefix, undoes: Some(state), exits: Names::new(), through: Vec::new() };
                    let flat = self.step(&document, &step, file, &scope, &names);
                    self.steps.push(Some(flat));
                    Target::Step(self.steps.len() - 1)
                }
            };
            out.push(StateUndo { state, start, origin });
        }
        out
    }
}
