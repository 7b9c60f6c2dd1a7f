//! The structs of a tree: steps, edges, findings, hand-overs.
//!
//! `Step`, `Arm`, `Answer` and their kin are generic over how a target is written: `String` in a [`Document`] (one file, as
//! authored), [`Target`] in a [`Tree`] (flat, everything resolved). The default is the flat form.

use super::likelihood::Likelihood;
use super::when::When;
use crate::quantity::Measure;
use crate::terms::{Caution, Complaint, Condition, Fault, Observation, Outcome, Place, Reading, State, Tool};
use std::sync::Arc;

/// Where an edge of the flat graph leads. The numbers index the vectors of the [`Tree`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Target {
    /// To `tree.steps[i]`.
    Step(usize),
    /// To `tree.findings[i]`.
    Finding(usize),
    /// To `tree.handovers[i]`.
    Handover(usize),
    /// Out of a procedure through `tree.exits[i]`; only in a flat procedure, never in a flat tree.
    Exit(usize),
    /// End of an undo: the state is gone. Only inside `undo/STATE/…`.
    Undone,
    /// End of an undo: the state could not be undone and stays. Only inside `undo/STATE/…`.
    NotUndone,
}

/// Whether a file is a tree of its own or a procedure that others include.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FileKind {
    /// Begins with `tree:`; ends in findings and hand-overs.
    Tree,
    /// Begins with `procedure:`; ends in exits (and its own findings and hand-overs).
    Procedure,
}

/// One file's text, kept so that any place in it can be looked up later.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SourceFile {
    /// The name people know it by, such as `trees/procedures/fit-gauge.yaml`.
    pub name: String,
    /// Its whole text.
    pub text: Arc<str>,
}

/// Where a flat step, finding or hand-over was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Origin {
    /// Index into `tree.files`.
    pub file: usize,
    /// Its id in that file.
    pub id: String,
}

/// One flat graph: a tree with all its includes expanded, or a procedure for checking on its own.
///
/// Ids of steps that came through an include-step `fit` are `fit/STEP`; undo procedures stand under `undo/STATE/…`.
#[derive(Debug, Clone, PartialEq)]
pub struct Tree {
    /// Tree or procedure.
    pub kind: FileKind,
    /// Its id (`tree:` or `procedure:`).
    pub id: String,
    /// One line for people.
    pub title: String,
    /// A paragraph about it.
    pub about: Option<String>,
    /// The complaints it answers.
    pub complaints: Vec<Complaint>,
    /// Where it begins.
    pub start: Target,
    /// Every fault it claims to find.
    pub finds: Vec<Fault>,
    /// States that must hold on entry (procedures).
    pub needs: Vec<State>,
    /// Names of its exits (procedures), indexed by [`Target::Exit`].
    pub exits: Vec<String>,
    /// All steps, the tree's own first; ids are unique.
    pub steps: Vec<Step>,
    /// All findings; ids are unique.
    pub findings: Vec<Finding>,
    /// All hand-overs; ids are unique.
    pub handovers: Vec<Handover>,
    /// How each state is undone; one entry a state.
    pub undo: Vec<StateUndo>,
    /// How common each fault is, where the tree says other than the catalogue; only the ratios count.
    pub priors: Vec<(Fault, f64)>,
    /// Every file the graph was made of; the first is the tree's own.
    pub files: Vec<SourceFile>,
    /// SHA-256 over names and texts of all files, in hexadecimal; a journal names the tree by it.
    pub digest: String,
}

impl Tree {
    /// The index of the step with flat id `id`.
    pub fn step_index(&self, id: &str) -> Option<usize> {
        self.steps.iter().position(|s| s.id == id)
    }

    /// The step with flat id `id`.
    pub fn step(&self, id: &str) -> Option<&Step> {
        self.steps.iter().find(|s| s.id == id)
    }

    /// The finding with flat id `id`.
    pub fn finding(&self, id: &str) -> Option<&Finding> {
        self.findings.iter().find(|f| f.id == id)
    }

    /// How `state` is undone, if the tree says.
    pub fn undo_of(&self, state: State) -> Option<&StateUndo> {
        self.undo.iter().find(|u| u.state == state)
    }

