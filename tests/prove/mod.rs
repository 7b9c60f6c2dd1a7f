//! The proof from outside: figures from counts, shards that add up, cars that are not the model's own.

mod alike;
mod ends;
mod guided;
mod together;
mod toward;
mod turned;

use faultwalk::library::Library;
use faultwalk::prove::{Cell, Effort, ProofCar, Share, Tally, TreeTally, Unlisted, figures, prove, summary};
use faultwalk::rig::Rig;
use faultwalk::session::{Bench, FaultyCar};
use faultwalk::terms::{Condition, Fault, Observation, Reading, Tool};
use faultwalk::tree::{SourceFile, Tree};
use std::sync::Arc;

/// A tree of four steps that finds three faults, with one branch that nothing reaches.
const SMALL: &str = "format: 1
tree: small
title: Small
complaints: [lean]
start: fuel
finds: [fuel-level-low, tank-vent-blocked, pump-fuse-open, no-fault]
steps:
  fuel:
    do: Look at the fuel gauge.
    observe: fuel-in-tank
    minutes: 1
    answers: {enough: {next: cap}, low: {next: level}, unknown: {next: cap}}
    cannot: {next: cap}
  cap:
    do: Open the filler cap slowly.
    observe: cap-opened
    minutes: 2
    answers: {no-hiss: {next: fuse}, inrush: {next: vent}, outrush: {next: fuse}}
    cannot: {next: fuse}
  fuse:
    do: Look at the pump fuse.
    observe: pump-fuse
    minutes: 4
    answers: {good: {next: battery}, open: {next: burnt}}
    cannot: {next: unknown}
  battery:
    do: Read the voltage at the battery.
    read: battery-voltage
    at: prime
    with: multimeter
    expect: {by: limits, min: 9 V}
    minutes: 1
    low: unknown
    within: sound
    undecided: {retry: 0, next: unknown}
    cannot: {next: unknown}
findings:
  level: {fault: fuel-level-low, says: The tank is low., remedy: Fill it., confirm: {repeat: fuel, expect: enough}}
  vent: {fault: tank-vent-blocked, says: The vent is blocked., remedy: Clear it., confirm: {repeat: cap, expect: no-hiss}}
  burnt: {fault: pump-fuse-open, says: The fuse is open., remedy: Replace it., confirm: {repeat: fuse, expect: good}}
  sound: {fault: no-fault, says: Nothing is wrong.}
handovers:
  unknown: {says: Nothing more is known., advice: Go on with the battery., narrowed: []}
";

fn small() -> Arc<Tree> {
    let file = SourceFile { name: "small.yaml".into(), text: SMALL.into() };
    Arc::new(Library::embedded().tree_from(&file).unwrap())
}

fn tree_of(id: &str) -> Arc<Tree> {
    Arc::new(Library::embedded().tree(id).unwrap())
}

fn rig(name: &str) -> Arc<Rig> {
    let text = std::fs::read_to_string(format!("fixtures/rigs/{name}.yaml")).unwrap();
    Arc::new(Rig::parse(name, &text).unwrap())
}

fn proof(names: &[&str], samples: u64) -> Tally {
    let mut tally = Tally { seed: 3, samples, ..Tally::default() };
    for name in names {
        let counts = prove(&small(), &rig(name), Effort { samples, seed: 3, particles: 8 });
        let shard = Tally {
            trees: [("small".to_owned(), counts)].into(),
            ..Tally { seed: 3, samples, ..Tally::default() }
        };
        tally.merge(&shard).unwrap();
    }
    tally
}

#[test]
fn a_sound_tree_is_proved_without_noise() {
    let tally = proof(&["orchard-pickup"], 0);
    let figures = figures(&tally.trees["small"], 3, 0);
    let free = &figures.tier_a.all_tools;
    assert_eq!(figures.missed, Vec::<String>::new());
    assert_eq!(free.faults, 3);
    assert_eq!((free.detected.hits, free.isolated[0].hits), (free.walks, free.walks));
    assert_eq!((free.by_look, free.by_reading), (free.walks, 0));
    assert_eq!(free.false_alarm.of, 1);
    assert!(figures.tier_a.failures.is_empty());
    // Unknown fuel, vapour rushing out and a low battery are reached by no fault.
    let never = &figures.tier_a.never_reached;
    assert_eq!(never, &["battery low", "cap outrush", "fuel unknown"]);
    // By hand: priors 3, 2, 2 and 8 of 15; a level takes 1 minute, a vent 3, a fuse 7, a sound car 8.
    let authored = (3.0 * 1.0 + 2.0 * 3.0 + 2.0 * 7.0 + 8.0 * 8.0) / 15.0;
    assert!((figures.tier_c.authored - authored).abs() < 1e-9, "{}", figures.tier_c.authored);
    // The battery tells nothing: the best order leaves it out.
    let best = (3.0 * 1.0 + 2.0 * 3.0 + 2.0 * 7.0 + 8.0 * 7.0) / 15.0;
    assert!((figures.tier_c.best_found - best).abs() < 1e-9, "{}", figures.tier_c.best_found);
    assert_eq!(figures.tier_c.exact, 1.0);
    assert!(figures.tier_c.lower_bound <= best);
    assert!(figures.tier_a.zero_rows.is_empty());
    assert!(figures.tier_b.least_severity[&Fault::TankVentBlocked].mean.unwrap() <= 0.1 + 1e-12);
}

