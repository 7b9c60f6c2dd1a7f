//! A walk up to its end, reckoned without the engine, for a search that asks for very many.
//!
//! It follows steps, answers and choices alone; states, cautions and the putting back are left out. [`super::mixes::walk`] has the last
//! word on what is found so.

use super::mixes::{Mix, plain, word};
use crate::tree::{CarFacts, Edge, Key, Latest, Results, StepKind, Target, Tree, When};
use std::collections::BTreeMap;

/// More steps than any path has.
const MOST_STEPS: usize = 2_000;

/// What steps give where it is not the plain way.
pub(super) type Gives = BTreeMap<usize, Edge>;

/// The latest results, by slot.
pub(super) type Latests = Vec<&'static str>;

/// What an arm asks for: for each slot the results any of which it must be.
pub(super) type Needs = Vec<(usize, Vec<String>)>;

/// A step passed, choose- and include-steps among them.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pass {
    pub step: usize,
    pub edge: Edge,
    pub to: Target,
}

/// A tree laid out for quick walks on these cars.
pub(super) struct Ground<'a> {
    pub tree: &'a Tree,
    pub cars: Vec<(&'a String, &'a CarFacts)>,
    /// The edges of each step.
    pub edges: Vec<Vec<(Edge, Target)>>,
    /// What each arm of each step asks for.
    pub arms: Vec<Vec<Needs>>,
    /// The slot that each step leaves its result in.
    pub slots: Vec<Option<usize>>,
    /// For each slot, the steps that leave a result in it.
    pub givers: Vec<Vec<usize>>,
    plain: Vec<Edge>,
    /// For each car, step and arm, whether the facts it asks for hold.
    fits: Vec<Vec<Vec<bool>>>,
}

struct Nothing;

impl Results for Nothing {
    fn latest(&self, _: Key) -> Latest {
        Latest::NotTested
    }
}

impl<'a> Ground<'a> {
    pub fn new(tree: &'a Tree, cars: &'a BTreeMap<String, CarFacts>) -> Self {
        let cars: Vec<(&String, &CarFacts)> = cars.iter().collect();
        let mut keys: Vec<Key> = Vec::new();
        let mut slot = |key: Key| {
            keys.iter().position(|k| *k == key).unwrap_or_else(|| {
                keys.push(key);
                keys.len() - 1
            })
        };
        let whens: Vec<Vec<&When>> = tree
            .steps
            .iter()
            .map(|step| match &step.kind {
                StepKind::Choose { arms, .. } => arms.iter().map(|a| &a.when).collect(),
                _ => Vec::new(),
            })
            .collect();
        let slots: Vec<Option<usize>> =
            tree.steps.iter().map(|step| Key::of(&step.kind).map(&mut slot)).collect();
        let mut needs =
            |when: &When| -> Needs { when.was.iter().map(|(key, ids)| (slot(*key), ids.clone())).collect() };
        let arms = whens.iter().map(|whens| whens.iter().map(|w| needs(w)).collect()).collect();
        let mut givers: Vec<Vec<usize>> = vec![Vec::new(); keys.len()];
        for (step, slot) in slots.iter().enumerate() {
            if let Some(slot) = slot.filter(|_| tree.steps[step].undoes.is_none()) {
                givers[slot].push(step);
            }
        }
        let fits = |facts: &CarFacts, when: &&When| {
            let facts_alone = When { was: Vec::new(), ..(*when).clone() };
            facts_alone.holds(facts, &Nothing)
        };
        let fits = cars.iter().map(|(_, facts)| {
            whens.iter().map(|whens| whens.iter().map(|w| fits(facts, w)).collect()).collect()
        });
        Self {
            fits: fits.collect(),
            edges: tree.steps.iter().map(|s| s.edges().into_iter().map(|(e, t)| (e, *t)).collect()).collect(),
            plain: tree.steps.iter().map(plain).collect(),
            tree,
            cars,
            arms,
            slots,
            givers,
        }
    }

    /// Cars of which no two take the same arms with the same results.
    pub fn unlike(&self) -> Vec<usize> {
        (0..self.cars.len()).filter(|car| !self.fits[..*car].contains(&self.fits[*car])).collect()
    }