    /// The flat id that `target` leads to, or what it means.
    pub fn target_id(&self, target: Target) -> &str {
        match target {
            Target::Step(i) => self.steps.get(i).map_or("?", |s| &s.id),
            Target::Finding(i) => self.findings.get(i).map_or("?", |f| &f.id),
            Target::Handover(i) => self.handovers.get(i).map_or("?", |h| &h.id),
            Target::Exit(i) => self.exits.get(i).map_or("?", |e| e),
            Target::Undone => "undone",
            Target::NotUndone => "not undone",
        }
    }
}

/// One step.
#[derive(Debug, Clone, PartialEq)]
pub struct Step<T = Target> {
    /// Its id: flat in a [`Tree`], the file's own in a [`Document`].
    pub id: String,
    /// Where it was written. In a [`Document`] the file is 0.
    pub origin: Origin,
    /// In a [`Tree`], the state this step belongs to undoing, for steps under `undo/STATE/…`.
    pub undoes: Option<State>,
    /// A short name, such as "supply pressure".
    pub title: Option<String>,
    /// The one action, as an order (`do:`). Empty for choose- and include-steps.
    pub action: String,
    /// Words to read aloud to a caller.
    pub tell: Option<String>,
    /// A note for the agent only, never read aloud nor shared.
    pub note: Option<String>,
    /// What the step parts.
    pub why: Option<String>,
    /// What it does and where it leads.
    pub kind: StepKind<T>,
    /// States that must hold before it.
    pub requires: Vec<State>,
    /// States that must not hold before it.
    pub forbids: Vec<State>,
    /// States it makes.
    pub makes: Vec<State>,
    /// States it ends.
    pub clears: Vec<State>,
    /// Cautions shown, and confirmed, before it.
    pub cautions: Vec<Caution>,
    /// Tools it needs; for a read-step the instrument (`with:`) comes first.
    pub tools: Vec<Tool>,
    /// Minutes it takes; 1 where nothing is said, 0 for choose- and include-steps.
    pub minutes: f64,
    /// For a timed step, how long, in s.
    pub timer: Option<f64>,
    /// The condition it puts the car in; none: key off, nothing changes. Always given on a read-step.
    pub at: Option<Condition>,
    /// Where to go when it cannot be done, if that may be.
    pub cannot: Option<T>,
    /// How likely each outcome is with each fault, where the author states it.
    pub likelihood: Option<Likelihood>,
}

/// What a step is.
#[derive(Debug, Clone, PartialEq)]
pub enum StepKind<T = Target> {
    /// Something to do.
    Do {
        /// Where it goes on.
        next: T,
    },
    /// Something to measure.
    Read(Read<T>),
    /// Something to look at, listen to or try.
    Observe {
        /// What.
        observation: Observation,
        /// One entry for each outcome that is routed, in the order written.
        answers: Vec<Answer<T>>,
    },
    /// A branch on facts and results that no person sees.
    Choose {
        /// The arms, tried in order.
        arms: Vec<Arm<T>>,
        /// Where to go when no arm fits.
        otherwise: T,
    },
    /// The entry into an included procedure; in the flat graph a mere passage into it.
    Include(Include<T>),
}

/// A measurement and what follows from its verdict.
#[derive(Debug, Clone, PartialEq)]
pub struct Read<T = Target> {
    /// What is measured.
    pub reading: Reading,
    /// In which condition.
    pub at: Condition,
    /// With which instrument.
    pub with: Tool,
    /// Where a pressure gauge on the fuel circuit may sit; the technician says which.
    pub places: Vec<Place>,
    /// What is expected.
    pub expect: Expect,
    /// Below the band. Only where a lower limit exists.
    pub low: Option<T>,
    /// In the band.
    pub within: T,
    /// Above the band. Only where an upper limit exists.
    pub high: Option<T>,
    /// Too near a limit to say.
    pub undecided: Undecided<T>,
}

/// What follows when a verdict stays undecided.
#[derive(Debug, Clone, PartialEq)]
pub struct Undecided<T = Target> {
    /// How often the reading is repeated before going on.
    pub retry: u32,
    /// Where it goes on then.
    pub next: T,
}

