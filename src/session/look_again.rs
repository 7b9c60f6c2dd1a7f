//! What is worth seeing a second time before anything is named: what does not go with all the rest, and what the verdict hangs on.
//!
//! A slip is likelier than most faults. Who reads the one doubtful thing again, while the gauge is still fitted, has the answer in a
//! minute; who does not, buys a part on it.

use super::conclusion::SURE;
use super::one::Session;
use super::unnamed::part_name;
use crate::belief::{Belief, Evidence};
use crate::quantity::figures;
use crate::terms::{Fault, Part};
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
    /// Why, beside that it does not go with the rest.
    why: Why,
}

/// Why a thing is worth seeing again.
#[derive(Debug, Clone, PartialEq)]
enum Why {
    /// It does not go with the rest.
    Odd,
    /// The verdict hangs on it.
    Hinge(Hinge),
    /// Seen alike once more it makes this part sure.
    Settles(Part),
}

/// The one thing that the odds hang on.
#[derive(Debug, Clone, PartialEq)]
pub struct Hinge {
    /// What, in words.
    pub what: String,
    /// The part that is likeliest with it.
    pub now: Part,
    /// The part that would be likeliest without it.
    pub instead: Part,
    /// Whether the end that the tree came to names that part already.
    pub agrees: bool,
}

impl Hinge {
    /// What hangs on it, in one sentence.
    fn says(&self, lead: &str) -> String {
        let what = &self.what;
        let to = |part: Part| match part {
            Part::Nothing => "to nothing wrong".to_owned(),
            part => format!("to the {}", part_name(part)),
        };
        if self.agrees {
            return format!("What speaks against this end is one thing: {what}.");
        }
        if self.instead == Part::Nothing {
            return format!("{lead}: {what}. Without it nothing would seem wrong.");
        }
        format!("{lead}: {what}. With it the odds lead {}, without it {}.", to(self.now), to(self.instead))
    }

    /// What hangs on it and what to do about it.
    pub fn words(&self) -> String {
        format!(
            "{} Something else should bear it out before a part is bought.",
            self.says("It hangs on one thing")
        )
    }
}

impl Again {
    /// What to do and why, in one sentence or two.
    pub fn words(&self) -> String {
        let minutes = figures(self.minutes, 2);
        let what = &self.what;
        match &self.why {
            Why::Odd => format!(
                "Does not go with the rest: {what}. Once more, about {minutes} min; a slip is likelier than a rare fault."
            ),
            Why::Settles(part) => format!(
                "Nearly sure is the {}. Once more, about {minutes} min, and alike, this would settle it: {what}.",
                part_name(*part)
            ),
            Why::Hinge(hinge) => format!(
                "{} Once more, about {minutes} min, before a part is bought.",
                hinge.says("All hangs on one thing")
            ),
        }
    }
}

/// From this probability on a part may need no more than to see once more what speaks for it.
const NEARLY: f64 = 0.95;

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
        let odd = belief.misfit().repeats().find_map(|i| self.seen_again(evidence[i], Why::Odd));
        if odd.is_some() {
            return odd;
        }
        let first = belief.part_odds().first().copied().filter(|(part, _)| *part != Part::Nothing);
        match first {
            _ if at_end => {}
            Some((_, p)) if p >= SURE => {}
            Some((part, p)) if p >= NEARLY && belief.wanted_for(part).is_none() => {
                let mut settling = belief.settling(SURE).into_iter();
                return settling.find_map(|i| self.seen_again(evidence[i], Why::Settles(part)));
            }
            _ => return None,
        }
        let fragile = belief.fragile()?;
        self.seen_again(evidence[fragile.evidence], Why::Hinge(self.hinge(belief)?))
    }

    /// The one thing that the odds hang on, if there is one.
    pub(super) fn hinge(&self, belief: &Belief) -> Option<Hinge> {
        let fragile = belief.fragile()?;
        let what = self.in_words(belief.evidence().nth(fragile.evidence)?);
        let now = belief.part_odds().first()?.0;
        let names = |named: Vec<Fault>| named.iter().any(|f| f.part() == fragile.instead);
        let agrees = self.state().concluded().is_none() && self.named().is_some_and(names);
        Some(Hinge { what, now, instead: fragile.instead, agrees })
    }

    fn seen_again(&self, evidence: &Evidence, why: Why) -> Option<Again> {
        let key = evidence.key()?;
        let may =
            |i: &usize| self.test_of(*i) == Some(key) && walk::may_repeat(self.tree(), self.state(), *i);
        let done: Vec<usize> = self.state().set_aside().chain(self.state().path()).map(|(i, _)| i).collect();
        let step = &self.tree().steps[done.into_iter().rev().find(may)?];
        let instead = if let Why::Hinge(hinge) = &why { Some(hinge.instead) } else { None };
        Some(Again {
            step: step.id.clone(),
            what: self.in_words(evidence),
            minutes: step.minutes,
            instead,
            why,
        })
    }
}
