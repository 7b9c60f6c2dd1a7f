//! Evidence in, posterior and ranking out. Everything is summed in logarithms, so no number of tests underflows.

use super::Table;
use super::bounds::entropy_bits;
use super::error::EvidenceError;
use crate::terms::nearest;

/// Gains below this many bits are rounding and count as none.
const NO_GAIN: f64 = 1e-12;

/// Outcomes seen, at most one a test, in the order given.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Evidence {
    seen: Vec<(usize, usize)>,
}

impl Evidence {
    /// No evidence.
    pub fn none() -> Self {
        Self::default()
    }

    /// Reads pieces of the form TEST=OUTCOME against `table`.
    ///
    /// # Errors
    /// A piece that is not of that form, an unknown test or outcome, a test given twice.
    pub fn parse<S: AsRef<str>>(table: &Table, pieces: &[S]) -> Result<Self, EvidenceError> {
        let mut evidence = Self::none();
        for piece in pieces {
            let piece = piece.as_ref();
            let (test, outcome) =
                piece.split_once('=').ok_or_else(|| EvidenceError::Form { found: piece.to_owned() })?;
            evidence.add(table, test.trim(), outcome.trim())?;
        }
        Ok(evidence)
    }

    /// Adds the `outcome` of `test`, both by id.
    ///
    /// # Errors
    /// An unknown test or outcome, a test given twice.
    pub fn add(&mut self, table: &Table, test: &str, outcome: &str) -> Result<(), EvidenceError> {
        let t = table.test(test).ok_or_else(|| EvidenceError::UnknownTest {
            found: test.to_owned(),
            near: nearest(test, table.tests().iter().map(super::Test::id)).map(str::to_owned),
            tests: table.tests().iter().map(|t| t.id().to_owned()).collect(),
        })?;
        let outcomes = table.tests()[t].outcomes();
        let o = outcomes.iter().position(|o| o == outcome).ok_or_else(|| EvidenceError::UnknownOutcome {
            test: test.to_owned(),
            found: outcome.to_owned(),
            outcomes: outcomes.to_vec(),
        })?;
        if self.covers(t) {
            return Err(EvidenceError::Twice { test: test.to_owned() });
        }
        self.seen.push((t, o));
        Ok(())
    }

    /// Whether this test has been done.
    pub fn covers(&self, test: usize) -> bool {
        self.seen.iter().any(|(t, _)| *t == test)
    }

    /// Tests and outcomes by place, in the order given.
    pub fn seen(&self) -> &[(usize, usize)] {
        &self.seen
    }
}

/// What is believed after the evidence.
#[derive(Debug, Clone, PartialEq)]
pub struct Posterior {
    /// P(fault | evidence), by fault in the order of the table.
    pub p: Vec<f64>,
    /// Natural logarithm of P(evidence).
    pub log_evidence: f64,
    /// Entropy of `p` in bits.
    pub entropy_bits: f64,
}

/// One test not yet done and what it is worth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ranked {
    /// The test's place in the table.
    pub test: usize,
    /// Expected information gain, bits.
    pub gain_bits: f64,
    /// Gain per unit of cost.
    pub gain_per_cost: f64,
}

/// Tests not yet done, best gain per cost first, ties in the order of the table.
#[derive(Debug, Clone, PartialEq)]
pub struct Ranking {
    /// The tests in that order.
    pub tests: Vec<Ranked>,
}

impl Ranking {
    /// The best test; none when nothing that is left gains anything.
    pub fn best(&self) -> Option<usize> {
        self.tests.first().filter(|r| r.gain_bits > 0.0).map(|r| r.test)
    }
}

/// ln Σ exp, and the numbers scaled to a sum of one; −∞ when all are.
fn normalise(logs: &[f64]) -> (f64, Vec<f64>) {
    let top = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if top == f64::NEG_INFINITY {
        return (top, vec![0.0; logs.len()]);
    }
    let scaled: Vec<f64> = logs.iter().map(|l| (l - top).exp()).collect();
    let sum: f64 = scaled.iter().sum();
    (top + sum.ln(), scaled.into_iter().map(|s| s / sum).collect())
}

impl Table {
    /// Beliefs after `evidence`: prior times likelihood of every outcome seen; a test not done leaves its factor out.
    ///
    /// # Errors
    /// [`EvidenceError::Impossible`], naming the first piece that no fault left standing can show.
    pub fn posterior(&self, evidence: &Evidence) -> Result<Posterior, EvidenceError> {
        let mut logs: Vec<f64> = self.faults.iter().map(|(_, prior)| prior.ln()).collect();
        for &(t, o) in evidence.seen() {
            let test = &self.tests[t];
            for (log, row) in logs.iter_mut().zip(&test.rows) {
                *log += row[o].ln();
            }
            if logs.iter().all(|l| *l == f64::NEG_INFINITY) {
                let piece = format!("{}={}", test.id, test.outcomes[o]);
                return Err(EvidenceError::Impossible { piece });
            }
        }
        let (log_evidence, p) = normalise(&logs);
        let entropy_bits = entropy_bits(&p);
        Ok(Posterior { p, log_evidence, entropy_bits })
    }

    /// P(outcome) of a test under belief `p`.
    pub fn predictive(&self, p: &[f64], test: usize) -> Vec<f64> {
        let test = &self.tests[test];
        let mut odds = vec![0.0; test.outcomes.len()];
        for (belief, row) in p.iter().zip(&test.rows) {
            for (o, q) in odds.iter_mut().zip(row) {
                *o += belief * q;
            }
        }
        odds
    }

