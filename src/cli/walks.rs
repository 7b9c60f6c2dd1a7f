//! `prove --walks N`: the walks of the trees, alone or as the odds advise, on very many proof cars.

use super::{Done, Failure, Output};
use crate::prove::{self, Add, Authored, Person, authored, walk_figures, walks_summary};
use crate::rig::Rig;
use crate::tree::Tree;
use serde_json::{Map, Value, json};
use std::io::{IsTerminal, Write};
use std::sync::Arc;
use std::time::Instant;

/// Walks and tells.
pub fn run(
    trees: &[(String, Arc<Tree>)],
    rigs: &[Arc<Rig>],
    (cars, seed): (u64, u64),
    person: Person,
    out: &mut Output,
) -> Result<Done, Failure> {
    let begun = Instant::now();
    let progress = std::io::stderr().is_terminal();
    let graphs: Vec<Arc<Tree>> = trees.iter().map(|t| t.1.clone()).collect();
    let mut counted = vec![Authored::default(); trees.len()];
    for (done, rig) in rigs.iter().enumerate() {
        if progress {
            let _ = write!(std::io::stderr(), "\r\x1b[K{} of {}: {}", done + 1, rigs.len(), rig.name);
        }
        for (sum, part) in counted.iter_mut().zip(authored(&graphs, rig, (cars, seed), person)) {
            sum.add(&part);
        }
    }
    if progress {
        let _ = write!(std::io::stderr(), "\r\x1b[K");
    }
    let seconds = begun.elapsed().as_secs_f64();
    let mut all = Authored::default();
    for tree in &counted {
        all.add(tree);
    }
    let total = all.others.walks + all.claimed.values().map(|c| c.walks).sum::<u64>();
    let names = trees.iter().map(|t| t.0.clone()).chain(["**library**".to_owned()]);
    let sets: Vec<(String, prove::WalkFigures)> =
        names.zip(counted.iter().chain([&all]).map(walk_figures)).collect();
    if out.wants_json() {
        let each: Map<String, Value> = sets.iter().map(|(name, f)| (name.clone(), json!(f))).collect();
        out.json(&json!({"seed": seed, "samples": cars, "rigs": rigs.len(), "walks": total,
            "seconds": seconds, "trees": each}))?;
    } else {
        out.line(walks_summary(&sets).trim_end())?;
        out.line(format!(
            "\n{total} walks on {} rigs, {cars} proof cars a fault, in {seconds:.0} s.",
            rigs.len()
        ))?;
    }
    Ok(Done::Fine)
}
