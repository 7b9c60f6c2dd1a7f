//! What is worth seeing a second time before anything is named: what does not go with all the rest, and what the verdict hangs on.
//!
//! A slip is likelier than most faults. Who reads the one doubtful thing again, while the gauge is still fitted, has the answer in a
//! minute; who does not, buys a part on it.

use super::conclusion::SURE;
use super::one::Session;
use crate::belief::{Belief, Evidence};
use crate::quantity::figures;
use crate::terms::Part;
use crate::walk::{self, At};

/// Something to see again, and why.
#[derive(Debug, Clone, PartialEq)]
pub struct Again {
    /// The step of the walk that does it.
    pub step: String,
    /// What, in words.
    pub what: String,
    /// Minutes it takes as the car stands.
    pub minutes: f64,
    /// The part that would be named without it; none where it does not go with the rest.
    pub instead: Option<Part>,
}

impl Again {
    /// What to do and why, in one sentence or two.
    pub fn words(&self) -> String {
        let minutes = figures(self.minutes, 2);
        let what = &self.what;
        match self.instead {
            None => format!(
                "Does not go with the rest: {what}. Once more, about {minutes} min; a slip is likelier than a rare fault."
            ),
            Some(Part::Nothing) => format!(
                "All hangs on one thing: {what}. Without it nothing would seem wrong. Once more, about {minutes} min, before a part is bought."
            ),
            Some(part) => {
                let part = part.id().replace('-', " ");
                format!(
                    "All hangs on one thing: {what}. Without it it would be the {part}. Once more, about {minutes} min, before a part is bought."
                )
            }
        }
    }
}

impl Session {
    /// What is worth seeing again now: what does not go with the rest, at any time; what the verdict hangs on, where the walk has come
    /// to an end or the odds are sure enough to name one. Only what may be repeated as the car stands, and nothing seen twice alike.
    pub fn again(&self, belief: &Belief) -> Option<Again> {
        let at_end = match self.state().at() {
            At::Step(_) => false,
            At::Finding(_) | At::Handover(_) => true,
            _ => return None,
        };
        let evidence: Vec<&Evidence> = belief.evidence().collect();
        let odd = belief.misfit().repeats().find_map(|i| self.seen_again(evidence[i], None));
        if odd.is_some() {
            return odd;
        }
        let sure = belief.part_odds().first().is_some_and(|(part, p)| *part != Part::Nothing && *p >= SURE);
        if !at_end && !sure {
            return None;
        }
        let fragile = belief.fragile()?;
        self.seen_again(evidence[fragile.evidence], Some(fragile.instead))
    }

    fn seen_again(&self, evidence: &Evidence, instead: Option<Part>) -> Option<Again> {
        let key = evidence.key()?;
        let may =
            |i: &usize| self.test_of(*i) == Some(key) && walk::may_repeat(self.tree(), self.state(), *i);
        let done: Vec<usize> = self.state().path().map(|(i, _)| i).collect();
        let step = &self.tree().steps[done.into_iter().rev().find(may)?];
        Some(Again { step: step.id.clone(), what: self.in_words(evidence), minutes: step.minutes, instead })
    }
}
