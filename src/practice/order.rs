//! The cheapest way from how the car stands to where a test can be done.

use super::moves::Move;
use super::standing::{Standing, good_edge, mixture_at_raised, relieves};
use crate::terms::Observation;
use crate::tree::{Step, StepKind, Tree};
use std::cmp::Reverse;
use std::collections::{BinaryHeap, HashMap};

/// More standings than any way to a test passes; a search that needs more gives up.
const MOST: usize = 20_000;

/// A way: the moves to do before the test, and their minutes.
#[derive(Debug, Clone, PartialEq)]
pub struct Way {
    /// Moves by index, in order.
    pub moves: Vec<usize>,
    /// Their minutes together.
    pub minutes: f64,
    /// How the car stands then.
    pub standing: Standing,
}

/// Each standing reached: tenths of a minute, and the standing before with the move that led on.
type Reached = HashMap<Standing, (u64, Option<(Standing, usize)>)>;

fn helps(step: &Step) -> bool {
    let leaks = matches!(step.kind, StepKind::Observe { observation: Observation::FuelSmellOrLeak, .. });
    !step.makes.is_empty() || !step.clears.is_empty() || leaks || relieves(step) || mixture_at_raised(step)
}

/// Tenths of a minute, so that ways can be ordered exactly.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // Minutes of a step are a small positive number.
fn tenths(minutes: f64) -> u64 {
    (minutes * 10.0).round().max(0.0) as u64
}

/// The cheapest moves after which nothing stops `goal`, each leaving the car as it is meant to; nothing where there are none.
pub fn way(tree: &Tree, moves: &[Move], from: Standing, goal: usize) -> Option<Way> {
    let wanted = &tree.steps[moves[goal].step];
    let useful: Vec<usize> =
        (0..moves.len()).filter(|i| *i != goal && helps(&tree.steps[moves[*i].step])).collect();
    let mut best: Reached = HashMap::from([(from, (0, None))]);
    let mut seen: Vec<Standing> = vec![from];
    let mut open = BinaryHeap::from([Reverse((0_u64, 0_usize))]);
    while let Some(Reverse((cost, place))) = open.pop() {
        let here = seen[place];
        if best.get(&here).is_some_and(|b| b.0 < cost) {
            continue;
        }
        if wanted.requires.iter().all(|s| here.held.contains(*s)) && here.stop(wanted).is_none() {
            return Some(back(&best, moves, from, here));
        }
        if seen.len() > MOST {
            return None;
        }
        for &index in &useful {
            let step = &tree.steps[moves[index].step];
            if here.stop(step).is_some() {
                continue;
            }
            let there = here.after(step, good_edge(step), false);
            let sum = cost + tenths(moves[index].minutes);
            if there != here && best.get(&there).is_none_or(|b| sum < b.0) {
                best.insert(there, (sum, Some((here, index))));
                seen.push(there);
                open.push(Reverse((sum, seen.len() - 1)));
            }
        }
    }
    None
}

fn back(best: &Reached, moves: &[Move], from: Standing, to: Standing) -> Way {
    let (mut at, mut order) = (to, Vec::new());
    while at != from {
        let Some((_, Some((before, index)))) = best.get(&at) else { break };
        order.push(*index);
        at = *before;
    }
    order.reverse();
    let minutes = order.iter().map(|i| moves[*i].minutes).sum();
    Way { moves: order, minutes, standing: to }
}
