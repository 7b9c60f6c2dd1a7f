//! What is done out of the order of the path: a test before its turn or once more, a finding named by the odds.

use super::{TREE, Walked, begun, cannot, event, taken};
use faultwalk::library::Library;
use faultwalk::terms::State as CarState;
use faultwalk::tree::{StepKind, Verdict};
use faultwalk::walk::{
    At, Ending, Event, Given, Reason, State, ahead, may_conclude, may_repeat, replay, step,
};

/// Ids of the tests that may be done before their turn.
fn ahead_of(w: &Walked) -> Vec<&'static str> {
    ahead(&TREE, &w.state).into_iter().map(|i| TREE.steps[i].id.as_str()).collect()
}

/// Ids of the tests on the path that may be done once more.
fn repeatable(w: &Walked) -> Vec<&'static str> {
    let again = w.state.path().filter(|(i, _)| may_repeat(&TREE, &w.state, *i));
    again.map(|(i, _)| TREE.steps[i].id.as_str()).collect()
}

fn concluded(finding: &str, probability: f64) -> Event {
    Event::Concluded { finding: finding.into(), probability }
}

#[test]
fn a_test_done_before_its_turn_is_kept_and_counts_when_the_path_comes_to_it() {
    let mut w = Walked::fitted();
    assert_eq!(ahead_of(&w), ["volts", "filter-by-eye"]);
    w.take(Event::TakenUp { step: "filter-by-eye".into() }).unwrap();
    assert!(w.state.is_ahead() && w.id() == "filter-by-eye" && ahead_of(&w).is_empty());
    w.answer("blocked");
    assert_eq!((w.id(), w.state.is_ahead()), ("supply", false), "the walk goes on where it stood");
    let aside: Vec<&str> = w.state.set_aside().map(|(i, _)| TREE.steps[i].id.as_str()).collect();
    assert_eq!((aside, ahead_of(&w)), (vec!["filter-by-eye"], vec!["volts"]));
    w.read(Verdict::Low);
    w.read(Verdict::Within);
    let At::Finding(finding) = *w.state.at() else { panic!("{:?}", w.state.at()) };
    assert_eq!(TREE.findings[finding].id, "filter", "it was not asked for again");
    assert_eq!(replay(&TREE, &w.events).unwrap(), w.state);
}

#[test]
fn a_test_done_before_its_turn_may_be_done_once_more_beside_the_path() {
    let mut w = Walked::fitted();
    w.take(Event::TakenUp { step: "filter-by-eye".into() }).unwrap();
    w.answer("blocked");
    let eye = TREE.step_index("filter-by-eye").unwrap();
    assert!(may_repeat(&TREE, &w.state, eye));
    w.take(Event::TakenUp { step: "filter-by-eye".into() }).unwrap();
    assert!(w.state.is_ahead() && w.id() == "filter-by-eye" && w.state.kept().is_some());
    // Left, the first answer stands; done, the second does, and the walk goes on where it stood.
    let mut left = w.clone();
    left.take(Event::Back).unwrap();
    assert_eq!((left.id(), left.state.set_aside().count()), ("supply", 1));
    w.answer("clean");
    assert_eq!((w.id(), w.state.is_ahead()), ("supply", false));
    let aside: Vec<&Given> = w.state.set_aside().map(|(_, given)| given).collect();
    assert!(matches!(aside[..], [Given::Answered { outcome, .. }] if outcome == "clean"), "{aside:?}");
    assert_eq!(w.state.record().filter(|(i, _)| *i == eye).count(), 2, "both are in the record");
    assert_eq!(replay(&TREE, &w.events).unwrap(), w.state);
}

#[test]
fn a_test_before_its_turn_can_be_left_and_is_asked_for_in_its_turn() {
    for leave in [Event::Back, event(TREE.step("volts").unwrap(), &cannot(Reason::NoTool))] {
        let mut w = Walked::fitted();
        let path = w.state.path().count();
        w.take(Event::TakenUp { step: "volts".into() }).unwrap();
        w.take(leave).unwrap();
        assert_eq!((w.id(), w.state.path().count()), ("supply", path));
        w.read(Verdict::Low);
        assert_eq!(w.id(), "volts");
    }
}