    /// Information a test is expected to bring under belief `p`, in bits: Σ p(f) Σ P(k|f) log₂(P(k|f)/P(k)), which is
    /// the fall of entropy written so that small gains keep their digits.
    pub fn gain_bits(&self, p: &[f64], test: usize) -> f64 {
        let odds = self.predictive(p, test);
        let mut gain = 0.0;
        for (belief, row) in p.iter().zip(&self.tests[test].rows) {
            if *belief > 0.0 {
                let terms = row.iter().zip(&odds).filter(|(q, _)| **q > 0.0);
                gain += belief * terms.map(|(q, odds)| q * (q / odds).log2()).sum::<f64>();
            }
        }
        if gain > NO_GAIN { gain } else { 0.0 }
    }

    /// The tests that `evidence` leaves, ranked under belief `p`.
    pub fn ranking(&self, p: &[f64], evidence: &Evidence) -> Ranking {
        let left: Vec<Ranked> = (0..self.tests.len())
            .filter(|t| !evidence.covers(*t))
            .map(|test| {
                let gain_bits = self.gain_bits(p, test);
                Ranked { test, gain_bits, gain_per_cost: gain_bits / self.tests[test].cost }
            })
            .collect();
        let scores: Vec<f64> = left.iter().map(|r| r.gain_per_cost).collect();
        Ranking { tests: super::falling(&scores).into_iter().map(|i| left[i]).collect() }
    }
}

#[cfg(test)]
mod tests {
    use super::super::Test;
    use super::*;

    fn table() -> Table {
        let outcomes = || vec!["lo".to_owned(), "hi".to_owned()];
        let tests = vec![
            Test::new("flat", 1.0, outcomes(), vec![vec![0.3, 0.7]; 2]),
            Test::new("dear", 4.0, outcomes(), vec![vec![1.0, 0.0], vec![0.0, 1.0]]),
            Test::new("good", 1.0, outcomes(), vec![vec![0.9, 0.1], vec![0.2, 0.8]]),
            Test::new("twin", 1.0, outcomes(), vec![vec![0.1, 0.9], vec![0.8, 0.2]]),
        ];
        Table::new(vec![("a".to_owned(), 0.5), ("b".to_owned(), 0.5)], tests).unwrap().0
    }

    #[test]
    fn ties_keep_the_order_of_the_table() {
        let t = table();
        let p = t.posterior(&Evidence::none()).unwrap().p;
        let ranking = t.ranking(&p, &Evidence::none());
        let order: Vec<&str> = ranking.tests.iter().map(|r| t.tests()[r.test].id()).collect();
        assert_eq!(order, ["good", "twin", "dear", "flat"]);
        assert_eq!(ranking.tests[3].gain_bits, 0.0);
        assert!((ranking.tests[2].gain_bits - 1.0).abs() < 1e-15);
    }

    #[test]
    fn when_nothing_gains_there_is_no_best() {
        let t = table();
        let evidence = Evidence::parse(&t, &["dear=hi"]).unwrap();
        let after = t.posterior(&evidence).unwrap();
        assert_eq!(after.p, [0.0, 1.0]);
        assert_eq!(after.entropy_bits, 0.0);
        assert_eq!(t.ranking(&after.p, &evidence).best(), None);
    }

    #[test]
    fn evidence_is_checked_against_the_table() {
        let t = table();
        for (pieces, part) in [
            (vec!["good"], "TEST=OUTCOME"),
            (vec!["goot=lo"], "did you mean 'good'?"),
            (vec!["good=low"], "it has lo, hi"),
            (vec!["good=lo", "good=lo"], "given twice"),
        ] {
            let error = Evidence::parse(&t, &pieces).unwrap_err().to_string();
            assert!(error.contains(part), "{pieces:?}: {error}");
        }
    }

    #[test]
    fn the_piece_that_can_not_be_is_named() {
        let outcomes = || vec!["n".to_owned(), "y".to_owned()];
        let tests = vec![
            Test::new("one", 1.0, outcomes(), vec![vec![1.0, 0.0], vec![0.0, 1.0]]),
            Test::new("two", 1.0, outcomes(), vec![vec![1.0, 0.0], vec![0.0, 1.0]]),
        ];
        let t = Table::new(vec![("a".to_owned(), 0.5), ("b".to_owned(), 0.5)], tests).unwrap().0;
        let evidence = Evidence::parse(&t, &["one=n", "two=y"]).unwrap();
        let error = t.posterior(&evidence).unwrap_err();
        assert_eq!(error, EvidenceError::Impossible { piece: "two=y".to_owned() });
    }

    #[test]
    fn hundreds_of_unlikely_outcomes_do_not_underflow() {
        let outcomes = || vec!["n".to_owned(), "y".to_owned()];
        let rows = vec![vec![1.0 - 1e-9, 1e-9], vec![1.0 - 2e-9, 2e-9]];
        let tests = (0..200).map(|i| Test::new(format!("t{i}"), 1.0, outcomes(), rows.clone())).collect();
        let t = Table::new(vec![("a".to_owned(), 0.5), ("b".to_owned(), 0.5)], tests).unwrap().0;
        let pieces: Vec<String> = (0..200).map(|i| format!("t{i}=y")).collect();
        let after = t.posterior(&Evidence::parse(&t, &pieces).unwrap()).unwrap();
        // Odds of a to b are 2⁻²⁰⁰.
        assert!((after.p[0].log2() + 200.0).abs() < 1e-9);
    }
}