#[test]
fn a_wrong_claim_is_counted_as_one() {
    let text = SMALL.replace("inrush: {next: vent}", "inrush: {next: level}");
    let file = SourceFile { name: "wrong.yaml".into(), text: text.into() };
    let tree = Arc::new(Library::embedded().tree_from(&file).unwrap());
    let counts = prove(&tree, &rig("orchard-pickup"), Effort { samples: 0, seed: 1, particles: 8 });
    let figures = figures(&counts, 1, 0);
    let free = &figures.tier_a.all_tools;
    assert!(free.wrong.hits > 0 && free.wrong.hits == counts.free[&Fault::TankVentBlocked].walks);
    assert_eq!(figures.tier_a.failures.len() as u64, free.wrong.hits);
    assert!(figures.missed.iter().any(|m| m.contains("wrong isolation")));
    // Two parts now end in one place, so neither is isolated to one.
    assert_eq!(free.isolated[0].hits, counts.free[&Fault::PumpFuseOpen].walks);
}

#[test]
fn shards_add_up_to_the_whole_and_runs_repeat() {
    let whole = proof(&["orchard-pickup", "harbour-coupe"], 2);
    let mut sum = proof(&["harbour-coupe"], 2);
    sum.merge(&proof(&["orchard-pickup"], 2)).unwrap();
    let text = |t: &Tally| summary(t);
    assert_eq!(text(&whole), text(&sum));
    let json = serde_json::to_string(&whole).unwrap();
    let back: Tally = serde_json::from_str(&json).unwrap();
    assert_eq!(text(&back), text(&whole));
    assert!(sum.merge(&Tally { seed: 4, samples: 2, ..Tally::default() }).is_err());
    let tree = &whole.trees["small"];
    // Two rigs, two cars each; a mild fault that nobody would notice is not walked.
    for fault in [Fault::NoFault, Fault::PumpFuseOpen] {
        assert_eq!(tree.noisy[&fault].walks, 4, "{fault}");
        assert_eq!(tree.careful[&fault].walks, 4, "{fault}");
    }
    // One false answer at a look misleads a tree of single looks.
    assert!(tree.flipped.values().map(|s| s.wrong).sum::<u64>() > 0);
    assert!(tree.pairs.walks > 0 && tree.pairs.wrong == 0);
}

#[test]
fn figures_are_those_of_the_counts() {
    let mut tally = TreeTally::default();
    let cell = |walks, detected, right, wrong, isolated| Cell {
        walks,
        detected,
        right,
        wrong,
        isolated,
        minutes: 10.0 * walks as f64,
        ..Cell::default()
    };
    // Priors 5 and 2.
    tally.free.insert(Fault::FeedFilterBlocked, cell(10, 10, 10, 0, [10, 10, 10]));
    tally.free.insert(Fault::TankVentBlocked, cell(10, 5, 4, 1, [0, 2, 4]));
    tally.free.insert(Fault::NoFault, cell(3, 1, 0, 1, [0, 0, 0]));
    let f = figures(&tally, 1, 0);
    let free = &f.tier_a.all_tools;
    assert_eq!((free.detected.hits, free.detected.of), (15, 20));
    assert!((free.detected_weighted - (5.0 + 2.0 * 0.5) / 7.0).abs() < 1e-12);
    assert_eq!((free.isolated[1].hits, free.isolated[1].of), (12, 15));
    // Isolation is counted among detected faults: 5·1 + 2·0.2 of 5·1 + 2·0.5.
    assert!((free.isolated_weighted[1] - 5.4 / 6.0).abs() < 1e-12);
    assert_eq!((free.false_alarm.hits, free.false_alarm.of), (1, 3));
    assert_eq!(free.minutes_mean, 10.0);
    assert_eq!(f.missed.len(), 5, "{:?}", f.missed);
    let mut share = Share::default();
    share.count(true);
    assert_eq!((share.of, share.hits), (1, 1));
}

