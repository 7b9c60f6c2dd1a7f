//! How every fault stands, for people to see: the belief of a case in words and plain numbers.

use super::against::{Against, STRONG};
use super::conclusion::{Conclusion, thousandths};
use super::look_again::{Again, Hinge};
use super::one::Session;
use super::rests::Rest;
use super::unnamed::Unnamed;
use crate::belief::{Belief, Fate, Key, PartState, Particles};
use crate::rig::Rig;
use crate::terms::{Fault, Part};
use crate::tree::StepKind;
use crate::walk;
use std::sync::Arc;

/// Simulated cars a fault is stood for by: enough that odds shown in twentieths do not move with the draw.
const PER_FAULT: usize = 64;

/// The simulated cars of one rig, drawn once; it takes long enough to do beside other work.
#[derive(Debug, Clone)]
pub struct Crowd(Arc<Particles>);

impl Crowd {
    /// Draws and solves them.
    pub fn draw(rig: &Rig) -> Self {
        Self(Arc::new(Particles::draw(rig, PER_FAULT, 1)))
    }
}

/// How a fault or a part stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// What was seen speaks against it, and no single slip would bring it back.
    Cleared,
    /// Neither.
    Open,
    /// What was seen speaks for it.
    Likely,
}

/// One fault with what raised it or set it aside.
#[derive(Debug, Clone, PartialEq)]
pub struct Suspect {
    /// The fault.
    pub fault: Fault,
    /// Its probability, 0 to 1.
    pub probability: f64,
    /// How it has fared against what was seen.
    pub fate: Fate,
    /// What mattered most for it, in words, and whether it raised the fault.
    pub moved: Vec<(String, bool)>,
}

/// The belief of a case at one moment.
#[derive(Debug, Clone, PartialEq)]
pub struct Outlook {
    /// Faults, the likeliest first.
    pub suspects: Vec<Suspect>,
    /// Probability of something in no catalogue.
    pub other: f64,
    /// Replaceable parts with their probability, the likeliest first.
    pub parts: Vec<(Part, f64, Standing)>,
    /// Set when nothing explains everything seen: what fits worst, in words.
    pub misfit: Option<String>,
    /// What does not go with all the rest and was read only once, in words; worth reading again first.
    pub odd: Option<String>,
    /// What was seen once only and whose slip would change the verdict, where the odds lead to one.
    pub fragile: Option<Hinge>,
    /// What would tell most a minute now.
    pub next: Option<Advice>,
    /// How much less a minute of the open step's own test tells than one of `next`, as a share; none where the open step is no
    /// test, or is that very test.
    pub open_worth: Option<f64>,
    /// The test most worth doing before its turn, with its step; none where the open step tells as much for its time.
    pub before: Option<Advice>,
    /// The open step, where it tells hardly anything and may be put off.
    pub may_wait: Option<String>,
    /// The finding that may be named now, before the tree comes to its end or in place of that end.
    pub conclusion: Option<Conclusion>,
    /// Why no finding may be named now; none where one may.
    pub unnamed: Option<Unnamed>,
    /// What a finding rests on that was named by the odds: everything that counts in them, and what each did.
    pub rests: Vec<Rest>,
    /// What is worth seeing a second time now.
    pub again: Option<Again>,
    /// Set when the walk stands at an end that the odds speak against.
    pub against: Option<Against>,
}

/// Below this probability a fault hardly stands, if it has lost half of what it had before anything was seen.
const ASIDE: f64 = 0.005;

impl Outlook {
    fn of(&self, fate: Fate) -> impl Iterator<Item = &Suspect> {
        self.suspects.iter().filter(move |s| s.fate == fate)
    }

    /// The faults that still stand, the likeliest first.
    pub fn still_standing(&self) -> impl Iterator<Item = &Suspect> {
        self.of(Fate::Stands)
    }

    /// The faults that hardly stand, and that a single slip would bring back.
    pub fn less_likely(&self) -> impl Iterator<Item = &Suspect> {
        self.of(Fate::LessLikely)
    }

    /// The faults that what was seen sets aside: no single slip would bring one of them back.
    pub fn set_aside(&self) -> impl Iterator<Item = &Suspect> {
        self.of(Fate::SetAside)
    }

    /// What to say where no fault explains everything.
    pub fn misfit_words(&self) -> Option<String> {
        self.misfit.as_ref().map(|worst| {
            format!(
                "No single fault in the catalogue explains everything. A slip, the gauge, two faults at once, or one that is not in it? What fits worst: {worst}."
            )
        })
    }

    /// What to say of an open step that may wait.
    pub fn may_wait_words(&self) -> Option<&'static str> {
        let words = "After all that was seen, this step would tell hardly anything now. It may wait.";
        self.may_wait.is_some().then_some(words)
    }

    /// What to say where one thing does not go with the rest.
    pub fn odd_words(&self) -> Option<String> {
        self.odd.as_ref().map(|odd| {
            format!(
                "One thing does not go with all the rest: {odd}. Read it again before anything else; a slip is likelier than a rare fault."
            )
        })
    }
}

