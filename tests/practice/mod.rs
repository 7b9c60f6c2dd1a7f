//! Practice on the simulated car: what may be picked, what is stopped and why, what it costs, what is told at the end.

use faultwalk::belief::Key;
use faultwalk::library::Library;
use faultwalk::practice::{Answer, Exercise, Group, Lesson, Level, Named, Stop};
use faultwalk::quantity::UnitSystem;
use faultwalk::rig::Rig;
use faultwalk::terms::{Fault, Part, Reading, Tool};
use std::io::Write as _;
use std::process::{Command, Stdio};
use std::sync::Arc;

fn rig(name: &str) -> Rig {
    let path = format!("{}/fixtures/rigs/{name}.yaml", env!("CARGO_MANIFEST_DIR"));
    Rig::parse(name, &std::fs::read_to_string(path).unwrap()).unwrap()
}

/// A lesson with a given fault on a car that ships with the trees.
fn lesson(fault: Fault, severity: f64, level: Level) -> Lesson {
    let tree = Library::embedded().tree("runs-lean").unwrap();
    let exercise = Exercise { fault, severity, level, seed: 3, tools: level.tools() };
    Lesson::begin(Arc::new(rig("orchard-pickup")), Arc::new(tree), exercise, UnitSystem::Metric).unwrap()
}

/// The move whose name begins so.
fn index(lesson: &Lesson, name: &str) -> usize {
    let found = lesson.moves().iter().position(|m| m.name.starts_with(name));
    found.unwrap_or_else(|| {
        panic!("no move '{name}' in {:#?}", lesson.moves().iter().map(|m| &m.name).collect::<Vec<_>>())
    })
}

fn pick(lesson: &mut Lesson, name: &str) -> Answer {
    let at = index(lesson, name);
    lesson.pick(at).unwrap()
}

fn done(lesson: &mut Lesson, name: &str) -> String {
    match pick(lesson, name) {
        Answer::Done(done) => done.result,
        Answer::Stopped(stop) => panic!("'{name}' was stopped: {stop:?}"),
    }
}

fn unsafe_because(lesson: &mut Lesson, name: &str) -> (String, String) {
    match pick(lesson, name) {
        Answer::Stopped(Stop::Unsafe { why, first }) => (why, first),
        other => panic!("'{name}' was let pass: {other:?}"),
    }
}

#[test]
fn every_test_of_the_tree_is_a_move_once() {
    let lesson = lesson(Fault::PumpWorn, 0.9, Level::One);
    for (i, a) in lesson.moves().iter().enumerate() {
        for b in &lesson.moves()[i + 1..] {
            assert!(a.name != b.name || a.action != b.action, "{} stands twice", a.name);
        }
    }
    for group in Group::ALL {
        assert!(lesson.moves().iter().any(|m| m.group == group), "no move in {}", group.name());
    }
}

#[test]
fn a_line_is_not_opened_and_nothing_is_run_out_of_order() {
    let mut lesson = lesson(Fault::PumpWorn, 0.9, Level::One);
    let before = lesson.minutes();
    let (why, first) = unsafe_because(&mut lesson, "line open");
    assert!(first.contains("zero") || first.contains("disabled") || first.contains("cool"), "{why} {first}");
    assert_eq!(lesson.stops(), 1);
    assert_eq!(lesson.minutes(), before + 10.0);
    assert!(lesson.log().is_empty(), "what is stopped is not done");
    let (_, first) = unsafe_because(&mut lesson, "fuel trim, warm idle");
    assert!(first.contains("leak"), "{first}");
    assert_eq!(done(&mut lesson, "fuel smell or leak"), "no smell, no leak");
    done(&mut lesson, "fuel trim, warm idle");
}

