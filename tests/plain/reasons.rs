//! Why something is not offered is said: a finding that may not be named, a test that may not be done now, a gauge that stands elsewhere.

use super::ends::{at_its_end, walked};
use super::{knowing_one_fault, model, rig, session, stages, talk};
use faultwalk::library::Library;
use faultwalk::session::{Ask, Crowd, FaultyCar, Outlook, Session, Simulated, Unnamed, drive};
use faultwalk::terms::{Caution, Fault, Part, Reading};
use faultwalk::tree::{Step, StepKind};
use faultwalk::walk::{Event, Given, Reason, ahead, hindrance};
use std::sync::Arc;

fn seen(session: &Session) -> Outlook {
    session.outlook(&Crowd::draw(session.rig()), true)
}

fn refused(session: &mut Session) -> String {
    let (_, text) = talk(session, &["conclude".to_owned()]);
    let error = text.lines().find_map(|l| l.split_once("Error: ").map(|(_, error)| error));
    error.unwrap_or_else(|| panic!("nothing was refused: {text}")).to_owned()
}

/// The first stage at which a blocked filter may be named.
fn sure() -> Session {
    let walked = walked(Fault::FeedFilterBlocked, 0.8, &[], &[]);
    let crowd = Crowd::draw(walked.rig());
    stages(&walked).find(|s| s.outlook(&crowd, false).conclusion.is_some()).expect("never sure")
}

#[test]
fn at_first_nothing_was_seen_and_then_nothing_is_sure_enough() {
    let rig = rig("orchard-pickup");
    let mut one = session(&rig, "runs-lean");
    assert!(refused(&mut one).starts_with("Nothing can be named: nothing was read or seen yet."));
    let at = sure();
    let events = at.events();
    let mut before =
        Session::replay(rig, at.tree().clone(), events[..events.len() - 1].iter().cloned()).unwrap();
    let said = refused(&mut before);
    assert!(
        said.contains("nothing is sure enough yet. The likeliest part, ")
            && said.contains("it takes 995 in 1,000 or more"),
        "{said}"
    );
    let (_, text) = talk(&mut before, &["standing".to_owned()]);
    assert!(text.contains("Nothing can be named: nothing is sure enough yet."), "{text}");
}

#[test]
fn what_does_not_go_with_the_rest_is_named_with_the_way_to_see_it_again() {
    let mut at = sure();
    let volts = at.state().path().find_map(|(i, given)| match given {
        Given::Read { taken } if taken.reading == Reading::PumpVoltage => Some(at.tree().steps[i].id.clone()),
        _ => None,
    });
    let volts = volts.unwrap();
    at.change(&volts, "2.1 V", None).unwrap();
    let outlook = seen(&at);
    if let Some(Unnamed::Odd(what, _) | Unnamed::Hangs(what, ..)) = &outlook.unnamed {
        assert!(what.starts_with("voltage at the pump"), "{what}");
        let said = refused(&mut at);
        assert!(
            said.contains(what) && said.contains(&format!("To do it again now, type: take {volts}")),
            "{said}"
        );
    } else {
        let said = refused(&mut at);
        assert!(said.contains("nothing is sure enough yet"), "{:?}: {said}", outlook.unnamed);
        assert!(outlook.again.is_some_and(|a| a.step == volts));
    }
}

#[test]
fn what_is_half_done_at_the_car_is_named() {
    let mut at = sure();
    // The relay is out, for instance: what is left of the path opens lines again before it comes to an end.
    let whole = walked(Fault::FeedFilterBlocked, 0.8, &[], &[]);
    let crowd = Crowd::draw(at.rig());
    let half =
        stages(&whole).find(|s| matches!(s.outlook(&crowd, false).unnamed, Some(Unnamed::HalfDone(_))));
    let mut half = half.expect("the path is sure and never in the middle of something");
    let said = refused(&mut half);
    assert!(
        said.contains("something is half done at the car: not put back yet: ")
            || said.contains("it does not hold yet: "),
        "{said}"
    );
    assert!(at.conclude(&seen(&at).conclusion.unwrap()).is_ok());
    assert_eq!(seen(&at).unnamed, Some(Unnamed::NotHere), "it is named already");
}

#[test]
fn where_everything_is_in_order_or_the_tree_has_no_finding_that_is_said() {
    let rig = rig("orchard-pickup");
    let mut sound = knowing_one_fault(&rig);
    let car = FaultyCar::new(&rig, &[]).unwrap();
    drive(&mut sound, &Simulated { bench: &car, tools: None, repaired: None }).unwrap();
    let crowd = Crowd::draw(&rig);
    let mut said = stages(&sound).filter_map(|s| s.outlook(&crowd, false).unnamed);
    assert!(said.any(|u| u == Unnamed::InOrder));

    let at = sure();
    let mut tree = (**at.tree()).clone();
    for finding in &mut tree.findings {
        if finding.fault.part() == Part::FeedFilter {
            (finding.fault, finding.also) = (Fault::FuelStaleOrWater, Vec::new());
        }
    }
    let mut without = Session::replay(rig, Arc::new(tree), at.events().iter().cloned()).unwrap();
    let said = refused(&mut without);
    assert!(said.contains("this tree has no finding for feed filter blocked"), "{said}");
}

