//! In what order to look at and mend parts: p/c, where it is optimal and where it is not, and whether to test first.
//!
//! Heckerman, Breese & Rommelse, *Communications of the ACM* 38(3), 1995; the order by p/c is optimal for one fault,
//! costs that do not depend on what was done before and a perfect look (Kadane & Simon, *Annals of Statistics* 5(2), 1977).
//! [`SharedRepair`] is the case where that does not hold: one action mends several faults, or several lie behind one cover.

/// Looking at one part and mending it if it is bad.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RepairAction {
    /// P(this part is the fault).
    pub p: f64,
    /// Cost of looking; for a part that can only be swapped, of swapping and trying.
    pub look: f64,
    /// Cost of mending it once found bad.
    pub mend: f64,
}

/// Expected cost of looking at the parts in `order` until the bad one is found and mended:
/// Σ (1 − Σ p before)·look + p·mend.
pub fn cost_of_order(actions: &[RepairAction], order: &[usize]) -> f64 {
    let mut left = 1.0;
    let mut cost = 0.0;
    for &i in order {
        cost += left * actions[i].look + actions[i].p * actions[i].mend;
        left -= actions[i].p;
    }
    cost
}

/// The parts by falling p / cost of looking, ties in the order given; free looks first.
pub fn by_ratio(actions: &[RepairAction]) -> Vec<usize> {
    let ratio: Vec<f64> = actions.iter().map(|a| a.p / a.look).collect();
    super::falling(&ratio)
}

/// The cheapest order of all parts and its expected cost, over every set of parts already looked at. `None` above 20 parts.
pub fn best_order(actions: &[RepairAction]) -> Option<(Vec<usize>, f64)> {
    sequence(actions.len(), |done, i| step(actions, done, i), |_| false, f64::lt)
}

/// The dearest order of all parts and its expected cost. `None` above 20 parts.
pub fn worst_order(actions: &[RepairAction]) -> Option<(Vec<usize>, f64)> {
    sequence(actions.len(), |done, i| step(actions, done, i), |_| false, f64::gt)
}

fn step(actions: &[RepairAction], done: u32, i: usize) -> f64 {
    let looked: f64 = members(done).map(|j| actions[j].p).sum();
    (1.0 - looked) * actions[i].look + actions[i].p * actions[i].mend
}

/// Which parts to look at, by p/c, before calling for service that costs `service` and mends whatever is left; and the
/// expected cost of that. Within the prefix p/c holds, but which parts belong in it has to be searched: every subset is.
/// `None` above 20 parts.
pub fn best_prefix(actions: &[RepairAction], service: f64) -> Option<(Vec<usize>, f64)> {
    if actions.len() > MOST_PARTS {
        return None;
    }
    let order = by_ratio(actions);
    let mut best = (Vec::new(), service);
    for set in 1..1_u32 << actions.len() {
        let prefix: Vec<usize> = order.iter().copied().filter(|i| set & (1 << i) != 0).collect();
        let left: f64 = 1.0 - prefix.iter().map(|i| actions[*i].p).sum::<f64>();
        let cost = cost_of_order(actions, &prefix) + left.max(0.0) * service;
        if cost < best.1 - 1e-12 * service.abs() {
            best = (prefix, cost);
        }
    }
    Some(best)
}

/// More parts than this make an exact search too long.
const MOST_PARTS: usize = 20;

fn members(set: u32) -> impl Iterator<Item = usize> {
    (0..32).filter(move |i| set & (1 << i) != 0)
}

