//! Minutes to the end of a walk in the authored order, against an order that always does what tells most a minute by the odds. Both
//! fit, wait and keep the car safe by the same rules, and both are read without noise on the same cars; neither counts the repair, and
//! what is put back stands apart. Run with `cargo bench --bench order [TREE] [RIG…]`.
//!
//! The odds stop where a part has nine chances in ten; the tree goes on to a second look before it names a part. Cars on which the
//! odds never come so far are left out of the comparison and counted.
//!
//! Then the same on proof cars, which are not quite as the model has them, read with care: how often each order is right there, and
//! what surety costs.

// A bench that can't read its rig has nothing to measure.
#![allow(clippy::unwrap_used, clippy::print_stdout, missing_docs)]

use faultwalk::belief::Particles;
use faultwalk::faults::{applies, entry, noticed};
use faultwalk::library::Library;
use faultwalk::practice::{Exercise, Lesson, Level};
use faultwalk::prove::{Injected, Outcome, ProofCar, Walker, guided, injected, walk_one};
use faultwalk::quantity::UnitSystem;
use faultwalk::rig::Rig;
use faultwalk::terms::{Fault, Part};
use faultwalk::tree::Tree;
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::sync::Arc;

/// What the odds have to reach before a part is taken as known.
const KNOWN: [f64; 4] = [0.9, 0.97, 0.99, 0.997];
/// Proof cars a fault.
const CARS: u64 = 2;

/// A fault with what each order came to on one car: right, wrong; minutes in all, and those of what is put back.
type Ends = (Fault, Vec<((bool, bool), (f64, f64))>);

/// Right, wrong, open, with minutes; weighted by prior.
#[derive(Default, Clone, Copy)]
struct Kept {
    weight: f64,
    right: f64,
    wrong: f64,
    minutes: f64,
    /// Those of what is put back, where it is counted at all.
    back: f64,
}

/// Minutes of a walk on what is put back.
fn put_back(tree: &Tree, walk: &Outcome) -> f64 {
    let done = walk.path.iter().filter(|(_, gave)| !gave.starts_with("cannot"));
    done.filter_map(|(id, _)| tree.step(id)).filter(|s| s.undoes.is_some()).map(|s| s.minutes).sum()
}

impl Kept {
    fn count(&mut self, weight: f64, (right, wrong): (bool, bool), (minutes, back): (f64, f64)) {
        self.weight += weight;
        self.right += weight * f64::from(right);
        self.wrong += weight * f64::from(wrong);
        self.minutes += weight * minutes;
        self.back += weight * back;
    }

    fn say(self) -> String {
        let of = |x: f64| 100.0 * x / self.weight;
        format!(
            "{:.1} % right, {:.1} % wrong, {:.0} min, and {:.0} to put back",
            of(self.right),
            of(self.wrong),
            (self.minutes - self.back) / self.weight,
            self.back / self.weight
        )
    }
}

/// The orders on proof cars: the authored one, the same with every offer of the odds taken, then the odds alone at each of [`KNOWN`].
fn on_proof_cars(tree: &Arc<Tree>, rig: &Arc<Rig>) -> Vec<Kept> {
    let particles = Arc::new(Particles::draw(rig, 64, 1));
    let jobs: Vec<(Fault, u64)> = tree
        .finds
        .iter()
        .filter(|f| **f != Fault::NoFault && applies(rig, **f).is_ok())
        .flat_map(|f| (0..CARS).map(move |s| (*f, s)))
        .collect();
    let walked: Vec<Option<Ends>> = jobs
        .into_par_iter()
        .map(|(fault, sample)| {
            let car = ProofCar::draw(rig, fault, 1_000 * sample + fault as u64).ok()?.carefully();
            let (_, severity) = car.fault();
            noticed(rig, fault, severity).then_some(())?;
            let walk = Walker::new(tree, rig).on(&car, Injected { fault, severity }, None, None);
            let of = |w: &Outcome| ((w.right(), w.wrong()), (w.minutes, put_back(tree, w)));
            let mut all = vec![of(&walk)];
            car.rewind();
            let walk = guided(tree, rig, &particles, &car, Injected { fault, severity }, None).outcome;
            all.push(of(&walk));
            let exercise = Exercise { fault, severity, level: Level::One, seed: 1, tools: None };
            let lesson = Lesson::begin(rig.clone(), tree.clone(), exercise, UnitSystem::Metric).unwrap();
            for known in KNOWN {
                car.rewind();
                let followed = lesson.follow_on(&car, &particles, known);
                let minutes = followed.steps.iter().map(|s| s.1).sum();
                let right = followed.part == Some(fault.part());
                let wrong = followed.part.is_some_and(|p| p != Part::Nothing) && !right;
                all.push(((right, wrong), (minutes, 0.0)));
            }
            Some((fault, all))
        })
        .collect();
    let mut kept = vec![Kept::default(); KNOWN.len() + 2];
    for (fault, all) in walked.into_iter().flatten() {
        for (kept, (ended, minutes)) in kept.iter_mut().zip(all) {
            kept.count(entry(fault).prior, ended, minutes);
        }
    }
    kept
}

