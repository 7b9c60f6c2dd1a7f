//! Which ways no mix of answers takes, and which edges may be turned aside without any walk going another way.
//!
//! Every situation a walk can be in is followed: the step that asks, and the latest results that the question hangs on. Other results
//! and facts are left open, so an arm that asks for one of them may be taken or not. What is found to be impossible so is impossible.
//! What is found possible may rest on something left open; that is then followed too, until the walk found rests on nothing open or
//! nothing is found any more.

use super::mixes::{Mix, word};
use crate::tree::{CarFacts, Edge, Key, Latest, Results, StepKind, Target, Tree, When};
use std::collections::{BTreeMap, BTreeSet, HashSet};

/// Situations followed at most for one question; beyond that the answer is left open.
const MOST: usize = 8_000;

/// What was found out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Reach {
    /// No mix of answers on any of these cars does it.
    Never,
    /// This one does.
    By(Mix),
    /// There are too many situations to say.
    Open,
}

/// What is looked for.
#[derive(Clone, Copy)]
enum Goal<'a> {
    /// That one of the edges is taken.
    Taken,
    /// That another step or end follows on this changed tree.
    Parts(&'a Tree),
}

/// A fact of the car, by its key in a `when`, or a result.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Asked {
    Fact(&'static str),
    Result(Key),
}

/// Whether a mix of answers on one of these cars takes `edge` of `step`, and which.
pub fn reach(tree: &Tree, cars: &BTreeMap<String, CarFacts>, step: usize, edge: Edge) -> Reach {
    if tree.steps[step].undoes.is_some() {
        return Reach::Open;
    }
    Search { tree, cars, goal: Goal::Taken, ways: [(step, edge)].into() }.run()
}

/// Whether a mix of answers on one of these cars goes another way on `after`, which has the same steps, and which mix.
pub fn parts(before: &Tree, after: &Tree, cars: &BTreeMap<String, CarFacts>) -> Reach {
    let Some(ways) = changed(before, after) else { return Reach::Open };
    Search { tree: before, cars, goal: Goal::Parts(after), ways }.run()
}

/// The edges that lead elsewhere in `after`; none where it has other steps, begins elsewhere, or puts back in another way.
pub(super) fn changed(before: &Tree, after: &Tree) -> Option<BTreeSet<(usize, Edge)>> {
    let same = before.steps.len() == after.steps.len()
        && before.steps.iter().zip(&after.steps).all(|(a, b)| a.id == b.id);
    if !same || before.target_id(before.start) != after.target_id(after.start) {
        return None;
    }
    let leads = |tree: &Tree, step: usize, edge: Edge| {
        tree.steps[step].target(edge).map(|to| tree.target_id(*to).to_owned())
    };
    let all = before.steps.iter().enumerate();
    let ways: BTreeSet<(usize, Edge)> = all
        .flat_map(|(i, step)| step.edges().into_iter().map(move |(edge, _)| (i, edge)))
        .filter(|(i, edge)| leads(before, *i, *edge) != leads(after, *i, *edge))
        .collect();
    ways.iter().all(|(step, _)| before.steps[*step].undoes.is_none()).then_some(ways)
}

struct Search<'a> {
    tree: &'a Tree,
    cars: &'a BTreeMap<String, CarFacts>,
    goal: Goal<'a>,
    /// The edges it is about.
    ways: BTreeSet<(usize, Edge)>,
}

/// More situations than are followed.
struct TooMany;

/// A mix, and what it leaves open.
type Led = (Mix, BTreeSet<Asked>);

/// A situation: where, with which results of those followed, and how the walk came there.
struct Situation {
    step: usize,
    results: Vec<&'static str>,
    from: Option<(usize, Edge)>,
    /// What was asked on the last hop and is left open.
    open: BTreeSet<Asked>,
}

/// A way through choose-steps: what follows, and what it rests on.
#[derive(Clone)]
struct Through {
    to: Target,
    taken: Vec<(usize, Edge)>,
    open: BTreeSet<Asked>,
}

/// An arm as far as is followed: results that must be one of these, and what is left open; none where the car rules it out.
type Arm = Option<(Vec<(usize, Vec<String>)>, Vec<Asked>)>;

/// One car, with the arms of each step as they are on it.
struct Car<'a> {
    name: &'a str,
    keys: Vec<Key>,
    arms: Vec<Vec<Arm>>,
}

