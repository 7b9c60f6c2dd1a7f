//! What a deterministic table could show at best: faults it can't see, faults it can't part, faults that hide others.
//!
//! Figures as MIL-HDBK-2165 and IEEE Std 1522 use them (from memory): isolation counts among detected faults, detection
//! beside it.

use super::Table;

/// The inherent testability of a table, by weight (prior) and by count.
#[derive(Debug, Clone, PartialEq)]
pub struct Testability {
    /// Groups of faults that no test tells apart, without the healthy row.
    pub groups: Vec<Vec<usize>>,
    /// Faults whose rows equal the healthy one: nothing shows them.
    pub undetectable: Vec<usize>,
    /// Pairs (a, b): where a shows everything that b would, b is hidden.
    pub hidden: Vec<(usize, usize)>,
    /// By fault, its prior and the size of its group; only those that are detected.
    detected: Vec<(f64, usize)>,
    total: (f64, usize),
}

impl Testability {
    /// Fraction of faults detected: by weight and by count.
    pub fn detected(&self) -> (f64, f64) {
        let weight: f64 = self.detected.iter().map(|d| d.0).sum();
        (weight / self.total.0, self.detected.len() as f64 / self.total.1 as f64)
    }

    /// Fraction of the detected faults isolated to a group of at most `size`: by weight and by count.
    pub fn isolated(&self, size: usize) -> (f64, f64) {
        let all: f64 = self.detected.iter().map(|d| d.0).sum();
        let small: Vec<f64> = self.detected.iter().filter(|d| d.1 <= size).map(|d| d.0).collect();
        (small.iter().sum::<f64>() / all, small.len() as f64 / self.detected.len() as f64)
    }

    /// Mean size of the group a detected fault ends in: by weight and by count.
    pub fn mean_ambiguity(&self) -> (f64, f64) {
        let all: f64 = self.detected.iter().map(|d| d.0).sum();
        let weighted: f64 = self.detected.iter().map(|d| d.0 * d.1 as f64).sum();
        let count: usize = self.detected.iter().map(|d| d.1).sum();
        (weighted / all, count as f64 / self.detected.len() as f64)
    }
}

impl Table {
    /// The testability of this table; `healthy` is the row of the car without a fault, if the table has one.
    ///
    /// Masking is judged only against a healthy row: fault b is hidden by a when every test on which b differs from
    /// healthy gives a's own outcome, different from healthy too, whatever b does.
    pub fn testability(&self, healthy: Option<usize>) -> Testability {
        let faults: Vec<usize> = (0..self.faults.len()).filter(|f| Some(*f) != healthy).collect();
        let tests: Vec<usize> = (0..self.tests.len()).collect();
        let groups = self.groups(&faults, &tests);
        let differs = |f: usize, ok: usize, t: usize| {
            let test = &self.tests[t];
            (0..test.outcomes.len()).any(|o| (test.p(f, o) - test.p(ok, o)).abs() > 1e-12)
        };
        let shows = |f: usize| -> Vec<usize> {
            healthy.map_or_else(
                || tests.clone(),
                |ok| tests.iter().copied().filter(|t| differs(f, ok, *t)).collect(),
            )
        };
        let undetectable: Vec<usize> =
            faults.iter().copied().filter(|f| healthy.is_some() && shows(*f).is_empty()).collect();
        let mut hidden = Vec::new();
        if healthy.is_some() {
            for &a in &faults {
                let by_a = shows(a);
                let covers = |b: usize| {
                    let by_b = shows(b);
                    !by_b.is_empty() && by_b.len() < by_a.len() && by_b.iter().all(|t| by_a.contains(t))
                };
                hidden.extend(faults.iter().filter(|b| **b != a && covers(**b)).map(|b| (a, *b)));
            }
        }
        let size = |f: usize| groups.iter().find(|g| g.contains(&f)).map_or(1, Vec::len);
        let detected = faults
            .iter()
            .filter(|f| !undetectable.contains(f))
            .map(|f| (self.faults[*f].1, size(*f)))
            .collect();
        let total = (faults.iter().map(|f| self.faults[*f].1).sum(), faults.len());
        Testability { groups, undetectable, hidden, detected, total }
    }
}

#[cfg(test)]
mod tests {
    use super::super::Test;
    use super::*;

    #[test]
    fn unseen_and_hidden_faults_are_named() {
        let outcomes = || vec!["n".to_owned(), "y".to_owned()];
        let (n, y) = (vec![1.0, 0.0], vec![0.0, 1.0]);
        let tests = vec![
            Test::new("one", 1.0, outcomes(), vec![n.clone(), y.clone(), y.clone(), n.clone()]),
            Test::new("two", 1.0, outcomes(), vec![n.clone(), y.clone(), n.clone(), n.clone()]),
        ];
        let names = ["ok", "big", "small", "silent"].map(|id| (id.to_owned(), 0.25));
        let t = Table::new(names.to_vec(), tests).unwrap().0;
        let found = t.testability(Some(0));
        assert_eq!(found.undetectable, [3]);
        assert_eq!(found.hidden, [(1, 2)]);
        let (weight, count) = found.detected();
        assert!((weight - 2.0 / 3.0).abs() < 1e-12 && (count - 2.0 / 3.0).abs() < 1e-12);
        assert_eq!(found.isolated(1), (1.0, 1.0));
    }
}
