//! The search on purpose, on trees small enough to see what it has to find.

use super::alike::toy;
use super::ends::cars;
use faultwalk::prove::{Mix, Trail, drawn, sought, untaken, walk_mix};
use faultwalk::tree::{CarFacts, Edge, Tree};
use std::collections::{BTreeMap, BTreeSet};

/// Its choice asks for four results at once; one of them is asked for on a side way alone, and an arm before asks for two of them.
const FOUR: &str = "  tank:
    do: Look at the fuel in the tank.
    observe: fuel-in-tank
    answers: {enough: {next: cap}, low: {next: cap}, unknown: {next: cap}}
    cannot: {next: cap}
  cap:
    do: Open the filler cap slowly.
    observe: cap-opened
    answers: {no-hiss: {next: sound}, inrush: {next: sound}, outrush: {next: side}}
    cannot: {next: sound}
  side:
    choose:
      - {when: {was: {fuel-in-tank: unknown}}, next: fuse}
    else: {next: sound}
  fuse:
    do: Look at the pump fuse.
    observe: pump-fuse
    answers: {good: {next: sound}, open: {next: sound}}
    cannot: {next: sound}
  sound:
    do: Switch the key on. Listen to the pump.
    observe: prime-sound
    answers: {normal: {next: battery}, silent: {next: battery}, strained: {next: battery}, cycling: {next: battery}}
    cannot: {next: battery}
  battery:
    do: Read the voltage at the battery.
    read: battery-voltage
    at: prime
    with: multimeter
    expect: {by: limits, min: 9 V}
    low: which
    within: which
    undecided: {retry: 0, next: which}
    cannot: {next: which}
  which:
    choose:
      - {when: {was: {pump-fuse: open, prime-sound: cycling}}, next: open}
      - {when: {was: {cap-opened: outrush, pump-fuse: open, prime-sound: strained, battery-voltage@prime: undecided}}, next: seized}
    else: {next: other}
";

/// Draws within which nothing comes to the arm.
const DRAWS: usize = 300;

fn trails(tree: &Tree, cars: &BTreeMap<String, CarFacts>, mixes: &[Mix]) -> Vec<Trail> {
    mixes.iter().map(|mix| walk_mix(tree, &cars[&mix.rig], mix)).collect()
}

#[test]
fn an_arm_that_asks_for_four_results_is_found_on_purpose_where_drawing_does_not_come_to_it() {
    let (tree, cars, all) = (toy(FOUR), cars(), BTreeSet::new());
    let arm = (tree.step_index("which").unwrap(), Edge::Arm(1));
    let left =
        |mixes: &[Mix]| untaken(&tree, &trails(&tree, &cars, mixes)).into_iter().flatten().any(|w| w == arm);
    let there = drawn(&tree, &cars, Vec::new(), &all, DRAWS);
    assert!(left(&there), "{DRAWS} draws came to it; the test shows nothing");
    let found = sought(&tree, &cars, &there, &all);
    assert!(!left(&found));
    let takes = |mix: &&Mix| walk_mix(&tree, &cars[&mix.rig], mix).choices.contains(&arm);
    let mix = found.iter().find(takes).unwrap();
    for (step, word) in [("tank", "unknown"), ("cap", "outrush"), ("fuse", "open"), ("sound", "strained")] {
        assert_eq!(mix.gives.get(step).map(String::as_str), Some(word), "{step}");
    }
    assert_eq!(mix.gives["battery"], "undecided");
}

#[test]
fn an_edge_that_leads_to_the_same_by_another_way_is_walked_with_results_that_tell_the_ways_apart() {
    // Turned to `side`, the edge leads on to the same step unless nobody knows what is in the tank.
    let tree = toy(FOUR);
    let turned = toy(&FOUR.replace("no-hiss: {next: sound}", "no-hiss: {next: side}"));
    let (cars, all) = (cars(), BTreeSet::new());
    let plain: Vec<Mix> = vec![Mix { rig: cars.keys().next().unwrap().clone(), ..Mix::default() }];
    let asked = |tree: &Tree, mixes: &[Mix]| -> Vec<_> {
        trails(tree, &cars, mixes).into_iter().map(|trail| (trail.steps, trail.end)).collect()
    };
    let same = |mixes: &[Mix]| asked(&tree, mixes) == asked(&turned, mixes);
    assert!(same(&plain));
    assert!(!same(&sought(&tree, &cars, &plain, &all)));
}
