//! The cheapest order of tests for a deterministic table, exactly, by dynamic programming over sets of candidates.

use super::Table;
use super::bounds::{cost_bound, entropy_bits, huffman_length};
use super::error::{OptimumError, PlanError};
use super::evidence::Evidence;
use std::collections::HashMap;

/// More sets than this are refused: memory and patience end here.
const MOST_STATES: usize = 1_200_000;

/// What to do next until one group of faults is left.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Plan {
    /// These faults are left and no test tells them apart.
    Isolated(Vec<usize>),
    /// Do this test, then go on by its outcome. Outcomes that no fault left can give have no branch.
    Test {
        /// The test's place in the table.
        test: usize,
        /// Outcome and what follows, in the order of the outcomes.
        branches: Vec<(usize, Plan)>,
    },
}

/// The cheapest plan and what it can be held against. Costs are expectations in the unit of the tests' costs.
#[derive(Debug, Clone, PartialEq)]
pub struct Optimum {
    /// Expected cost of the cheapest plan.
    pub expected_cost: f64,
    /// The cheapest plan; of equal ones the one whose tests come first in the table.
    pub plan: Plan,
    /// Expected cost when the best gain per cost is taken each time.
    pub greedy_cost: f64,
    /// No plan is cheaper: the Huffman length of the groups, in the cheapest tests.
    pub lower_bound: f64,
    /// The Huffman length itself, in tests.
    pub huffman_length: f64,
    /// The same bound from the entropy of the groups, weaker.
    pub entropy_bound: f64,
    /// Entropy of the groups in bits.
    pub group_entropy_bits: f64,
    /// Groups of faults that no test tells apart.
    pub groups: Vec<Vec<usize>>,
    /// Sets of groups that were reached.
    pub states: usize,
}

/// A question to the solver: groups as bits, tests as splits of them.
struct Problem {
    /// P(group) given what was known before.
    weights: Vec<f64>,
    /// By test: its place, its cost, and for each outcome the groups that give it.
    tests: Vec<(usize, f64, Vec<u128>)>,
}

impl Problem {
    fn weight(&self, set: u128) -> f64 {
        bits(set).map(|g| self.weights[g]).sum()
    }

    /// The parts a test splits `set` into, where it splits it at all.
    fn split(set: u128, masks: &[u128]) -> Option<impl Iterator<Item = (usize, u128)> + '_> {
        let whole = masks.iter().any(|m| set & m == set);
        (!whole).then(|| masks.iter().map(move |m| set & m).enumerate().filter(|(_, s)| *s != 0))
    }
}

fn bits(mut set: u128) -> impl Iterator<Item = usize> {
    std::iter::from_fn(move || {
        (set != 0).then(|| {
            let low = set.trailing_zeros();
            set &= set - 1;
            low as usize
        })
    })
}

/// Best cost (weighted by P of the set) and test of each set reached; a flat array while that is small.
enum Memo {
    Flat(Vec<Option<(f64, usize)>>, usize),
    Sparse(HashMap<u128, (f64, usize)>),
}

impl Memo {
    fn new(groups: usize) -> Self {
        if groups <= 20 { Self::Flat(vec![None; 1 << groups], 0) } else { Self::Sparse(HashMap::new()) }
    }

    #[allow(clippy::cast_possible_truncation)] // A flat memo holds sets below 2^20.
    fn get(&self, set: u128) -> Option<(f64, usize)> {
        match self {
            Self::Flat(all, _) => all[set as usize],
            Self::Sparse(map) => map.get(&set).copied(),
        }
    }

    #[allow(clippy::cast_possible_truncation)] // A flat memo holds sets below 2^20.
    fn put(&mut self, set: u128, value: (f64, usize)) {
        match self {
            Self::Flat(all, count) => {
                all[set as usize] = Some(value);
                *count += 1;
            }
            Self::Sparse(map) => {
                map.insert(set, value);
            }
        }
    }

    fn len(&self) -> usize {
        match self {
            Self::Flat(_, count) => *count,
            Self::Sparse(map) => map.len(),
        }
    }
}