#[test]
fn no_test_is_brought_forward_where_pump_or_engine_should_not_run() {
    let mut w = Walked::new();
    assert!(!ahead_of(&w).contains(&"volts"), "nobody looked for a leak yet");
    assert!(w.take(Event::TakenUp { step: "volts".into() }).is_err());
    w.answer("none");
    assert!(ahead_of(&w).contains(&"volts"));
    for id in ["fit/open", "fit/connect", "fit/joints"] {
        while w.id() != id {
            w.done();
        }
        assert!(!ahead_of(&w).contains(&"volts"), "at {id} a joint is open, or not yet seen dry");
    }
    w.answer("none");
    assert!(ahead_of(&w).contains(&"volts"));
    w.take(Event::LeakReported { note: None }).unwrap();
    assert!(ahead_of(&w).is_empty());
    w.take(Event::LeakMended { note: None }).unwrap();
    assert!(!ahead_of(&w).contains(&"volts"), "the joints count as unchecked after a leak");
}

#[test]
fn a_test_may_be_done_once_more_at_a_step_or_at_an_end_while_its_states_hold() {
    let mut w = Walked::fitted();
    assert!(!repeatable(&w).contains(&"supply"), "it was not done yet");
    w.read(Verdict::Low);
    assert!(repeatable(&w).contains(&"supply"), "{:?}", repeatable(&w));
    w.read(Verdict::Within);
    w.answer("blocked");
    assert!(matches!(w.state.at(), At::Finding(_)));
    assert!(repeatable(&w).contains(&"supply") && repeatable(&w).contains(&"filter-by-eye"));
    let mut leaks = w.clone();
    leaks.take(Event::LeakReported { note: None }).unwrap();
    assert!(repeatable(&leaks).is_empty(), "nothing goes on while fuel leaks");
    leaks.take(Event::LeakMended { note: None }).unwrap();
    assert!(!repeatable(&leaks).contains(&"supply"), "the joints count as unchecked after a leak");
    let mut taken_off = w.clone();
    taken_off.take(Event::UndoBegun { state: CarState::GaugeFitted }).unwrap();
    for _ in 0..20 {
        if taken_off.state.held().contains(CarState::GaugeFitted) {
            let given = match taken_off.open().unwrap().kind {
                StepKind::Do { .. } => Given::Done,
                _ => Given::Answered { outcome: "none".into(), typed: "none".into() },
            };
            taken_off.give(&given).unwrap();
        }
    }
    assert!(!taken_off.state.held().contains(CarState::GaugeFitted));
    assert!(!repeatable(&taken_off).contains(&"supply"), "the gauge is off");
    w.take(Event::TakenUp { step: "supply".into() }).unwrap();
    assert!(repeatable(&w).is_empty(), "one thing at a time");
    w.read(Verdict::Within);
    assert!(
        !matches!(w.state.at(), At::Finding(f) if TREE.findings[*f].id == "filter"),
        "another reading leads elsewhere"
    );
    assert_eq!(replay(&TREE, &w.events).unwrap(), w.state);
}

#[test]
fn a_finding_can_be_named_in_place_of_an_end_and_left_again() {
    let mut w = Walked::fitted();
    w.read(Verdict::Low);
    w.read(Verdict::Within);
    w.answer("blocked");
    let At::Finding(filter) = *w.state.at() else { panic!("{:?}", w.state.at()) };
    let other = (0..TREE.findings.len()).find(|f| *f != filter && may_conclude(&TREE, &w.state, *f));
    let other = other.expect("the template has one finding only");
    w.take(concluded(&TREE.findings[other].id, 0.9)).unwrap();
    assert_eq!(*w.state.at(), At::Finding(other));
    assert!(w.state.concluded_instead());
    w.take(Event::Back).unwrap();
    assert_eq!((w.state.at().clone(), w.state.concluded_instead()), (At::Finding(filter), false));
    assert_eq!(replay(&TREE, &w.events).unwrap(), w.state);
}

