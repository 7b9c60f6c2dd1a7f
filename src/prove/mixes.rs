//! Walks on mixes of answers: what each step gives is drawn, whatever car could give it.
//!
//! A walk on a car with one fault takes the ways that car leads it. People slip, cars have two faults, and half of a tree is there for
//! what no single fault brings about. Here every way a step has is taken, `undecided` and `cannot` among them, so that every arm of a
//! choice that any mix of answers reaches is walked. The engine itself walks; no model and no instrument is asked.
//!
//! A mix says only where a walk leaves the plain way: done, within, the first answer. Mixes are found by turning a step or a few of one
//! that is kept, and one is kept for each way on that none took before. What no draw comes to is looked for in [`super::sought()`].

use crate::tree::{CarFacts, Edge, Step, StepKind, Tree, Verdict};
use crate::walk::{self, At, Band, Ending, Event, Reason, State, Taken, choices};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;
use sha2::{Digest, Sha256};
use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::sync::Arc;

/// More turns than any walk takes, the putting back included.
const MOST_TURNS: usize = 1_000;

/// A car and where its walk leaves the plain way: by flat step id, the word of the way taken.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Mix {
    /// The rig whose facts hold.
    pub rig: String,
    /// By step, what it gives.
    pub gives: BTreeMap<String, String>,
}

impl Mix {
    /// The mix that led along a trail, without the plain ways.
    pub fn of(tree: &Tree, rig: &str, trail: &Trail) -> Self {
        let steps = trail.steps.iter().map(|(index, edge)| (&tree.steps[*index], *edge));
        let gives = steps.filter(|(step, edge)| *edge != plain(step));
        Self {
            rig: rig.to_owned(),
            gives: gives.map(|(s, edge)| (s.id.clone(), word(s, edge).to_owned())).collect(),
        }
    }
}

/// Where a mix led.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Trail {
    /// The steps that asked for something, with the way each was left.
    pub steps: Vec<(usize, Edge)>,
    /// The choose-steps passed, with the arm each took.
    pub choices: Vec<(usize, Edge)>,
    /// The finding or hand-over it ended at with what was not put back, or why it broke off.
    pub end: String,
    /// Whether it came to an end as a walk should.
    pub closed: bool,
}

impl Trail {
    /// A short sum over the steps, what they gave, and the end: two walks with the same one went the same way.
    pub fn sum(&self, tree: &Tree) -> String {
        let mut sum = Sha256::new();
        for (index, edge) in &self.steps {
            let step = &tree.steps[*index];
            sum.update(format!("{} {}\n", step.id, word(step, *edge)));
        }
        sum.update(&self.end);
        let sum = sum.finalize();
        format!("{:02x}{:02x}{:02x}{:02x}", sum[0], sum[1], sum[2], sum[3])
    }
}

/// What a person gives to leave a step by that edge, in a word.
pub fn word(step: &Step, edge: Edge) -> &'static str {
    match (edge, &step.kind) {
        (Edge::Low, _) => "low",
        (Edge::Within, _) => "within",
        (Edge::High, _) => "high",
        (Edge::Undecided, _) => "undecided",
        (Edge::Cannot, _) => "cannot",
        (Edge::Answer(i), StepKind::Observe { answers, .. }) => answers.get(i).map_or("?", |a| a.outcome.id),
        _ => "done",
    }
}

/// The plain way on from a step: done, within, the first outcome of a look.
pub(super) fn plain(step: &Step) -> Edge {
    match &step.kind {
        StepKind::Read(_) => Edge::Within,
        StepKind::Observe { observation, answers } => {
            let first = observation.outcomes().first();
            Edge::Answer(first.and_then(|o| answers.iter().position(|a| a.outcome == *o)).unwrap_or(0))
        }
        _ => Edge::Next,
    }
}

/// Walks a mix to its end and puts everything back. A word that a step does not know counts for nothing.
pub fn walk(tree: &Tree, facts: &CarFacts, mix: &Mix) -> Trail {
    walk_by(tree, facts, |step| {
        let given = mix.gives.get(&step.id)?;
        step.edges().into_iter().map(|(edge, _)| edge).find(|edge| word(step, *edge) == given)
    })
}

