//! One file as rules see it: its names resolved, its edges by number.

use crate::tree::{Document, Edge, FileKind, Step, StepKind, UndoBy};
use std::collections::HashMap;

/// What a name of a file leads to; the numbers index the document.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Node {
    /// A step.
    Step(usize),
    /// A finding.
    Finding(usize),
    /// A hand-over.
    Handover(usize),
    /// An exit of a procedure.
    Exit(usize),
}

/// One edge as authored.
#[derive(Debug, Clone)]
pub struct FileEdge {
    /// Its place below the step, such as `answers/wet/next`.
    pub below: String,
    /// Where it leads.
    pub to: Node,
}

/// A document with its names resolved.
pub struct FileView<'a> {
    /// The document.
    pub document: &'a Document,
    /// For each step, its edges; those of an include-step are its exits.
    pub edges: Vec<Vec<FileEdge>>,
    /// Where it begins.
    pub start: Option<Node>,
    names: HashMap<&'a str, Node>,
}

/// Where an edge of a step is written, below the step.
pub fn edge_path<T>(step: &Step<T>, edge: Edge) -> String {
    match edge {
        Edge::Next => "next".to_owned(),
        Edge::Low => "low".to_owned(),
        Edge::Within => "within".to_owned(),
        Edge::High => "high".to_owned(),
        Edge::Undecided => "undecided/next".to_owned(),
        Edge::Answer(i) => match &step.kind {
            StepKind::Observe { answers, .. } => answers
                .get(i)
                .map_or_else(|| "answers".to_owned(), |a| format!("answers/{}/next", a.outcome.id)),
            _ => "answers".to_owned(),
        },
        Edge::Arm(i) => format!("choose/{i}/next"),
        Edge::Else => "else/next".to_owned(),
        Edge::Entry => "include".to_owned(),
        Edge::Cannot => "cannot/next".to_owned(),
    }
}

impl<'a> FileView<'a> {
    /// Resolves the names of `document`, which loading has checked.
    pub fn new(document: &'a Document) -> Self {
        let mut names = HashMap::new();
        for (i, s) in document.steps.iter().enumerate() {
            names.insert(s.id.as_str(), Node::Step(i));
        }
        for (i, f) in document.findings.iter().enumerate() {
            names.insert(f.id.as_str(), Node::Finding(i));
        }
        for (i, h) in document.handovers.iter().enumerate() {
            names.insert(h.id.as_str(), Node::Handover(i));
        }
        if document.kind == FileKind::Procedure {
            for (i, e) in document.exits.iter().enumerate() {
                names.insert(e.as_str(), Node::Exit(i));
            }
        }
        let edges = document.steps.iter().map(|s| edges_of(s, &names)).collect();
        let start = names.get(document.start.as_str()).copied();
        Self { document, edges, start, names }
    }

    /// What a name leads to.
    pub fn node(&self, name: &str) -> Option<Node> {
        self.names.get(name).copied()
    }

    /// The number of the step called `id`.
    pub fn step(&self, id: &str) -> Option<usize> {
        match self.node(id) {
            Some(Node::Step(i)) => Some(i),
            _ => None,
        }
    }

    /// The steps that undo a state of this file.
    pub fn undo_steps(&self) -> impl Iterator<Item = usize> {
        self.document.undo.iter().filter_map(|u| match &u.start {
            UndoBy::Step(id) => self.step(id),
            UndoBy::Procedure(_) => None,
        })
    }

    /// Every step that a person sees, with its number.
    pub fn asking(&self) -> impl Iterator<Item = (usize, &'a Step<String>)> {
        self.document.steps.iter().enumerate().filter(|(_, s)| s.asks())
    }

    /// The name of what a node is.
    pub fn name_of(&self, node: Node) -> &'a str {
        let d = self.document;
        match node {
            Node::Step(i) => &d.steps[i].id,
            Node::Finding(i) => &d.findings[i].id,
            Node::Handover(i) => &d.handovers[i].id,
            Node::Exit(i) => &d.exits[i],
        }
    }
}

fn edges_of(step: &Step<String>, names: &HashMap<&str, Node>) -> Vec<FileEdge> {
    let mut edges: Vec<FileEdge> = Vec::new();
    for (edge, to) in step.edges() {
        if let Some(to) = names.get(to.as_str()) {
            edges.push(FileEdge { below: edge_path(step, edge), to: *to });
        }
    }
    if let StepKind::Include(include) = &step.kind {
        for (name, to) in &include.exits {
            if let Some(to) = names.get(to.as_str()) {
                edges.push(FileEdge { below: format!("exits/{name}"), to: *to });
            }
        }
    }
    edges
}