#[test]
fn a_test_may_be_done_before_its_turn_exactly_where_nothing_hinders_it() {
    let walked = walked(Fault::FeedFilterBlocked, 0.8, &[], &[]);
    let (mut free, mut hindered) = (0, std::collections::BTreeSet::new());
    for stage in stages(&walked) {
        let (tree, state) = (stage.tree(), stage.state());
        let ahead = ahead(tree, state);
        for i in 0..tree.steps.len() {
            let why = hindrance(tree, state, i);
            assert_eq!(ahead.contains(&i), why.is_none(), "{}: {why:?}", tree.steps[i].id);
            free += usize::from(why.is_none());
            hindered.extend(why.map(|w| format!("{w:?}").split('(').next().unwrap().to_owned()));
        }
    }
    assert!(free > 10 && hindered.len() >= 7, "{free} free, hindered by {hindered:?}");
}

#[test]
fn the_test_that_would_tell_most_says_why_it_can_not_be_done_now() {
    let walked = walked(Fault::FeedFilterBlocked, 0.8, &[], &[]);
    let crowd = Crowd::draw(walked.rig());
    let mut reasons = std::collections::BTreeSet::new();
    for stage in stages(&walked) {
        let Ask::Step(_) = stage.ask() else { continue };
        let Some(next) = stage.outlook(&crowd, true).next else { continue };
        assert_eq!(next.step.is_none(), next.not_now.is_some(), "{next:?}");
        let Some(why) = next.not_now else { continue };
        let mut at = stage;
        let (_, text) = talk(&mut at, &["standing".to_owned()]);
        let does = |step: &Step| match &step.kind {
            StepKind::Read(read) => format!("{}, {}", read.reading.name(), read.at.name()) == next.what,
            StepKind::Observe { observation, .. } => observation.name() == next.what,
            _ => false,
        };
        let steps = &at.tree().steps;
        assert!(steps.iter().any(|s| s.name() == next.what || does(s)), "{} is done by no step", next.what);
        assert!(
            text.contains(&why)
                && (why.starts_with("Comes later on this path: ")
                    || why.starts_with("Not now: ")
                    || why == "It is the step that is open.")
        );
        let gone = ["any more", "already", "at hand", "stands"].iter().any(|word| why.contains(word));
        assert!(!why.starts_with("Not now: ") || gone, "what comes later says so: {why}");
        reasons.insert(why);
    }
    assert!(reasons.len() > 2, "{reasons:?}");
    assert!(reasons.iter().any(|r| r.contains("gauge")), "{reasons:?}");
}

#[test]
fn what_may_be_fitted_or_not_is_never_odd_and_the_second_look_of_the_open_step_is_not_offered_before_it() {
    let rig = rig("harbour-roadster");
    let mut at = session(&rig, "no-pressure");
    let said =
        ["none", "silent", "silent", "0 V", "0 A"].map(|answer| ["understood".to_owned(), answer.to_owned()]);
    let (_, text) = talk(&mut at, &said.concat());
    assert!(text.contains("pump fuse"), "{text}");
    let fuse = seen(&at).next.unwrap();
    assert_eq!((fuse.what.as_str(), fuse.step), ("pump fuse", None), "it is the open step");
    talk(&mut at, &["understood".to_owned(), "good".to_owned()]);
    let open = |at: &Session| {
        seen(at).suspects.iter().find(|s| s.fault == Fault::InertiaSwitchOpen).unwrap().probability
    };
    let before = open(&at);
    talk(&mut at, &["understood".to_owned(), "closed".to_owned()]);
    let now = seen(&at);
    assert!(now.odd.is_none() && now.again.is_none(), "{:?} {:?}", now.odd, now.again);
    assert!(open(&at) < 0.2 * before, "a switch that conducts is not open");
}

#[test]
fn a_finding_named_by_the_odds_rests_on_everything_that_counts_in_them() {
    let rig = rig("orchard-pickup");
    let crowd = Crowd::draw(&rig);
    let car = FaultyCar::new(&rig, &[(Fault::FeedFilterBlocked, 0.8)]).unwrap();
    let bench = Simulated { bench: &car, tools: None, repaired: None };
    // A test that lies ahead, done before its turn, stands off the path.
    let done = |id: String| {
        let mut at = sure();
        at.send(Event::TakenUp { step: id.clone() }).unwrap();
        faultwalk::session::turn(&mut at, &bench).unwrap();
        at.outlook(&crowd, false).conclusion.map(|_| (at, id))
    };
    let at = sure();
    let mut ahead = ahead(at.tree(), at.state()).into_iter().map(|i| at.tree().steps[i].id.clone());
    let (mut at, ahead) = ahead.find_map(done).expect("no test ahead leaves it as sure");
    let conclusion = at.outlook(&crowd, false).conclusion.unwrap();
    assert!(at.outlook(&crowd, false).rests.is_empty(), "nothing is named yet");
    at.conclude(&conclusion).unwrap();
    let rests = at.outlook(&crowd, false).rests;
    assert_eq!(rests.len(), at.evidence().len(), "{rests:?}");
    assert!(rests.iter().any(|r| r.aside), "{ahead} is not among {rests:?}");
    assert_eq!(rests[0].did, "raised it");
}

