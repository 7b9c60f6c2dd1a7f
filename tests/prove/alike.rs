//! Which ways a mix of answers can take, on a tree small enough to see it.

use super::ends::cars;
use faultwalk::library::Library;
use faultwalk::prove::{Mix, Reach, may_part, parts, possible, reach};
use faultwalk::tree::{CarFacts, Edge, SourceFile, Step, StepKind, Tree};
use std::collections::BTreeMap;

/// What stands around the steps of every toy.
const HEAD: &str = "format: 1
tree: toy
title: A toy
about: A tree small enough to see.
complaints: [low-pressure]
start: tank
finds: [pump-seized]
steps:
";
const TAIL: &str = "findings:
  seized:
    fault: pump-seized
    says: The pump does not turn.
    remedy: Replace the pump.
    confirm: {repeat: sound, expect: normal}
handovers:
  open: {says: Nothing is known., advice: Measure first., narrowed: [pump-seized]}
  other: {says: Something else., advice: Measure first., narrowed: [pump-seized]}
";

const TOY: &str = "  tank:
    do: Look at the fuel in the tank.
    observe: fuel-in-tank
    answers: {enough: {next: sound}, low: {next: sound}, unknown: {next: sound}}
    cannot: {next: sound}
  sound:
    do: Switch the key on. Listen to the pump.
    observe: prime-sound
    answers: {normal: {next: which}, silent: {next: which}, strained: {next: which}, cycling: {next: open}}
    cannot: {next: which}
  which:
    choose:
      - {when: {was: {prime-sound: silent, fuel-in-tank: low}}, next: open}
      - {when: {was: {prime-sound: cycling}}, next: open}
      - {when: {was: {prime-sound: silent}}, next: seized}
    else: {next: other}
";

/// A tree of these steps.
pub(super) fn toy(steps: &str) -> Tree {
    let file = SourceFile { name: "trees/toy.yaml".into(), text: format!("{HEAD}{steps}{TAIL}").into() };
    let loaded = Library::embedded().load_texts(vec![("toy".into(), file)]);
    assert!(loaded.problems.is_empty(), "{:?}", loaded.problems);
    loaded.graphs.into_iter().find(|t| t.id == "toy").unwrap()
}

fn gives(reach: Reach) -> BTreeMap<String, String> {
    let Reach::By(Mix { gives, .. }) = reach else { panic!("no mix was found: {reach:?}") };
    gives
}

fn said(pairs: &[(&str, &str)]) -> BTreeMap<String, String> {
    pairs.iter().map(|(step, word)| ((*step).to_owned(), (*word).to_owned())).collect()
}

#[test]
fn an_arm_is_reached_by_the_answers_it_asks_for_or_never() {
    let (tree, cars) = (toy(TOY), cars());
    let which = tree.step_index("which").unwrap();
    let arm = |edge| reach(&tree, &cars, which, edge);
    assert_eq!(gives(arm(Edge::Arm(0))), said(&[("sound", "silent"), ("tank", "low")]));
    assert_eq!(arm(Edge::Arm(1)), Reach::Never, "whoever hears it cycling never comes to the choice");
    assert_eq!(gives(arm(Edge::Arm(2))).get("sound").map(String::as_str), Some("silent"));
    assert_eq!(gives(arm(Edge::Else)).get("sound").map(String::as_str), Some("normal"));
}

#[test]
fn an_edge_turned_aside_shows_unless_no_walk_takes_it() {
    let (tree, cars) = (toy(TOY), cars());
    let turned = |from: &str, to: &str| {
        assert!(TOY.contains(from), "{from}");
        parts(&tree, &toy(&TOY.replace(from, to)), &cars)
    };
    assert_eq!(parts(&tree, &toy(TOY), &cars), Reach::Never, "nothing was turned");
    let dead = turned("cycling}}, next: open", "cycling}}, next: other");
    assert_eq!(dead, Reach::Never);
    let low = turned("fuel-in-tank: low}}, next: open", "fuel-in-tank: low}}, next: other");
    assert_eq!(gives(low), said(&[("sound", "silent"), ("tank", "low")]));
    let cycling = turned("cycling: {next: open}", "cycling: {next: which}");
    assert_eq!(cycling, Reach::Never, "it comes to the same end by the arm that was dead");
}

