//! A search toward a way that no drawn mix takes, and toward walks that show where a way led elsewhere.
//!
//! An arm that asks for several results at once is hardly ever drawn. Here a kept walk that comes near is turned on purpose: where it
//! leaves the way, the step is answered otherwise; where a choice leads it off, a step that gives what the arm asks for gives that, or
//! what an arm before it asks for is taken away; where no step on the path gives it, one that does is looked for first. A few such
//! turns are taken together and kept where they come no less near.

use super::course::{Gives, Ground, Latests, Pass, met};
use crate::tree::{Edge, Latest, StepKind, Target};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;
use std::cmp::Reverse;
use std::collections::{BTreeSet, BinaryHeap, HashMap};
use std::rc::Rc;

/// No way leads there.
const NEVER: u32 = u32::MAX;
/// How deep a search for a step that gives a result asks for another.
const DEPTH: usize = 4;
/// Turns taken together at most.
const TOGETHER: usize = 9;

/// A walk: the car, what its steps give, and what it passes.
#[derive(Debug, Clone)]
pub(super) struct Walked {
    pub car: usize,
    pub gives: Gives,
    pub course: Vec<Pass>,
}

impl Walked {
    pub fn new(ground: &Ground, car: usize, gives: Gives) -> Self {
        Self { car, course: ground.course(car, &gives), gives }
    }

    pub fn takes(&self, (step, edge): (usize, Edge)) -> Option<usize> {
        self.course.iter().position(|p| p.step == step && p.edge == edge)
    }
}

/// How near a walk comes: steps still to go from its nearest one, and what stands in the way there.
type Near = (u32, u32);

pub(super) struct Toward<'a> {
    pub ground: &'a Ground<'a>,
    pub random: Pcg64,
    /// By step, how far each other step is from it.
    far: HashMap<usize, Rc<Vec<u32>>>,
}

impl<'a> Toward<'a> {
    pub fn new(ground: &'a Ground<'a>, seed: u64) -> Self {
        Self { ground, random: Pcg64::seed_from_u64(seed), far: HashMap::new() }
    }

    /// A walk that takes one of these ways, found from the nearest of `bases` within that many tries from each.
    pub fn found(&mut self, places: &[(usize, Edge)], bases: &[Walked], tries: usize) -> Option<Walked> {
        let mut starts: Vec<(Near, (usize, Edge), usize)> = Vec::new();
        for place in places {
            if bases.is_empty() || self.cars(*place).is_empty() {
                continue;
            }
            let near =
                bases.iter().map(|b| self.nearest(b.car, &b.course, *place).map_or((NEVER, 0), |n| n.1));
            let mut near: Vec<(Near, usize)> = near.collect::<Vec<_>>().into_iter().zip(0..).collect();
            near.sort_unstable();
            let random = &mut self.random;
            let any = (0..6).map(|_| near[random.random_range(0..near.len())]);
            let picked: Vec<(Near, usize)> = near.iter().copied().take(10).chain(any).collect();
            starts.extend(picked.into_iter().map(|(near, base)| (near, *place, base)));
        }
        starts.sort_unstable_by_key(|s| (s.0, s.2));
        starts.truncate(40);
        starts.into_iter().find_map(|(_, place, base)| self.climbed(place, bases[base].clone(), tries))
    }

    /// Cars on which an arm can hold.
    fn cars(&self, (step, edge): (usize, Edge)) -> Vec<usize> {
        (0..self.ground.cars.len()).filter(|car| self.ground.fits(*car, step, edge)).collect()
    }

    fn climbed(&mut self, goal: (usize, Edge), mut best: Walked, tries: usize) -> Option<Walked> {
        let cars = self.cars(goal);
        if !cars.contains(&best.car) {
            let car = cars[self.random.random_range(0..cars.len())];
            best = Walked::new(self.ground, car, best.gives);
        }
        let mut near = self.nearest(best.car, &best.course, goal).map_or((NEVER, 0), |n| n.1);
        for _ in 0..tries {
            if best.takes(goal).is_some() {
                return Some(best);
            }
            let mut next = best.clone();
            if self.random.random_range(0..16) == 0 {
                let car = cars[self.random.random_range(0..cars.len())];
                next = Walked::new(self.ground, car, next.gives);
            }
            if self.random.random_range(0..6) == 0 {
                self.turned_anyhow(&mut next);
            }
            let mut pinned = BTreeSet::new();
            for _ in 0..self.random.random_range(1..=TOGETHER) {
                if next.takes(goal).is_some() {
                    return Some(next);
                }
                let Some(turn) = self.hint(next.car, &next.course, goal, &pinned, 0) else { break };
                self.turn(&mut next, turn, &mut pinned);
            }
            let comes = self.nearest(next.car, &next.course, goal).map_or((NEVER, 0), |n| n.1);
            if comes <= near {
                (near, best) = (comes, next);
            }
        }
        best.takes(goal).map(|_| best)
    }

