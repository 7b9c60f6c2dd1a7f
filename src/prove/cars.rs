//! Proof cars walked one by one: the same cars that the figures count, for finding why a tree fails on them.

use super::noise_free::{Injected, Outcome};
use super::unit::{draw, number};
use super::walker::Walker;
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

/// Walks a tree on `samples` proof cars a fault, in parallel; `seed` is that of the proof.
pub fn run_cars(
    tree: &Arc<Tree>,
    rig: &Arc<Rig>,
    faults: &[Fault],
    (samples, seed): (u64, u64),
    reader: Reader,
    tools: Option<&[Tool]>,
) -> Vec<Outcome> {
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
                if reader == Reader::Careful {
                    car = car.carefully();
                }
                let (fault, severity) = car.fault();
                Some(walker.on(&car, Injected { fault, severity }, tools, None))
            },
        )
        .collect();
    walked.into_iter().flatten().collect()
}
