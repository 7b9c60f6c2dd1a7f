//! A leak seen at the end of a repair, at the last look, or in the middle of opening a line or of a repair: what the walk asks once it
//! is mended. On the trees that ship.

use super::repair::{at_repair, begun, does, looks_for_leaks, rig, trees, walk_while};
use faultwalk::quantity::UnitSystem;
use faultwalk::session::{FaultyCar, Session, Simulated, turn};
use faultwalk::terms::{Condition, Fault, State};
use faultwalk::walk::{At, Ending, Event, Reason};

#[test]
fn a_leak_seen_after_the_repair_is_mended_and_looked_at_again_before_the_proof() {
    let rig = rig("orchard-pickup");
    let mut session = at_repair(&rig);
    while matches!(session.state().at(), At::Step(_)) {
        does(&mut session);
    }
    session.send(Event::Repaired { note: None }).unwrap();
    let open = |s: &Session| s.tree().steps[s.state().open_step().unwrap()].clone();
    while !looks_for_leaks(&open(&session)) {
        does(&mut session);
    }
    let check = open(&session).id;
    session.confirm_cautions().unwrap();
    session.answer("leak").unwrap();
    assert_eq!(*session.state().at(), At::Leak);
    session.mended(None).unwrap();
    assert_eq!(open(&session).id, check, "the joints come next");
    does(&mut session);
    assert!(matches!(session.state().at(), At::Confirm { .. }) && session.state().holds(State::LeakChecked));
}

#[test]
fn after_a_leak_was_mended_the_joints_are_looked_at_next_even_where_none_was_opened() {
    let rig = rig("orchard-pickup");
    for tree in trees() {
        let mut session = Session::begin(rig.clone(), tree.clone(), None, UnitSystem::Metric).unwrap();
        let sound = FaultyCar::new(&rig, &[]).unwrap();
        let car = Simulated { bench: &sound, tools: None, repaired: None };
        let primes = tree.steps.iter().any(|s| looks_for_leaks(s) && s.at == Some(Condition::Prime));
        for _ in 0..4 {
            let _ = turn(&mut session, &car).unwrap();
        }
        let stood = session.state().at().clone();
        if !matches!(stood, At::Step(_)) {
            continue;
        }
        session.send(Event::LeakReported { note: None }).unwrap();
        session.mended(None).unwrap();
        let step = tree.steps[session.state().open_step().unwrap()].clone();
        assert!(looks_for_leaks(&step), "{}: {}", tree.id, step.id);
        assert_eq!(step.at == Some(Condition::Prime), primes, "{}: {}", tree.id, step.id);
        session.confirm_cautions().unwrap();
        session.answer("leak").unwrap();
        assert_eq!(*session.state().at(), At::Leak, "{}: still leaking", tree.id);
        session.mended(None).unwrap();
        assert!(session.cannot(Reason::Later, None).is_err(), "{}: the look does not wait", tree.id);
        does(&mut session);
        assert_eq!(*session.state().at(), stood, "{}: the walk goes on where it stood", tree.id);
    }
}

#[test]
fn a_leak_at_the_last_look_at_the_joints_stops_the_case_whatever_was_proved_before() {
    let rig = rig("orchard-pickup");
    let sound = FaultyCar::new(&rig, &[]).unwrap();
    let car = FaultyCar::new(&rig, &[(Fault::FeedFilterBlocked, 0.9)]).unwrap();
    let car = Simulated { bench: &car, tools: None, repaired: Some(&sound) };
    for repaired in [true, false] {
        let mut session = begun(&rig, "runs-lean");
        assert!(walk_while(&mut session, &car, |s| !matches!(s.state().at(), At::Finding(_))));
        if !repaired {
            session.send(Event::Accepted { note: None }).unwrap();
        }
        let last_look = |s: &Session| {
            let At::Undo { state, step } = s.state().at() else { return false };
            let over =
                !matches!(s.state().ending(), Some(Ending::Finding { confirmed: None, .. })) || !repaired;
            over && *state == State::GaugeFitted && looks_for_leaks(&s.tree().steps[*step])
        };
        assert!(walk_while(&mut session, &car, |s| !last_look(s)), "the gauge is never taken out");
        let ending = session.state().ending();
        let asked = session.state().open_step();
        if !session.tree().steps[asked.unwrap()].cautions.is_empty() {
            session.confirm_cautions().unwrap();
        }
        session.answer("leak").unwrap();
        assert_eq!(*session.state().at(), At::Leak, "repaired: {repaired}");
        assert!(session.send(Event::Closed).is_err());
        session.mended(None).unwrap();
        assert_eq!(session.state().open_step(), asked, "the joints are looked at again");
        assert!(!walk_while(&mut session, &car, |_| true));
        assert_eq!(session.state().ending(), ending);
        let again = Session::replay(rig.clone(), session.tree().clone(), session.events().to_vec()).unwrap();
        assert_eq!(again.state(), session.state());
    }
}

