//! Walks on mixes of answers: where they end is kept, and every walk comes to an end.

use faultwalk::library::Library;
use faultwalk::prove::{Ends, Kept, Mix, Reach, Trail, drawn, possible, reach, sought, untaken, walk_mix};
use faultwalk::rig::Rig;
use faultwalk::session::car_facts;
use faultwalk::terms::State as CarState;
use faultwalk::tree::{CarFacts, Edge, SourceFile, Tree};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Mixes drawn for a tree whose ends are written for the first time; a twelfth where some are kept, eight times as many for [`MAIN`].
const DRAWS: usize = 12_000;
/// The tree with which the ways within its procedures are kept; other trees keep their own ways alone.
const MAIN: &str = "runs-lean";
/// Of a hundred ways of a tree, how many that may be possible may be on no kept walk.
const MOST_LEFT: usize = 1;

fn root(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

/// What a tree may know of each rig that ships.
pub(super) fn cars() -> BTreeMap<String, CarFacts> {
    let files = std::fs::read_dir(root("fixtures/rigs")).unwrap().map(|f| f.unwrap().path());
    files
        .map(|path| {
            let name = path.file_stem().unwrap().to_string_lossy().into_owned();
            let rig = Rig::parse(&name, &std::fs::read_to_string(&path).unwrap()).unwrap();
            (name, car_facts(&rig))
        })
        .collect()
}

fn main_files() -> BTreeSet<String> {
    let main = Library::embedded().tree(MAIN).unwrap();
    main.files.iter().map(|f| f.name.clone()).collect()
}

fn path_of(tree: &str) -> PathBuf {
    root(&format!("fixtures/proof/ends/{tree}.txt"))
}

/// The ends kept for a tree; none where it has no file yet.
pub(super) fn kept(tree: &str) -> Vec<Kept> {
    let text = std::fs::read_to_string(path_of(tree)).unwrap_or_default();
    text.lines().filter(|l| !l.starts_with('#')).map(|line| Kept::parse(line).unwrap()).collect()
}

pub(super) fn ends_of(tree: &Arc<Tree>, cars: &BTreeMap<String, CarFacts>) -> Ends {
    Ends::new(tree, cars, &kept(&tree.id).into_iter().map(|k| k.mix).collect::<Vec<Mix>>())
}

fn written(tree: &Tree, ends: &Ends) -> String {
    let mut text = format!(
        "# Where drawn walks of {} ended: car, where it leaves the plain way, end, steps, sum. Made by FAULTWALK_WRITE=1.\n",
        tree.id
    );
    for kept in ends.kept() {
        writeln!(text, "{kept}").unwrap();
    }
    text
}

fn trees() -> Vec<Arc<Tree>> {
    let library = Library::embedded();
    let ids = library.paths().into_iter().filter(|p| !p.contains('/'));
    ids.map(|id| Arc::new(library.tree(&id).unwrap())).collect()
}

#[test]
fn drawn_walks_end_where_they_were_kept() {
    let cars = cars();
    let write = std::env::var_os("FAULTWALK_WRITE").is_some();
    let changed: Vec<String> = trees()
        .par_iter()
        .flat_map_iter(|tree| {
            let before = kept(&tree.id);
            if write {
                let there: Vec<Mix> = before.into_iter().map(|k| k.mix).collect();
                let elsewhere = if tree.id == MAIN { BTreeSet::new() } else { main_files() };
                let draws = match (tree.id == MAIN, there.is_empty()) {
                    (true, _) => 8 * DRAWS,
                    (false, true) => DRAWS,
                    (false, false) => DRAWS / 12,
                };
                let drawn = drawn(tree, &cars, there, &elsewhere, draws);
                let ends = Ends::new(tree, &cars, &sought(tree, &cars, &drawn, &elsewhere));
                std::fs::create_dir_all(path_of(&tree.id).parent().unwrap()).unwrap();
                std::fs::write(path_of(&tree.id), written(tree, &ends)).unwrap();
                return Vec::new();
            }
            assert!(before.len() > 20, "{}: only {} walks are kept", tree.id, before.len());
            let ends = ends_of(tree, &cars);
            assert_eq!(ends.kept().len(), before.len(), "{}: a walk on a car that is not there", tree.id);
            let now = ends.kept().into_iter();
            let differ = before.iter().zip(now).filter(|(was, is)| *was != is);
            differ.map(|(was, is)| format!("{}: kept {was}\n      now {is}", tree.id)).collect()
        })
        .collect();
    assert!(
        changed.is_empty(),
        "{} walks end elsewhere, or on another way, than was kept. If that is meant, run this test with FAULTWALK_WRITE=1 and look \
         at what changed:\n{}",
        changed.len(),
        changed.iter().take(20).cloned().collect::<Vec<_>>().join("\n")
    );
}

/// Ways of the files kept with this tree that none of these walks takes, each with its places.
fn left(tree: &Tree, ends: &Ends, elsewhere: &BTreeSet<String>) -> Vec<Vec<(usize, Edge)>> {
    let trails: Vec<Trail> = ends.trails().cloned().collect();
    let counts = |step: usize| !elsewhere.contains(&tree.files[tree.steps[step].origin.file].name);
    untaken(tree, &trails).into_iter().filter(|places| counts(places[0].0)).collect()
}

/// What is known of a way at all its places: a mix that takes it, or that none does, or neither.
fn reached(tree: &Tree, cars: &BTreeMap<String, CarFacts>, places: &[(usize, Edge)]) -> Reach {
    let mut all = Reach::Never;
    for (step, edge) in places {
        match reach(tree, cars, *step, *edge) {
            Reach::By(mix) => return Reach::By(mix),
            Reach::Open => all = Reach::Open,
            Reach::Never => {}
        }
    }
    all
}

#[test]
fn every_way_that_may_be_walked_is_on_a_kept_walk() {
    let cars = cars();
    let mut told = String::new();
    for tree in trees() {
        let elsewhere = if tree.id == MAIN { BTreeSet::new() } else { main_files() };
        let ends = ends_of(&tree, &cars);
        let all = left(&tree, &Ends::new(&tree, &cars, &[]), &elsewhere).len();
        let left = left(&tree, &ends, &elsewhere);
        let ways = possible(&tree, &cars).unwrap();
        // What is reckoned to be impossible is walked by none of them.
        for way in ends.trails().flat_map(|t| t.steps.iter().chain(&t.choices)) {
            let put_back = tree.steps[way.0].undoes.is_some();
            assert!(put_back || ways.contains(way), "{} {:?}", tree.steps[way.0].id, way.1);
        }
        let (may, never): (Vec<_>, Vec<_>) =
            left.into_iter().partition(|places| places.iter().any(|way| ways.contains(way)));
        writeln!(
            told,
            "{}: {all} ways, {} that none takes, {} on no kept walk",
            tree.id,
            never.len(),
            may.len()
        )
        .unwrap();
        for (what, places) in [("none takes", &never), ("no kept walk", &may)] {
            for places in places {
                let (step, edge) = (&tree.steps[places[0].0], places[0].1);
                let file = &tree.files[step.origin.file].name;
                writeln!(told, "  {what}: {file} {} {edge:?}", step.origin.id).unwrap();
            }
        }
        assert!(tree.id != MAIN || all > 500, "only {all} ways");
        // What is left are arms that ask for several results at once, and some that nothing may reach.
        assert!(may.len() * 100 <= all * MOST_LEFT, "{told}");
        if tree.id == MAIN && std::env::var_os("FAULTWALK_ALL_MUTANTS").is_some() {
            let reached = |places: &Vec<(usize, Edge)>| matches!(reached(&tree, &cars, places), Reach::By(_));
            assert_eq!(may.par_iter().filter(|places| reached(places)).count(), 0, "write the ends anew");
        }
    }
    println!("{told}");
}

#[test]
fn every_mix_of_answers_comes_to_an_end() {
    let cars = cars();
    for tree in trees() {
        let ends = ends_of(&tree, &cars);
        for (trail, kept) in ends.trails().zip(ends.kept()) {
            assert!(trail.closed, "{}: {kept}", tree.id);
        }
    }
}

#[test]
fn a_kept_end_reads_back_as_it_was_written() {
    let line = "orchard-pickup: fit/gauge cannot, look/fuel low => off-supply, 34 steps, 8f3a21bc";
    assert_eq!(Kept::parse(line).unwrap().to_string(), line);
    let plain = "orchard-pickup: => sound, 30 steps, 8f3a21bc";
    let kept = Kept::parse(plain).unwrap();
    assert!(kept.mix.gives.is_empty() && kept.to_string() == plain);
    for wrong in ["", "orchard-pickup => sound", "a: b => sound, 3 steps, x", "a: => sound, few steps, x"] {
        assert!(Kept::parse(wrong).is_err(), "{wrong}");
    }
}

#[test]
fn what_was_not_put_back_is_part_of_an_end() {
    let (library, cars) = (Library::embedded(), cars());
    let file = |path: &str, text: String| {
        let name = format!("trees/{path}.yaml");
        (path.to_owned(), SourceFile { name, text: text.into() })
    };
    let text = |path: &str| library.file(path).unwrap().text.to_string();
    let (dry, leaks) = ("cannot: {next: running}", "cannot: {next: leaking}");
    let back = "procedures/pump-back";
    assert!(text(back).contains(leaks));
    let files = vec![file(back, text(back).replace(leaks, dry)), file(MAIN, text(MAIN))];
    let after = library.load_texts(files).graphs.into_iter().find(|t| t.id == MAIN).unwrap();

    // A walk that gives the pump back at its end, where a joint can't be seen then. (A leak that is seen is mended before it goes on.)
    let before = Arc::new(library.tree(MAIN).unwrap());
    let gives_back = |trail: &Trail| {
        let (index, _) = trail.steps.last()?;
        let step = &before.steps[*index];
        (trail.closed && step.undoes == Some(CarState::PumpDisabled) && step.id.ends_with("leak-check"))
            .then(|| step.id.clone())
    };
    let ends = ends_of(&before, &cars);
    let (mut mix, step) = kept(MAIN)
        .into_iter()
        .zip(ends.trails())
        .find_map(|(kept, trail)| Some((kept.mix, gives_back(trail)?)))
        .expect("a kept walk that gives the pump back last");
    mix.gives.insert(step, "cannot".to_owned());
    let facts = &cars[&mix.rig];
    let (was, is) = (walk_mix(&before, facts, &mix), walk_mix(&after, facts, &mix));
    assert_eq!(was.steps, is.steps, "the way is the same");
    let left = "with pump-disabled left";
    assert!(was.end.contains(left) && !is.end.contains(left), "{} and {}", was.end, is.end);
    assert_ne!(was.sum(&before), is.sum(&after));
    assert!(Ends::new(&before, &cars, &[mix]).differs(&after).is_some());
}