#[test]
fn a_finding_can_be_named_before_the_path_comes_to_it_and_left_again() {
    let mut w = Walked::fitted();
    w.read(Verdict::Low);
    assert_eq!(w.id(), "volts");
    w.take(concluded("filter", 0.995)).unwrap();
    let At::Finding(filter) = *w.state.at() else { panic!("{:?}", w.state.at()) };
    assert_eq!((TREE.findings[filter].id.as_str(), w.state.concluded()), ("filter", Some((filter, 0.995))));
    for leave in [
        Event::Back,
        Event::TakenUp { step: "supply".into() },
        Event::Changed {
            step: "supply".into(),
            given: Given::Read { taken: taken(TREE.step("supply").unwrap(), Verdict::Low) },
        },
    ] {
        let mut other = w.clone();
        other.take(leave.clone()).unwrap();
        assert_eq!(other.state.concluded(), None, "{leave:?}");
        assert!(other.open().is_some(), "the walk goes on after {leave:?}");
        assert_eq!(replay(&TREE, &other.events).unwrap(), other.state);
    }
    let cautions = TREE.findings[filter].cautions.clone();
    w.take(Event::CautionConfirmed { step: "filter".into(), cautions }).unwrap();
    w.take(Event::Repaired { note: None }).unwrap();
    assert_eq!(w.id(), "supply", "the repair is proved as ever");
    w.read(Verdict::Within);
    assert_eq!(w.state.ending(), Some(Ending::Finding { finding: filter, confirmed: Some(true) }));
    assert_eq!(w.id(), "undo/gauge-fitted/pump-off", "and the gauge comes off as ever");
    assert_eq!(replay(&TREE, &w.events).unwrap(), w.state);
}

#[test]
fn no_finding_is_named_while_something_is_half_done_at_the_car_or_its_repair_could_not_be_proved() {
    let mut w = Walked::new();
    assert!(w.take(concluded("wiring", 0.99)).is_err(), "nobody looked for a leak yet");
    w.answer("none");
    assert!(w.take(concluded("pump", 0.99)).is_err(), "no gauge to prove it with");
    for id in ["fit/open", "fit/connect", "fit/joints"] {
        while w.id() != id {
            w.done();
        }
        assert!(w.take(concluded("wiring", 0.99)).is_err(), "at {id} a joint is open, or not yet seen dry");
    }
    w.answer("none");
    for (finding, probability) in [("nothing", 0.99), ("pump", 1.5), ("pump", f64::NAN)] {
        let before = w.state.clone();
        assert!(w.take(concluded(finding, probability)).is_err(), "{finding} {probability}");
        assert_eq!(w.state, before);
    }
    w.take(Event::Paused).unwrap();
    assert!(w.take(concluded("pump", 0.99)).is_err(), "work stands still");
    w.take(Event::Resumed).unwrap();
    w.take(concluded("pump", 0.99)).unwrap();
}

#[test]
fn of_steps_that_ask_the_same_the_one_on_the_ordinary_path_comes_before_its_turn() {
    let tree = Library::embedded().tree("runs-lean").unwrap();
    let mut facts = begun();
    let Event::Begun { tree: id, digest, facts: car } = &mut facts else { unreachable!() };
    (*id, *digest) = (tree.id.clone(), tree.digest.clone());
    car.trims_at = vec![faultwalk::terms::Condition::Idle, faultwalk::terms::Condition::Raised];
    let mut state = step(&tree, &State::default(), &facts).unwrap();
    // Once no leak was seen.
    {
        let open = &tree.steps[state.open_step().unwrap()];
        if !open.cautions.is_empty() {
            let confirmed =
                Event::CautionConfirmed { step: open.id.clone(), cautions: open.cautions.clone() };
            state = step(&tree, &state, &confirmed).unwrap();
        }
        let given = match open.kind {
            StepKind::Observe { .. } => Given::Answered { outcome: "none".into(), typed: "none".into() },
            _ => Given::Done,
        };
        state = step(&tree, &state, &event(open, &given)).unwrap();
    }
    let ids: Vec<&str> = ahead(&tree, &state).into_iter().map(|i| tree.steps[i].id.as_str()).collect();
    let place = |id: &str| ids.iter().position(|i| *i == id).unwrap_or_else(|| panic!("{id} not in {ids:?}"));
    assert!(place("read/trim-raised") < place("mixture/trim-raised"), "{ids:?}");
}

#[test]
fn a_repair_that_does_not_cure_begins_the_walk_again_without_what_was_named() {
    let mut w = Walked::fitted();
    w.read(Verdict::Low);
    w.take(concluded("pump", 0.99)).unwrap();
    w.take(Event::Repaired { note: None }).unwrap();
    w.read(Verdict::Low);
    assert!(matches!(w.state.at(), At::NotCured(_)));
    w.take(Event::StartedAgain).unwrap();
    while w.state.open_step().is_some_and(|i| TREE.steps[i].undoes.is_some()) {
        if w.give(&Given::Done).is_err() {
            w.answer("none");
        }
    }
    assert_eq!((w.id(), w.state.concluded()), ("leak", None));
}