/// J(S) = min over tests of c·P(S) + Σ J(parts), 0 for one group. Every group left can be told from every other, so some
/// test splits every larger set.
fn solve(problem: &Problem, set: u128, memo: &mut Memo) -> Result<f64, PlanError> {
    if let Some((cost, _)) = memo.get(set) {
        return Ok(cost);
    }
    if memo.len() >= MOST_STATES {
        return Err(PlanError::TooLarge { most: MOST_STATES });
    }
    let mut best = (0.0, usize::MAX);
    if set.count_ones() > 1 {
        best.0 = f64::INFINITY;
        let weight = problem.weight(set);
        for (index, (_, cost, masks)) in problem.tests.iter().enumerate() {
            let Some(parts) = Problem::split(set, masks) else { continue };
            let mut total = cost * weight;
            for (_, part) in parts {
                total += solve(problem, part, memo)?;
            }
            // Equal costs summed in different orders differ in their last digits: the first test keeps its place.
            if total < best.0 - 1e-12 * weight * cost {
                best = (total, index);
            }
        }
    }
    memo.put(set, best);
    Ok(best.0)
}

fn plan(problem: &Problem, set: u128, memo: &Memo, groups: &[Vec<usize>]) -> Plan {
    match memo.get(set) {
        Some((_, index)) if index != usize::MAX => {
            let (test, _, masks) = &problem.tests[index];
            let parts = Problem::split(set, masks).into_iter().flatten();
            let branches = parts.map(|(o, part)| (o, plan(problem, part, memo, groups))).collect();
            Plan::Test { test: *test, branches }
        }
        _ => {
            let mut faults: Vec<usize> = bits(set).flat_map(|g| groups[g].iter().copied()).collect();
            faults.sort_unstable();
            Plan::Isolated(faults)
        }
    }
}

/// Cost of always taking the best gain per cost, weighted by P(set). A deterministic test gains the entropy of its parts.
fn greedy(problem: &Problem, set: u128) -> f64 {
    if set.count_ones() < 2 {
        return 0.0;
    }
    let weight = problem.weight(set);
    let mut best: Option<(f64, usize)> = None;
    for (index, (_, cost, masks)) in problem.tests.iter().enumerate() {
        let Some(parts) = Problem::split(set, masks) else { continue };
        let p: Vec<f64> = parts.map(|(_, part)| problem.weight(part) / weight).collect();
        let score = entropy_bits(&p) / cost;
        if best.is_none_or(|(b, _)| score > b * (1.0 + 1e-11)) {
            best = Some((score, index));
        }
    }
    let Some((_, index)) = best else { return 0.0 };
    let (_, cost, masks) = &problem.tests[index];
    let parts = Problem::split(set, masks).into_iter().flatten();
    cost * weight + parts.map(|(_, part)| greedy(problem, part)).sum::<f64>()
}

impl Table {
    /// The cheapest plan from here on: the faults that `evidence` leaves, the tests it has not used.
    ///
    /// Pattipati & Alexandridis, IEEE Trans. SMC 20(4), 1990: the binary problem is NP-complete, so this is exact for up to
    /// about 20 groups of faults (and more where tests split them into few sets) and refuses beyond.
    ///
    /// # Errors
    /// Impossible evidence, a test that is not certain for a fault still possible, too many states.
    pub fn optimum(&self, evidence: &Evidence) -> Result<Optimum, OptimumError> {
        let belief = self.posterior(evidence)?.p;
        let faults: Vec<usize> = (0..belief.len()).filter(|f| belief[*f] > 0.0).collect();
        let tests: Vec<usize> = (0..self.tests.len()).filter(|t| !evidence.covers(*t)).collect();
        for &t in &tests {
            if let Some(f) = faults.iter().find(|f| self.tests[t].certain(**f).is_none()) {
                let (test, fault) = (self.tests[t].id.clone(), self.faults[*f].0.clone());
                return Err(PlanError::NotDeterministic { test, fault }.into());
            }
        }
        let groups = self.groups(&faults, &tests);
        if groups.len() > 128 {
            return Err(PlanError::TooLarge { most: MOST_STATES }.into());
        }
        let problem = self.problem(&belief, &groups, &tests);
        let all = if groups.len() == 128 { u128::MAX } else { (1 << groups.len()) - 1 };
        let mut memo = Memo::new(groups.len());
        let expected_cost = solve(&problem, all, &mut memo)?;
        let costs: Vec<f64> = tests.iter().map(|t| self.tests[*t].cost).collect();
        let arity = tests.iter().map(|t| self.tests[*t].outcomes.len()).max().unwrap_or(0);
        let huffman = huffman_length(&problem.weights, arity);
        let bits = entropy_bits(&problem.weights);
        let levels = if arity > 1 { bits / (arity as f64).log2() } else { 0.0 };
        Ok(Optimum {
            expected_cost,
            plan: plan(&problem, all, &memo, &groups),
            greedy_cost: greedy(&problem, all),
            lower_bound: cost_bound(huffman, &costs),
            huffman_length: huffman,
            entropy_bound: cost_bound(levels, &costs),
            group_entropy_bits: bits,
            states: memo.len(),
            groups,
        })
    }