/// A leak is reported, then mended: whoever saw the joints dry has run the pump.
fn leaks_and_is_mended(session: &mut Session) {
    session.send(Event::LeakReported { note: None }).unwrap();
    assert_eq!(*session.state().at(), At::Leak);
    session.mended(None).unwrap();
    for gone in [State::PumpDisabled, State::BatteryOff, State::Depressurised, State::LineOpen] {
        assert!(!session.state().held().contains(gone), "{gone}");
    }
}

/// Looks at joints that the walk asks for next.
fn looks(session: &mut Session) {
    while let Some(step) = session.state().open_step()
        && looks_for_leaks(&session.tree().steps[step])
    {
        does(session);
    }
}

#[test]
fn after_a_leak_in_the_middle_of_a_repair_its_line_is_made_safe_anew() {
    let rig = rig("orchard-pickup");
    for done in [0, 1, 2, 9] {
        let mut session = at_repair(&rig);
        let first = session.state().open_step().unwrap();
        for _ in 0..done {
            if matches!(session.state().at(), At::Step(_)) {
                does(&mut session);
            }
        }
        leaks_and_is_mended(&mut session);
        looks(&mut session);
        if let At::Finding(_) = session.state().at() {
            session.confirm_cautions().unwrap();
            assert!(
                session.send(Event::Repaired { note: None }).is_err(),
                "{done} done: the line is not safe"
            );
        }
        assert_eq!(session.state().open_step(), Some(first), "{done} done: it begins with the pump's fuse");
        while matches!(session.state().at(), At::Step(_)) {
            does(&mut session);
        }
        session.send(Event::Repaired { note: None }).unwrap();
        // The proof of this one is read at another place, and the gauge is being brought there.
        does(&mut session);
        leaks_and_is_mended(&mut session);
        looks(&mut session);
        let next = &session.tree().steps[session.state().open_step().unwrap()];
        assert!(next.makes.contains(&State::PumpDisabled), "{}", next.id);
    }
}

#[test]
fn after_a_leak_in_the_middle_of_opening_a_line_or_of_putting_back_that_begins_with_the_pumps_fuse_again() {
    let rig = rig("orchard-pickup");
    let car = FaultyCar::new(&rig, &[(Fault::FeedFilterBlocked, 0.9)]).unwrap();
    let car = Simulated { bench: &car, tools: None, repaired: None };
    let mut cases = 0;
    for restoring in [false, true] {
        for at in [State::Depressurised, State::LineOpen, State::GaugeFitted] {
            let mut session = begun(&rig, "runs-lean");
            let here = |s: &Session| {
                let undo = matches!(s.state().at(), At::Undo { .. });
                let step = s.state().open_step().map(|i| &s.tree().steps[i]);
                let touches = step.is_some_and(|t| t.makes.contains(&at) || t.clears.contains(&at));
                let safe = s.state().held().contains(State::PumpDisabled);
                undo == restoring && touches && safe
            };
            assert!(walk_while(&mut session, &car, |s| !here(s)), "{at} {restoring}");
            let open = session.state().open_step().unwrap();
            leaks_and_is_mended(&mut session);
            looks(&mut session);
            let first = &session.tree().steps[session.state().open_step().unwrap()];
            assert!(first.makes.contains(&State::PumpDisabled), "{at} {restoring}: {}", first.id);
            // And it comes back to where it stood, by way of the relief.
            let mut relieved = false;
            assert!(walk_while(&mut session, &car, |s| {
                let step = s.state().open_step();
                relieved |= step.is_some_and(|i| s.tree().steps[i].at == Some(Condition::Crank));
                step != Some(open)
            }));
            assert!(relieved, "{at} {restoring}");
            assert!(!walk_while(&mut session, &car, |_| true));
            let again =
                Session::replay(rig.clone(), session.tree().clone(), session.events().to_vec()).unwrap();
            assert_eq!(again.state(), session.state());
            cases += 1;
        }
    }
    assert_eq!(cases, 6);
}
