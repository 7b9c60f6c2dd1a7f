//! What a finding rests on that was named by the odds: everything that counts in them, and what each did.

use super::one::Session;
use crate::belief::{Belief, Evidence};
use crate::terms::Fault;
use crate::walk::Given;

/// One thing that counts in the odds.
#[derive(Debug, Clone, PartialEq)]
pub struct Rest {
    /// The step of the tree that gave it, as an index.
    pub step: usize,
    /// What it gave.
    pub given: Given,
    /// What it did to the fault, in words.
    pub did: &'static str,
    /// Whether it was kept from off the path: done before its turn, or on a branch that was left.
    pub aside: bool,
}

/// A thing that moves a fault's likelihood by less than this, in natural logarithms, has done little.
const LITTLE: f64 = 0.2;

impl Session {
    /// What the finding at hand rests on, where it was named by the odds: what did most first. Empty where the tree came to it.
    pub(super) fn rests(&self, belief: &Belief) -> Vec<Rest> {
        match self.state().concluded() {
            Some((finding, _)) => self.rests_of(belief, self.tree().findings[finding].fault),
            None => Vec::new(),
        }
    }

    fn rests_of(&self, belief: &Belief, fault: Fault) -> Vec<Rest> {
        let on_path: Vec<usize> = self.state().path().map(|(i, _)| i).collect();
        let evidence: Vec<&Evidence> = belief.evidence().collect();
        let gave = |evidence: &Evidence| {
            let key = evidence.key()?;
            self.given_for(key).map(|(index, given)| (index, given.clone()))
        };
        let rest = |why: crate::belief::Why| {
            let (step, given) = gave(evidence.get(why.evidence)?)?;
            let did = if why.ratio > LITTLE {
                "raised it"
            } else if why.ratio < -LITTLE {
                "lowered it"
            } else {
                "changed little"
            };
            Some(Rest { step, given, did, aside: !on_path.contains(&step) })
        };
        belief.why(fault).into_iter().filter_map(rest).collect()
    }
}