/// Walks where `pick` leads at each step; where it says nothing, the plain way.
fn walk_by(tree: &Tree, facts: &CarFacts, mut pick: impl FnMut(&Step) -> Option<Edge>) -> Trail {
    let begun = Event::Begun { tree: tree.id.clone(), digest: tree.digest.clone(), facts: facts.clone() };
    let mut trail = Trail { steps: Vec::new(), choices: Vec::new(), end: String::new(), closed: false };
    let mut state = State::default();
    let mut events = vec![begun];
    let mut picked: Option<(usize, Edge)> = None;
    let mut mended = None;
    for _ in 0..MOST_TURNS {
        for event in events.drain(..) {
            match walk::step(tree, &state, &event) {
                Ok(next) => state = next,
                Err(refusal) => {
                    trail.end = format!("refused: {refusal}");
                    return trail;
                }
            }
        }
        events = match state.at() {
            // A leak seen at the last look is mended, and the joints are dry then.
            At::Leak => {
                mended = picked.map(|p| p.0);
                vec![Event::LeakMended { note: None }]
            }
            At::Step(index) | At::Undo { step: index, .. } => {
                let (index, step) = (*index, &tree.steps[*index]);
                // A reading that is repeated reads the same again.
                let repeats = !state.repeats().is_empty();
                let edge = if let Some((_, edge)) = picked.filter(|p| repeats && p.0 == index) {
                    edge
                } else {
                    let picked = pick(step).filter(|_| mended != Some(index));
                    let edge = picked.unwrap_or_else(|| plain(step));
                    trail.steps.push((index, edge));
                    edge
                };
                picked = Some((index, edge));
                given(step, edge)
            }
            At::Finding(_) => vec![Event::Accepted { note: None }],
            At::Handover(_) => vec![Event::HandedOver { note: None }],
            At::Review => {
                trail.choices = choices(tree, &state);
                vec![Event::Closed]
            }
            At::Closed => {
                trail.closed = true;
                let end = match state.ending() {
                    Some(Ending::Finding { finding, .. }) => tree.findings[finding].id.clone(),
                    Some(Ending::Handover(handover)) => tree.handovers[handover].id.clone(),
                    other => format!("{other:?}"),
                };
                trail.end =
                    state.not_undone().iter().fold(end, |end, left| format!("{end} with {left} left"));
                return trail;
            }
            other => {
                trail.end = format!("broke off: {other:?}");
                return trail;
            }
        };
    }
    trail.end = format!("no end within {MOST_TURNS} turns");
    trail
}

/// The events by which a person leaves a step by that edge.
fn given(step: &Step, edge: Edge) -> Vec<Event> {
    let id = step.id.clone();
    if edge == Edge::Cannot {
        return vec![Event::CannotDo { step: id, reason: Reason::NoAccess, note: None }];
    }
    let mut events = Vec::new();
    if !step.cautions.is_empty() {
        events.push(Event::CautionConfirmed { step: id.clone(), cautions: step.cautions.clone() });
    }
    events.push(match &step.kind {
        StepKind::Read(read) => {
            let verdict = match edge {
                Edge::Low => Verdict::Low,
                Edge::High => Verdict::High,
                Edge::Undecided => Verdict::Undecided,
                _ => Verdict::Within,
            };
            let taken = Taken {
                reading: read.reading,
                condition: read.at,
                typed: verdict.id().to_owned(),
                si: 0.0,
                unit: String::new(),
                datum: None,
                place: read.places.first().copied(),
                instrument: "drawn".to_owned(),
                u: 0.0,
                band: Band { low: None, high: None, expected: None },
                verdict,
                probability: 1.0,
                log: None,
            };
            Event::Read { step: id, taken: Arc::new(taken) }
        }
        StepKind::Observe { observation, .. } => {
            let outcome = word(step, edge).to_owned();
            Event::Answered { step: id, observation: *observation, typed: outcome.clone(), outcome }
        }
        _ => Event::Done { step: id },
    });
    events
}

/// A way on: from a step by an edge to what is asked next, or the arm of a choose-step and what is asked then.
pub(super) type Hop = (usize, Edge, String);

/// The ways on that a trail took. What follows an end, the putting back, counts step by step. Of files whose ways are kept with
/// another tree only the ways out of them count.
pub(super) fn hops(tree: &Tree, trail: &Trail, elsewhere: &BTreeSet<String>) -> BTreeSet<Hop> {
    let counts = |step: usize| !elsewhere.contains(&tree.files[tree.steps[step].origin.file].name);
    let choices = trail.choices.iter().filter(|c| counts(c.0));
    let mut found: BTreeSet<Hop> = choices.map(|(step, edge)| (*step, *edge, String::new())).collect();
    // The way out of a procedure that the tree itself includes; how procedures within it hang together is the same in every tree.
    let part = |id: &str| id.split_once('/').map_or("", |(part, _)| part).to_owned();
    for (i, (step, edge)) in trail.steps.iter().enumerate() {
        let next = trail.steps.get(i + 1).map_or(trail.end.as_str(), |n| tree.steps[n.0].id.as_str());
        let undoes = tree.steps[*step].undoes.is_some();
        if counts(*step) {
            found.insert((*step, *edge, if undoes { String::new() } else { next.to_owned() }));
            continue;
        }
        let from = part(&tree.steps[*step].id);
        if !undoes && from != part(next) {
            found.insert((usize::MAX, Edge::Entry, format!("{from} to {next}")));
        }
    }
    found
}