/// Where the expected band of a reading comes from.
#[derive(Debug, Clone, PartialEq)]
pub enum Expect {
    /// From the physical model of the car.
    Model {
        /// The half-width is at least this (a common-practice floor).
        tolerance: Option<Measure>,
    },
    /// From limits the author gives. At least one is there.
    Limits {
        /// Lower limit; without it nothing is low.
        min: Option<Measure>,
        /// Upper limit; without it nothing is high.
        max: Option<Measure>,
    },
}

impl Expect {
    /// Whether a reading can be low.
    pub fn has_low(&self) -> bool {
        !matches!(self, Self::Limits { min: None, .. })
    }

    /// Whether a reading can be high.
    pub fn has_high(&self) -> bool {
        !matches!(self, Self::Limits { max: None, .. })
    }
}

/// One outcome of an observation and where it leads.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer<T = Target> {
    /// The outcome.
    pub outcome: Outcome,
    /// Where it leads.
    pub next: T,
}

/// One arm of a choose-step.
#[derive(Debug, Clone, PartialEq)]
pub struct Arm<T = Target> {
    /// What must hold.
    pub when: When,
    /// Where it leads then.
    pub next: T,
}

/// An included procedure.
#[derive(Debug, Clone, PartialEq)]
pub struct Include<T = Target> {
    /// The procedure's path as written, such as `procedures/fit-gauge`.
    pub procedure: String,
    /// In a [`Tree`], the procedure's first step; in a [`Document`] nothing is known of it and this is empty.
    pub entry: Option<T>,
    /// Where each exit leads, in the order written.
    pub exits: Vec<(String, T)>,
    /// In a [`Tree`], the states the procedure says it needs on entry.
    pub needs: Vec<State>,
}

/// Which way a step is left.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Edge {
    /// A do-step, done.
    Next,
    /// A reading below its band.
    Low,
    /// A reading in its band.
    Within,
    /// A reading above its band.
    High,
    /// A reading that stayed undecided after its retries.
    Undecided,
    /// The answer at that index of `answers`.
    Answer(usize),
    /// The arm at that index of `arms`.
    Arm(usize),
    /// No arm fitted.
    Else,
    /// Into the included procedure.
    Entry,
    /// The step could not be done.
    Cannot,
}

impl<T> Step<T> {
    /// Every edge out of this step with where it leads, in the order a person would read them. Exits of an include are not
    /// among them: in the flat graph the procedure's own steps lead there.
    pub fn edges(&self) -> Vec<(Edge, &T)> {
        let mut edges = Vec::new();
        match &self.kind {
            StepKind::Do { next } => edges.push((Edge::Next, next)),
            StepKind::Read(read) => {
                edges.extend(read.low.as_ref().map(|t| (Edge::Low, t)));
                edges.push((Edge::Within, &read.within));
                edges.extend(read.high.as_ref().map(|t| (Edge::High, t)));
                edges.push((Edge::Undecided, &read.undecided.next));
            }
            StepKind::Observe { answers, .. } => {
                edges.extend(answers.iter().enumerate().map(|(i, a)| (Edge::Answer(i), &a.next)));
            }
            StepKind::Choose { arms, otherwise } => {
                edges.extend(arms.iter().enumerate().map(|(i, a)| (Edge::Arm(i), &a.next)));
                edges.push((Edge::Else, otherwise));
            }
            StepKind::Include(include) => edges.extend(include.entry.as_ref().map(|t| (Edge::Entry, t))),
        }
        edges.extend(self.cannot.as_ref().map(|t| (Edge::Cannot, t)));
        edges
    }

    /// Where `edge` leads, if this step has it.
    pub fn target(&self, edge: Edge) -> Option<&T> {
        match (&self.kind, edge) {
            (_, Edge::Cannot) => self.cannot.as_ref(),
            (StepKind::Do { next }, Edge::Next) => Some(next),
            (StepKind::Read(r), Edge::Low) => r.low.as_ref(),
            (StepKind::Read(r), Edge::Within) => Some(&r.within),
            (StepKind::Read(r), Edge::High) => r.high.as_ref(),
            (StepKind::Read(r), Edge::Undecided) => Some(&r.undecided.next),
            (StepKind::Observe { answers, .. }, Edge::Answer(i)) => answers.get(i).map(|a| &a.next),
            (StepKind::Choose { arms, .. }, Edge::Arm(i)) => arms.get(i).map(|a| &a.next),
            (StepKind::Choose { otherwise, .. }, Edge::Else) => Some(otherwise),
            (StepKind::Include(i), Edge::Entry) => i.entry.as_ref(),
            _ => None,
        }
    }

