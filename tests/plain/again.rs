//! What is doubtful is offered to be seen again before anything is named, and an end that the odds speak against can give way.

use super::ends::{at_its_end, walked};
use super::{lines, rig, session, talk};
use faultwalk::belief::{Evidence, Key, Particles};
use faultwalk::session::{Ask, Crowd, FaultyCar, Outlook, Session, Simulated, turn};
use faultwalk::terms::{Fault, Observation, Part, Place, Reading, State, Tool};
use faultwalk::tree::StepKind;
use faultwalk::walk::{At, Event, Given, ahead, may_put_off, may_repeat};
use std::sync::Arc;

/// At the end of a walk on a car with this fault.
fn ended(fault: Fault, severity: f64) -> Session {
    at_its_end(&walked(fault, severity, &[], &[]))
}

fn seen(session: &Session) -> Outlook {
    session.outlook(&Crowd::draw(session.rig()), false)
}

/// The step that reads the voltage at the pump on prime, and what was typed there.
fn volts(session: &Session) -> (String, String) {
    let read = |(i, given): (usize, &Given)| match given {
        Given::Read { taken } if taken.reading == Reading::PumpVoltage => {
            Some((session.tree().steps[i].id.clone(), taken.typed.clone()))
        }
        _ => None,
    };
    session.state().path().find_map(read).unwrap()
}

#[test]
fn what_does_not_go_with_the_rest_is_offered_again_and_taken_by_its_step() {
    let mut at_end = ended(Fault::FeedFilterBlocked, 0.8);
    assert_eq!(seen(&at_end).again, None, "nothing is doubtful yet");
    let (step, right) = volts(&at_end);
    // The meter on the wrong terminal.
    at_end.change(&step, "2.1 V", None).unwrap();
    let again = seen(&at_end).again.expect("the odd voltage is not offered again");
    assert_eq!((again.step.as_str(), again.instead), (step.as_str(), None));
    assert!(again.words().starts_with("Does not go with the rest: voltage at the pump"), "{}", again.words());

    let (_, text) = talk(&mut at_end, &["standing".to_owned()]);
    assert!(text.contains(&format!("type: take {step}")), "{text}");
    let (_, text) = talk(&mut at_end, &[format!("take {step}"), "understood".to_owned(), right]);
    assert_eq!(seen(&at_end).again, None, "{text}");
}

#[test]
fn the_one_odd_number_is_read_a_third_time_before_the_list_of_faults_is_doubted_and_no_fourth() {
    let mut at_end = ended(Fault::FeedFilterBlocked, 0.8);
    let (step, _) = volts(&at_end);
    for times in 1..3 {
        at_end.change(&step, "2.1 V", None).unwrap();
        let outlook = seen(&at_end);
        assert_eq!(outlook.again.map(|a| a.step).as_ref(), Some(&step), "after {times}");
        assert_eq!(outlook.misfit, None, "after {times}");
    }
    at_end.change(&step, "2.1 V", None).unwrap();
    let outlook = seen(&at_end);
    assert!(outlook.again.is_none_or(|a| a.step != step), "offered a fourth time");
    assert!(outlook.misfit.is_some(), "and still nothing is said");
}

#[test]
fn a_test_that_tells_hardly_anything_may_wait_and_no_look_for_safety_does() {
    let mut at = session(&rig("orchard-pickup"), "runs-lean");
    let crowd = Crowd::draw(at.rig());
    let answers = lines(&walked(Fault::FeedFilterBlocked, 0.9, &[], &[]));
    let mut put_off = Vec::new();
    let mut zeros = 0;
    for line in answers {
        let open = at.state().open_step();
        // Everything read with the gauge rests on its zero, whatever the odds say of that look.
        let looks = |index: usize| &at.tree().steps[index].kind;
        if let Some(StepKind::Observe { observation: Observation::GaugeZero, .. }) = open.map(looks) {
            assert!(!may_put_off(at.tree(), at.state()));
            zeros += 1;
        }
        if let Some(step) = at.outlook(&crowd, true).may_wait {
            let index = open.expect("nothing is open");
            let open = &at.tree().steps[index];
            assert_eq!(open.id, step);
            assert!(open.makes.is_empty() && open.clears.is_empty());
            let leak =
                matches!(open.kind, StepKind::Observe { observation: Observation::FuelSmellOrLeak, .. });
            assert!(!leak, "the look for a leak may wait");
            put_off.push(step);
        }
        let (_, text) = talk(&mut at, &[line]);
        assert!(!text.contains("error"), "{text}");
    }
    assert!(!put_off.is_empty(), "every step of the walk is worth its time");
    assert!(zeros > 0, "the gauge's zero was never asked for");
}

