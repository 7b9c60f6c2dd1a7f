//! Edges turned aside that `check` cannot see: whether walks on faulty cars show them.

use crate::check::mutation::{Mutant, Shipped, shipped};
use faultwalk::prove::Before;
use faultwalk::rig::Rig;
use faultwalk::tree::SourceFile;
use rand::{RngExt as _, SeedableRng as _};
use rand_pcg::Pcg64;
use rayon::prelude::*;
use std::collections::BTreeSet;
use std::sync::Arc;

/// Rigs of all supply styles and inductions, the first ones used where time is short.
const RIGS: &[&str] =
    &["orchard-pickup", "harbour-roadster", "quarry-sedan", "coast-flexer", "depot-van", "canal-cruiser"];

/// What the walks say of a mutant.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Shown {
    Nothing,
    Longer,
    Worse,
}

fn rig(name: &str) -> Arc<Rig> {
    let path = format!("{}/fixtures/rigs/{name}.yaml", env!("CARGO_MANIFEST_DIR"));
    Arc::new(Rig::parse(name, &std::fs::read_to_string(path).unwrap()).unwrap())
}

/// The shipped tree `name` with the mutant's file in place of its own; none where it does not load.
fn changed(shipped: &Shipped, name: &str, mutant: &Mutant) -> Option<Arc<faultwalk::tree::Tree>> {
    let file = |path: &str, text: &str| SourceFile { name: format!("trees/{path}.yaml"), text: text.into() };
    let mut files = vec![(mutant.path.clone(), file(&mutant.path, &mutant.text))];
    if name != mutant.path {
        files.push((name.to_owned(), file(name, &shipped.library.file(name).unwrap().text)));
    }
    let loaded = shipped.library.load_texts(files);
    loaded.graphs.into_iter().find(|t| t.id == name).map(Arc::new)
}

/// The tree a file is tried in: the main one where it is part of that, else the smallest.
fn home<'a>(shipped: &'a Shipped, main: &[String], path: &str) -> Option<&'a str> {
    if main.iter().any(|file| file == path) {
        return Some("runs-lean");
    }
    shipped.trees.get(path).and_then(|trees| trees.first()).map(String::as_str)
}

/// What the walks show of each mutant; one fault in `mishaps` also with mishaps on the way.
fn shown(shipped: &Shipped, mutants: &[(Mutant, &str)], rigs: &[&str], mishaps: usize) -> Vec<Shown> {
    let mut shown = vec![Shown::Nothing; mutants.len()];
    let trees: BTreeSet<&str> = mutants.iter().map(|(_, tree)| *tree).collect();
    for name in trees {
        let tree = Arc::new(shipped.library.tree(name).unwrap());
        for rig_name in rigs {
            let open: Vec<usize> =
                (0..mutants.len()).filter(|i| mutants[*i].1 == name && shown[*i] != Shown::Worse).collect();
            if open.is_empty() {
                break;
            }
            let before = Before::new(&tree, &rig(rig_name), mishaps);
            let found: Vec<(usize, Shown)> = open
                .into_par_iter()
                .filter_map(|i| {
                    let worse = before.worse(&changed(shipped, name, &mutants[i].0)?)?;
                    Some((i, if worse.end { Shown::Worse } else { Shown::Longer }))
                })
                .collect();
            for (i, what) in found {
                shown[i] = shown[i].max(what);
            }
        }
    }
    shown
}

#[test]
fn edges_turned_aside_that_check_cannot_see_show_on_walks() {
    let shipped = shipped();
    let every = std::env::var_os("FAULTWALK_ALL_MUTANTS").is_some();
    let mut random = Pcg64::seed_from_u64(3);
    let share = if every { 25 } else { 16 };
    let edges = shipped.edges();
    let picked: Vec<&(String, String)> =
        edges.iter().filter(|_| random.random_range(0..100) < share).collect();
    let mutants: Vec<Mutant> = picked.iter().filter_map(|(f, p)| shipped.turned(f, p, &mut random)).collect();
    let main: Vec<String> = shipped
        .library
        .tree("runs-lean")
        .unwrap()
        .files
        .iter()
        .map(|f| {
            f.name
                .rsplit_once("trees/")
                .map_or(f.name.as_str(), |(_, n)| n)
                .trim_end_matches(".yaml")
                .to_owned()
        })
        .collect();
    let by_check: Vec<bool> = mutants.par_iter().map(|m| shipped.caught(m, false)).collect();
    let silent: Vec<(Mutant, &str)> = mutants
        .iter()
        .zip(&by_check)
        .filter(|(_, caught)| !**caught)
        .filter_map(|(m, _)| Some((m.clone(), home(&shipped, &main, &m.path)?)))
        .filter(|(_, tree)| every || *tree == "runs-lean")
        .collect();
    let (rigs, mishaps) = if every { (RIGS, 3) } else { (&RIGS[..3], 4) };
    let shown = shown(&shipped, &silent, rigs, mishaps);
    let count = |what: Shown| shown.iter().filter(|s| **s == what).count();
    let nothing: Vec<&str> = silent
        .iter()
        .zip(&shown)
        .filter(|(_, s)| **s == Shown::Nothing)
        .map(|(m, _)| m.0.what.as_str())
        .collect();
    println!(
        "{} edges turned aside, {} caught by check; of {} others tried, {} end worse, {} take longer, {} show nothing:\n{}",
        mutants.len(),
        by_check.iter().filter(|caught| **caught).count(),
        silent.len(),
        count(Shown::Worse),
        count(Shown::Longer),
        nothing.len(),
        nothing.join("\n")
    );
    assert!(!silent.is_empty());
    let seen = silent.len() - nothing.len();
    // A draw of 96 on all six rigs with mishaps for every third fault shows 44 %; fewer rigs show fewer. A smaller draw says little: of 31
    // another one showed a third on one rig, where 96 show a fifth.
    assert!(seen * 100 >= silent.len() * 25, "{seen} of {}", silent.len());
}
