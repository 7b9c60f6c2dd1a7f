//! What no mix of answers can do, reckoned over all of them at once.
//!
//! For each step and each two results that some arm asks for, it holds which values these two can have there together, whatever was
//! answered on the way. That holds more for possible than is, as three results may rule one another out where no two of them do; so
//! what is impossible here is impossible. Facts are taken car by car.

use super::alike::changed;
use super::course::{Ground, Needs};
use super::mixes::word;
use crate::tree::{CarFacts, Edge, Latest, StepKind, Target, Tree};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet, HashMap};

/// Values of one result at most; a row of eight bits for each value of the other.
const VALUES: usize = 8;

/// Ways that some mix of answers on one of these cars may take; those not among them are taken by none. Nothing is said of the
/// putting back, and nothing at all of a tree with a result of more values than are followed.
pub fn possible(tree: &Tree, cars: &BTreeMap<String, CarFacts>) -> Option<BTreeSet<(usize, Edge)>> {
    let ground = Ground::new(tree, cars);
    let values = Values::of(&ground)?;
    let of_car = |car: usize| {
        let mut ways = BTreeSet::new();
        values.over(&ground, car, |step, edge, _, _| {
            ways.insert((step, edge));
        });
        ways
    };
    Some(ground.unlike().into_par_iter().map(of_car).reduce(BTreeSet::new, |a, b| &a | &b))
}

/// For each of these changed trees, which have the same steps, whether a mix of answers on one of these cars may go another way than
/// on `before`. Where it says no, none does.
pub fn may_part(before: &Tree, after: &[&Tree], cars: &BTreeMap<String, CarFacts>) -> Vec<bool> {
    let ground = Ground::new(before, cars);
    let Some(values) = Values::of(&ground) else { return vec![true; after.len()] };
    let mut may = Vec::new();
    let mut turned: HashMap<(usize, Edge), Vec<(usize, Target)>> = HashMap::new();
    for (i, after) in after.iter().enumerate() {
        let ways = changed(before, after);
        may.push(ways.is_none());
        for (step, edge) in ways.into_iter().flatten() {
            if let Some(to) = after.steps[step].target(edge) {
                turned.entry((step, edge)).or_default().push((i, *to));
            }
        }
    }
    let of_car = |car: usize| {
        let mut parts = BTreeSet::new();
        values.over(&ground, car, |step, edge, to, together| {
            for (i, other) in turned.get(&(step, edge)).into_iter().flatten() {
                if !parts.contains(i) && values.lands_apart(&ground, car, [to, *other], step, together) {
                    parts.insert(*i);
                }
            }
        });
        parts
    };
    let parts = ground.unlike().into_par_iter().map(of_car).reduce(BTreeSet::new, |a, b| &a | &b);
    for i in parts {
        may[i] = true;
    }
    may
}

/// Which results are followed, and the values each can have; the first is that it was not tested.
struct Values {
    /// By slot of the ground, its place among those followed.
    followed: Vec<Option<usize>>,
    words: Vec<Vec<&'static str>>,
    /// The steps of the walk, each after all that lead to it.
    order: Vec<usize>,
}

/// The values that every two results can have together: for each two, bit `8 a + b`.
#[derive(Clone)]
struct Together {
    count: usize,
    pairs: Vec<u64>,
}

fn row(pairs: u64, value: usize) -> u8 {
    pairs.to_le_bytes()[value]
}

/// The values of the first that occur at all.
fn firsts(pairs: u64) -> u8 {
    (0..VALUES).filter(|v| row(pairs, *v) != 0).map(|v| 1 << v).sum()
}

/// The values of the second that occur at all.
fn seconds(pairs: u64) -> u8 {
    pairs.to_le_bytes().into_iter().fold(0, |all, row| all | row)
}

fn block(first: u8, second: u8) -> u64 {
    u64::from_le_bytes(std::array::from_fn(|v| if first >> v & 1 == 1 { second } else { 0 }))
}

fn transposed(pairs: u64) -> u64 {
    let mut turned = [0_u8; VALUES];
    for (a, row) in pairs.to_le_bytes().into_iter().enumerate() {
        for (b, turned) in turned.iter_mut().enumerate() {
            *turned |= (row >> b & 1) << a;
        }
    }
    u64::from_le_bytes(turned)
}