/// A fault with the minutes of the authored order and of the odds, and whether these came to an end.
type Compared = (Fault, f64, f64, bool);

fn main() {
    // `cargo bench` adds arguments of its own.
    let mut names = std::env::args().skip(1).filter(|a| !a.starts_with('-'));
    let tree =
        Arc::new(Library::embedded().tree(&names.next().unwrap_or_else(|| "runs-lean".into())).unwrap());
    let rigs: Vec<String> = names.collect();
    let rigs = if rigs.is_empty() { vec!["orchard-pickup".into(), "harbour-coupe".into()] } else { rigs };
    for name in rigs {
        let text = std::fs::read_to_string(format!("fixtures/rigs/{name}.yaml")).unwrap();
        let rig = Arc::new(Rig::parse(&name, &text).unwrap());
        // One car a fault, of middling severity.
        let mut cars: BTreeMap<Fault, Injected> = BTreeMap::new();
        for car in injected(&rig, &tree.finds).into_iter().filter(|c| c.fault != Fault::NoFault) {
            let off = |c: &Injected| (c.severity.abs() - 0.65).abs();
            let kept = cars.entry(car.fault).or_insert(car);
            if off(&car) < off(kept) {
                *kept = car;
            }
        }
        let found: Vec<Compared> = cars
            .into_values()
            .par_bridge()
            .map(|car| {
                let walk = walk_one(&tree, &rig, car, None);
                let steps = walk.path.iter().filter_map(|(id, _)| tree.step(id));
                let authored: f64 = steps.filter(|s| s.undoes.is_none()).map(|s| s.minutes).sum();
                let Injected { fault, severity } = car;
                let exercise = Exercise { fault, severity, level: Level::One, seed: 1, tools: None };
                let lesson = Lesson::begin(rig.clone(), tree.clone(), exercise, UnitSystem::Metric).unwrap();
                let cheapest = lesson.debrief().cheapest;
                (fault, authored, cheapest.minutes, cheapest.certain)
            })
            .collect();
        let mut sorted: Vec<_> = found.iter().filter(|f| f.3).collect();
        sorted.sort_by(|a, b| (b.1 - b.2).total_cmp(&(a.1 - a.2)));
        let mean = |which: fn(&Compared) -> f64| {
            let weights: f64 = sorted.iter().map(|f| entry(f.0).prior).sum();
            sorted.iter().map(|f| entry(f.0).prior * which(f)).sum::<f64>() / weights
        };
        let (authored, by_odds) = (mean(|f| f.1), mean(|f| f.2));
        println!(
            "{} on {name}: {} faults, {} of them not certain by the odds; mean minutes weighted by prior: {authored:.1} authored, {by_odds:.1} by \
             the odds, {:.2} times",
            tree.id,
            found.len(),
            found.len() - sorted.len(),
            authored / by_odds
        );
        let kept = on_proof_cars(&tree, &rig);
        println!("  on proof cars, authored: {}", kept[0].say());
        println!("  on proof cars, as the odds advise on the way: {}", kept[1].say());
        for (known, kept) in KNOWN.iter().zip(&kept[2..]) {
            println!("  on proof cars, by the odds to {known}: {}", kept.say());
        }
        for (fault, authored, by_odds, _) in sorted.iter().take(12) {
            println!("  {fault}: {authored:.0} against {by_odds:.0}");
        }
    }
}
