//! Every edge led to every other place of its file that it could be led to by mistake, and which of these a walk shows.
//!
//! A walk shows an edge turned aside where it takes that edge and something else would be asked next. Where the place it is turned to
//! is a choose-step, that hangs on the results, so a walk that takes the edge need not show it.

use super::course::{Ground, Latests, Pass};
use crate::tree::{Edge, Origin, StepKind, Target, Tree};
use std::collections::{BTreeMap, BTreeSet};

/// An authored way and where else in its file it could lead.
#[derive(Debug, Clone, Default)]
pub(super) struct Turnable {
    /// Its places in the flat tree.
    pub places: Vec<(usize, Edge)>,
    /// The numbers of its turns.
    pub turns: Vec<usize>,
}

/// All edges turned aside, numbered.
pub(super) struct Asides {
    /// By step: edge, number, where it would lead.
    of: Vec<Vec<(Edge, usize, Target)>>,
    pub ways: Vec<Turnable>,
    pub count: usize,
}

/// The part of an id before what its file calls it.
fn scope<'a>(id: &'a str, origin: &Origin) -> &'a str {
    id.strip_suffix(origin.id.as_str()).unwrap_or("")
}

/// The scope a target lies in; none for what is no step and no end of a walk.
fn scope_of(tree: &Tree, target: Target) -> Option<&str> {
    match target {
        Target::Step(i) => tree.steps.get(i).map(|s| scope(&s.id, &s.origin)),
        Target::Finding(i) => tree.findings.get(i).map(|f| scope(&f.id, &f.origin)),
        Target::Handover(i) => tree.handovers.get(i).map(|h| scope(&h.id, &h.origin)),
        _ => None,
    }
}

/// What each scope has: its steps, its ends, and where the exits of its procedure lead.
#[derive(Default)]
struct Scope {
    steps: Vec<Target>,
    ends: Vec<Target>,
    include: Option<usize>,
}

impl Asides {
    /// Those of all files but these.
    pub fn new(tree: &Tree, elsewhere: &BTreeSet<String>) -> Self {
        let scopes = scopes(tree);
        let mut asides = Self { of: vec![Vec::new(); tree.steps.len()], ways: Vec::new(), count: 0 };
        // By file, step, edge and what an exit leads to; then by what it is turned to.
        let mut ways: BTreeMap<(usize, &str, Edge, &str), usize> = BTreeMap::new();
        let mut turns: BTreeMap<(usize, String), usize> = BTreeMap::new();
        for (step, it) in tree.steps.iter().enumerate().filter(|(_, s)| s.undoes.is_none()) {
            if matches!(it.kind, StepKind::Include(_)) {
                continue;
            }
            for (edge, to) in it.edges() {
                let (mut origin, mut inside, mut out) = (&it.origin, scope(&it.id, &it.origin), "");
                // The edge itself, then each exit it leaves a procedure by.
                loop {
                    let here = scope_of(tree, *to) == Some(inside);
                    let counts = !elsewhere.contains(&tree.files[origin.file].name);
                    let all = scopes.get(inside).filter(|_| counts);
                    let key = (
                        origin.file,
                        origin.id.as_str(),
                        if out.is_empty() { edge } else { Edge::Entry },
                        out,
                    );
                    let way = *ways.entry(key).or_insert_with(|| {
                        asides.ways.push(Turnable::default());
                        asides.ways.len() - 1
                    });
                    asides.ways[way].places.push((step, edge));
                    for other in all.into_iter().flat_map(|s| s.others(tree, *to, here)) {
                        let count = &mut asides.count;
                        let name = tree.target_id(other);
                        let name =
                            name.strip_prefix(inside).map_or_else(|| format!("out {name}"), str::to_owned);
                        let turn = *turns.entry((way, name)).or_insert_with(|| {
                            *count += 1;
                            *count - 1
                        });
                        if asides.ways[way].turns.last() != Some(&turn)
                            && !asides.ways[way].turns.contains(&turn)
                        {
                            asides.ways[way].turns.push(turn);
                        }
                        asides.of[step].push((edge, turn, other));
                    }
                    let include = scopes.get(inside).and_then(|s| s.include).filter(|_| !here);
                    let Some(include) = include.map(|i| &tree.steps[i]) else { break };
                    origin = &include.origin;
                    inside = scope(&include.id, origin);
                    out = tree.target_id(*to).rsplit('/').next().unwrap_or("?");
                }
            }
        }
        asides
    }

    /// Tells of each turn that a course shows and that is not known yet.
    pub fn shown(
        &self,
        ground: &Ground,
        car: usize,
        course: &[Pass],
        known: &[bool],
        mut tell: impl FnMut(usize),
    ) {
        let mut results: Latests = ground.nothing_yet();
        for pass in course {
            ground.note(pass.step, pass.edge, &mut results);
            let mut now = None;
            let turns = self.of[pass.step].iter().filter(|t| t.0 == pass.edge && !known[t.1]);
            for (_, turn, to) in turns {
                let now = *now.get_or_insert_with(|| ground.lands(car, pass.to, &results));
                if ground.lands(car, *to, &results) != now {
                    tell(*turn);
                }
            }
        }
    }

    /// Where these turns of an edge lead.
    pub fn turned(&self, step: usize, edge: Edge, among: &[usize]) -> Vec<Target> {
        let turns = self.of[step].iter().filter(|t| t.0 == edge && among.contains(&t.1));
        turns.map(|t| t.2).collect()
    }
}

impl Scope {
    /// Where an edge could lead instead: a step stays a step, an end an end or an exit.
    fn others(&self, tree: &Tree, to: Target, here: bool) -> Vec<Target> {
        let all: Vec<Target> = if here && matches!(to, Target::Step(_)) {
            self.steps.clone()
        } else {
            let exits = self.include.map(|i| &tree.steps[i].kind);
            let exits = exits.and_then(|kind| match kind {
                StepKind::Include(include) => Some(include.exits.iter().map(|e| e.1)),
                _ => None,
            });
            self.ends.iter().copied().chain(exits.into_iter().flatten()).collect()
        };
        all.into_iter().filter(|other| *other != to).collect()
    }
}

fn scopes(tree: &Tree) -> BTreeMap<&str, Scope> {
    let mut scopes: BTreeMap<&str, Scope> = BTreeMap::new();
    for (i, step) in tree.steps.iter().enumerate().filter(|(_, s)| s.undoes.is_none()) {
        scopes.entry(scope(&step.id, &step.origin)).or_default().steps.push(Target::Step(i));
    }
    let findings = (0..tree.findings.len()).map(Target::Finding);
    for end in findings.chain((0..tree.handovers.len()).map(Target::Handover)) {
        if let Some(scope) = scope_of(tree, end) {
            scopes.entry(scope).or_default().ends.push(end);
        }
    }
    for (inside, scope) in &mut scopes {
        scope.include = inside.strip_suffix('/').and_then(|id| tree.step_index(id));
    }
    scopes
}
