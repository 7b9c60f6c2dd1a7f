//! What a tree's tests could tell at best, and what its order costs against the best one found.
//!
//! For each rig the tests of the tree become a table without noise: a row a fault, an outcome a verdict. What the table can't
//! part, no order can. Minutes are those of the tests alone, so that the authored order and the best one count alike; fitting a
//! gauge is left out on both sides.

use super::noise_free::{Injected, Outcome};
use super::tally::TreeTally;
use crate::faults::entry;
use crate::rig::Rig;
use crate::session::{Bench, FaultyCar, expectation};
use crate::table::{Evidence, Table, Test, entropy_bits};
use crate::terms::Fault;
use crate::tree::{StepKind, Tree};
use std::collections::BTreeMap;

/// Groups beyond which the exact optimum takes too long for a proof.
const MOST_EXACT: usize = 18;

/// What each car gives at each test of the tree.
struct Grid {
    /// By test: its name, minutes and, for each car, the outcome by number.
    tests: Vec<(String, f64, Vec<usize>)>,
    /// By step id, its test.
    of_step: BTreeMap<String, usize>,
}

fn grid(tree: &Tree, rig: &Rig, cars: &[Injected]) -> Grid {
    let benches: Vec<_> = cars.iter().map(|i| FaultyCar::new(rig, &[(i.fault, i.severity)]).ok()).collect();
    let mut grid = Grid { tests: Vec::new(), of_step: BTreeMap::new() };
    for step in tree.steps.iter().filter(|s| s.undoes.is_none()) {
        let (name, outcomes): (String, Vec<usize>) = match &step.kind {
            StepKind::Read(read) => {
                let place = read.places.first().copied();
                let Ok(Some(expected)) = expectation(rig, read, place) else { continue };
                let band = expected.band;
                let judge = |bench: &FaultyCar| match bench.read(read.reading, read.at, read.with, place) {
                    None => 3,
                    Some(v) if band.low.is_some_and(|l| v < l) => 0,
                    Some(v) if band.high.is_some_and(|h| v > h) => 2,
                    Some(_) => 1,
                };
                let seen = benches.iter().map(|b| b.as_ref().map_or(3, judge)).collect();
                (format!("{}@{} {:?}", expected.seen_as, read.at, (band.low, band.high)), seen)
            }
            StepKind::Observe { observation, .. } => {
                let all = observation.outcomes();
                let look = |b: &FaultyCar| {
                    let seen = b.observe(*observation);
                    all.iter().position(|o| o.id == seen.id).unwrap_or(0)
                };
                let seen = benches.iter().map(|b| b.as_ref().map_or(0, look)).collect();
                (observation.id().to_owned(), seen)
            }
            _ => continue,
        };
        let at = grid.tests.iter().position(|t| t.0 == name).unwrap_or_else(|| {
            grid.tests.push((name, step.minutes.max(0.1), outcomes));
            grid.tests.len() - 1
        });
        grid.of_step.insert(step.id.clone(), at);
    }
    grid
}

/// Counts rows, orders and regrets of one rig; `walks` are its walks without noise.
pub fn count(tree: &Tree, rig: &Rig, walks: &[Outcome], tally: &mut TreeTally) {
    // One car a fault: the walk nearest to a middling severity; and the sound car.
    let mut chosen: BTreeMap<Fault, &Outcome> = BTreeMap::new();
    for walk in walks {
        let off = |o: &Outcome| (o.injected.severity - 0.65).abs();
        let kept = chosen.entry(walk.injected.fault).or_insert(walk);
        if off(walk) < off(kept) {
            *kept = walk;
        }
    }
    let sound = Injected { fault: Fault::NoFault, severity: 0.0 };
    let mut cars: Vec<Injected> = chosen.values().map(|o| o.injected).collect();
    if !chosen.contains_key(&Fault::NoFault) {
        cars.push(sound);
    }
    let grid = grid(tree, rig, &cars);
    if grid.tests.is_empty() {
        return;
    }
    let total: f64 = cars.iter().map(|c| entry(c.fault).prior).sum();
    let priors: Vec<f64> = cars.iter().map(|c| entry(c.fault).prior / total).collect();
    let faults = cars.iter().zip(&priors).map(|(c, p)| (c.fault.id().to_owned(), *p)).collect();
    let tests = grid
        .tests
        .iter()
        .enumerate()
        .map(|(i, (_, cost, seen))| {
            let width = seen.iter().max().map_or(1, |m| m + 1);
            let names = (0..width).map(|o| o.to_string()).collect();
            let row = |o: &usize| (0..width).map(|k| f64::from(u8::from(k == *o))).collect();
            Test::new(i.to_string(), *cost, names, seen.iter().map(row).collect())
        })
        .collect();
    let Ok((table, _)) = Table::new(faults, tests) else { return };
    rows(&table, &cars, tally);
    order(&table, &grid, &cars, &priors, &chosen, tally);
}

