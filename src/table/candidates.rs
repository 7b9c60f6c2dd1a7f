//! Sets of faults at once: diagnoses from conflicts, their beliefs, and what a probe would tell.
//!
//! de Kleer & Williams, "Diagnosing multiple faults", *Artificial Intelligence* 32, 1987: a conflict is a set of parts that
//! can't all be healthy; a diagnosis is a set of parts that meets every conflict. A set is a bit mask over the parts.

/// A set of faulty parts and how much it is believed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Candidate {
    /// The faulty parts, one bit each.
    pub faulty: u32,
    /// Belief, the candidates' summing to one.
    pub p: f64,
}

/// Every set of `parts` parts that meets each of `conflicts`, by number of parts and then by mask. At most 20 parts.
pub fn diagnoses(parts: usize, conflicts: &[u32]) -> Vec<u32> {
    let mut found: Vec<u32> =
        (0..1_u32 << parts.min(20)).filter(|set| conflicts.iter().all(|c| set & c != 0)).collect();
    found.sort_by_key(|set| (set.count_ones(), *set));
    found
}

/// The diagnoses that hold no smaller one.
pub fn minimal_diagnoses(parts: usize, conflicts: &[u32]) -> Vec<u32> {
    let mut minimal: Vec<u32> = Vec::new();
    for set in diagnoses(parts, conflicts) {
        if !minimal.iter().any(|m| set & m == *m) {
            minimal.push(set);
        }
    }
    minimal
}

/// Beliefs of `sets` when each part is faulty by itself with its prior: Π p·Π (1 − p), scaled to a sum of one.
pub fn weigh(sets: &[u32], priors: &[f64]) -> Vec<Candidate> {
    let weight = |set: u32| -> f64 {
        priors.iter().enumerate().map(|(i, p)| if set & (1 << i) != 0 { *p } else { 1.0 - p }).product()
    };
    let total: f64 = sets.iter().map(|s| weight(*s)).sum();
    sets.iter().map(|s| Candidate { faulty: *s, p: weight(*s) / total }).collect()
}

/// The expected change of entropy from a probe, in nats, below zero for a gain: `predicted` is the belief in the candidates
/// that predict each value, `unpredicted` that in those that predict none, spread evenly over `values` possible ones;
/// `None` for values without number.
///
/// H_e − H = Σ p(v) ln p(v) + p(U) ln p(U) − (n p(U)/m) ln(p(U)/m), with p(v) = p(S_v) + p(U)/m.
pub fn probe_entropy_change(predicted: &[f64], unpredicted: f64, values: Option<u32>) -> f64 {
    let share = values.map_or(0.0, |m| unpredicted / f64::from(m));
    let term = |p: f64| if p > 0.0 { p * p.ln() } else { 0.0 };
    let named: f64 = predicted.iter().map(|p| term(p + share)).sum();
    named + term(unpredicted) - predicted.len() as f64 * term(share)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_set_without_conflict_needs_no_fault() {
        assert_eq!(minimal_diagnoses(3, &[]), [0]);
        assert_eq!(minimal_diagnoses(3, &[0b011, 0b110]), [0b010, 0b101]);
    }

    #[test]
    fn a_probe_that_parts_nothing_tells_nothing() {
        assert_eq!(probe_entropy_change(&[1.0], 0.0, None), 0.0);
        assert!((probe_entropy_change(&[0.5, 0.5], 0.0, None) + 2.0_f64.ln()).abs() < 1e-15);
    }
}
