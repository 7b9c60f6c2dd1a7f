//! Proof cars walked one by one: the same cars that the figures count, for finding why a tree fails on them.

use super::guided::guided;
use super::noise_free::{Injected, Outcome};
use super::unit::{draw, number};
use super::walker::Walker;
use crate::belief::Particles;
use crate::faults::applies;
use crate::rig::Rig;
use crate::terms::{Fault, Tool};
use crate::tree::Tree;
use rayon::prelude::*;
use std::sync::Arc;

/// Who reads the instruments and answers the looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reader {
    /// One who never slips.
    Careful,
    /// One who slips in a few of a hundred readings and answers.
    Slipping,
}

/// Who walks, with what.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Person<'a> {
    /// Who reads.
    pub reader: Reader,
    /// Whether every offer of the odds is taken; otherwise the tree alone leads.
    pub advised: bool,
    /// Tools at hand; none: all of them.
    pub tools: Option<&'a [Tool]>,
}

impl Person<'_> {
    /// The simulated cars of a rig, where the odds are asked.
    pub(super) fn particles(&self, rig: &Rig, seed: u64) -> Option<Arc<Particles>> {
        self.advised.then(|| Arc::new(Particles::draw(rig, PER_FAULT, seed)))
    }
}

/// Simulated cars a fault is stood for by in the odds.
const PER_FAULT: usize = 64;

/// Walks a tree on `samples` proof cars a fault, in parallel; `seed` is that of the proof.
pub fn run_cars(
    tree: &Arc<Tree>,
    rig: &Arc<Rig>,
    faults: &[Fault],
    (samples, seed): (u64, u64),
    person: Person,
) -> Vec<Outcome> {
    let particles = person.particles(rig, seed);
    let name = number(&rig.name);
    let jobs: Vec<(Fault, u64)> = faults
        .iter()
        .filter(|f| applies(rig, **f).is_ok())
        .flat_map(|f| (0..samples).map(move |s| (*f, s)))
        .collect();
    let walked: Vec<Option<Outcome>> = jobs
        .into_par_iter()
        .map_init(
            || Walker::new(tree, rig),
            |walker, (fault, sample)| {
                let mut car = draw(rig, fault, &[name, fault as u64, sample], seed)?;
                if person.reader == Reader::Careful {
                    car = car.carefully();
                }
                let (fault, severity) = car.fault();
                let injected = Injected { fault, severity };
                Some(match &particles {
                    Some(particles) => guided(tree, rig, particles, &car, injected, person.tools).outcome,
                    None => walker.on(&car, injected, person.tools, None),
                })
            },
        )
        .collect();
    walked.into_iter().flatten().collect()
}
