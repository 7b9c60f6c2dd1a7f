//! Inference on a plain table of faults, tests and outcomes.
//!
//! Why it exists: a tree without a physical model can still carry what is known as P(outcome | fault), and a proof needs an
//! optimum to compare an authored order with. In: a [`Table`], checked when it is made, and [`Evidence`]. Out: a
//! [`Posterior`], a [`Ranking`] of the tests by information gained per cost, the cheapest [`Plan`] for a deterministic
//! table with lower bounds it can be held against, repair orders, and the testability figures of the table.
//!
//! Tests are taken as independent given the fault; where they are not, the faults must be split until they are. This room
//! knows no physics, no gauge, no tree and no file.

mod bounds;
mod candidates;
mod error;
mod evidence;
mod noisy;
mod parse;
mod plan;
mod repair;
mod testability;

pub use bounds::{cost_bound, entropy_bits, huffman_length};
pub use candidates::{Candidate, diagnoses, minimal_diagnoses, probe_entropy_change, weigh};
pub use error::{EvidenceError, OptimumError, PlanError, TableError};
pub use evidence::{Evidence, Posterior, Ranked, Ranking};
pub use noisy::noisy_cost;
pub use plan::{Optimum, Plan};
pub use repair::{
    Observation, ObservationBranch, RepairAction, SharedRepair, best_order, best_prefix, by_ratio,
    cost_of_order, observation_value, worst_order,
};
pub use testability::Testability;

/// The places of `scores`, highest first, ties in their order. Equal scores computed along different sums differ in their
/// last digits, so scores within one part in 10¹¹ of the first of their run count as equal.
fn falling(scores: &[f64]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..scores.len()).collect();
    order.sort_by(|a, b| scores[*b].total_cmp(&scores[*a]));
    let mut start = 0;
    while start < order.len() {
        let least = scores[order[start]] * (1.0 - 1e-11);
        let run = order[start..].iter().take_while(|i| scores[**i] >= least).count().max(1);
        order[start..start + run].sort_unstable();
        start += run;
    }
    order
}

/// One test of a table.
#[derive(Debug, Clone, PartialEq)]
pub struct Test {
    id: String,
    cost: f64,
    outcomes: Vec<String>,
    /// P(outcome | fault), by fault in the order of the table.
    rows: Vec<Vec<f64>>,
}

impl Test {
    /// A test named `id` of `cost` with its outcomes and, for each fault in the order of the table, P(outcome | fault).
    pub fn new(id: impl Into<String>, cost: f64, outcomes: Vec<String>, rows: Vec<Vec<f64>>) -> Self {
        Self { id: id.into(), cost, outcomes, rows }
    }

    /// Its id.
    pub fn id(&self) -> &str {
        &self.id
    }

    /// What it costs, in whatever the table counts (minutes, money); above zero.
    pub fn cost(&self) -> f64 {
        self.cost
    }

    /// Its outcomes.
    pub fn outcomes(&self) -> &[String] {
        &self.outcomes
    }

    /// P(outcome | fault).
    pub fn p(&self, fault: usize, outcome: usize) -> f64 {
        self.rows[fault][outcome]
    }

    /// The one outcome this fault always gives, if it has one.
    fn certain(&self, fault: usize) -> Option<usize> {
        self.rows[fault].iter().position(|p| *p >= 1.0 - 1e-12)
    }
}

/// A checked table: priors and rows sum to one, sizes fit, no id stands twice.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    faults: Vec<(String, f64)>,
    tests: Vec<Test>,
}

impl Table {
    /// Fault ids with their priors.
    pub fn faults(&self) -> &[(String, f64)] {
        &self.faults
    }

    /// The tests in the order of the file.
    pub fn tests(&self) -> &[Test] {
        &self.tests
    }

    /// The place of a fault.
    pub fn fault(&self, id: &str) -> Option<usize> {
        self.faults.iter().position(|(f, _)| f == id)
    }

    /// The place of a test.
    pub fn test(&self, id: &str) -> Option<usize> {
        self.tests.iter().position(|t| t.id == id)
    }

    /// Faults that no test of `tests` can tell apart, as groups in the order of their first member. Only faults of
    /// `among` are grouped.
    pub(crate) fn groups(&self, among: &[usize], tests: &[usize]) -> Vec<Vec<usize>> {
        let same = |a: usize, b: usize| {
            tests.iter().all(|t| {
                let rows = &self.tests[*t].rows;
                rows[a].iter().zip(&rows[b]).all(|(x, y)| (x - y).abs() <= 1e-12)
            })
        };
        let mut groups: Vec<Vec<usize>> = Vec::new();
        for &fault in among {
            match groups.iter_mut().find(|g| same(g[0], fault)) {
                Some(group) => group.push(fault),
                None => groups.push(vec![fault]),
            }
        }
        groups
    }
}