#[test]
fn an_answer_left_as_it_was_is_not_seen_twice() {
    let mut at_end = ended(Fault::FeedFilterBlocked, 0.8);
    let last = at_end.state().path().last().map(|(i, given)| (i, given.clone())).unwrap();
    let before = at_end.evidence();
    at_end.send(Event::Back).unwrap();
    let event = match last.1 {
        Given::Answered { outcome, typed } => {
            let StepKind::Observe { observation, .. } = at_end.tree().steps[last.0].kind else { panic!() };
            Event::Answered { step: at_end.tree().steps[last.0].id.clone(), observation, outcome, typed }
        }
        Given::Read { taken } => Event::Read { step: at_end.tree().steps[last.0].id.clone(), taken },
        other => panic!("the walk ends on {other:?}"),
    };
    at_end.send(event).unwrap();
    assert_eq!(at_end.evidence(), before);
}

/// Ends in something other than the fault because one look shows nothing, where the odds are right.
fn misled() -> (Session, Fault) {
    let tree = session(&rig("orchard-pickup"), "runs-lean").tree().clone();
    let faults = tree.finds.iter().copied().filter(|f| *f != Fault::NoFault);
    let ways = faults.flat_map(|f| Observation::ALL.iter().map(move |o| (f, *o)));
    for (fault, look) in ways {
        let at_end = at_its_end(&walked(fault, 0.9, &[look], &[]));
        let named = match at_end.state().at() {
            At::Finding(f) => tree.findings[*f].fault.part(),
            _ => Part::Nothing,
        };
        if named != fault.part() && seen(&at_end).conclusion.is_some_and(|c| c.fault.part() == fault.part()) {
            return (at_end, fault);
        }
    }
    panic!("no look that misses leads a walk astray where the odds would not go")
}

#[test]
fn an_end_that_the_odds_speak_against_gives_way_to_what_they_name_and_can_be_taken_back() {
    let (mut at_end, fault) = misled();
    let end = at_end.state().at().clone();
    let conclusion = seen(&at_end).conclusion.unwrap();
    assert!(conclusion.instead && conclusion.probability >= 0.5, "{conclusion:?}");
    assert!(conclusion.words().starts_with("In place of this end"), "{}", conclusion.words());
    let (_, text) = talk(&mut at_end, &["conclude".to_owned()]);
    assert!(text.contains("To name it, type: conclude"), "{text}");
    assert!(text.contains("in place of the end that the tree came to"), "{text}");
    let At::Finding(finding) = *at_end.state().at() else { panic!("{text}") };
    assert_eq!(at_end.tree().findings[finding].fault.part(), fault.part());
    assert_eq!(seen(&at_end).conclusion, None, "it does not give way again");
    let (_, text) = talk(&mut at_end, &["back".to_owned()]);
    assert_eq!(*at_end.state().at(), end, "{text}");
}

#[test]
fn an_end_that_the_odds_share_never_gives_way() {
    for (fault, severity) in
        [(Fault::NoFault, 0.0), (Fault::FeedFilterBlocked, 0.8), (Fault::VacuumLeak, 0.9)]
    {
        assert_eq!(seen(&ended(fault, severity)).conclusion, None, "{fault}");
    }
}