/// The sequence with the best sum of `step(done, next)`, by dynamic programming over the set of actions done. It ends when
/// `finished(done)` or all are done. `better` is `f64::lt` for the cheapest.
fn sequence(
    n: usize,
    step: impl Fn(u32, usize) -> f64,
    finished: impl Fn(u32) -> bool,
    better: impl Fn(&f64, &f64) -> bool,
) -> Option<(Vec<usize>, f64)> {
    if n > MOST_PARTS {
        return None;
    }
    let full = (1_u32 << n) - 1;
    // Cost to go and next action for each set done, from the fullest set down.
    let mut table = vec![(0.0, usize::MAX); 1 << n];
    for done in (0..full).rev().filter(|d| !finished(*d)) {
        let mut best: Option<(f64, usize)> = None;
        for next in (0..n).filter(|i| done & (1 << i) == 0) {
            let cost = step(done, next) + table[(done | 1 << next) as usize].0;
            let margin = 1e-12 * cost.abs();
            if best.is_none_or(|(b, _)| better(&cost, &b) && (cost - b).abs() > margin) {
                best = Some((cost, next));
            }
        }
        table[done as usize] = best.unwrap_or((0.0, usize::MAX));
    }
    let mut order = Vec::new();
    let mut done = 0_u32;
    while let (_, next) = table[done as usize]
        && next != usize::MAX
    {
        order.push(next);
        done |= 1 << next;
    }
    Some((order, table[0].0))
}

/// Repairs that depend on each other: each action mends a set of faults, and some share a cover that is opened once.
#[derive(Debug, Clone, PartialEq)]
pub struct SharedRepair {
    /// P(fault).
    pub causes: Vec<f64>,
    /// By action, the faults it mends.
    pub mends: Vec<Vec<usize>>,
    /// By action, its cost without opening anything.
    pub costs: Vec<f64>,
    /// By action, the cover it lies behind.
    pub behind: Vec<Option<usize>>,
    /// By cover, the cost of opening it once.
    pub opening: Vec<f64>,
}

impl SharedRepair {
    /// P(not mended by the actions of `done`).
    fn left(&self, done: u32) -> f64 {
        let mended = |cause: usize| members(done).any(|a| self.mends[a].contains(&cause));
        self.causes.iter().enumerate().filter(|(c, _)| !mended(*c)).map(|(_, p)| p).sum()
    }

    fn price(&self, done: u32, action: usize) -> f64 {
        let open = |cover| members(done).any(|a| self.behind[a] == Some(cover));
        let opening = self.behind[action].filter(|c| !open(*c)).map_or(0.0, |c| self.opening[c]);
        self.costs[action] + opening
    }

    /// Expected cost of trying the actions in `order` until the fault is mended.
    pub fn cost_of_order(&self, order: &[usize]) -> f64 {
        let mut done = 0;
        let mut cost = 0.0;
        for &action in order {
            cost += self.left(done) * self.price(done, action);
            done |= 1 << action;
        }
        cost
    }

    /// The cheapest order and its expected cost; it ends when nothing is left to mend. `None` above 20 actions.
    pub fn best_order(&self) -> Option<(Vec<usize>, f64)> {
        sequence(
            self.costs.len(),
            |done, next| self.left(done) * self.price(done, next),
            |done| self.left(done) <= 1e-12,
            f64::lt,
        )
    }

    /// The order that takes the highest P(mends now)/cost each time, which is not always the cheapest. `opening` says
    /// whether a cover still closed counts into the cost by which actions are chosen.
    pub fn by_updated_ratio(&self, opening: bool) -> Vec<usize> {
        let mut order = Vec::new();
        let mut done = 0_u32;
        while self.left(done) > 1e-12 {
            let ratio = |a: usize| {
                let price = if opening { self.price(done, a) } else { self.costs[a] };
                (self.left(done) - self.left(done | 1 << a)) / price
            };
            let mut best: Option<(f64, usize)> = None;
            for action in (0..self.costs.len()).filter(|a| done & (1 << a) == 0) {
                let score = ratio(action);
                if score > 0.0 && best.is_none_or(|(b, _)| score > b * (1.0 + 1e-11)) {
                    best = Some((score, action));
                }
            }
            let Some((_, next)) = best else { break };
            order.push(next);
            done |= 1 << next;
        }
        order
    }

    /// The order by P(mends)/cost as it stands at the start, charging each action its cover (or none of them).
    pub fn by_first_ratio(&self, opening: bool) -> Vec<usize> {
        let price = |a: usize| if opening { self.price(0, a) } else { self.costs[a] };
        let p = |a: usize| self.mends[a].iter().map(|c| self.causes[*c]).sum::<f64>();
        let ratio: Vec<f64> = (0..self.costs.len()).map(|a| p(a) / price(a)).collect();
        super::falling(&ratio)
    }
}

