//! What `check` misses: every safety item of the shipped trees is taken out once, and edges are taken out and turned aside.

use faultwalk::library::Library;
use faultwalk::lint;
use faultwalk::tree::{FileKind, Level, SourceFile};
use rand::{Rng, RngExt as _, SeedableRng as _};
use rand_pcg::Pcg64;
use rayon::prelude::*;
use serde_json::{Map, Value};
use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;

/// One change of one file.
#[derive(Clone)]
pub(crate) struct Mutant {
    pub path: String,
    pub what: String,
    kind: &'static str,
    pub text: String,
}

pub(crate) struct Shipped {
    pub library: Library,
    /// By path: the file as a value.
    files: BTreeMap<String, Value>,
    /// For each file, the smallest trees it is part of.
    pub trees: BTreeMap<String, Vec<String>>,
    /// What is found without any change: rule, file and step.
    before: BTreeSet<(String, String)>,
}

pub(crate) fn shipped() -> Shipped {
    let library = Library::open(&PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("trees")).unwrap();
    let mut files = BTreeMap::new();
    let mut sized: BTreeMap<String, Vec<(usize, String)>> = BTreeMap::new();
    for path in library.paths() {
        let text = library.file(&path).unwrap().text;
        files.insert(path.clone(), serde_yaml::from_str::<Value>(&text).unwrap());
        if let Some(tree) = library.tree(&path).ok().filter(|t| t.kind == FileKind::Tree) {
            for file in &tree.files {
                let name = file.name.rsplit_once("trees/").map_or(file.name.as_str(), |(_, n)| n);
                let entry = sized.entry(name.trim_end_matches(".yaml").to_owned()).or_default();
                entry.push((tree.steps.len(), path.clone()));
            }
        }
    }
    let trees = sized
        .into_iter()
        .map(|(file, mut trees)| {
            trees.sort();
            (file, trees.into_iter().take(2).map(|(_, path)| path).collect())
        })
        .collect();
    let before = lint::check_library(&library);
    let before = before.diagnostics.into_iter().map(|d| (d.rule.to_owned(), d.message)).collect();
    Shipped { library, files, trees, before }
}

impl Shipped {
    /// Whether `check` says something graver than a note of the mutant that it does not say of the trees as they are.
    pub fn caught(&self, mutant: &Mutant, errors_only: bool) -> bool {
        let file =
            |name: &str, text: &str| SourceFile { name: format!("trees/{name}.yaml"), text: text.into() };
        let new = |set: Vec<(String, SourceFile)>| {
            let loaded = self.library.load_texts(set);
            let mut all = lint::check_graphs(&loaded.documents, &loaded.graphs);
            all.extend(loaded.problems);
            all.into_iter().any(|d| {
                (d.level == Level::Error || (!errors_only && d.level == Level::Warning))
                    && !self.before.contains(&(d.rule.to_owned(), d.message))
            })
        };
        if new(vec![(mutant.path.clone(), file(&mutant.path, &mutant.text))]) {
            return true;
        }
        let trees = self.trees.get(&mutant.path).into_iter().flatten();
        trees.filter(|t| **t != mutant.path).any(|tree| {
            let text = self.library.file(tree).unwrap().text;
            new(vec![
                (mutant.path.clone(), file(&mutant.path, &mutant.text)),
                (tree.clone(), file(tree, &text)),
            ])
        })
    }

    fn mutant(&self, path: &str, kind: &'static str, what: String, change: impl Fn(&mut Value)) -> Mutant {
        let mut value = self.files[path].clone();
        change(&mut value);
        Mutant { path: path.to_owned(), what, kind, text: serde_json::to_string(&value).unwrap() }
    }

    /// Every list item of `key` in every step, or in every finding, taken out.
    fn items(&self, part: &'static str, key: &'static str, all: &mut Vec<Mutant>) {
        for (path, value) in &self.files {
            for (id, entry) in value[part].as_object().into_iter().flatten() {
                for (i, item) in entry[key].as_array().into_iter().flatten().enumerate() {
                    let what = format!("{path}: {part} {id}, {key} {}", item.as_str().unwrap_or("?"));
                    all.push(self.mutant(path, key, what, |v| {
                        if let Some(list) = v[part][id.as_str()][key].as_array_mut() {
                            list.remove(i);
                        }
                    }));
                }
            }
        }
    }

    /// Every line of `states` taken out.
    fn restores(&self, all: &mut Vec<Mutant>) {
        for (path, value) in &self.files {
            for (id, _) in value["states"].as_object().into_iter().flatten() {
                all.push(self.mutant(path, "restore", format!("{path}: restore of {id}"), |v| {
                    if let Some(map) = v["states"].as_object_mut() {
                        map.remove(id);
                    }
                }));
            }
        }
    }

