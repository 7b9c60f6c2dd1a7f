//! Everything that can hold at every place of a flat tree, by following all paths to a fixpoint.
//!
//! Each place keeps the set of situations ([`Held`]) a walk can be in there: exact where they are few, merged into "sure" and
//! "may be" where they are many. After an end the restore is followed too: states still held are undone, last made first,
//! each by its own undoing, as the engine does it.

use super::held::{Change, Held, Marks};
use super::marks;
use crate::terms::State;
use crate::tree::{Edge, Effects, FileKind, Key, StateSet, Step, Target, Tree};
use std::collections::{HashMap, HashSet, VecDeque};

/// How many situations a place keeps apart before they are merged.
const APART: usize = 512;
/// The same for the putting back, where all ends of a tree meet and the order of making counts.
const APART_AFTER: usize = 4096;
const NONE: u32 = u32::MAX;

/// A place of a walk.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Spot {
    /// Before a step.
    Step(usize),
    /// At a finding.
    Finding(usize),
    /// At a hand-over.
    Handover(usize),
    /// At an exit of a procedure on its own.
    Exit(usize),
    /// Between two undoings.
    Restore,
}

/// One edge of the flat graph with what it does.
pub struct FlowEdge {
    /// Which.
    pub edge: Edge,
    /// Where it leads.
    pub to: Target,
    /// What it does.
    pub change: Change,
}

/// One situation at one spot, and how the walk came there.
pub struct Entry {
    /// Where.
    pub spot: Spot,
    /// What holds.
    pub held: Held,
    from: u32,
}

/// A flat tree with all that can hold at each place.
pub struct Flow<'a> {
    /// The tree.
    pub tree: &'a Tree,
    /// For each step, its edges.
    pub edges: Vec<Vec<FlowEdge>>,
    entries: Vec<Entry>,
    at: Vec<Vec<u32>>,
    known: HashMap<u32, HashSet<Held>>,
    merged: HashSet<u32>,
}

impl<'a> Flow<'a> {
    /// Follows every path of `tree`.
    pub fn new(tree: &'a Tree) -> Self {
        // Alone, a procedure may be asked for what its callers have taken.
        let taken = (tree.kind == FileKind::Tree).then(|| marks::taken(tree));
        let edges = tree.steps.iter().map(|s| edges_of(s, taken.as_ref())).collect();
        let spots = tree.steps.len() + tree.findings.len() + tree.handovers.len() + tree.exits.len() + 1;
        let mut flow = Self {
            tree,
            edges,
            entries: Vec::new(),
            at: vec![Vec::new(); spots],
            known: HashMap::new(),
            merged: HashSet::new(),
        };
        flow.run();
        flow
    }

    /// Whether this is a procedure checked on its own, from what it says it needs.
    pub fn alone(&self) -> bool {
        self.tree.kind == FileKind::Procedure
    }

    fn number(&self, spot: Spot) -> usize {
        let (s, f, h) = (self.tree.steps.len(), self.tree.findings.len(), self.tree.handovers.len());
        match spot {
            Spot::Step(i) => i,
            Spot::Finding(i) => s + i,
            Spot::Handover(i) => s + f + i,
            Spot::Exit(i) => s + f + h + i,
            Spot::Restore => s + f + h + self.tree.exits.len(),
        }
    }

    /// Every situation at `spot`.
    pub fn at(&self, spot: Spot) -> impl Iterator<Item = &Entry> {
        self.at[self.number(spot)].iter().map(|i| &self.entries[*i as usize])
    }

    /// Every situation before the step, with the step.
    pub fn before_steps(&self) -> impl Iterator<Item = (usize, &'a Step, &Entry)> {
        self.tree
            .steps
            .iter()
            .enumerate()
            .flat_map(|(i, step)| self.at(Spot::Step(i)).map(move |e| (i, step, e)))
    }

    /// Whether a walk, its restore included, can come to `spot`.
    pub fn reached(&self, spot: Spot) -> bool {
        self.at(spot).next().is_some()
    }

    /// A path to a situation, as the ids of its last steps.
    pub fn path_to(&self, entry: &Entry) -> String {
        const SHOWN: usize = 6;
        let mut ids = Vec::new();
        let mut next = entry.from;
        while let Some(e) = self.entries.get(next as usize) {
            match e.spot {
                Spot::Step(i) if self.tree.steps[i].asks() => ids.push(self.tree.steps[i].id.as_str()),
                Spot::Finding(i) => ids.push(self.tree.findings[i].id.as_str()),
                Spot::Handover(i) => ids.push(self.tree.handovers[i].id.as_str()),
                _ => {}
            }
            if ids.len() > SHOWN {
                break;
            }
            next = e.from;
        }
        if ids.is_empty() {
            return format!("at the start of {}", self.tree.id);
        }
        let cut = ids.len() > SHOWN;
        ids.truncate(SHOWN);
        ids.reverse();
        format!("in {} by way of {}{}", self.tree.id, if cut { "… " } else { "" }, ids.join(" → "))
    }