    /// A mix by indices; none where its car is not among these.
    pub fn gives(&self, mix: &Mix) -> Option<(usize, Gives)> {
        let car = self.cars.iter().position(|c| *c.0 == mix.rig)?;
        let by_id = self.tree.steps.iter().enumerate().filter_map(|(i, step)| {
            let given = mix.gives.get(&step.id)?;
            Some((i, self.edges[i].iter().map(|e| e.0).find(|e| word(step, *e) == given)?))
        });
        Some((car, by_id.collect()))
    }

    /// The mix that these give on that car.
    pub fn mix(&self, car: usize, gives: &Gives) -> Mix {
        let steps = gives.iter().map(|(i, edge)| (&self.tree.steps[*i], *edge));
        Mix {
            rig: self.cars[car].0.clone(),
            gives: steps.map(|(step, edge)| (step.id.clone(), word(step, edge).to_owned())).collect(),
        }
    }

    pub fn nothing_yet(&self) -> Latests {
        vec![Latest::NotTested.id(); self.givers.len()]
    }

    /// Notes what a step gives. One that could not be done leaves nothing behind, and an earlier result stands.
    pub fn note(&self, step: usize, edge: Edge, results: &mut Latests) {
        if let Some(slot) = self.slots[step].filter(|_| edge != Edge::Cannot) {
            results[slot] = word(&self.tree.steps[step], edge);
        }
    }

    /// Whether the facts that an arm asks for hold on a car; any other edge asks for none.
    pub fn fits(&self, car: usize, step: usize, edge: Edge) -> bool {
        !matches!(edge, Edge::Arm(i) if !self.fits[car][step][i])
    }

    /// The edge by which a step that asks nobody is left.
    pub fn chosen(&self, car: usize, step: usize, results: &Latests) -> Edge {
        if let StepKind::Include(_) = self.tree.steps[step].kind {
            return Edge::Entry;
        }
        let arms = self.arms[step].iter().zip(&self.fits[car][step]);
        let holds = |needs: &Needs| needs.iter().all(|need| met(need, results));
        arms.into_iter().position(|(needs, fits)| *fits && holds(needs)).map_or(Edge::Else, Edge::Arm)
    }

    fn target(&self, step: usize, edge: Edge) -> Option<Target> {
        self.edges[step].iter().find(|e| e.0 == edge).map(|e| e.1)
    }

    /// What is passed on the way to an end.
    pub fn course(&self, car: usize, gives: &Gives) -> Vec<Pass> {
        let mut results = self.nothing_yet();
        let mut passes: Vec<Pass> = Vec::with_capacity(128);
        let mut target = self.tree.start;
        while let Target::Step(step) = target {
            let edge = if self.tree.steps[step].asks() {
                let known = gives.get(&step).filter(|e| self.target(step, **e).is_some());
                known.copied().unwrap_or(self.plain[step])
            } else {
                self.chosen(car, step, &results)
            };
            let Some(to) = self.target(step, edge).filter(|_| passes.len() < MOST_STEPS) else { break };
            self.note(step, edge, &mut results);
            passes.push(Pass { step, edge, to });
            target = to;
        }
        passes
    }

    /// The results when a course has passed that many steps.
    pub fn after(&self, passes: &[Pass]) -> Latests {
        let mut results = self.nothing_yet();
        for pass in passes {
            self.note(pass.step, pass.edge, &mut results);
        }
        results
    }

    /// Where one comes to from a target, choose- and include-steps passed through; none where they lead round in a circle.
    pub fn lands(&self, car: usize, target: Target, results: &Latests) -> Option<Target> {
        self.through(car, target, results, |_| ())
    }

    /// The same, telling of each step passed through.
    pub fn through(
        &self,
        car: usize,
        mut target: Target,
        results: &Latests,
        mut tell: impl FnMut(usize),
    ) -> Option<Target> {
        for _ in 0..100 {
            let Target::Step(step) = target else { return Some(target) };
            if self.tree.steps[step].asks() {
                return Some(target);
            }
            tell(step);
            target = self.target(step, self.chosen(car, step, results))?;
        }
        None
    }
}

/// Whether a result is any of those asked for.
pub(super) fn met((slot, ids): &(usize, Vec<String>), results: &Latests) -> bool {
    ids.iter().any(|id| id == results[*slot])
}