impl Together {
    /// Nothing tested.
    fn begun(count: usize) -> Self {
        Self { count, pairs: vec![1; count * count] }
    }

    fn of(&self, a: usize) -> u8 {
        firsts(self.pairs[a * self.count + a])
    }

    fn join(&mut self, other: &Self) {
        for (mine, others) in self.pairs.iter_mut().zip(&other.pairs) {
            *mine |= others;
        }
    }

    fn set(&mut self, result: usize, value: usize) {
        for other in (0..self.count).filter(|o| *o != result) {
            let pairs = block(1 << value, self.of(other));
            self.pairs[result * self.count + other] = pairs;
            self.pairs[other * self.count + result] = transposed(pairs);
        }
        self.pairs[result * self.count + result] = block(1 << value, 1 << value);
    }

    /// Keeps only these values of a result, and what goes with them; whether anything is left.
    #[must_use]
    fn keep(&mut self, result: usize, values: u8) -> bool {
        let mut open = vec![(result, self.of(result) & values)];
        while let Some((result, values)) = open.pop() {
            let own = result * self.count + result;
            let values = self.of(result) & values;
            if values == 0 {
                return false;
            }
            if values == self.of(result) {
                continue;
            }
            self.pairs[own] &= block(values, values);
            for other in (0..self.count).filter(|o| *o != result) {
                let pairs = self.pairs[result * self.count + other] & block(values, u8::MAX);
                self.pairs[result * self.count + other] = pairs;
                self.pairs[other * self.count + result] = transposed(pairs);
                if seconds(pairs) != self.of(other) {
                    open.push((other, seconds(pairs)));
                }
            }
        }
        true
    }

    /// Keeps what an arm asks for; none where it cannot hold.
    fn taken(&self, needs: &[(usize, u8)]) -> Option<Self> {
        let mut kept = self.clone();
        needs.iter().all(|(result, values)| kept.keep(*result, *values)).then_some(kept)
    }

    /// Keeps what does not meet an arm; whether anything is left. Of an arm that hangs on three results or more nothing is taken away.
    #[must_use]
    fn refused(&mut self, needs: &[(usize, u8)]) -> bool {
        let unsure: Vec<(usize, u8)> =
            needs.iter().copied().filter(|(result, values)| self.of(*result) & !values != 0).collect();
        match unsure[..] {
            [] => false,
            [(result, values)] => self.keep(result, !values),
            [(a, of_a), (b, of_b)] => {
                let pairs = self.pairs[a * self.count + b] & !block(of_a, of_b);
                self.pairs[a * self.count + b] = pairs;
                self.pairs[b * self.count + a] = transposed(pairs);
                self.keep(a, firsts(pairs)) && self.keep(b, seconds(pairs))
            }
            _ => true,
        }
    }
}

impl Values {
    fn of(ground: &Ground) -> Option<Self> {
        let asked: BTreeSet<usize> = ground.arms.iter().flatten().flatten().map(|need| need.0).collect();
        let mut followed = vec![None; ground.givers.len()];
        let mut words = Vec::new();
        for (place, slot) in asked.into_iter().enumerate() {
            followed[slot] = Some(place);
            let mut of_slot = vec![Latest::NotTested.id()];
            for giver in &ground.givers[slot] {
                let given = ground.edges[*giver].iter().filter(|e| e.0 != Edge::Cannot);
                for word in given.map(|e| word(&ground.tree.steps[*giver], e.0)) {
                    if !of_slot.contains(&word) {
                        of_slot.push(word);
                    }
                }
            }
            if of_slot.len() > VALUES {
                return None;
            }
            words.push(of_slot);
        }
        Some(Self { followed, words, order: order(ground)? })
    }

    /// What an arm asks for, by the results followed.
    fn needs(&self, needs: &Needs) -> Vec<(usize, u8)> {
        let bits = |result: usize, ids: &[String]| {
            let known = self.words[result].iter().enumerate();
            known.filter(|(_, word)| ids.iter().any(|id| id == *word)).map(|(v, _)| 1 << v).sum()
        };
        needs.iter().filter_map(|(slot, ids)| self.followed[*slot].map(|r| (r, bits(r, ids)))).collect()
    }