/// At the re-measurement of every repair of this tree on this car that the gauge would have to be moved for.
fn moved() -> Vec<Session> {
    let tree = Library::embedded().tree("runs-lean").unwrap();
    let faults = tree.finds.iter().filter(|f| **f != Fault::NoFault);
    let at_proof = |fault: &Fault| {
        FaultyCar::new(&rig("orchard-pickup"), &[(*fault, 0.9)]).ok()?;
        let mut at = at_its_end(&model(&rig("orchard-pickup"), "runs-lean", *fault, 0.9));
        let Ask::Finding(finding) = at.ask() else { return None };
        finding.remedy.as_ref()?;
        if !finding.cautions.is_empty() {
            at.confirm_cautions().unwrap();
        }
        let led = |at: &Session| at.state().open_step().filter(|_| !matches!(at.ask(), Ask::Confirm(..)));
        let does = |at: &mut Session| {
            while let Some(step) = led(at) {
                let look = matches!(at.tree().steps[step].kind, StepKind::Observe { .. });
                if !at.tree().steps[step].cautions.is_empty() {
                    at.confirm_cautions().unwrap();
                }
                if look { at.answer("none").map(|_| ()) } else { at.done() }.unwrap();
            }
        };
        does(&mut at);
        at.send(Event::Repaired { note: None }).ok()?;
        if matches!(at.ask(), Ask::Step(_)) {
            // Not led through: a second gauge may stand there, or it is moved in another way.
            at.cannot(Reason::NoAccess, None).unwrap();
        }
        does(&mut at);
        let Ask::Confirm(_, view) = at.ask() else { return None };
        view.gauge_move.is_some().then_some(())?;
        Some(at)
    };
    faults.filter_map(at_proof).collect()
}

#[test]
fn a_proof_where_the_gauge_stands_elsewhere_says_how_it_is_moved_and_asks_the_cautions_of_that_first() {
    let all = moved();
    assert!(!all.is_empty(), "no proof of this tree asks for a gauge that was moved");
    for mut at in all {
        let Ask::Confirm(_, view) = at.ask() else { panic!() };
        let (id, text) = (view.step.id.clone(), view.gauge_move.as_ref().unwrap().words());
        assert!(text.starts_with("First the gauge: it was read last at the "), "{text}");
        for word in ["pump disabled", "pressure relieved", "battery negative off", "line closed", "joints"] {
            assert!(text.contains(word), "{id}: {word} is missing in {text}");
        }
        for caution in [Caution::FuelUnderPressure, Caution::OpenFuel, Caution::FuelLeak] {
            assert!(view.cautions_due.contains(&caution), "{id}: {caution} is missing");
        }
        let (_, said) = talk(&mut at, &["36 psi".to_owned()]);
        assert!(said.contains(&text) && said.contains("not taken yet: first the cautions"), "{said}");
        let (_, said) = talk(&mut at, &["understood".to_owned(), "250 kPa".to_owned()]);
        assert!(said.contains("Kept."), "{said}");
    }
}

#[test]
fn what_all_hangs_on_is_never_said_to_lead_to_what_is_named_already() {
    let mut seen_any = 0;
    for (fault, look) in [
        (Fault::InletStrainerBlocked, faultwalk::terms::Observation::StrainerByEye),
        (Fault::FeedFilterBlocked, faultwalk::terms::Observation::FilterByEye),
        (Fault::PumpWorn, faultwalk::terms::Observation::StrainerByEye),
        (Fault::VacuumLeak, faultwalk::terms::Observation::SmokeTest),
    ] {
        let whole = walked(fault, 0.9, &[look], &[]);
        let crowd = Crowd::draw(whole.rig());
        for stage in stages(&whole) {
            let outlook = stage.outlook(&crowd, false);
            let Some(hinge) = &outlook.fragile else { continue };
            seen_any += 1;
            assert_ne!(hinge.now, hinge.instead);
            let leads = hinge.now == Part::Nothing || hinge.now == outlook.parts[0].0;
            assert!(leads, "what leads now is what the odds show first: {hinge:?}");
            if let Ask::Finding(f) = stage.ask()
                && f.fault.part() == hinge.instead
            {
                assert!(
                    hinge.agrees && hinge.words().starts_with("What speaks against this end is one thing: ")
                );
            }
        }
    }
    assert!(seen_any > 3, "{seen_any}");
}
