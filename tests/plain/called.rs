//! A test goes by one name: that of its step in the record.

use super::{after, model, rig, session};
use faultwalk::belief::Key;
use faultwalk::session::Crowd;
use faultwalk::terms::{Condition, Fault, Reading};
use faultwalk::tree::{Step, StepKind};
use faultwalk::walk::{Event, Given, ahead};
use std::collections::BTreeSet;

/// The names of all steps of a tree, and of those in the record.
fn names(session: &faultwalk::session::Session) -> (BTreeSet<String>, BTreeSet<String>) {
    let steps = &session.tree().steps;
    let all = steps.iter().map(|s| s.name().to_owned()).collect();
    let done = session.state().record().map(|(i, _)| steps[i].name().to_owned()).collect();
    (all, done)
}

/// The name before what was seen.
fn name(words: &str) -> &str {
    words.split(": ").next().unwrap_or(words)
}

#[test]
fn what_moved_a_fault_and_what_is_advised_go_by_the_names_of_the_record() {
    for (car, tree, fault) in [
        ("orchard-pickup", "runs-lean", Fault::FeedFilterBlocked),
        ("mill-road-sedan", "runs-rich", Fault::RegulatorSetHigh),
        ("orchard-pickup", "electrical-only", Fault::PumpGroundPoor),
    ] {
        let walked = model(&rig(car), tree, fault, 0.8);
        let (all, done) = names(&walked);
        let outlook = walked.outlook(&Crowd::draw(walked.rig()), true);
        let mut moved = 0;
        for (words, _) in outlook.suspects.iter().flat_map(|s| &s.moved) {
            assert!(done.contains(name(words)), "{tree}: '{words}' is no name in the record");
            moved += 1;
        }
        assert!(moved > 20, "{tree}: {moved}");
        for advice in outlook.next.iter().chain(&outlook.before) {
            // What no step of the tree does, or steps of several names, goes by what is read, and when.
            let by_reading: BTreeSet<&str> = walked
                .tree()
                .steps
                .iter()
                .filter(|s| {
                    matches!(&s.kind, StepKind::Read(r) if advice.what == format!("{}, {}", r.reading.name(), r.at.name()))
                })
                .map(Step::name)
                .collect();
            assert!(
                all.contains(&advice.what) || by_reading.len() != 1,
                "{tree}: {}, called {by_reading:?}",
                advice.what
            );
        }
    }
}

#[test]
fn a_test_with_several_names_is_not_called_by_one_that_does_not_fit_the_car_now() {
    // While the pump runs nobody is asked for a voltage at a silent pump.
    let at_start = session(&rig("orchard-pickup"), "runs-lean");
    let volts = Key::Reading(Reading::PumpVoltage, Condition::Prime);
    let of_steps: BTreeSet<&str> = at_start
        .tree()
        .steps
        .iter()
        .filter(|s| {
            matches!(&s.kind, StepKind::Read(r) if (r.reading, r.at) == (Reading::PumpVoltage, Condition::Prime))
        })
        .map(faultwalk::tree::Step::name)
        .collect();
    assert!(of_steps.len() > 1 && of_steps.iter().any(|name| name.contains("silent")), "{of_steps:?}");
    assert_eq!(at_start.called(volts), "voltage at the pump, key on, engine off");
}

/// What a step asks, if it is a test.
fn asks(step: &Step) -> String {
    match &step.kind {
        StepKind::Read(read) => format!("{:?} {:?} {}", read.reading, read.at, step.name()),
        StepKind::Observe { observation, .. } => format!("{observation:?} {}", step.name()),
        _ => String::new(),
    }
}

#[test]
fn what_was_done_before_its_turn_by_another_step_of_the_same_name_is_asked_once_more_and_says_so() {
    let mut asked = 0;
    for (car, tree) in [("orchard-pickup", "runs-lean"), ("mill-road-sedan", "no-pressure")] {
        let walked = model(&rig(car), tree, Fault::PumpWorn, 0.8);
        let steps = &walked.tree().steps;
        for turn in 1..walked.events().len() {
            let at = after(&walked, turn);
            let Some(open) = at.state().open_step() else { continue };
            let twin = |i: &usize| {
                *i != open && !asks(&steps[*i]).is_empty() && asks(&steps[*i]) == asks(&steps[open])
            };
            let gave = walked.state().path().find(|(i, _)| *i == open).map(|(_, given)| given.clone());
            let Some((twin, before)) = (1..turn).find_map(|n| {
                let early = after(&walked, n);
                ahead(early.tree(), early.state()).into_iter().find(twin).map(|i| (i, n))
            }) else {
                continue;
            };
            assert!(!at.asks_once_more(), "{}: nobody asked it yet", steps[open].name());
            let mut early = after(&walked, before);
            early.send(Event::TakenUp { step: steps[twin].id.clone() }).unwrap();
            if !steps[twin].cautions.is_empty() {
                early.confirm_cautions().unwrap();
            }
            match gave {
                Some(Given::Read { taken }) => drop(early.read(&taken.typed, taken.place).unwrap()),
                Some(Given::Answered { outcome, .. }) => drop(early.answer(&outcome).unwrap()),
                _ => continue,
            }
            for event in &walked.events()[before..turn] {
                early.send(event.clone()).unwrap();
            }
            assert_eq!(early.state().open_step(), Some(open), "it is asked all the same");
            assert!(early.asks_once_more(), "{}", steps[open].name());
            asked += 1;
        }
    }
    assert!(asked > 0, "no test has two steps of one name");
}