    /// Whether a person sees this step (choose- and include-steps are passed through).
    pub fn asks(&self) -> bool {
        !matches!(self.kind, StepKind::Choose { .. } | StepKind::Include(_))
    }

    /// What people call it: its title, or what it measures or looks at, or its id.
    pub fn name(&self) -> &str {
        match (&self.title, &self.kind) {
            (Some(title), _) => title,
            (None, StepKind::Read(read)) => read.reading.name(),
            (None, StepKind::Observe { observation, .. }) => observation.name(),
            (None, _) => &self.id,
        }
    }
}

/// What is wrong with the car, and how it is mended and proved.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding<R = usize> {
    /// Its id: flat in a [`Tree`].
    pub id: String,
    /// Where it was written.
    pub origin: Origin,
    /// The fault.
    pub fault: Fault,
    /// Faults that this place cannot part from it.
    pub also: Vec<Fault>,
    /// What is wrong, in words.
    pub says: String,
    /// What to do about it; none where nothing is to be mended (`no-fault`).
    pub remedy: Option<String>,
    /// How the repair is proved.
    pub confirm: Option<Confirm<R>>,
    /// Cautions before the repair.
    pub cautions: Vec<Caution>,
    /// Minutes the repair takes, if said.
    pub minutes: Option<f64>,
}

impl<R> Finding<R> {
    /// Whether its repair opens a line, which must be made safe before and be seen dry after.
    pub fn opens_line(&self) -> bool {
        self.cautions.contains(&Caution::OpenFuel)
    }
}

/// The step that is repeated after a repair, and what it must show.
#[derive(Debug, Clone, PartialEq)]
pub struct Confirm<R = usize> {
    /// The step: an index into `tree.steps`, or its name in a [`Document`].
    pub repeat: R,
    /// What it must show.
    pub expect: Expected,
}

/// What a repeated step must show for a repair to count.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Expected {
    /// A reading within its band.
    Within,
    /// That answer.
    Outcome(Outcome),
}

/// A stated end without a finding.
#[derive(Debug, Clone, PartialEq)]
pub struct Handover {
    /// Its id: flat in a [`Tree`].
    pub id: String,
    /// Where it was written.
    pub origin: Origin,
    /// What is known.
    pub says: String,
    /// What to do next, and what not to buy on it.
    pub advice: String,
    /// The faults that are left.
    pub narrowed: Vec<Fault>,
}

/// How a state is undone.
#[derive(Debug, Clone, PartialEq)]
pub struct StateUndo<T = Target> {
    /// The state.
    pub state: State,
    /// Where the undoing begins: in a [`Tree`] a step under `undo/STATE/…`.
    pub start: T,
    /// Where it was written; the id is the state's.
    pub origin: Origin,
}

/// How a [`Document`] says a state is undone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum UndoBy {
    /// By that one step of the same file.
    Step(String),
    /// By that procedure, run to its end.
    Procedure(String),
}

/// One file as authored: targets are names, includes are not expanded.
#[derive(Debug, Clone, PartialEq)]
pub struct Document {
    /// Tree or procedure.
    pub kind: FileKind,
    /// Its id.
    pub id: String,
    /// One line for people.
    pub title: String,
    /// A paragraph about it.
    pub about: Option<String>,
    /// The complaints it answers.
    pub complaints: Vec<Complaint>,
    /// The target it begins with.
    pub start: String,
    /// Every fault it claims to find.
    pub finds: Vec<Fault>,
    /// States that must hold on entry.
    pub needs: Vec<State>,
    /// Names of its exits.
    pub exits: Vec<String>,
    /// Its steps in the order written.
    pub steps: Vec<Step<String>>,
    /// Its findings.
    pub findings: Vec<Finding<String>>,
    /// Its hand-overs.
    pub handovers: Vec<Handover>,
    /// How it undoes states.
    pub undo: Vec<StateUndo<UndoBy>>,
    /// How common each fault is, where the tree says other than the catalogue; only the ratios count.
    pub priors: Vec<(Fault, f64)>,
    /// Its text.
    pub file: SourceFile,
}