impl<'a> Car<'a> {
    fn new(tree: &Tree, name: &'a str, facts: &CarFacts, followed: &BTreeSet<Asked>) -> Self {
        let keys: Vec<Key> = followed
            .iter()
            .filter_map(|a| match a {
                Asked::Result(key) => Some(*key),
                Asked::Fact(_) => None,
            })
            .collect();
        let arm = |when: &When| -> Arm {
            let (sure, open): (Vec<Asked>, Vec<Asked>) =
                asked_of(when).into_iter().partition(|asked| followed.contains(asked));
            let ruled_out = |asked: &Asked| match asked {
                Asked::Fact(fact) => !fact_holds(when, fact, facts),
                Asked::Result(_) => false,
            };
            if sure.iter().any(ruled_out) {
                return None;
            }
            let slot = |key: &Key| keys.iter().position(|k| k == key);
            let needs = when.was.iter().filter_map(|(key, ids)| Some((slot(key)?, ids.clone()))).collect();
            Some((needs, open))
        };
        let arms = tree.steps.iter().map(|step| match &step.kind {
            StepKind::Choose { arms, .. } => arms.iter().map(|a| arm(&a.when)).collect(),
            _ => Vec::new(),
        });
        let arms = arms.collect();
        Self { name, keys, arms }
    }
}