    pub fn turn(&self, walked: &mut Walked, (step, edge): (usize, Edge), pinned: &mut BTreeSet<usize>) {
        pinned.insert(step);
        walked.gives.insert(step, edge);
        walked.course = self.ground.course(walked.car, &walked.gives);
    }

    fn turned_anyhow(&mut self, walked: &mut Walked) {
        let asked: Vec<usize> =
            walked.course.iter().map(|p| p.step).filter(|s| self.ground.tree.steps[*s].asks()).collect();
        if asked.is_empty() {
            return;
        }
        let step = asked[self.random.random_range(0..asked.len())];
        let edges = &self.ground.edges[step];
        let edge = edges[self.random.random_range(0..edges.len())].0;
        self.turn(walked, (step, edge), &mut BTreeSet::new());
    }

    /// How far each step is from one: a step that asks somebody counts one, an arm one more for each result it asks for.
    fn far(&mut self, goal: usize) -> Rc<Vec<u32>> {
        if let Some(far) = self.far.get(&goal) {
            return far.clone();
        }
        let ground = self.ground;
        let mut into: Vec<Vec<(usize, u32)>> = vec![Vec::new(); ground.edges.len()];
        for (step, edges) in ground.edges.iter().enumerate() {
            for (edge, target) in edges {
                if let Target::Step(to) = target {
                    let asks = match edge {
                        Edge::Arm(i) => ground.arms[step][*i].len(),
                        _ => 0,
                    };
                    into[*to].push((step, 1 + u32::try_from(asks).unwrap_or(0)));
                }
            }
        }
        let mut far = vec![NEVER; ground.edges.len()];
        far[goal] = 0;
        let mut open = BinaryHeap::from([(Reverse(0), goal)]);
        while let Some((Reverse(so_far), step)) = open.pop() {
            if so_far > far[step] {
                continue;
            }
            for (from, more) in &into[step] {
                if so_far + more < far[*from] {
                    far[*from] = so_far + more;
                    open.push((Reverse(so_far + more), *from));
                }
            }
        }
        let far = Rc::new(far);
        self.far.insert(goal, far.clone());
        far
    }

    /// The edges of a step that lead nearer.
    fn wanted(&self, step: usize, goal: (usize, Edge), far: &[u32]) -> Vec<Edge> {
        if step == goal.0 {
            return vec![goal.1];
        }
        let nearer = |to: &Target| matches!(to, Target::Step(to) if far[*to] < far[step]);
        self.ground.edges[step].iter().filter(|(_, to)| nearer(to)).map(|e| e.0).collect()
    }

    /// Where a course comes nearest, and how near; none where no way leads on from any step of it.
    fn nearest(&mut self, car: usize, course: &[Pass], goal: (usize, Edge)) -> Option<(usize, Near)> {
        let far = self.far(goal.0);
        let least = course.iter().map(|p| far[p.step]).min().filter(|far| *far != NEVER)?;
        let at = course.iter().position(|p| far[p.step] == least)?;
        let step = course[at].step;
        let stands = if course[at].edge == goal.1 && step == goal.0 {
            0
        } else if self.ground.tree.steps[step].asks() {
            1
        } else {
            let results = self.ground.after(&course[..at]);
            let wanted = self.wanted(step, goal, &far).into_iter();
            wanted.map(|edge| self.stands(car, step, edge, &results)).min().unwrap_or(NEVER)
        };
        Some((at, (least, stands)))
    }

    /// How much stands in the way of an edge of a choose-step.
    fn stands(&self, car: usize, step: usize, edge: Edge, results: &Latests) -> u32 {
        let count = self.in_the_way(car, step, edge, results).len();
        let unfit = if self.ground.fits(car, step, edge) { 0 } else { 50 };
        unfit + u32::try_from(count).unwrap_or(NEVER / 2)
    }