    fn problem(&self, belief: &[f64], groups: &[Vec<usize>], tests: &[usize]) -> Problem {
        let weights = groups.iter().map(|g| g.iter().map(|f| belief[*f]).sum()).collect();
        let tests = tests.iter().map(|&t| {
            let test = &self.tests[t];
            let mut masks = vec![0_u128; test.outcomes.len()];
            for (bit, group) in groups.iter().enumerate() {
                if let Some(outcome) = test.certain(group[0]) {
                    masks[outcome] |= 1 << bit;
                }
            }
            (t, test.cost, masks)
        });
        Problem { weights, tests: tests.collect() }
    }
}

#[cfg(test)]
mod tests {
    use super::super::Test;
    use super::*;

    fn binary(costs: &[f64], priors: &[f64], rows: &[&[usize]]) -> Table {
        let faults = priors.iter().enumerate().map(|(i, p)| (format!("f{i}"), *p)).collect();
        let tests = costs.iter().enumerate().map(|(t, cost)| {
            let row = |f: usize| if rows[f][t] == 0 { vec![1.0, 0.0] } else { vec![0.0, 1.0] };
            let outcomes = vec!["n".to_owned(), "y".to_owned()];
            Test::new(format!("t{t}"), *cost, outcomes, (0..priors.len()).map(row).collect())
        });
        Table::new(faults, tests.collect()).unwrap().0
    }

    #[test]
    fn evidence_leaves_a_smaller_problem() {
        let t = binary(&[1.0, 2.0], &[0.5, 0.25, 0.25], &[&[0, 0], &[1, 0], &[1, 1]]);
        let all = t.optimum(&Evidence::none()).unwrap();
        assert!((all.expected_cost - 2.0).abs() < 1e-12, "1 always, 2 half of the time");
        let rest = t.optimum(&Evidence::parse(&t, &["t0=y"]).unwrap()).unwrap();
        assert!((rest.expected_cost - 2.0).abs() < 1e-12);
        assert_eq!(rest.groups, [[1], [2]]);
        let done = t.optimum(&Evidence::parse(&t, &["t0=n"]).unwrap()).unwrap();
        assert_eq!((done.expected_cost, done.plan), (0.0, Plan::Isolated(vec![0])));
    }

    #[test]
    fn a_noisy_table_has_no_plan_and_says_where() {
        let tests = vec![Test::new(
            "t",
            1.0,
            vec!["n".to_owned(), "y".to_owned()],
            vec![vec![0.9, 0.1], vec![0.0, 1.0]],
        )];
        let t = Table::new(vec![("a".to_owned(), 0.5), ("b".to_owned(), 0.5)], tests).unwrap().0;
        let error = t.optimum(&Evidence::none()).unwrap_err().to_string();
        assert!(error.contains("test 't' is not certain for fault 'a'"), "{error}");
    }

    #[test]
    fn twenty_faults_told_apart_one_by_one() {
        // Test t says whether it is fault t: every set is reached. Equal priors and costs leave the order free, and the
        // expected number of questions over n faults is (n(n+1)/2 − 1)/n.
        let n = 16;
        let rows: Vec<Vec<usize>> = (0..n).map(|f| (0..n).map(|t| usize::from(f == t)).collect()).collect();
        let rows: Vec<&[usize]> = rows.iter().map(Vec::as_slice).collect();
        let t = binary(&vec![1.0; n], &vec![1.0 / n as f64; n], &rows);
        let best = t.optimum(&Evidence::none()).unwrap();
        assert!((best.expected_cost - (n * (n + 1) / 2 - 1) as f64 / n as f64).abs() < 1e-9);
        assert!(best.lower_bound <= best.expected_cost);
        assert_eq!(best.states, (1 << n) - 1);
    }

    #[test]
    fn a_table_beyond_reach_is_refused_not_hung() {
        let n = 30;
        let rows: Vec<Vec<usize>> = (0..n).map(|f| (0..n).map(|t| usize::from(f == t)).collect()).collect();
        let rows: Vec<&[usize]> = rows.iter().map(Vec::as_slice).collect();
        let t = binary(&vec![1.0; n], &vec![1.0 / n as f64; n], &rows);
        let error = t.optimum(&Evidence::none()).unwrap_err().to_string();
        assert!(error.contains("too large"), "{error}");
    }
}