impl Search<'_> {
    fn run(&self) -> Reach {
        let mut followed: BTreeSet<Asked> = BTreeSet::new();
        let mut ask = |step: usize| {
            if let StepKind::Choose { arms, .. } = &self.tree.steps[step].kind {
                followed.extend(arms.iter().flat_map(|arm| asked_of(&arm.when)));
            }
        };
        self.ways.iter().for_each(|(step, _)| ask(*step));
        loop {
            match self.with(&followed) {
                Err(TooMany) => return Reach::Open,
                Ok(None) => return Reach::Never,
                Ok(Some((mix, open))) if open.is_empty() => return Reach::By(mix),
                Ok(Some((_, open))) => followed.extend(open),
            }
        }
    }

    /// The first mix found with only these followed, and what it leaves open.
    fn with(&self, followed: &BTreeSet<Asked>) -> Result<Option<Led>, TooMany> {
        let mut alike: BTreeSet<Vec<String>> = BTreeSet::new();
        let mut budget = MOST;
        for (name, facts) in self.cars {
            let told = followed.iter().filter_map(|a| match a {
                Asked::Fact(key) => fact(key).map(|fact| (fact.of)(facts)),
                Asked::Result(_) => None,
            });
            if !alike.insert(told.collect()) {
                continue;
            }
            let found = self.on(&Car::new(self.tree, name, facts, followed), &mut budget)?;
            if found.is_some() {
                return Ok(found);
            }
        }
        Ok(None)
    }

    fn on(&self, car: &Car, budget: &mut usize) -> Result<Option<Led>, TooMany> {
        let mut all: Vec<Situation> = Vec::new();
        let mut known: HashSet<(usize, Vec<&'static str>)> = HashSet::new();
        let mut add = |all: &mut Vec<Situation>, situation: Situation| {
            if known.insert((situation.step, situation.results.clone())) {
                all.push(situation);
            }
        };
        let results = vec![Latest::NotTested.id(); car.keys.len()];
        for Through { to, taken, open } in through(self.tree, car, self.tree.start, &results) {
            if let Some(more) = self.reached(car, None, to, &taken, &results) {
                let open = open.union(&more).copied().collect();
                return Ok(Some((Mix { rig: car.name.to_owned(), ..Mix::default() }, open)));
            }
            if let Target::Step(step) = to {
                add(&mut all, Situation { step, results: results.clone(), from: None, open });
            }
        }
        let mut here = 0;
        while here < all.len() {
            *budget = budget.checked_sub(1).ok_or(TooMany)?;
            let index = all[here].step;
            let step = &self.tree.steps[index];
            let slot = Key::of(&step.kind).and_then(|key| car.keys.iter().position(|k| *k == key));
            for (edge, target) in step.edges() {
                let mut results = all[here].results.clone();
                // A step that could not be done leaves nothing behind, and an earlier result stands.
                if let Some(slot) = slot.filter(|_| edge != Edge::Cannot) {
                    results[slot] = word(step, edge);
                }
                for Through { to, taken, open } in through(self.tree, car, *target, &results) {
                    if let Some(more) = self.reached(car, Some((index, edge)), to, &taken, &results) {
                        let open = open.union(&more).copied().collect();
                        return Ok(Some(self.told(car, &all, here, edge, open)));
                    }
                    if let Target::Step(step) = to {
                        add(
                            &mut all,
                            Situation { step, results: results.clone(), from: Some((here, edge)), open },
                        );
                    }
                }
            }
            here += 1;
        }
        Ok(None)
    }

    /// The walk to a situation and on by `edge`, and everything it leaves open.
    fn told(&self, car: &Car, all: &[Situation], last: usize, edge: Edge, mut open: BTreeSet<Asked>) -> Led {
        let mut mix = Mix { rig: car.name.to_owned(), ..Mix::default() };
        let mut at = Some((last, edge));
        while let Some((index, edge)) = at {
            let situation = &all[index];
            let step = &self.tree.steps[situation.step];
            mix.gives.insert(step.id.clone(), word(step, edge).to_owned());
            open.extend(situation.open.iter().copied());
            at = situation.from;
        }
        (mix, open)
    }

    /// Whether a hop does what is looked for, and what that leaves open beside the hop itself.
    fn reached(
        &self,
        car: &Car,
        hop: Option<(usize, Edge)>,
        to: Target,
        taken: &[(usize, Edge)],
        results: &[&'static str],
    ) -> Option<BTreeSet<Asked>> {
        let way = hop.iter().chain(taken).find(|way| self.ways.contains(way))?;
        match self.goal {
            Goal::Taken => Some(BTreeSet::new()),
            Goal::Parts(after) => {
                // Up to the changed edge both go the same way; from there on they may part.
                let Some(target) = after.steps[way.0].target(way.1) else { return Some(BTreeSet::new()) };
                let here = self.tree.target_id(to);
                let ways = through(after, car, *target, results).into_iter();
                let parting = ways.filter(|way| after.target_id(way.to) != here);
                parting.map(|way| way.open).min_by_key(BTreeSet::len)
            }
        }
    }
}

/// Every way through choose- and include-steps from `target`, as far as what is followed decides. Both trees ask the same.
fn through(tree: &Tree, car: &Car, target: Target, results: &[&'static str]) -> Vec<Through> {
    let mut found = Vec::new();
    let mut ways = vec![Through { to: target, taken: Vec::new(), open: BTreeSet::new() }];
    while let Some(way) = ways.pop() {
        let Target::Step(index) = way.to else {
            found.push(way);
            continue;
        };
        let on = |way: &Through, edge: Edge, to: Target, open: &BTreeSet<Asked>| {
            let taken = way.taken.iter().copied().chain([(index, edge)]).collect();
            Through { to, taken, open: open.clone() }
        };
        match &tree.steps[index].kind {
            _ if way.taken.len() > tree.steps.len() => {}
            StepKind::Include(include) => {
                ways.extend(include.entry.map(|entry| on(&way, Edge::Entry, entry, &way.open)));
            }
            StepKind::Choose { arms, otherwise } => {
                let mut open = way.open.clone();
                let mut decided = false;
                for (i, (arm, known)) in arms.iter().zip(&car.arms[index]).enumerate() {
                    let Some((needs, unsure)) = known else { continue };
                    if needs.iter().any(|(slot, ids)| !ids.iter().any(|id| id == results[*slot])) {
                        continue;
                    }
                    open.extend(unsure);
                    ways.push(on(&way, Edge::Arm(i), arm.next, &open));
                    if unsure.is_empty() {
                        decided = true;
                        break;
                    }
                }
                if !decided {
                    ways.push(on(&way, Edge::Else, *otherwise, &open));
                }
            }
            _ => found.push(way),
        }
    }
    found
}

/// A fact of the car: a condition with that fact of it alone, and what it is on a car, to tell cars apart by.
struct Fact {
    key: &'static str,
    only: fn(&When) -> When,
    of: fn(&CarFacts) -> String,
}

macro_rules! fact {
    ($key:literal, $field:ident) => {
        Fact {
            key: $key,
            only: |when| {
                let When { $field, .. } = when.clone();
                When { $field, ..When::default() }
            },
            of: |facts| format!("{:?}", facts.$field),
        }
    };
}

const FACTS: &[Fact] = &[
    fact!("induction", induction),
    fact!("tip", tip),
    fact!("style", style),
    fact!("reference", reference),
    fact!("load-by", load_by),
    fact!("pressure-model", pressure_model),
    fact!("pump-type", pump_type),
    fact!("returns", returns),
    fact!("filter", filter),
    fact!("strainer", strainer),
    fact!("holds", holds),
    fact!("boosted", boosted),
    fact!("trims-at", trims_at),
];

fn fact(key: &str) -> Option<&'static Fact> {
    FACTS.iter().find(|fact| fact.key == key)
}

fn asked_of(when: &When) -> Vec<Asked> {
    let facts = FACTS.iter().filter(|fact| (fact.only)(when) != When::default());
    let facts = facts.map(|fact| Asked::Fact(fact.key));
    facts.chain(when.was.iter().map(|(key, _)| Asked::Result(*key))).collect()
}

fn fact_holds(when: &When, key: &str, facts: &CarFacts) -> bool {
    struct Nothing;
    impl Results for Nothing {
        fn latest(&self, _: Key) -> Latest {
            Latest::NotTested
        }
    }
    fact(key).is_none_or(|fact| (fact.only)(when).holds(facts, &Nothing))
}