    /// Every edge, as file and JSON pointer to its target.
    pub fn edges(&self) -> Vec<(String, String)> {
        let mut all = Vec::new();
        for (path, value) in &self.files {
            for (id, step) in value["steps"].as_object().into_iter().flatten() {
                let base = format!("/steps/{id}");
                for key in ["next", "low", "within", "high"] {
                    if step[key].is_string() {
                        all.push((path.clone(), format!("{base}/{key}")));
                    }
                }
                for key in ["undecided", "cannot", "else"] {
                    if step[key].is_object() {
                        all.push((path.clone(), format!("{base}/{key}/next")));
                    }
                }
                for (outcome, _) in step["answers"].as_object().into_iter().flatten() {
                    all.push((path.clone(), format!("{base}/answers/{outcome}/next")));
                }
                for (exit, _) in step["exits"].as_object().into_iter().flatten() {
                    all.push((path.clone(), format!("{base}/exits/{exit}")));
                }
                for i in 0..step["choose"].as_array().map_or(0, Vec::len) {
                    all.push((path.clone(), format!("{base}/choose/{i}/next")));
                }
            }
        }
        all
    }

    /// The edge at `pointer` taken out: its key, or the whole arm.
    fn without(&self, path: &str, pointer: &str) -> Mutant {
        self.mutant(path, "edge", format!("{path}: {pointer} taken out"), |v| {
            let short =
                pointer.strip_suffix("/next").filter(|p| p.matches('/').count() > 2).unwrap_or(pointer);
            let (holder, key) = short.rsplit_once('/').unwrap();
            match v.pointer_mut(holder) {
                Some(Value::Object(map)) => {
                    map.remove(key);
                }
                Some(Value::Array(list)) => {
                    list.remove(key.parse().unwrap());
                }
                _ => {}
            }
        })
    }

    /// The edge at `pointer` led to some other step, finding, hand-over or exit of its file.
    pub fn turned(&self, path: &str, pointer: &str, random: &mut impl Rng) -> Option<Mutant> {
        let value = &self.files[path];
        let now = value.pointer(pointer)?.as_str()?.to_owned();
        let keys = |part: &str| value[part].as_object().map(Map::keys).into_iter().flatten().cloned();
        let exits =
            value["exits"].as_array().into_iter().flatten().filter_map(|e| e.as_str().map(str::to_owned));
        // Of a fitting kind: a step stays a step, an end an end.
        let step = value["steps"].get(&now).is_some();
        let others: Vec<String> = if step {
            keys("steps").filter(|k| *k != now).collect()
        } else {
            keys("findings").chain(keys("handovers")).chain(exits).filter(|k| *k != now).collect()
        };
        if others.is_empty() {
            return None;
        }
        let to = others[random.random_range(0..others.len())].clone();
        let what = format!("{path}: {pointer} led to {to} instead of {now}");
        Some(self.mutant(path, "turned edge", what, |v| {
            if let Some(target) = v.pointer_mut(pointer) {
                *target = Value::String(to.clone());
            }
        }))
    }
}

/// Everything missed, and the share caught by kind.
fn run(
    shipped: &Shipped,
    mutants: &[Mutant],
    errors_only: bool,
) -> (Vec<String>, BTreeMap<&'static str, (usize, usize)>) {
    let caught: Vec<bool> = mutants.par_iter().map(|m| shipped.caught(m, errors_only)).collect();
    let mut shares: BTreeMap<&'static str, (usize, usize)> = BTreeMap::new();
    let mut missed = Vec::new();
    for (mutant, caught) in mutants.iter().zip(caught) {
        let share = shares.entry(mutant.kind).or_default();
        share.1 += 1;
        if caught {
            share.0 += 1;
        } else {
            missed.push(mutant.what.clone());
        }
    }
    (missed, shares)
}

#[test]
fn every_safety_item_taken_out_is_caught_by_an_error_of_check() {
    let shipped = shipped();
    let mut mutants = Vec::new();
    shipped.items("steps", "cautions", &mut mutants);
    shipped.items("findings", "cautions", &mut mutants);
    shipped.items("steps", "requires", &mut mutants);
    shipped.items("steps", "makes", &mut mutants);
    shipped.items("steps", "clears", &mut mutants);
    shipped.restores(&mut mutants);
    let (missed, shares) = run(&shipped, &mutants, true);
    println!("{shares:?}");
    assert!(mutants.len() > 200, "only {} safety items", mutants.len());
    assert!(missed.is_empty(), "{shares:?}; taken out without a word from check:\n{missed:#?}");
}

#[test]
fn most_edges_taken_out_or_turned_aside_are_caught() {
    let shipped = shipped();
    let mut random = Pcg64::seed_from_u64(3);
    let every = std::env::var_os("FAULTWALK_ALL_MUTANTS").is_some();
    let edges: Vec<(String, String)> = shipped.edges();
    let picked: Vec<&(String, String)> =
        edges.iter().filter(|_| every || random.random_range(0..100) < 25).collect();
    let mut mutants: Vec<Mutant> = picked.iter().map(|(f, p)| shipped.without(f, p)).collect();
    mutants.extend(picked.iter().filter_map(|(f, p)| shipped.turned(f, p, &mut random)));
    let (missed, shares) = run(&shipped, &mutants, false);
    println!("{shares:?}\nmissed, for the proof to catch:\n{}", missed.join("\n"));
    let (out, all) = shares["edge"];
    // What may go without a word: an arm of a choice, and the way on of a do-step that cannot always be done.
    let sensible = missed
        .iter()
        .filter(|m| m.ends_with("taken out"))
        .filter(|m| !m.contains("/choose/") && !m.contains("/cannot"))
        .count();
    assert_eq!(sensible, 0, "{missed:#?}");
    assert!(out * 100 >= all * 75, "{shares:?}");
}
