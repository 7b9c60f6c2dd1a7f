//! Walks of the authored trees alone, on as many proof cars as one likes: where they end and how long they take, without the odds.
//!
//! Each car is drawn once and walked on every tree, so that what is solved of it serves them all.

use super::cars::Reader;
use super::noise_free::{Injected, Outcome};
use super::tally::{Add, Cell, Cells};
use super::together::together;
use super::unit::{draw, number};
use crate::faults::applies;
use crate::quantity::UnitSystem;
use crate::rig::Rig;
use crate::session::{Bench, Session};
use crate::terms::{Fault, Tool};
use crate::tree::Tree;
use rayon::prelude::*;
use std::sync::Arc;

/// What was counted of one tree.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Authored {
    /// Faults the tree claims, and the sound car.
    pub claimed: Cells,
    /// Faults it does not claim.
    pub others: Cell,
}

impl Add for Authored {
    fn add(&mut self, other: &Self) {
        self.claimed.add(&other.claimed);
        self.others.add(&other.others);
    }
}

/// Walks every tree on `samples` proof cars of every fault that can be in the rig's car, in parallel. The cars are those of
/// [`super::run_cars`]; what comes out stands in the order of the trees.
pub fn authored(
    trees: &[Arc<Tree>],
    rig: &Arc<Rig>,
    (samples, seed): (u64, u64),
    reader: Reader,
    tools: Option<&[Tool]>,
) -> Vec<Authored> {
    let faults: Vec<Fault> = Fault::ALL.iter().copied().filter(|f| applies(rig, *f).is_ok()).collect();
    let some = faults.chunks(faults.len().div_ceil(2 * rayon::current_num_threads()).max(1));
    some.collect::<Vec<_>>()
        .into_par_iter()
        .map(|faults| walked(trees, rig, faults, (samples, seed), reader, tools))
        .reduce(
            || vec![Authored::default(); trees.len()],
            |mut sum, part| {
                for (sum, part) in sum.iter_mut().zip(&part) {
                    sum.add(part);
                }
                sum
            },
        )
}

fn walked(
    trees: &[Arc<Tree>],
    rig: &Arc<Rig>,
    faults: &[Fault],
    (samples, seed): (u64, u64),
    reader: Reader,
    tools: Option<&[Tool]>,
) -> Vec<Authored> {
    let name = number(&rig.name);
    let cars: Vec<_> = faults
        .iter()
        .flat_map(|f| (0..samples).map(move |s| (*f, s)))
        .filter_map(|(fault, sample)| draw(rig, fault, &[name, fault as u64, sample], seed))
        .map(|car| if reader == Reader::Careful { car.carefully() } else { car })
        .collect();
    let benches: Vec<&dyn Bench> = cars.iter().map(|car| car as &dyn Bench).collect();
    let on = |tree: &Arc<Tree>| {
        let mut counted = Authored::default();
        for car in &cars {
            car.rewind();
        }
        let Ok(mut session) = Session::begin(rig.clone(), tree.clone(), None, UnitSystem::Metric) else {
            return counted;
        };
        for (came, car) in together(&mut session, &benches, tools).into_iter().zip(&cars) {
            let (fault, severity) = car.fault();
            let injected = Injected { fault, severity };
            let outcome = Outcome { injected, end: came.end, minutes: came.minutes, path: Vec::new() };
            let cell = if fault == Fault::NoFault || tree.finds.contains(&fault) {
                counted.claimed.entry(fault).or_default()
            } else {
                &mut counted.others
            };
            cell.count(&outcome, &outcome.parts(), came.by_reading);
        }
        counted
    };
    trees.iter().map(on).collect()
}
