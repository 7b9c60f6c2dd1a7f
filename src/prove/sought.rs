//! Mixes found on purpose, beside those drawn: for each way that none takes, and for each edge that none would show turned aside.

use super::aside::{Asides, Turnable};
use super::course::Ground;
use super::mixes::{Hop, Mix, Trail, hops, untaken, walk};
use super::toward::{Toward, Walked};
use crate::tree::{CarFacts, Edge, Tree};
use rand::RngExt;
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet, HashMap};

/// Tries from each walk that a search toward a way sets out from.
const TRIES: usize = 250;
/// Tries for each way whose turns show on no walk yet.
const TURNS: usize = 160;
/// How often is searched, each time from what was found before.
const ROUNDS: u64 = 3;

/// A mix with what it is kept for.
struct Held {
    mix: Mix,
    trail: Trail,
    walked: Walked,
    hops: BTreeSet<Hop>,
}

struct Sought<'a> {
    tree: &'a Tree,
    ground: &'a Ground<'a>,
    asides: &'a Asides,
    elsewhere: &'a BTreeSet<String>,
    held: Vec<Held>,
    /// By number of the turn, whether a walk shows it.
    shown: Vec<bool>,
}

/// Searches, from these mixes, for ways that none of them takes and for edges that none would show turned aside, and leaves out every
/// mix that is kept for nothing the others are not. Ways within the files `elsewhere` are left to the tree they are kept with.
pub fn sought(
    tree: &Tree,
    cars: &BTreeMap<String, CarFacts>,
    there: &[Mix],
    elsewhere: &BTreeSet<String>,
) -> Vec<Mix> {
    let ground = Ground::new(tree, cars);
    let asides = Asides::new(tree, elsewhere);
    let mut sought = Sought {
        tree,
        ground: &ground,
        asides: &asides,
        elsewhere,
        held: Vec::new(),
        shown: vec![false; asides.count],
    };
    for mix in there {
        sought.add(mix);
    }
    for round in 0..ROUNDS {
        let more = sought.ways(round);
        if !sought.turns(round) && !more {
            break;
        }
    }
    sought.needed()
}