#[test]
fn a_look_answered_twice_alike_counts_for_more() {
    let mut at_end = ended(Fault::FeedFilterBlocked, 0.8);
    let look = Observation::HosesByEye;
    let seen_of = |s: &Session| {
        let belief = s.belief(&Arc::new(Particles::draw(s.rig(), 16, 1)));
        let times =
            s.evidence().iter().find(|e| e.key() == Some(Key::Observation(look))).map(Evidence::times);
        let odds = belief.odds().into_iter().find(|(f, _)| *f == Fault::FeedLineRestricted).unwrap();
        (times.unwrap(), odds.1)
    };
    let asks = |(i, _): &(usize, &Given)| matches!(at_end.tree().steps[*i].kind, StepKind::Observe { observation, .. } if observation == look);
    let step = at_end.state().path().find(asks).map(|(i, _)| at_end.tree().steps[i].id.clone()).unwrap();
    let once = seen_of(&at_end);
    at_end.change(&step, "sound", None).unwrap();
    let twice = seen_of(&at_end);
    assert_eq!((once.0, twice.0), (1, 2));
    assert!(twice.1 < once.1, "{once:?}, then {twice:?}");
}

/// Where the pressure gauge was last, and the places of each step that is offered out of its order.
fn gauge_places(s: &Session) -> (Option<Place>, Vec<Vec<Place>>) {
    let places = |i: usize| match &s.tree().steps[i].kind {
        StepKind::Read(read) if read.with == Tool::PressureGauge => Some(read.places.clone()),
        _ => None,
    };
    let last = s.state().record().rev().find_map(|(i, given)| match given {
        Given::Read { taken } => places(i).and(taken.place),
        _ => None,
    });
    let again = s.state().path().map(|(i, _)| i).filter(|i| may_repeat(s.tree(), s.state(), *i));
    let offered = ahead(s.tree(), s.state()).into_iter().chain(again);
    (last, offered.filter_map(places).filter(|p| !p.is_empty()).collect())
}

#[test]
fn no_test_is_offered_out_of_its_order_that_the_gauge_would_have_to_be_moved_for() {
    let whole = ended(Fault::FeedFilterBlocked, 0.8);
    let (mut offered, mut moved) = (0, std::collections::BTreeSet::new());
    for n in 1..=whole.events().len() {
        let part =
            Session::replay(whole.rig().clone(), whole.tree().clone(), whole.events()[..n].iter().cloned());
        let (last, places) = gauge_places(&part.unwrap());
        moved.extend(last);
        offered += places.len();
        for place in places {
            assert!(
                last.is_some_and(|last| place.contains(&last)),
                "gauge at {last:?}, offered at {place:?}"
            );
        }
    }
    assert!(offered > 0 && moved.len() > 1, "{offered} offered, gauge at {moved:?}");
}

#[test]
fn after_a_leak_the_joints_are_looked_at_again_and_the_walk_goes_on() {
    let whole = ended(Fault::FeedFilterBlocked, 0.8);
    let fitted = |n: &usize| {
        let part =
            Session::replay(whole.rig().clone(), whole.tree().clone(), whole.events()[..*n].iter().cloned());
        part.is_ok_and(|s| {
            s.state().held().contains(State::GaugeFitted)
                && s.state().holds(State::LeakChecked)
                && s.state()
                    .open_step()
                    .is_some_and(|i| s.tree().steps[i].requires.contains(&State::LeakChecked))
        })
    };
    let n = (1..whole.events().len()).find(fitted).unwrap();
    let mut at =
        Session::replay(whole.rig().clone(), whole.tree().clone(), whole.events()[..n].iter().cloned())
            .unwrap();
    let open = at.state().open_step().unwrap();
    let (_, text) = talk(&mut at, &["leak".to_owned(), "mended".to_owned()]);
    let check = at.state().open_step().unwrap();
    assert!(at.tree().steps[check].makes.contains(&State::LeakChecked), "{text}");
    let (_, text) = talk(&mut at, &["understood".to_owned(), "none".to_owned()]);
    assert_eq!(at.state().open_step(), Some(open), "{text}");
    assert!(at.state().holds(State::LeakChecked), "{text}");
}

#[test]
fn after_a_leak_at_a_finding_the_joints_come_first_and_the_finding_again() {
    let mut at_end = ended(Fault::FeedFilterBlocked, 0.8);
    let finding = at_end.state().at().clone();
    assert!(matches!(finding, At::Finding(_)));
    let (_, text) = talk(&mut at_end, &["leak".to_owned(), "mended".to_owned()]);
    let check = at_end.state().open_step().unwrap_or_else(|| panic!("{text}"));
    assert!(at_end.tree().steps[check].makes.contains(&State::LeakChecked), "{text}");
    let (_, text) = talk(&mut at_end, &["understood".to_owned(), "none".to_owned()]);
    assert_eq!(*at_end.state().at(), finding, "{text}");
}