#[test]
fn what_is_reckoned_impossible_over_all_mixes_at_once_is_what_no_mix_does() {
    let (tree, cars) = (toy(TOY), cars());
    let which = tree.step_index("which").unwrap();
    let ways = possible(&tree, &cars).unwrap();
    let may = |edge| ways.contains(&(which, edge));
    assert_eq!([Edge::Arm(0), Edge::Arm(1), Edge::Arm(2), Edge::Else].map(may), [true, false, true, true]);
    let turned = |from: &str, to: &str| {
        assert!(TOY.contains(from), "{from}");
        may_part(&tree, &[&toy(&TOY.replace(from, to))], &cars) == [true]
    };
    assert_eq!(may_part(&tree, &[&tree, &tree], &cars), [false, false], "nothing was turned");
    assert!(!turned("cycling}}, next: open", "cycling}}, next: other"));
    assert!(turned("fuel-in-tank: low}}, next: open", "fuel-in-tank: low}}, next: other"));
    assert!(!turned("cycling: {next: open}", "cycling: {next: which}"));
    assert!(turned("normal: {next: which}", "normal: {next: open}"));
    // Two results that rule one another out: who hears it silent went by no arm that asks for another sound.
    let hidden = TOY.replace(
        "{prime-sound: silent}}, next: seized",
        "{prime-sound: silent, fuel-in-tank: low}}, next: seized",
    );
    let tree = toy(&hidden);
    let ways = possible(&tree, &cars).unwrap();
    assert!(!ways.contains(&(tree.step_index("which").unwrap(), Edge::Arm(2))));
}

/// Ways of authored steps, the putting back and what stands as `else` aside, that no mix of answers takes in any tree.
fn taken_by_nothing() -> Vec<String> {
    let library = Library::embedded();
    // Each car also as it would be without its strainer, its filter or its trims, which no rig that ships may happen to be.
    let mut cars = super::ends::cars();
    for (name, facts) in cars.clone() {
        for (strainer, filter) in [(false, facts.filter), (facts.strainer, false), (true, true)] {
            let name = format!("{name}, strainer {strainer}, filter {filter}");
            cars.insert(name, CarFacts { strainer, filter, ..facts.clone() });
        }
        cars.insert(format!("{name}, without trims"), CarFacts { trims_at: Vec::new(), ..facts });
    }
    let mut may: BTreeMap<String, bool> = BTreeMap::new();
    for id in library.paths().into_iter().filter(|p| !p.contains('/')) {
        let tree = library.tree(&id).unwrap();
        let ways = possible(&tree, &cars).unwrap();
        // What only proves a repair is on no way.
        let proves =
            |i: usize| tree.findings.iter().filter_map(|f| f.confirm.as_ref()).any(|c| c.repeat == i);
        let asks = |s: &Step| s.undoes.is_none() && !matches!(s.kind, StepKind::Include(_));
        for (i, step) in tree.steps.iter().enumerate().filter(|(i, s)| asks(s) && !proves(*i)) {
            let file = &tree.files[step.origin.file].name;
            for (edge, _) in step.edges().into_iter().filter(|(edge, _)| *edge != Edge::Else) {
                *may.entry(format!("{file} {} {edge:?}", step.origin.id)).or_default() |=
                    ways.contains(&(i, edge));
            }
        }
    }
    may.into_iter().filter(|(_, may)| !may).map(|(way, _)| way).collect()
}

#[test]
fn no_way_of_a_shipped_file_is_taken_by_nothing_in_every_tree() {
    let nothing = taken_by_nothing();
    assert!(nothing.is_empty(), "{} ways: take them out\n{}", nothing.len(), nothing.join("\n"));
}