    /// The results that an edge of a choose-step lacks, and the arms before it that hold.
    fn in_the_way(&self, car: usize, step: usize, edge: Edge, results: &Latests) -> Vec<InTheWay<'a>> {
        let arms = &self.ground.arms[step];
        let (before, lacks) = match edge {
            Edge::Arm(i) => (i, arms[i].as_slice()),
            _ => (arms.len(), [].as_slice()),
        };
        let lacks = lacks.iter().filter(|need| !met(need, results)).map(InTheWay::Lacks);
        let holding = arms[..before].iter().enumerate().filter(|(i, needs)| {
            self.ground.fits(car, step, Edge::Arm(*i)) && needs.iter().all(|need| met(need, results))
        });
        lacks.chain(holding.map(|(_, needs)| InTheWay::Holds(needs.as_slice()))).collect()
    }

    /// One turn of a step that brings a course nearer, steps already turned left alone.
    pub fn hint(
        &mut self,
        car: usize,
        course: &[Pass],
        goal: (usize, Edge),
        pinned: &BTreeSet<usize>,
        depth: usize,
    ) -> Option<(usize, Edge)> {
        let (at, _) = self.nearest(car, course, goal)?;
        let step = course[at].step;
        let far = self.far(goal.0);
        let wanted = self.wanted(step, goal, &far);
        if wanted.is_empty() {
            return None;
        }
        let any = wanted[self.random.random_range(0..wanted.len())];
        if self.ground.tree.steps[step].asks() {
            return (!pinned.contains(&step)).then_some((step, any));
        }
        let results = self.ground.after(&course[..at]);
        let edge = if self.random.random_range(0..4) == 0 {
            any
        } else {
            wanted.into_iter().min_by_key(|edge| self.stands(car, step, *edge, &results))?
        };
        self.cleared(car, &course[..at], (step, edge), &results, pinned, depth)
    }

    /// One turn of a step passed before, or toward one, that takes away something that stands in the way of an edge of a choose-step.
    pub fn cleared(
        &mut self,
        car: usize,
        before: &[Pass],
        (step, edge): (usize, Edge),
        results: &Latests,
        pinned: &BTreeSet<usize>,
        depth: usize,
    ) -> Option<(usize, Edge)> {
        let all = self.in_the_way(car, step, edge, results);
        if all.is_empty() {
            return None;
        }
        let (slot, ids, wanted) = match all[self.random.random_range(0..all.len())] {
            InTheWay::Lacks((slot, ids)) => (*slot, ids, true),
            InTheWay::Holds([]) => return None,
            InTheWay::Holds(needs) => {
                let (slot, ids) = &needs[self.random.random_range(0..needs.len())];
                (*slot, ids, false)
            }
        };
        let fine = |id: &str| ids.iter().any(|i| i == id) == wanted;
        let untested = fine(Latest::NotTested.id());
        let ground = self.ground;
        let good = |giver: usize| -> Vec<(usize, Edge)> {
            let edges = ground.edges[giver].iter().map(|e| e.0);
            let fits = |edge: &Edge| match edge {
                Edge::Cannot => untested,
                edge => fine(super::mixes::word(&ground.tree.steps[giver], *edge)),
            };
            edges.filter(fits).map(|edge| (giver, edge)).collect()
        };
        let gave = before.iter().filter(|p| ground.slots[p.step] == Some(slot));
        // The latest counts; where it is turned to "cannot", what was there before does.
        let mut there: Vec<(usize, Edge)> = gave
            .clone()
            .rfind(|p| p.edge != Edge::Cannot)
            .or_else(|| gave.clone().next_back())
            .map(|p| good(p.step))
            .unwrap_or_default();
        if !untested && self.random.random_range(0..3) == 0 {
            there.extend(gave.filter(|p| p.edge == Edge::Cannot).flat_map(|p| good(p.step)));
        }
        there.retain(|(step, _)| !pinned.contains(step));
        let deeper = depth < DEPTH && (there.is_empty() || self.random.random_range(0..8) == 0);
        if !deeper {
            return (!there.is_empty()).then(|| there[self.random.random_range(0..there.len())]);
        }
        let elsewhere = ground.givers[slot].iter().filter(|g| before.iter().all(|p| p.step != **g));
        let elsewhere: Vec<(usize, Edge)> =
            elsewhere.flat_map(|g| good(*g)).filter(|(_, edge)| *edge != Edge::Cannot).collect();
        if elsewhere.is_empty() {
            return None;
        }
        let goal = elsewhere[self.random.random_range(0..elsewhere.len())];
        self.hint(car, before, goal, pinned, depth + 1)
    }

    /// The choose-steps between a target and what is asked then.
    pub fn choices(&self, car: usize, target: Target, results: &Latests) -> Vec<usize> {
        let mut found = Vec::new();
        self.ground.through(car, target, results, |step| {
            if matches!(self.ground.tree.steps[step].kind, StepKind::Choose { .. }) {
                found.push(step);
            }
        });
        found
    }
}

/// What stands in the way of an edge of a choose-step.
#[derive(Clone, Copy)]
enum InTheWay<'a> {
    Lacks(&'a (usize, Vec<String>)),
    Holds(&'a [(usize, Vec<String>)]),
}
