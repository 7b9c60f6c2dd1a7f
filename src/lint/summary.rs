//! What a tree finds, and in how many steps and minutes at least and most.

use crate::terms::{Complaint, Fault};
use crate::tree::{Target, Tree};
use serde::Serialize;

/// A tree in figures.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Summary {
    /// Its id.
    pub id: String,
    /// Its title.
    pub title: String,
    /// The complaints it answers.
    pub complaints: Vec<Complaint>,
    /// The faults it claims to find.
    pub finds: Vec<Fault>,
    /// How many steps it has, includes expanded, undoings aside.
    pub steps: usize,
    /// Fewest steps a person is asked on a path to a finding.
    pub fewest_steps: Option<usize>,
    /// Most.
    pub most_steps: Option<usize>,
    /// Fewest minutes on a path to a finding.
    pub fewest_minutes: Option<f64>,
    /// Most.
    pub most_minutes: Option<f64>,
}

/// Least and most of steps and minutes from one place to a finding.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Range {
    steps: (usize, usize),
    minutes: (f64, f64),
}

/// The figures of a tree; a tree with a loop has no most, and none is given.
pub fn summary(tree: &Tree) -> Summary {
    let range = to_finding(tree);
    Summary {
        id: tree.id.clone(),
        title: tree.title.clone(),
        complaints: tree.complaints.clone(),
        finds: tree.finds.clone(),
        steps: tree.steps.iter().filter(|s| s.undoes.is_none() && s.asks()).count(),
        fewest_steps: range.map(|r| r.steps.0),
        most_steps: range.map(|r| r.steps.1),
        fewest_minutes: range.map(|r| r.minutes.0),
        most_minutes: range.map(|r| r.minutes.1),
    }
}

fn to_finding(tree: &Tree) -> Option<Range> {
    const HERE: Range = Range { steps: (0, 0), minutes: (0.0, 0.0) };
    let start = match tree.start {
        Target::Step(i) => i,
        Target::Finding(_) => return Some(HERE),
        _ => return None,
    };
    // Depth first, each step once its successors are known; a step met while open closes a loop.
    let mut known: Vec<Option<Option<Range>>> = vec![None; tree.steps.len()];
    let mut open = vec![false; tree.steps.len()];
    let mut todo = vec![start];
    while let Some(&i) = todo.last() {
        if known[i].is_some() {
            todo.pop();
            continue;
        }
        let next: Vec<usize> = tree.steps[i]
            .edges()
            .into_iter()
            .filter_map(|(_, t)| if let Target::Step(s) = t { Some(*s) } else { None })
            .filter(|s| known[*s].is_none())
            .collect();
        if !next.is_empty() {
            if next.iter().any(|s| open[*s]) {
                return None;
            }
            open[i] = true;
            todo.extend(next);
            continue;
        }
        open[i] = false;
        todo.pop();
        let step = &tree.steps[i];
        let mut range: Option<Range> = None;
        for (_, target) in step.edges() {
            let below = match target {
                Target::Step(s) => known[*s].flatten(),
                Target::Finding(_) => Some(HERE),
                _ => None,
            };
            let Some(b) = below else { continue };
            range = Some(range.map_or(b, |r| Range {
                steps: (r.steps.0.min(b.steps.0), r.steps.1.max(b.steps.1)),
                minutes: (r.minutes.0.min(b.minutes.0), r.minutes.1.max(b.minutes.1)),
            }));
        }
        let own = usize::from(step.asks());
        known[i] = Some(range.map(|r| Range {
            steps: (r.steps.0 + own, r.steps.1 + own),
            minutes: (r.minutes.0 + step.minutes, r.minutes.1 + step.minutes),
        }));
    }
    known[start].flatten()
}
