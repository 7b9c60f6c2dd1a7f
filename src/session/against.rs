//! An end that the odds speak against: the tree names one thing, everything seen together speaks for another.
//!
//! A tree decides step by step, and where a test was left out it may end in something it could not look at. The odds take all
//! that was seen at once, so they can say so before a part is bought.

use super::one::{Ask, Session};
use super::outlook::{Advice, twentieths};
use crate::belief::Belief;
use crate::quantity::figures;
use crate::terms::{Fault, Part};
use crate::walk::Ending;
use std::collections::BTreeSet;

/// A fault that the end does not name counts as speaking against it from this probability on.
pub(super) const STRONG: f64 = 0.5;
/// And only if it is so many times as probable as all that the end does name.
const TIMES: f64 = 3.0;
/// What the end names counts as contradicted below this probability, whatever else there is.
const LITTLE: f64 = 0.02;

/// What speaks against an end.
#[derive(Debug, Clone, PartialEq)]
pub struct Against {
    /// The likeliest fault by everything seen whose part the end does not name.
    pub fault: Fault,
    /// The probability of that part, 0 to 1.
    pub probability: f64,
    /// The probability of what the end names; none where it names nothing.
    pub named: Option<f64>,
    /// The test that would tell most a minute now, one that was left out for want of a tool among them.
    pub test: Option<Advice>,
}

impl Against {
    /// The fault that everything seen speaks for, where it speaks for one.
    pub fn likely(&self) -> Option<Fault> {
        (self.probability >= STRONG).then_some(self.fault)
    }

    /// Whether hardly anything is left of what the end names: no part is bought on it.
    pub fn contradicts(&self) -> bool {
        self.named.is_some_and(|named| named <= LITTLE)
    }

    /// What speaks against it, in one sentence or two.
    pub fn says(&self) -> String {
        let rather = twentieths(self.probability);
        let named = self.named.map(twentieths);
        match (self.likely(), named) {
            (Some(fault), None) => format!("All that was seen speaks for {} ({rather}).", fault.name()),
            (Some(Fault::NoFault), Some(named)) => {
                format!("By all that was seen nothing is wrong ({rather}); this stands at {named}.")
            }
            (Some(fault), Some(named)) => {
                format!(
                    "All that was seen speaks rather for {} ({rather}); this stands at {named}.",
                    fault.name()
                )
            }
            (None, named) => format!(
                "By all that was seen this stands at {}, and nothing else stands out. Read again what does not go with the rest.",
                named.unwrap_or_default()
            ),
        }
    }

    /// What speaks against it, and the test that would tell.
    pub fn words(&self) -> String {
        match &self.test {
            None => self.says(),
            Some(test) => {
                let minutes = figures(test.minutes, 2);
                format!("{} Before any part is bought: {}, about {minutes} min.", self.says(), test.what)
            }
        }
    }
}

impl Session {
    /// The faults that the end names, where the walk stands at one or came to one.
    pub(super) fn named(&self) -> Option<Vec<Fault>> {
        let of = |index: usize| {
            let f = &self.tree().findings[index];
            std::iter::once(f.fault).chain(f.also.iter().copied()).collect()
        };
        match (self.ask(), self.state().ending()) {
            (Ask::Finding(f), _) => Some(std::iter::once(f.fault).chain(f.also.iter().copied()).collect()),
            (Ask::Handover(h), _) => Some(h.narrowed.clone()),
            // What was proved by measuring again stands, whatever the odds say.
            (_, Some(Ending::Finding { finding, confirmed: None | Some(false) })) => Some(of(finding)),
            (_, Some(Ending::Handover(h))) => Some(self.tree().handovers[h].narrowed.clone()),
            _ => None,
        }
    }

    /// What speaks against the end the walk stands at or came to; none where there is no end, or where the odds agree. Of an end
    /// that names nothing, what everything seen speaks for.
    pub fn against(&self, belief: &Belief) -> Option<Against> {
        let named = self.named()?;
        let parts: BTreeSet<Part> = named.iter().map(|f| f.part()).collect();
        let odds = belief.part_odds();
        let share: f64 = odds.iter().filter(|(part, _)| parts.contains(part)).map(|(_, p)| p).sum();
        let (part, probability) = *odds.iter().find(|(part, _)| !parts.contains(part))?;
        let strong = probability >= STRONG && probability >= TIMES * share;
        let silent =
            if named.is_empty() { !strong || part == Part::Nothing } else { !strong && share > LITTLE };
        if silent {
            return None;
        }
        let fault = belief.odds().into_iter().map(|(f, _)| f).find(|f| f.part() == part)?;
        let test = self.all_suggestions(belief).into_iter().find(|s| s.gain_per_minute > 0.0);
        Some(Against {
            fault,
            probability,
            named: (!named.is_empty()).then_some(share),
            test: test.map(|s| self.advice(&s)),
        })
    }
}