    /// Every edge of a step that may be taken with these results, with where it leads and the results then.
    fn leaves(
        &self,
        ground: &Ground,
        car: usize,
        step: usize,
        together: Together,
    ) -> Vec<(Edge, Target, Together)> {
        let edges = ground.edges[step].iter().copied();
        match &ground.tree.steps[step].kind {
            StepKind::Include(_) => edges.map(|(edge, to)| (edge, to, together.clone())).collect(),
            StepKind::Choose { .. } => {
                let mut found = Vec::new();
                let mut rest = Some(together);
                for (edge, to) in edges {
                    let Some(left) = &mut rest else { break };
                    let Edge::Arm(arm) = edge else {
                        found.extend(rest.take().map(|left| (edge, to, left)));
                        break;
                    };
                    if !ground.fits(car, step, edge) {
                        continue;
                    }
                    let needs = self.needs(&ground.arms[step][arm]);
                    if let Some(taken) = left.taken(&needs) {
                        found.push((edge, to, taken));
                        if !left.refused(&needs) {
                            rest = None;
                        }
                    }
                }
                found
            }
            _ => {
                let result = ground.slots[step].and_then(|slot| self.followed[slot]);
                let then = |edge: Edge| {
                    let mut together = together.clone();
                    if let Some(result) = result.filter(|_| edge != Edge::Cannot) {
                        let given = word(&ground.tree.steps[step], edge);
                        let value = self.words[result].iter().position(|w| *w == given);
                        together.set(result, value.unwrap_or(0));
                    }
                    together
                };
                edges.map(|(edge, to)| (edge, to, then(edge))).collect()
            }
        }
    }

    /// Tells of each edge that may be taken on a car, where it leads, and of the results then.
    fn over(&self, ground: &Ground, car: usize, mut tell: impl FnMut(usize, Edge, Target, &Together)) {
        let mut into: Vec<Option<Together>> = vec![None; ground.edges.len()];
        if let Target::Step(start) = ground.tree.start {
            into[start] = Some(Together::begun(self.words.len()));
        }
        for step in &self.order {
            let Some(together) = into[*step].take() else { continue };
            for (edge, to, then) in self.leaves(ground, car, *step, together) {
                tell(*step, edge, to, &then);
                if let Target::Step(next) = to {
                    match &mut into[next] {
                        Some(there) => there.join(&then),
                        none => *none = Some(then),
                    }
                }
            }
        }
    }

    /// Where one may come to, choose- and include-steps passed through, with the results then. Nothing is passed beyond `stop`.
    fn landings(
        &self,
        ground: &Ground,
        car: usize,
        target: Target,
        stop: usize,
        together: &Together,
    ) -> Vec<(Target, Together)> {
        let mut open = vec![(target, together.clone())];
        let mut found = Vec::new();
        while let Some((target, together)) = open.pop() {
            match target {
                Target::Step(step) if step != stop && !ground.tree.steps[step].asks() => {
                    let leaves = self.leaves(ground, car, step, together);
                    open.extend(leaves.into_iter().map(|(_, to, then)| (to, then)));
                }
                _ => found.push((target, together)),
            }
        }
        found
    }

    /// Whether two targets of a step may lead on to different places with the same results. One that leads back to the step itself
    /// goes round in a circle.
    fn lands_apart(
        &self,
        ground: &Ground,
        car: usize,
        [to, other]: [Target; 2],
        from: usize,
        together: &Together,
    ) -> bool {
        self.landings(ground, car, to, from, together).into_iter().any(|(here, then)| {
            self.landings(ground, car, other, from, &then).into_iter().any(|(there, _)| there != here)
        })
    }
}

/// The steps that can be come to, each after all that lead to it; none where they lead round in a circle.
fn order(ground: &Ground) -> Option<Vec<usize>> {
    let Target::Step(start) = ground.tree.start else { return Some(Vec::new()) };
    // 1: on the path that is followed, 2: done.
    let mut seen = vec![0_u8; ground.edges.len()];
    let mut order = Vec::new();
    let mut path = vec![(start, 0)];
    seen[start] = 1;
    while let Some((step, next)) = path.last_mut() {
        let Some((_, to)) = ground.edges[*step].get(*next) else {
            seen[*step] = 2;
            order.push(*step);
            path.pop();
            continue;
        };
        *next += 1;
        if let Target::Step(to) = *to {
            match seen[to] {
                0 => {
                    seen[to] = 1;
                    path.push((to, 0));
                }
                1 => return None,
                _ => {}
            }
        }
    }
    order.reverse();
    Some(order)
}