impl Sought<'_> {
    /// Holds one more, walked by the engine.
    fn add(&mut self, mix: &Mix) {
        let Some((car, gives)) = self.ground.gives(mix) else { return };
        let trail = walk(self.tree, self.ground.cars[car].1, mix);
        let walked = Walked::new(self.ground, car, gives);
        let shown = &mut self.shown;
        let mut new = Vec::new();
        self.asides.shown(self.ground, car, &walked.course, shown, |turn| new.push(turn));
        for turn in new {
            shown[turn] = true;
        }
        let hops = hops(self.tree, &trail, self.elsewhere);
        self.held.push(Held {
            mix: Mix::of(self.tree, self.ground.cars[car].0, &trail),
            trail,
            walked,
            hops,
        });
    }

    fn bases(&self) -> Vec<Walked> {
        self.held.iter().map(|h| h.walked.clone()).collect()
    }

    /// Searches toward each way that no mix takes; whether any was found.
    fn ways(&mut self, round: u64) -> bool {
        let trails: Vec<Trail> = self.held.iter().map(|h| h.trail.clone()).collect();
        let counts =
            |step: usize| !self.elsewhere.contains(&self.tree.files[self.tree.steps[step].origin.file].name);
        let left = untaken(self.tree, &trails).into_iter().filter(|places| counts(places[0].0));
        let left: Vec<(u64, Vec<(usize, Edge)>)> = (0..).zip(left).collect();
        let bases = self.bases();
        let found: Vec<Mix> = left
            .par_iter()
            .filter_map(|(i, places)| {
                let mut toward = Toward::new(self.ground, round * 100_000 + i);
                let walked = toward.found(places, &bases, TRIES)?;
                let mix = self.ground.mix(walked.car, &walked.gives);
                let trail = walk(self.tree, self.ground.cars[walked.car].1, &mix);
                let mut taken = trail.steps.iter().chain(&trail.choices);
                (trail.closed && taken.any(|way| places.contains(way))).then_some(mix)
            })
            .collect();
        let any = !found.is_empty();
        for mix in &found {
            self.add(mix);
        }
        any
    }

    /// Searches, for each way, toward walks that show what is not shown of it yet; whether any was found.
    fn turns(&mut self, round: u64) -> bool {
        let bases = self.bases();
        let mut taking: HashMap<(usize, Edge), Vec<usize>> = HashMap::new();
        for (i, base) in bases.iter().enumerate() {
            for pass in &base.course {
                taking.entry((pass.step, pass.edge)).or_default().push(i);
            }
        }
        let ways: Vec<(u64, &Turnable)> = (0..).zip(&self.asides.ways).collect();
        let found: Vec<Walked> = ways
            .par_iter()
            .flat_map_iter(|(i, way)| {
                let open: Vec<usize> = way.turns.iter().copied().filter(|t| !self.shown[*t]).collect();
                let from: Vec<((usize, Edge), usize)> = way
                    .places
                    .iter()
                    .flat_map(|place| taking.get(place).into_iter().flatten().map(|base| (*place, *base)))
                    .collect();
                if open.is_empty() || from.is_empty() {
                    return Vec::new();
                }
                let toward = Toward::new(self.ground, round * 100_000 + 50_000 + i);
                self.showing(toward, open, &from, &bases)
            })
            .collect();
        let mut any = false;
        for walked in found {
            let mut new = false;
            self.asides.shown(self.ground, walked.car, &walked.course, &self.shown, |_| new = true);
            if new {
                any = true;
                self.add(&self.ground.mix(walked.car, &walked.gives));
            }
        }
        any
    }

    /// Walks that show these turns of a way, as many as are found.
    fn showing(
        &self,
        mut toward: Toward,
        mut open: Vec<usize>,
        from: &[((usize, Edge), usize)],
        bases: &[Walked],
    ) -> Vec<Walked> {
        let mut found = Vec::new();
        for _ in 0..TURNS {
            let (place, base) = from[toward.random.random_range(0..from.len())];
            let mut walked = bases[base].clone();
            if toward.random.random_range(0..4) == 0 {
                let car = toward.random.random_range(0..self.ground.cars.len());
                walked = Walked::new(self.ground, car, walked.gives);
            }
            let mut pinned = BTreeSet::new();
            for _ in 0..6 {
                let turn = if let Some(at) = walked.takes(place) {
                    let mut now = Vec::new();
                    let course = &walked.course;
                    self.asides.shown(self.ground, walked.car, course, &self.shown, |turn| now.push(turn));
                    now.retain(|turn| open.contains(turn));
                    if !now.is_empty() {
                        open.retain(|turn| !now.contains(turn));
                        found.push(walked);
                        break;
                    }
                    self.other_landing(&mut toward, &walked, at, &open, &pinned)
                } else {
                    toward.hint(walked.car, &walked.course, place, &pinned, 0)
                };
                let Some(turn) = turn else { break };
                toward.turn(&mut walked, turn, &mut pinned);
            }
            if open.is_empty() {
                break;
            }
        }
        found
    }

    /// One turn by which a choose-step behind an edge, or behind where it is turned to, may be left another way.
    fn other_landing(
        &self,
        toward: &mut Toward,
        walked: &Walked,
        at: usize,
        open: &[usize],
        pinned: &BTreeSet<usize>,
    ) -> Option<(usize, Edge)> {
        let pass = walked.course[at];
        let before = &walked.course[..=at];
        let results = self.ground.after(before);
        let turned = self.asides.turned(pass.step, pass.edge, open);
        if turned.is_empty() {
            return None;
        }
        let to = turned[toward.random.random_range(0..turned.len())];
        let mut choices = toward.choices(walked.car, pass.to, &results);
        choices.extend(toward.choices(walked.car, to, &results));
        if choices.is_empty() {
            return None;
        }
        let choice = choices[toward.random.random_range(0..choices.len())];
        let edges = &self.ground.edges[choice];
        let edge = edges[toward.random.random_range(0..edges.len())].0;
        toward.cleared(walked.car, before, (choice, edge), &results, pinned, 0)
    }

    /// The mixes without those kept for nothing that the others are not, the first held before the last.
    fn needed(self) -> Vec<Mix> {
        let nothing = vec![false; self.asides.count];
        let turns: Vec<Vec<usize>> = self
            .held
            .par_iter()
            .map(|held| {
                let mut turns = Vec::new();
                let Walked { car, course, .. } = &held.walked;
                self.asides.shown(self.ground, *car, course, &nothing, |turn| turns.push(turn));
                turns
            })
            .collect();
        let mut times: BTreeMap<&Hop, usize> = BTreeMap::new();
        for hop in self.held.iter().flat_map(|held| &held.hops) {
            *times.entry(hop).or_default() += 1;
        }
        let mut shows = vec![0_usize; self.asides.count];
        for turn in turns.iter().flatten() {
            shows[*turn] += 1;
        }
        let mut needed = Vec::new();
        for (held, turns) in self.held.iter().zip(&turns) {
            let mut own: BTreeMap<usize, usize> = BTreeMap::new();
            for turn in turns {
                *own.entry(*turn).or_default() += 1;
            }
            let spare = held.hops.iter().all(|hop| times[hop] > 1) && own.iter().all(|(t, n)| shows[*t] > *n);
            if !spare {
                needed.push(held.mix.clone());
                continue;
            }
            for hop in &held.hops {
                *times.entry(hop).or_default() -= 1;
            }
            for (turn, n) in own {
                shows[turn] -= n;
            }
        }
        needed
    }
}