    fn run(&mut self) {
        let mut todo = VecDeque::new();
        let needs: StateSet = self.tree.needs.iter().copied().collect();
        // Alone, a procedure is given the benefit of what its callers may have done; flat trees decide.
        let marks = if self.alone() {
            Marks::MEASURED.and(Marks::RAISED_FINE).and(Marks::RETURNS).and(Marks::PRESSURE).and(Marks::SHOWN)
        } else {
            Marks::default()
        };
        self.reach_target(self.tree.start, Held::exactly(needs, marks), None, NONE, &mut todo);
        while let Some(number) = todo.pop_front() {
            let Entry { spot, held, .. } = self.entries[number as usize];
            // A merged place has moved on since this was queued.
            let place = self.number(spot);
            if !self.at[place].contains(&number) {
                continue;
            }
            match spot {
                Spot::Step(i) => {
                    // A case can be handed over at any step; what is held then is put back.
                    if self.tree.steps[i].undoes.is_none() && self.tree.steps[i].asks() && !self.alone() {
                        self.reach(Spot::Restore, held, number, &mut todo);
                    }
                    for k in 0..self.edges[i].len() {
                        let FlowEdge { edge, to, change } = &self.edges[i][k];
                        // A step that could not be done proves nothing of what it presupposes.
                        let before =
                            if *edge == Edge::Cannot { held } else { held.granted(&self.tree.steps[i]) };
                        let (to, next) = (*to, before.after(change));
                        self.reach_target(to, next, self.tree.steps[i].undoes, number, &mut todo);
                    }
                }
                Spot::Finding(i) => self.leave_finding(i, held, number, &mut todo),
                Spot::Handover(_) => self.reach(Spot::Restore, held, number, &mut todo),
                Spot::Exit(_) => {}
                Spot::Restore => self.undo_next(held, number, &mut todo),
            }
        }
    }

    fn leave_finding(&mut self, finding: usize, held: Held, from: u32, todo: &mut VecDeque<u32>) {
        // The repair may be left out, or not confirmed.
        self.reach(Spot::Restore, held, from, todo);
        if let Some(confirm) = &self.tree.findings[finding].confirm {
            let after: Vec<Held> = self.edges[confirm.repeat].iter().map(|e| held.after(&e.change)).collect();
            for held in after {
                self.reach(Spot::Restore, held, from, todo);
            }
        }
    }

    fn undo_next(&mut self, held: Held, from: u32, todo: &mut VecDeque<u32>) {
        for state in held.next_to_undo() {
            match self.tree.undo_of(state).map(|u| u.start) {
                Some(start) => self.reach_target(start, held, Some(state), from, todo),
                None => self.reach(Spot::Restore, held.put_back(state, false), from, todo),
            }
        }
    }

    fn reach_target(
        &mut self,
        to: Target,
        held: Held,
        undoing: Option<State>,
        from: u32,
        todo: &mut VecDeque<u32>,
    ) {
        match (to, undoing) {
            (Target::Step(i), _) => self.reach(Spot::Step(i), held, from, todo),
            (Target::Undone, Some(state)) => {
                self.reach(Spot::Restore, held.put_back(state, false), from, todo);
            }
            (Target::NotUndone | Target::Finding(_) | Target::Handover(_), Some(state)) => {
                self.reach(Spot::Restore, held.put_back(state, true), from, todo);
            }
            (Target::Finding(i), None) => self.reach(Spot::Finding(i), held, from, todo),
            (Target::Handover(i), None) => self.reach(Spot::Handover(i), held, from, todo),
            (Target::Exit(i), _) => self.reach(Spot::Exit(i), held, from, todo),
            (Target::Undone | Target::NotUndone, None) => {}
        }
    }

    fn reach(&mut self, spot: Spot, held: Held, from: u32, todo: &mut VecDeque<u32>) {
        let place = self.number(spot);
        let (held, apart) = match spot {
            Spot::Restore => (held.put_down(), APART_AFTER),
            Spot::Step(i) if self.tree.steps[i].undoes.is_some() => (held, APART_AFTER),
            _ => (held, APART),
        };
        let key = u32::try_from(place).unwrap_or(NONE);
        let held = if self.merged.contains(&key) {
            let so_far = self.entries[self.at[place][0] as usize].held;
            let both = so_far.merge(held);
            if both == so_far {
                return;
            }
            self.at[place].clear();
            both
        } else if self.at[place].len() >= apart {
            if self.at[place].iter().any(|i| self.entries[*i as usize].held == held) {
                return;
            }
            let all = std::mem::take(&mut self.at[place]);
            self.known.remove(&key);
            self.merged.insert(key);
            all.iter().fold(held.merge(held), |sum, i| sum.merge(self.entries[*i as usize].held))
        } else {
            // A few are compared one by one; many are looked up.
            let list = &self.at[place];
            let there = if list.len() < 6 {
                list.iter().any(|i| self.entries[*i as usize].held == held)
            } else {
                let entries = &self.entries;
                let known = self
                    .known
                    .entry(key)
                    .or_insert_with(|| list.iter().map(|i| entries[*i as usize].held).collect());
                !known.insert(held)
            };
            if there {
                return;
            }
            held
        };
        let number = u32::try_from(self.entries.len()).unwrap_or(NONE);
        self.entries.push(Entry { spot, held, from });
        self.at[place].push(number);
        todo.push_back(number);
    }
}

/// The edges of a step; an arm that asks for a result no step of the tree takes is never gone.
fn edges_of(step: &Step, taken: Option<&HashSet<Key>>) -> Vec<FlowEdge> {
    step.edges()
        .into_iter()
        .filter(|(edge, _)| taken.is_none_or(|taken| marks::possible(step, *edge, taken)))
        .map(|(edge, to)| FlowEdge { edge, to: *to, change: change_of(step, edge) })
        .collect()
}

fn change_of(step: &Step, edge: Edge) -> Change {
    let states: Effects = step.effects(edge);
    let (marks, unmarks) = marks::of(step, edge);
    Change { states, unmarks, marks }
}
