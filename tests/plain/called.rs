//! A test goes by one name: that of its step in the record.

use super::{model, rig, session};
use faultwalk::belief::Key;
use faultwalk::session::Crowd;
use faultwalk::terms::{Condition, Fault, Reading};
use faultwalk::tree::{Step, StepKind};
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
