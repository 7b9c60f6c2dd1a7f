//! Edges turned aside that `check` cannot see: whether walks on faulty cars show them.

use super::ends::{cars, ends_of};
use crate::check::mutation::{Mutant, Shipped, shipped};
use faultwalk::prove::{Before, Reach, may_part, parts};
use faultwalk::rig::Rig;
use faultwalk::tree::{SourceFile, Tree};
use rand::{RngExt as _, SeedableRng as _};
use rand_pcg::Pcg64;
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Rigs of all supply styles and inductions, the first ones used where time is short.
const RIGS: &[&str] =
    &["orchard-pickup", "harbour-roadster", "quarry-sedan", "coast-flexer", "depot-van", "canal-cruiser"];

/// The seed of the draw that nothing is chosen by.
const FRESH: u64 = 20_261;

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
fn changed(shipped: &Shipped, name: &str, mutant: &Mutant) -> Option<Arc<Tree>> {
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
fn shown(shipped: &Shipped, mutants: &[Silent], rigs: &[&str], mishaps: usize) -> Vec<Shown> {
    let mut shown = vec![Shown::Nothing; mutants.len()];
    for (name, of_tree) in by_tree(mutants) {
        let tree = Arc::new(shipped.library.tree(name).unwrap());
        for rig_name in rigs {
            let open: Vec<usize> = of_tree.iter().copied().filter(|i| shown[*i] != Shown::Worse).collect();
            if open.is_empty() {
                break;
            }
            let before = Before::new(&tree, &rig(rig_name), mishaps);
            let found: Vec<(usize, Shown)> = open
                .into_par_iter()
                .filter_map(|i| {
                    let worse = before.worse(&mutants[i].changed)?;
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

/// What the kept ends show of each mutant, and of those they do not show, whether any mix of answers could.
fn against_kept(shipped: &Shipped, mutants: &[Silent]) -> Vec<Kept> {
    let cars = cars();
    let mut shown: Vec<(usize, Kept)> = Vec::new();
    for (name, of_tree) in by_tree(mutants) {
        let tree = Arc::new(shipped.library.tree(name).unwrap());
        let ends = ends_of(&tree, &cars);
        let differ = of_tree.par_iter().map(|i| ends.differs(&mutants[*i].changed));
        let differ: Vec<Option<String>> = differ.collect();
        let (open, seen): (Vec<_>, Vec<_>) = of_tree.into_iter().zip(differ).partition(|(_, d)| d.is_none());
        shown.extend(seen.into_iter().filter_map(|(i, differs)| Some((i, Kept::Elsewhere(differs?)))));
        let changed: Vec<&Tree> = open.iter().map(|(i, _)| &*mutants[*i].changed).collect();
        let may = may_part(&tree, &changed, &cars);
        shown.par_extend(open.into_par_iter().zip(may).map(|((i, _), may)| {
            let told = match if may { parts(&tree, &mutants[i].changed, &cars) } else { Reach::Never } {
                Reach::Never => Kept::NoChange,
                Reach::By(mix) => Kept::Missed(format!("{mix:?}")),
                Reach::Open => Kept::Missed("too many situations to say".to_owned()),
            };
            (i, told)
        }));
    }
    shown.sort_by_key(|(i, _)| *i);
    shown.into_iter().map(|(_, told)| told).collect()
}

/// What the kept ends say of a mutant.
#[derive(Debug, PartialEq)]
enum Kept {
    /// A kept walk goes elsewhere.
    Elsewhere(String),
    /// No mix of answers on any car goes another way.
    NoChange,
    /// One does, and no kept walk shows it.
    Missed(String),
}

/// An edge turned aside that `check` does not see, with the tree it is tried in as it then is.
struct Silent {
    what: String,
    tree: String,
    changed: Arc<Tree>,
}

fn by_tree(mutants: &[Silent]) -> BTreeMap<&str, Vec<usize>> {
    let mut all: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (i, mutant) in mutants.iter().enumerate() {
        all.entry(&mutant.tree).or_default().push(i);
    }
    all
}

/// Turns that many edges of a hundred aside and gives those that `check` does not see, with how many were turned and seen.
fn silent(shipped: &Shipped, seed: u64, share: u32, main_alone: bool) -> (Vec<Silent>, usize, usize) {
    let mut random = Pcg64::seed_from_u64(seed);
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
    let silent = mutants
        .iter()
        .zip(&by_check)
        .filter(|(_, caught)| !**caught)
        .filter_map(|(m, _)| Some((m, home(shipped, &main, &m.path)?)))
        .filter(|(_, tree)| !main_alone || *tree == "runs-lean")
        .filter_map(|(m, tree)| {
            let changed = changed(shipped, tree, m)?;
            Some(Silent { what: m.what.clone(), tree: tree.to_owned(), changed })
        })
        .collect();
    (silent, mutants.len(), by_check.iter().filter(|caught| **caught).count())
}

#[test]
fn edges_turned_aside_that_check_cannot_see_show_on_walks() {
    let shipped = shipped();
    let every = std::env::var_os("FAULTWALK_ALL_MUTANTS").is_some();
    let (silent, turned, by_check) = silent(&shipped, 3, if every { 25 } else { 16 }, !every);
    let (rigs, mishaps) = if every { (RIGS, 3) } else { (&RIGS[..3], 4) };
    let shown = shown(&shipped, &silent, rigs, mishaps);
    let kept = against_kept(&shipped, &silent);
    let count = |what: Shown| shown.iter().filter(|s| **s == what).count();
    // A walk of a fault that shows a change is proof of one: then no walk at all may be said to go the same way.
    for ((mutant, shown), kept) in silent.iter().zip(&shown).zip(&kept) {
        assert!(*shown == Shown::Nothing || *kept != Kept::NoChange, "{} shows on a walk", mutant.what);
    }
    let alike = kept.iter().filter(|k| **k == Kept::NoChange).count();
    let tried = silent.len() - alike;
    let truth = silent.len() - count(Shown::Nothing);
    let elsewhere = |k: &Kept| matches!(k, Kept::Elsewhere(_));
    let either = shown.iter().zip(&kept).filter(|(s, k)| **s != Shown::Nothing || elsewhere(k)).count();
    let missed = silent.iter().zip(&shown).zip(&kept).filter_map(|((m, s), k)| match k {
        Kept::Missed(why) if *s == Shown::Nothing => Some(format!("{}: {why}", m.what)),
        _ => None,
    });
    let missed: Vec<String> = missed.collect();
    let same: Vec<&str> = silent
        .iter()
        .zip(&kept)
        .filter(|(_, k)| **k == Kept::NoChange)
        .map(|(m, _)| m.what.as_str())
        .collect();
    println!(
        "{turned} edges turned aside, {by_check} caught by check; of {} others tried, {alike} change no walk. Of {tried} that do, walks with \
         a fault show {truth} ({} end worse, {} take longer), kept ends or such walks {either}. Missed:\n{}\nNo change:\n{}",
        silent.len(),
        count(Shown::Worse),
        count(Shown::Longer),
        missed.join("\n"),
        same.join("\n")
    );
    assert!(tried > 20, "only {tried}");
    // By what a fault alone shows, a draw of 96 on all six rigs with mishaps for every third fault shows 44 %; fewer rigs show fewer.
    assert!(truth * 100 >= tried * 25, "{truth} of {tried}");
    // With more edges of every tree, which nobody has counted lately, less is asked.
    assert!(either * 100 >= tried * if every { 80 } else { 95 }, "{either} of {tried}");
}

/// A draw by which no search was ever made better.
#[test]
fn kept_ends_show_edges_turned_aside_of_a_draw_that_nobody_looked_at() {
    let shipped = shipped();
    let (silent, turned, by_check) = silent(&shipped, FRESH, 16, true);
    let kept = against_kept(&shipped, &silent);
    let alike = kept.iter().filter(|k| **k == Kept::NoChange).count();
    let shown = kept.iter().filter(|k| matches!(k, Kept::Elsewhere(_))).count();
    let tried = silent.len() - alike;
    let missed = silent.iter().zip(&kept).filter_map(|(m, k)| match k {
        Kept::Missed(why) => Some(format!("{}: {why}", m.what)),
        _ => None,
    });
    println!(
        "{turned} edges turned aside, {by_check} caught by check; {alike} of the others change no walk; of {tried} that do, kept ends show \
         {shown}. Missed:\n{}",
        missed.collect::<Vec<_>>().join("\n")
    );
    assert!(tried > 20, "only {tried}");
    assert!(shown * 100 >= tried * 95, "{shown} of {tried}");
}