#[test]
fn what_was_done_before_its_turn_by_another_step_is_asked_again_for_a_second_witness() {
    let rig = rig("orchard-pickup");
    let mut at = session(&rig, "no-pressure");
    let car = FaultyCar::new(&rig, &[(Fault::PumpRelayOpen, 1.0)]).unwrap();
    let source = Simulated { bench: &car, tools: None, repaired: None };
    let looks = |at: &Session, index: usize| match at.tree().steps[index].kind {
        StepKind::Observe { observation, .. } => Some(observation),
        _ => None,
    };
    let asked = |at: &Session| at.state().open_step().and_then(|index| looks(at, index));
    let tried = [Observation::PumpFuse, Observation::InertiaSwitch];
    // Of several steps that look at the same, the one done first is not the one the path comes to.
    let far = |at: &Session| {
        let found = ahead(at.tree(), at.state()).into_iter().rev();
        found.filter(|i| looks(at, *i).is_some_and(|o| tried.contains(&o))).map(|i| (i, looks(at, i))).next()
    };
    let mut done = None;
    let mut offered = 0;
    assert_eq!(at.seen_before(), None);
    for _ in 0..60 {
        if done.is_none()
            && let Some((index, look)) = far(&at)
        {
            at.send(Event::TakenUp { step: at.tree().steps[index].id.clone() }).unwrap();
            done = Some((index, look));
        } else if let Some((index, look)) = done
            && asked(&at) == look
            && at.state().open_step() != Some(index)
        {
            let outlook = at.outlook(&Crowd::draw(at.rig()), true);
            let open = at.tree().steps[at.state().open_step().unwrap()].id.clone();
            assert_ne!(outlook.may_wait, Some(open), "{look:?} would be seen once alone");
            let (number, name) = (at.state().number_of(index), at.tree().steps[index].name());
            let said = at.seen_before().unwrap();
            assert!(said.starts_with(&format!("Step {number}, {name}, gave: ")), "{said}");
            offered += 1;
            break;
        }
        if !matches!(turn(&mut at, &source), Ok(None)) {
            break;
        }
    }
    assert_eq!(offered, 1, "{done:?} was not asked again");
}

#[test]
fn nothing_is_offered_before_the_look_for_a_leak() {
    let library = faultwalk::library::Library::embedded();
    let rig = rig("orchard-pickup");
    let crowd = Crowd::draw(&rig);
    let mut looks = 0;
    for tree in library.trees().into_iter().filter_map(|t| t.heading.tree) {
        let at = session(&rig, &tree);
        let Some(open) = at.state().open_step() else { continue };
        if faultwalk::walk::never_waits(&at.tree().steps[open]) {
            assert_eq!(at.outlook(&crowd, true).before, None, "{tree}");
            looks += 1;
        }
    }
    assert!(looks > 10, "{looks} trees begin with it");
}

#[test]
fn what_is_done_once_more_is_seen_with_fresh_eyes_and_what_is_looked_at_shows_what_it_gave() {
    let rig = rig("orchard-pickup");
    let car = FaultyCar::new(&rig, &[]).unwrap();
    let source = Simulated { bench: &car, tools: None, repaired: None };
    let walked = || {
        let mut at = session(&rig, "runs-lean");
        for _ in 0..9 {
            turn(&mut at, &source).unwrap();
        }
        at
    };
    let kept = |at: &Session| match at.ask() {
        Ask::Step(view) => view.kept.cloned(),
        _ => panic!("no step is open"),
    };
    let mut looked = walked();
    looked.send(Event::Back).unwrap();
    assert!(kept(&looked).is_some(), "it is looked at");
    let step = looked.tree().steps[looked.state().open_step().unwrap()].id.clone();
    let mut again = walked();
    again.send(Event::TakenUp { step: step.clone() }).unwrap();
    assert_eq!(again.state().open_step().map(|i| again.tree().steps[i].id.clone()), Some(step));
    assert_eq!(kept(&again), None, "it would be answered as before without a look");
}