/// One outcome of an observation made before repairing.
#[derive(Debug, Clone, PartialEq)]
pub struct ObservationBranch {
    /// P(outcome).
    pub p: f64,
    /// P(part is the fault | outcome).
    pub posterior: Vec<f64>,
    /// The order by p/c after it.
    pub order: Vec<usize>,
    /// Its expected cost.
    pub cost: f64,
}

/// Whether to observe before repairing.
#[derive(Debug, Clone, PartialEq)]
pub struct Observation {
    /// The order by p/c without observing, and its expected cost.
    pub without: (Vec<usize>, f64),
    /// What follows each outcome.
    pub branches: Vec<ObservationBranch>,
    /// Expected cost of observing and then repairing to the end.
    pub with: f64,
}

impl Observation {
    /// Whether observing first is cheaper.
    pub fn pays(&self) -> bool {
        self.with < self.without.1
    }
}

/// What one observation of `cost` is worth before repairing: `likelihood[outcome][part]` is P(outcome | part). Myopic: one
/// observation, then repairs to the end.
pub fn observation_value(actions: &[RepairAction], likelihood: &[Vec<f64>], cost: f64) -> Observation {
    let plain = |actions: &[RepairAction]| {
        let order = by_ratio(actions);
        let cost = cost_of_order(actions, &order);
        (order, cost)
    };
    let mut branches = Vec::new();
    for row in likelihood {
        let joint: Vec<f64> = actions.iter().zip(row).map(|(a, l)| a.p * l).collect();
        let p: f64 = joint.iter().sum();
        if p <= 0.0 {
            continue;
        }
        let posterior: Vec<f64> = joint.iter().map(|j| j / p).collect();
        let updated: Vec<RepairAction> =
            actions.iter().zip(&posterior).map(|(a, p)| RepairAction { p: *p, ..*a }).collect();
        let (order, cost) = plain(&updated);
        branches.push(ObservationBranch { p, posterior, order, cost });
    }
    let with = cost + branches.iter().map(|b| b.p * b.cost).sum::<f64>();
    Observation { without: plain(actions), branches, with }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn action(p: f64, look: f64, mend: f64) -> RepairAction {
        RepairAction { p, look, mend }
    }

    #[test]
    fn a_free_look_comes_first_and_ties_keep_their_order() {
        let actions = [action(0.3, 3.0, 0.0), action(0.2, 2.0, 0.0), action(0.1, 0.0, 0.0)];
        assert_eq!(by_ratio(&actions), [2, 0, 1]);
    }

    #[test]
    fn the_ratio_is_optimal_where_its_assumptions_hold() {
        // Forty made-up cases from a linear congruential sequence.
        let mut state = 12_345_u32;
        let mut next = move || {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            f64::from(state >> 8) / f64::from(1 << 24)
        };
        for _ in 0..40 {
            let raw: Vec<f64> = (0..6).map(|_| 0.05 + next()).collect();
            let sum: f64 = raw.iter().sum();
            let actions: Vec<RepairAction> =
                raw.iter().map(|p| action(p / sum, 0.1 + 10.0 * next(), 20.0 * next())).collect();
            let ratio = cost_of_order(&actions, &by_ratio(&actions));
            let (order, best) = best_order(&actions).unwrap();
            assert!((ratio - best).abs() < 1e-9, "{ratio} {best}");
            assert!((cost_of_order(&actions, &order) - best).abs() < 1e-9);
            assert!(worst_order(&actions).unwrap().1 >= best);
        }
    }

    #[test]
    fn too_many_parts_are_refused() {
        assert_eq!(best_order(&vec![action(0.04, 1.0, 1.0); 25]), None);
        assert_eq!(best_prefix(&vec![action(0.04, 1.0, 1.0); 25], 5.0), None);
    }

    #[test]
    fn service_at_once_when_it_is_cheapest() {
        assert_eq!(best_prefix(&[action(0.5, 9.0, 9.0), action(0.5, 9.0, 9.0)], 1.0).unwrap(), (vec![], 1.0));
    }
}