/// Draws that many mixes on these cars and keeps, beside those there are, each that takes a way on that none took before. Ways within
/// the files `elsewhere` are left to the tree they are kept with.
pub fn drawn(
    tree: &Tree,
    cars: &BTreeMap<String, CarFacts>,
    there: Vec<Mix>,
    elsewhere: &BTreeSet<String>,
    draws: usize,
) -> Vec<Mix> {
    let cars: Vec<(&String, &CarFacts)> = cars.iter().collect();
    let places: HashMap<&str, usize> =
        tree.steps.iter().enumerate().map(|(i, s)| (s.id.as_str(), i)).collect();
    let mut random = Pcg64::seed_from_u64(7);
    let mut taken: HashMap<(usize, Edge), u32> = HashMap::new();
    let mut known: BTreeSet<Hop> = BTreeSet::new();
    let mut kept: Vec<Mix> = Vec::new();
    for mix in there {
        let Some((_, facts)) = cars.iter().find(|c| *c.0 == mix.rig) else { continue };
        let hops = hops(tree, &walk(tree, facts, &mix), elsewhere);
        known.extend(hops);
        kept.push(mix);
    }
    if cars.is_empty() {
        return Vec::new();
    }
    for n in 0..draws {
        let base = match kept.len() {
            0 => Mix::default(),
            // The latest are the furthest from what was walked often.
            all if random.random::<bool>() => kept[all - 1 - random.random_range(0..all.min(40))].clone(),
            all => kept[random.random_range(0..all)].clone(),
        };
        let same = cars.iter().find(|c| *c.0 == base.rig).filter(|_| random.random_range(0..3) > 0);
        let (rig, facts) = *same.unwrap_or(&cars[random.random_range(0..cars.len())]);
        // Seldom all steps, mostly one or two.
        let turns = [0.02, 0.02, 0.05, 0.15, 0.5][n % 5];
        // Some people have few tools and some read near every limit: arms for results that are not there ask for many at once.
        let lame = [None, None, None, Some(Edge::Cannot), Some(Edge::Undecided)][random.random_range(0..5)];
        let trail = walk_by(tree, facts, |step| {
            let index = *places.get(step.id.as_str())?;
            let ways: Vec<Edge> = step.edges().into_iter().map(|(edge, _)| edge).collect();
            let seldom = ways.iter().copied().min_by_key(|e| taken.get(&(index, *e)).copied().unwrap_or(0));
            Some(if random.random::<f64>() >= turns {
                let before = base.gives.get(&step.id);
                let before = before.and_then(|w| ways.iter().copied().find(|e| word(step, *e) == w));
                let lame = lame.filter(|e| ways.contains(e) && random.random_range(0..3) > 0);
                before.or(lame).unwrap_or(plain(step))
            } else if random.random::<bool>() {
                seldom.unwrap_or(plain(step))
            } else {
                ways[random.random_range(0..ways.len())]
            })
        });
        for way in &trail.steps {
            *taken.entry(*way).or_default() += 1;
        }
        let hops = hops(tree, &trail, elsewhere);
        if !hops.is_subset(&known) {
            known.extend(hops);
            kept.push(Mix::of(tree, rig, &trail));
        }
    }
    kept
}

/// An edge as authored: file, step and edge.
type Authored<'a> = (usize, &'a str, Edge);

/// Ways of authored steps and arms of choices that none of these trails took, each with all its places in the flat tree. The putting
/// back is left out.
pub fn untaken(tree: &Tree, trails: &[Trail]) -> Vec<Vec<(usize, Edge)>> {
    let authored = |(step, edge): (usize, Edge)| (&tree.steps[step].origin, edge);
    let took = trails.iter().flat_map(|t| t.steps.iter().chain(&t.choices)).copied();
    let mut left: BTreeMap<Authored<'_>, Vec<(usize, Edge)>> = BTreeMap::new();
    for (i, step) in tree.steps.iter().enumerate().filter(|(_, s)| s.undoes.is_none()) {
        if !matches!(step.kind, StepKind::Include(_)) {
            for (edge, _) in step.edges() {
                left.entry((step.origin.file, &step.origin.id, edge)).or_default().push((i, edge));
            }
        }
    }
    for (origin, edge) in took.map(authored) {
        left.remove(&(origin.file, origin.id.as_str(), edge));
    }
    left.into_values().collect()
}