fn rows(table: &Table, cars: &[Injected], tally: &mut TreeTally) {
    let healthy = cars.iter().position(|c| c.fault == Fault::NoFault);
    let found = table.testability(healthy);
    let id = |i: usize| cars[i].fault.id();
    let pair = |a: usize, b: usize| format!("{} = {}", id(a), id(b));
    for fault in &found.undetectable {
        *tally.rows.zero.entry(id(*fault).to_owned()).or_default() += 1;
    }
    for group in &found.groups {
        for (n, a) in group.iter().enumerate() {
            for b in group[n + 1..].iter().filter(|b| cars[**b].fault.part() != cars[*a].fault.part()) {
                *tally.rows.equal.entry(pair(*a, *b)).or_default() += 1;
            }
        }
    }
    for (a, b) in &found.hidden {
        let key = format!("{} hides {}", id(*a), id(*b));
        *tally.rows.masked.entry(key).or_default() += 1;
    }
}

fn order(
    table: &Table,
    grid: &Grid,
    cars: &[Injected],
    priors: &[f64],
    chosen: &BTreeMap<Fault, &Outcome>,
    tally: &mut TreeTally,
) {
    let total: f64 = priors.iter().sum();
    let all: Vec<usize> = (0..cars.len()).collect();
    let mut authored = 0.0;
    // By step: which cars come to it.
    let mut come: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (car, injected) in cars.iter().enumerate() {
        let Some(walk) = chosen.get(&injected.fault) else { continue };
        let mut done: Vec<usize> = Vec::new();
        for (step, _) in &walk.path {
            let Some(test) = grid.of_step.get(step).filter(|t| !done.contains(t)) else { continue };
            done.push(*test);
            authored += priors[car] / total * grid.tests[*test].1;
            come.entry(*test).or_default().push(car);
        }
    }
    let mut best = greedy(grid, priors, &all) / total;
    let groups = table.testability(None).groups.len();
    if groups <= MOST_EXACT
        && let Ok(optimum) = table.optimum(&Evidence::none())
    {
        best = optimum.expected_cost;
        tally.economy.exact += 1.0;
    }
    let huffman = {
        let weights: Vec<f64> = table
            .testability(None)
            .groups
            .iter()
            .map(|g| g.iter().map(|f| priors[*f]).sum::<f64>())
            .collect();
        let arity = table.tests().iter().map(|t| t.outcomes().len()).max().unwrap_or(2);
        crate::table::huffman_length(&weights, arity)
    };
    let costs: Vec<f64> = grid.tests.iter().map(|t| t.1).collect();
    tally.economy.rigs += 1.0;
    tally.economy.authored += authored;
    tally.economy.best += best;
    tally.economy.bound += crate::table::cost_bound(huffman, &costs);
    for (test, cars) in come {
        let step = grid.of_step.iter().find(|(_, t)| **t == test).map_or("?", |(s, _)| s.as_str());
        let with = with_test(grid, priors, &cars, test);
        let lost = (with - greedy(grid, priors, &cars)).max(0.0) / total;
        if lost > 0.0 {
            *tally.regret.entry(step.to_owned()).or_default() += lost;
        }
    }
}

/// Minutes, weighted by the priors of `cars`, of always taking the best information a minute.
fn greedy(grid: &Grid, priors: &[f64], cars: &[usize]) -> f64 {
    if cars.len() < 2 {
        return 0.0;
    }
    let weight: f64 = cars.iter().map(|c| priors[*c]).sum();
    let mut best: Option<(f64, usize)> = None;
    for (test, (_, cost, _)) in grid.tests.iter().enumerate() {
        let shares: Vec<f64> = split(grid, cars, test)
            .values()
            .map(|part| part.iter().map(|c| priors[*c]).sum::<f64>() / weight)
            .collect();
        let score = entropy_bits(&shares) / cost;
        if shares.len() > 1 && best.is_none_or(|(b, _)| score > b * (1.0 + 1e-11)) {
            best = Some((score, test));
        }
    }
    best.map_or(0.0, |(_, test)| with_test(grid, priors, cars, test))
}

fn with_test(grid: &Grid, priors: &[f64], cars: &[usize], test: usize) -> f64 {
    let weight: f64 = cars.iter().map(|c| priors[*c]).sum();
    let parts = split(grid, cars, test);
    let after: f64 = if parts.len() > 1 {
        parts.values().map(|part| greedy(grid, priors, part)).sum()
    } else {
        greedy(grid, priors, cars)
    };
    weight * grid.tests[test].1 + after
}

fn split(grid: &Grid, cars: &[usize], test: usize) -> BTreeMap<usize, Vec<usize>> {
    let mut parts: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for car in cars {
        parts.entry(grid.tests[test].2[*car]).or_default().push(*car);
    }
    parts
}