#[test]
fn pressure_is_used_up_before_zero_is_proved_and_joints_are_seen_before_a_start() {
    let mut lesson = lesson(Fault::PumpWorn, 0.9, Level::One);
    done(&mut lesson, "fuel smell or leak");
    done(&mut lesson, "pump disabled");
    done(&mut lesson, "engine cool");
    let (why, first) = unsafe_because(&mut lesson, "line at zero");
    assert!(why.contains("spark") && first == "battery negative off", "{why} {first}");
    done(&mut lesson, "battery negative off");
    let (why, first) = unsafe_because(&mut lesson, "line at zero");
    assert!(why.contains("pressure") && first.contains("pressure"), "{why} {first}");
    // The starter needs the battery.
    assert!(matches!(pick(&mut lesson, "pressure relieved"), Answer::Stopped(Stop::NotYet { .. })));
    done(&mut lesson, "battery negative back");
    done(&mut lesson, "pressure relieved");
    done(&mut lesson, "battery negative off");
    done(&mut lesson, "line at zero");
    done(&mut lesson, "line open");
    done(&mut lesson, "gauge fitted");
    assert!(matches!(pick(&mut lesson, "battery negative back"), Answer::Stopped(Stop::NotYet { .. })));
    done(&mut lesson, "line closed");
    done(&mut lesson, "battery negative back");
    done(&mut lesson, "pump back");
    let (_, first) = unsafe_because(&mut lesson, "fuel trim, warm idle");
    assert!(first.contains("dry"), "{first}");
    done(&mut lesson, "fuel smell or leak, key on");
    done(&mut lesson, "fuel trim, warm idle");
    let read = done(&mut lesson, "rail pressure, key on");
    assert!(read.contains("kPa") || read.contains("bar"), "{read}");
}

#[test]
fn full_load_waits_for_a_mixture_that_is_not_lean() {
    let mut lean = lesson(Fault::RegulatorSetLow, 1.0, Level::One);
    done(&mut lean, "fuel smell or leak");
    done(&mut lean, "fuel smell or leak, key on");
    let load = "pressure in the reference hose, full load";
    let (why, _) = unsafe_because(&mut lean, load);
    assert!(why.contains("lean"), "{why}");
    done(&mut lean, "fuel trim, 2,500");
    let (why, _) = unsafe_because(&mut lean, load);
    assert!(why.contains("lean"), "a lean engine is not loaded: {why}");
    let mut sound = lesson(Fault::CheckValveLeaking, 0.8, Level::One);
    done(&mut sound, "fuel smell or leak");
    done(&mut sound, "fuel smell or leak, key on");
    done(&mut sound, "fuel trim, 2,500");
    done(&mut sound, load);
}

#[test]
fn a_wrong_part_costs_its_minutes_and_the_right_one_ends_it() {
    let mut lesson = lesson(Fault::FeedFilterBlocked, 0.9, Level::Two);
    let Named::Wrong(minutes) = lesson.name(Part::Pump) else { panic!("the pump is sound") };
    assert!(minutes > 0.0);
    assert_eq!(lesson.minutes(), minutes);
    assert!(!lesson.over());
    assert_eq!(lesson.name(Part::FeedFilter), Named::Right);
    assert!(lesson.over());
    assert_eq!(lesson.pick(0), None, "nothing is picked after the end");
}

#[test]
fn the_debrief_tells_what_each_move_set_aside_and_the_cheapest_order() {
    let mut lesson = lesson(Fault::PumpFuseOpen, 1.0, Level::One);
    done(&mut lesson, "fuel smell or leak");
    done(&mut lesson, "sound of the pump at key-on");
    done(&mut lesson, "pump fuse");
    lesson.name(Part::PumpFuse);
    let debrief = lesson.debrief();
    assert_eq!((debrief.fault, debrief.part), (Fault::PumpFuseOpen, Part::PumpFuse));
    assert_eq!(debrief.told.len(), 3);
    assert!(
        debrief.told[1].set_aside.len() > 3,
        "a silent pump sets most parts aside: {:?}",
        debrief.told[1]
    );
    assert!(debrief.told[2].raised.contains(&Part::PumpFuse), "{:?}", debrief.told[2]);
    let cheapest = &debrief.cheapest;
    assert!(cheapest.certain, "{cheapest:?}");
    let sum: f64 = cheapest.steps.iter().map(|s| s.1).sum();
    assert_eq!(cheapest.minutes, sum);
    assert!(cheapest.minutes <= debrief.minutes + 10.0, "{cheapest:?} against {}", debrief.minutes);
}

