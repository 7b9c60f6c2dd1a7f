//! The cheapest plan when outcomes are not certain: dynamic programming over what has been seen.

use super::Table;
use super::error::PlanError;
use std::collections::HashMap;

/// More states of evidence than this are refused.
const MOST_STATES: usize = 2_000_000;

/// Expected cost of the cheapest plan that may stop at any time and name the likeliest group of faults, a wrong name
/// costing `wrong`: V(e) = min( wrong·(1 − max b), min over tests of c + Σ P(k|e)·V(e + k) ).
///
/// Faults whose rows are equal in every test count as one group: no test can part them, so naming either is not wrong.
///
/// # Errors
/// [`PlanError::TooLarge`] when more than two million states of evidence are reached.
pub fn noisy_cost(table: &Table, wrong: f64) -> Result<f64, PlanError> {
    let faults: Vec<usize> = (0..table.faults.len()).collect();
    let tests: Vec<usize> = (0..table.tests.len()).collect();
    let groups = table.groups(&faults, &tests);
    let weights: Vec<f64> = groups.iter().map(|g| g.iter().map(|f| table.faults[*f].1).sum()).collect();
    // A state is a number in mixed radix: per test 0 for not done, else its outcome and one.
    let mut radix = Vec::new();
    let mut size = 1_u64;
    for test in &table.tests {
        radix.push(size);
        size = size
            .checked_mul(test.outcomes.len() as u64 + 1)
            .ok_or(PlanError::TooLarge { most: MOST_STATES })?;
    }
    let first: Vec<usize> = groups.iter().map(|g| g[0]).collect();
    let mut search = Search { table, first, radix, wrong, seen: HashMap::new() };
    search.value(0, &weights, &mut vec![false; tests.len()])
}

struct Search<'a> {
    table: &'a Table,
    /// One fault of each group.
    first: Vec<usize>,
    radix: Vec<u64>,
    wrong: f64,
    seen: HashMap<u64, f64>,
}

impl Search<'_> {
    /// V of a state times P(state); `weights` are P(group and evidence).
    fn value(&mut self, state: u64, weights: &[f64], done: &mut Vec<bool>) -> Result<f64, PlanError> {
        if let Some(known) = self.seen.get(&state) {
            return Ok(*known);
        }
        if self.seen.len() >= MOST_STATES {
            return Err(PlanError::TooLarge { most: MOST_STATES });
        }
        let total: f64 = weights.iter().sum();
        let likeliest = weights.iter().copied().fold(0.0, f64::max);
        let mut best = self.wrong * (total - likeliest).max(0.0);
        for t in 0..done.len() {
            let cost = self.table.tests[t].cost * total;
            // A test dearer than stopping here can't help, whatever follows it.
            if done[t] || cost >= best {
                continue;
            }
            done[t] = true;
            let mut sum = cost;
            for outcome in 0..self.table.tests[t].outcomes.len() {
                let test = &self.table.tests[t];
                let after: Vec<f64> =
                    weights.iter().zip(&self.first).map(|(w, f)| w * test.p(*f, outcome)).collect();
                if after.iter().any(|w| *w > 0.0) {
                    sum += self.value(state + self.radix[t] * (outcome as u64 + 1), &after, done)?;
                }
            }
            done[t] = false;
            best = best.min(sum);
        }
        self.seen.insert(state, best);
        Ok(best)
    }
}

#[cfg(test)]
mod tests {
    use super::super::Test;
    use super::*;

    fn coin(p: f64, cost: f64) -> Table {
        let outcomes = vec!["n".to_owned(), "y".to_owned()];
        let tests = vec![Test::new("t", cost, outcomes, vec![vec![p, 1.0 - p], vec![1.0 - p, p]])];
        Table::new(vec![("a".to_owned(), 0.5), ("b".to_owned(), 0.5)], tests).unwrap().0
    }

    #[test]
    fn one_noisy_test_is_worth_what_it_saves() {
        // Guessing costs 0.5·10; testing costs 1 and leaves 0.1·10.
        assert!((noisy_cost(&coin(0.9, 1.0), 10.0).unwrap() - 2.0).abs() < 1e-12);
        // A test that costs more than it saves is not done.
        assert!((noisy_cost(&coin(0.9, 7.0), 10.0).unwrap() - 5.0).abs() < 1e-12);
        assert!((noisy_cost(&coin(0.5, 1.0), 10.0).unwrap() - 0.0).abs() < 1e-12, "equal rows are one group");
    }
}