#[test]
fn a_proof_car_is_not_the_model_and_is_the_same_again() {
    let rig = rig("orchard-pickup");
    let read = |car: &dyn Bench| car.read(Reading::RailPressure, Condition::Load, Tool::PressureGauge, None);
    let again = || read(&ProofCar::draw(&rig, Fault::NoFault, 5).unwrap()).unwrap();
    assert_eq!(again(), again());
    let model = read(&FaultyCar::new(&rig, &[]).unwrap()).unwrap();
    let off: Vec<f64> = (0..40)
        .map(|s| read(&ProofCar::draw(&rig, Fault::NoFault, s).unwrap().carefully()).unwrap() - model)
        .collect();
    assert!(off.iter().all(|o| o.abs() < 0.15 * model), "{off:?}");
    assert!(off.iter().any(|o| o.abs() > 3_000.0), "{off:?}");
    // A reader slips in a few of a hundred answers: the careful one never says low of a full tank.
    let low = |careful: bool| {
        let cars = (0..400).map(|s| ProofCar::draw(&rig, Fault::NoFault, s).unwrap());
        let said = cars.map(|c| if careful { c.carefully() } else { c }.observe(Observation::FuelInTank).id);
        said.filter(|id| *id != "enough").count()
    };
    assert_eq!(low(true), 0);
    assert!((4..30).contains(&low(false)), "{}", low(false));
    for unlisted in Unlisted::ALL {
        assert!(ProofCar::unlisted(&rig, *unlisted, 1).is_ok());
    }
}

#[test]
fn the_summary_kept_here_is_what_the_proof_says_now() {
    // Small enough for every run of the tests; the full proof takes the same command without the limits.
    let command = ["prove", "runs-lean", "electrical-only", "--most-rigs", "2", "--samples", "1"];
    let output = std::process::Command::new(env!("CARGO_BIN_EXE_faultwalk")).args(command).output().unwrap();
    assert!(output.stderr.is_empty(), "{}", String::from_utf8_lossy(&output.stderr));
    let now = String::from_utf8(output.stdout).unwrap();
    let kept = std::fs::read_to_string("fixtures/proof/summary.md").unwrap();
    assert!(
        now == kept,
        "trees, rigs or model changed the proof; look at the figures, and if they are right run\n  \
         cargo run -- {} > fixtures/proof/summary.md\nFound now:\n{now}",
        command.join(" ")
    );
}

#[test]
fn nobody_takes_for_seen_what_a_car_cannot_show() {
    // Without a return line nothing is swapped with it, and no screen offers that answer.
    let (without, with) = (rig("depot-van"), rig("orchard-pickup"));
    assert!(!without.car.regulator.style.has_return() && with.car.regulator.style.has_return());
    let swapped = |rig: &Rig| {
        (0..4_000).any(|seed| {
            let car = ProofCar::draw(rig, Fault::NoFault, seed).unwrap();
            car.observe(Observation::HosesByEye).id == "swapped"
        })
    };
    assert!(swapped(&with) && !swapped(&without));
}

#[test]
fn a_slip_belongs_to_one_asking_and_a_look_to_the_car() {
    let rig = rig("orchard-pickup");
    let (mut first, mut both) = (0, 0);
    for seed in 0..2_000 {
        let car = ProofCar::draw(&rig, Fault::NoFault, seed).unwrap();
        let slipped = |car: &ProofCar| car.observe(Observation::FuelInTank).id != "enough";
        if slipped(&car) {
            first += 1;
            both += i32::from(slipped(&car));
        }
        // Whoever saw a leak goes on seeing it.
        let leak = car.observe(Observation::FuelSmellOrLeak);
        assert_eq!(car.observe(Observation::FuelSmellOrLeak), leak);
    }
    assert!((30..90).contains(&first), "{first}");
    // The second look repeats about one slip in six.
    assert!(both > 0 && both * 3 < first, "{both} of {first}");
    // What a look misses it misses again: the car shows it, or it does not.
    for seed in 0..300 {
        let car = ProofCar::draw(&rig, Fault::InjectorsFouled, seed).unwrap().carefully();
        assert_eq!(car.observe(Observation::InjectorSpray), car.observe(Observation::InjectorSpray));
    }
}