/// A test worth doing.
#[derive(Debug, Clone, PartialEq)]
pub struct Advice {
    /// What, in words.
    pub what: String,
    /// Minutes it takes now, with whatever has to be fitted first.
    pub minutes: f64,
    /// The step of this walk that does it, where it may be done now, before the path comes to it.
    pub step: Option<String>,
    /// Why it can't be done now, in words, where there is no such step.
    pub not_now: Option<String>,
}

/// Odds in twentieths, as people say them.
pub fn twentieths(p: f64) -> String {
    let twentieths = (p * 20.0).round();
    if twentieths < 1.0 {
        "under 1 in 20".to_owned()
    } else if p > 0.975 {
        "over 19 in 20".to_owned()
    } else {
        format!("{twentieths} in 20")
    }
}

impl Conclusion {
    /// What may be named and why, in one sentence or two.
    pub fn words(&self) -> String {
        let (name, sure) = (self.fault.name(), thousandths(self.probability));
        if self.instead {
            return format!("In place of this end, all that was seen names {name} ({sure}).");
        }
        format!(
            "All that was seen names {name} ({sure}); were any one thing a slip, it would still stand first. What is left of the tree would tell little more."
        )
    }
}

/// How many pieces of evidence are named for one fault.
const NAMED: usize = 3;
/// A piece of evidence that moves a fault's likelihood by less than this, in natural logarithms, is not worth naming.
const WORTH_NAMING: f64 = 0.2;

impl Session {
    /// How every fault stands after everything given so far. `deep` adds what would tell most now, which takes longer.
    pub fn outlook(&self, crowd: &Crowd, deep: bool) -> Outlook {
        let belief: Belief = self.belief(&crowd.0);
        let evidence: Vec<String> = belief.evidence().map(|e| self.in_words(e)).collect();
        let named = |index: usize| evidence.get(index).cloned();
        let fates = belief.fates(&self.first_belief(&crowd.0).odds(), ASIDE);
        let mut suspects: Vec<Suspect> = belief
            .odds()
            .into_iter()
            .map(|(fault, probability)| {
                let moved = belief
                    .why(fault)
                    .into_iter()
                    .filter(|w| w.ratio.abs() > WORTH_NAMING)
                    .take(NAMED)
                    .filter_map(|w| named(w.evidence).map(|text| (text, w.ratio > 0.0)))
                    .collect();
                let fate = fates.iter().find(|(f, _)| *f == fault).map_or(Fate::Stands, |(_, fate)| *fate);
                Suspect { fault, probability, fate, moved }
            })
            .collect();
        suspects.sort_by(|a, b| b.probability.total_cmp(&a.probability));
        let parts = belief
            .part_states()
            .into_iter()
            .map(|(part, p, state)| {
                let standing = match state {
                    PartState::Cleared => Standing::Cleared,
                    PartState::Open => Standing::Open,
                    PartState::Likely => Standing::Likely,
                };
                (part, p, standing)
            })
            .collect();
        let misfit = belief.misfit();
        let conclusion = self.conclusion(&belief);
        let ranked = if deep { self.suggestions(&belief) } else { Vec::new() };
        let best = ranked.first().filter(|s| s.gain_per_minute > 0.0);
        let open = self.open_test();
        let open_worth = best.zip(open).filter(|(best, open)| best.key != *open).map(|(best, open)| {
            let own = ranked.iter().find(|s| s.key == open).map_or(0.0, |s| s.gain_per_minute);
            own / best.gain_per_minute
        });
        Outlook {
            suspects,
            other: belief.other(),
            parts,
            misfit: (misfit.alarm && !evidence.is_empty())
                .then(|| misfit.worst.and_then(named).unwrap_or_else(|| "what was seen".to_owned())),
            odd: misfit.repeat().and_then(named),
            fragile: self
                .hinge(&belief)
                .filter(|_| belief.part_odds().first().is_some_and(|p| p.1 >= STRONG)),
            next: best.map(|s| self.advice_now(s)),
            open_worth,
            before: self
                .before_its_turn(&ranked)
                .map(|(s, step)| Advice { step: Some(step), ..self.advice(s) }),
            may_wait: self.may_wait(&ranked),
            unnamed: conclusion.as_ref().err().cloned(),
            conclusion: conclusion.ok(),
            rests: self.rests(&belief),
            again: self.again(&belief),
            against: self.against(&belief),
        }
    }

    /// The test of the step open now, if it is one.
    pub(super) fn open_test(&self) -> Option<Key> {
        self.test_of(self.state().open_step()?)
    }

    /// The nearest step ahead that does this test, or one put off, if it may be done now and its reading exists on this car.
    pub(super) fn ahead_for(&self, key: Key) -> Option<String> {
        // What is open is done where it stands, not by its second look.
        if self.open_test() == Some(key) {
            return None;
        }
        let tree = self.tree();
        let exists = |i: usize| match &tree.steps[i].kind {
            StepKind::Read(read) => self.expected(i, read.places.first().copied()).is_ok_and(|e| e.is_some()),
            _ => true,
        };
        let does = |i: &usize| self.test_of(*i) == Some(key) && exists(*i);
        let ahead = walk::ahead(tree, self.state()).into_iter().find(does);
        // What was put off is offered again as any other.
        let may = |i: &usize| does(i) && walk::may_repeat(tree, self.state(), *i);
        let found = ahead.or_else(|| self.state().parked().into_iter().find(may));
        found.map(|i| tree.steps[i].id.clone())
    }
}
