//! Walks of the authored trees on as many proof cars as one likes, alone or as the odds advise: where they end and how long they take.
//!
//! Each car is drawn once and walked on every tree, so that what is solved of it serves them all.

use super::car::ProofCar;
use super::cars::{Person, Reader};
use super::guided::guided;
use super::noise_free::{Injected, Outcome};
use super::tally::{Add, Cell, Cells};
use super::together::together;
use super::unit::{draw, number};
use crate::belief::Particles;
use crate::faults::applies;
use crate::quantity::UnitSystem;
use crate::rig::Rig;
use crate::session::{Bench, Session};
use crate::terms::Fault;
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
    person: Person,
) -> Vec<Authored> {
    let particles = person.particles(rig, seed);
    let faults: Vec<Fault> = Fault::ALL.iter().copied().filter(|f| applies(rig, *f).is_ok()).collect();
    let some = faults.chunks(faults.len().div_ceil(2 * rayon::current_num_threads()).max(1));
    some.collect::<Vec<_>>()
        .into_par_iter()
        .map(|faults| walked(trees, (rig, particles.as_ref()), faults, (samples, seed), person))
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
    (rig, particles): (&Arc<Rig>, Option<&Arc<Particles>>),
    faults: &[Fault],
    (samples, seed): (u64, u64),
    person: Person,
) -> Vec<Authored> {
    let name = number(&rig.name);
    let cars: Vec<_> = faults
        .iter()
        .flat_map(|f| (0..samples).map(move |s| (*f, s)))
        .filter_map(|(fault, sample)| draw(rig, fault, &[name, fault as u64, sample], seed))
        .map(|car| if person.reader == Reader::Careful { car.carefully() } else { car })
        .collect();
    let benches: Vec<&dyn Bench> = cars.iter().map(|car| car as &dyn Bench).collect();
    let injected = |car: &ProofCar| {
        let (fault, severity) = car.fault();
        Injected { fault, severity }
    };
    let on = |tree: &Arc<Tree>| {
        let mut counted = Authored::default();
        let mut count = |outcome: &Outcome, by_reading: bool| {
            let fault = outcome.injected.fault;
            let cell = if fault == Fault::NoFault || tree.finds.contains(&fault) {
                counted.claimed.entry(fault).or_default()
            } else {
                &mut counted.others
            };
            cell.count(outcome, &outcome.parts(), by_reading);
        };
        for car in &cars {
            car.rewind();
        }
        if let Some(particles) = particles {
            for car in &cars {
                let came = guided(tree, rig, particles, car, injected(car), person.tools);
                count(&came.outcome, came.by_reading);
            }
            return counted;
        }
        let Ok(mut session) = Session::begin(rig.clone(), tree.clone(), None, UnitSystem::Metric) else {
            return counted;
        };
        for (came, car) in together(&mut session, &benches, person.tools).into_iter().zip(&cars) {
            let injected = injected(car);
            let outcome = Outcome { injected, end: came.end, minutes: came.minutes, path: Vec::new() };
            count(&outcome, came.by_reading);
        }
        counted
    };
    trees.iter().map(on).collect()
}
