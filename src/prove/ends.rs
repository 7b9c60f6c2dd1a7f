//! Kept ends: where drawn walks on a tree ended when a person last looked at them.
//!
//! A changed tree that leads a kept walk elsewhere shows here, whether the change is for the better or not: this compares with what was
//! kept, it does not know what is right. Whoever changes a tree looks at each line that changed and keeps it anew.
//!
//! A line is a [`Mix`], the end, how many steps it took, and a sum over them:
//! `orchard-pickup: fit/gauge cannot, look/fuel low => off-supply, 34 steps, 8f3a21bc`.

use super::mixes::{Mix, Trail, walk, word};
use super::worse::{begins_otherwise, touched};
use crate::tree::{CarFacts, Tree};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use std::sync::Arc;

/// A mix, and where it ended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Kept {
    /// The mix.
    pub mix: Mix,
    /// The finding or hand-over, with what was not put back.
    pub end: String,
    /// How many steps asked for something.
    pub steps: usize,
    /// The sum of [`Trail::sum`].
    pub sum: String,
}

impl Kept {
    /// What a trail of that mix is kept as.
    pub fn of(tree: &Tree, mix: Mix, trail: &Trail) -> Self {
        Self { end: trail.end.clone(), steps: trail.steps.len(), sum: trail.sum(tree), mix }
    }

    /// Reads a line.
    ///
    /// # Errors
    /// In words, what is wrong with it.
    pub fn parse(line: &str) -> Result<Self, String> {
        let wrong = || format!("'{line}' is no kept end");
        let (mix, end) = line.split_once(" => ").ok_or_else(wrong)?;
        let (rig, gives) = mix.split_once(':').ok_or_else(wrong)?;
        let mut end = end.split(", ");
        let (Some(id), Some(steps), Some(sum)) = (end.next(), end.next(), end.next()) else {
            return Err(wrong());
        };
        let steps = steps.strip_suffix(" steps").and_then(|n| n.parse().ok()).ok_or_else(wrong)?;
        let mut mix = Mix { rig: rig.to_owned(), gives: BTreeMap::new() };
        for one in gives.split(',').map(str::trim).filter(|g| !g.is_empty()) {
            let (step, word) = one.split_once(' ').ok_or_else(wrong)?;
            mix.gives.insert(step.to_owned(), word.to_owned());
        }
        Ok(Self { mix, end: id.to_owned(), steps, sum: sum.to_owned() })
    }
}

impl fmt::Display for Kept {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let gives: Vec<String> = self.mix.gives.iter().map(|(step, word)| format!("{step} {word}")).collect();
        let space = if gives.is_empty() { "" } else { " " };
        let (rig, end, steps, sum) = (&self.mix.rig, &self.end, self.steps, &self.sum);
        write!(f, "{rig}:{space}{} => {end}, {steps} steps, {sum}", gives.join(", "))
    }
}

/// Kept walks on one tree, walked on it again, to hold a changed tree against.
#[derive(Debug)]
pub struct Ends {
    tree: Arc<Tree>,
    walks: Vec<(Mix, CarFacts, Trail)>,
}

impl Ends {
    /// Walks every mix whose car is among these.
    pub fn new(tree: &Arc<Tree>, cars: &BTreeMap<String, CarFacts>, mixes: &[Mix]) -> Self {
        let mut ends = Self { tree: tree.clone(), walks: Vec::new() };
        for mix in mixes {
            ends.add(cars, mix);
        }
        ends
    }

    /// Walks one more mix, said as short as it can be, if its car is among these.
    pub fn add(&mut self, cars: &BTreeMap<String, CarFacts>, mix: &Mix) {
        let Some(facts) = cars.get(&mix.rig).cloned() else { return };
        let trail = walk(&self.tree, &facts, mix);
        self.walks.push((Mix::of(&self.tree, &mix.rig, &trail), facts, trail));
    }

    /// The walks, as they would be kept now.
    pub fn kept(&self) -> Vec<Kept> {
        self.walks.iter().map(|(mix, _, trail)| Kept::of(&self.tree, mix.clone(), trail)).collect()
    }

    /// Where each walk went.
    pub fn trails(&self) -> impl Iterator<Item = &Trail> {
        self.walks.iter().map(|w| &w.2)
    }

    /// A walk that goes another way on `after`, in words; none where each goes as it went.
    pub fn differs(&self, after: &Tree) -> Option<String> {
        let touched: BTreeSet<usize> = touched(&self.tree, after);
        let passes = |trail: &Trail| {
            begins_otherwise(&self.tree, after, &touched)
                || trail.steps.iter().any(|s| touched.contains(&s.0))
        };
        self.walks.iter().filter(|w| passes(&w.2)).find_map(|(mix, facts, was)| {
            let is = walk(after, facts, mix);
            let told = |tree: &Tree, trail: &Trail| -> Vec<String> {
                let steps = trail.steps.iter().map(|(i, e)| (&tree.steps[*i], *e));
                steps
                    .map(|(step, edge)| format!("{} {}", step.id, word(step, edge)))
                    .chain([trail.end.clone()])
                    .collect()
            };
            let (was, is) = (told(&self.tree, was), told(after, &is));
            let parts = was.iter().zip(&is).position(|(a, b)| a != b)?;
            Some(format!("{}: {} instead of {}", mix.rig, is[parts], was[parts]))
        })
    }
}