#[test]
fn the_cheapest_order_breaks_no_rule_of_safety_and_names_no_pump_filter_or_regulator_without_a_pressure() {
    for fault in [Fault::PumpWorn, Fault::FeedFilterBlocked, Fault::RegulatorSetLow] {
        let lesson = lesson(fault, 0.9, Level::One);
        let debrief = lesson.debrief();
        let pressure = debrief.cheapest.steps.iter().any(|(name, _)| {
            let found = lesson.moves().iter().find(|m| &m.name == name).and_then(|m| m.key);
            matches!(found, Some(Key::Reading(Reading::RailPressure | Reading::PumpOutletPressure, _)))
        });
        assert!(debrief.cheapest.certain && pressure, "{fault}: {:?}", debrief.cheapest);
        let mut again = lesson.clone();
        for (name, _) in &debrief.cheapest.steps {
            let at = (0..again.moves().len())
                .find(|i| &again.moves()[*i].name == name && again.stop(*i).is_none());
            let at = at.unwrap_or_else(|| {
                panic!("{fault}: '{name}' can't be done in its turn: {:?}", debrief.cheapest)
            });
            again.pick(at).unwrap();
        }
        assert_eq!(again.stops(), 0);
    }
}

#[test]
fn the_same_seed_is_the_same_exercise_and_tools_limit_the_moves() {
    let tree = Library::embedded().tree("runs-lean").unwrap();
    let rig = rig("mill-road-sedan");
    let mut faults = std::collections::BTreeSet::new();
    for seed in 0..12 {
        let one = Exercise::draw(&tree, &rig, Level::Two, None, seed).unwrap();
        assert_eq!(one, Exercise::draw(&tree, &rig, Level::Two, None, seed).unwrap());
        faults.insert(one.fault);
    }
    assert!(faults.len() > 4, "{faults:?}");
    let meter = Some(vec![Tool::Multimeter]);
    let exercise = Exercise::draw(&tree, &rig, Level::One, meter, 1).unwrap();
    let lesson = Lesson::begin(Arc::new(rig), Arc::new(tree), exercise, UnitSystem::Us).unwrap();
    assert!(lesson.moves().iter().all(|m| !m.name.starts_with("rail pressure")));
}

#[test]
fn requirement_28_practice_is_marked_as_simulated_and_keeps_no_case() {
    let home = tempfile::tempdir().unwrap();
    let mut child = Command::new(env!("CARGO_BIN_EXE_faultwalk"))
        .args(["practice", "no-pressure", "--seed", "5"])
        .env("HOME", home.path())
        .env("XDG_DATA_HOME", home.path().join("data"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    child
        .stdin
        .take()
        .unwrap()
        .write_all(b"help\nlist look\n1\nstanding\nrecord\nname nothing\nnonsense\n999\ngive up\n")
        .unwrap();
    let out = child.wait_with_output().unwrap();
    assert!(out.status.success());
    let text = String::from_utf8(out.stdout).unwrap();
    assert!(text.starts_with("PRACTICE on a simulated car, exercise 5"), "{text}");
    assert!(text.matches("SIMULATED, ").count() >= 8, "every prompt is marked: {text}");
    assert!(!text.contains("{U+"), "no line of ours holds a hidden character: {text}");
    assert!(text.contains("The car maker's manual"), "{text}");
    assert!(text.contains("PRACTICE ON A SIMULATED CAR"), "{text}");
    assert!(
        text.contains("found 'nothing'") && text.contains("found 999") && text.contains("'nonsense'"),
        "{text}"
    );
    assert!(text.contains("In the car: ") && text.contains("Score: "), "{text}");
    assert!(!home.path().join("data").exists(), "practice keeps no case");
}
