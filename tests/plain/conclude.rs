//! A finding named before the tree comes to its end: offered only where everything seen is sure of it, and said as what it is.

use super::{after, knowing_one_fault, model, rig, session, talk};
use faultwalk::belief::Evidence;
use faultwalk::session::{Crowd, FaultyCar, SURE, Session, Simulated, drive};
use faultwalk::terms::{Fault, Part, Reading};
use faultwalk::tree::StepKind;
use faultwalk::walk::{At, Ending, Event};

/// The walk as it stood after each reading and look, the first first.
fn stages(walked: &Session) -> impl Iterator<Item = Session> {
    let events = walked.events();
    let told = |e: &Event| matches!(e, Event::Read { .. } | Event::Answered { .. });
    let ends: Vec<usize> = (0..events.len()).filter(|i| told(&events[*i])).map(|i| i + 1).collect();
    ends.into_iter().map(|n| after(walked, n))
}

/// The first stage at which a finding may be named.
fn sure(walked: &Session, crowd: &Crowd) -> Option<Session> {
    stages(walked).find(|s| s.outlook(crowd, false).conclusion.is_some())
}

fn blocked() -> (Session, Session) {
    let rig = rig("orchard-pickup");
    let walked = model(&rig, "runs-lean", Fault::FeedFilterBlocked, 0.8);
    let at = sure(&walked, &Crowd::draw(&rig)).expect("a blocked filter is never sure");
    (walked, at)
}

#[test]
fn a_finding_may_be_named_once_a_pressure_was_seen_and_nothing_else_is_left() {
    let (walked, at) = blocked();
    let conclusion = at.outlook(&Crowd::draw(at.rig()), false).conclusion.unwrap();
    assert_eq!(conclusion.fault.part(), Part::FeedFilter, "{conclusion:?}");
    assert!((SURE..=1.0).contains(&conclusion.probability), "{conclusion:?}");
    let pressure = |e: &Evidence| {
        matches!(e, Evidence::Reading { reading: Reading::RailPressure | Reading::PumpOutletPressure, .. })
    };
    assert!(at.evidence().iter().any(pressure), "no filter is changed without a pressure seen");
    assert!(at.state().record().len() < walked.state().record().len());
    // The readings that come later on the path agree.
    assert_eq!(
        walked.state().ending().map(|e| match e {
            Ending::Finding { finding, .. } => walked.tree().findings[finding].fault.part(),
            _ => Part::Nothing,
        }),
        Some(Part::FeedFilter)
    );
}

#[test]
fn on_a_sound_car_nothing_may_be_named_at_any_step() {
    let rig = rig("orchard-pickup");
    let walked = model(&rig, "electrical-only", Fault::NoFault, 0.0);
    assert!(sure(&walked, &Crowd::draw(&rig)).is_none());
}

#[test]
fn where_all_is_in_order_nothing_is_named_however_sure_the_odds_are() {
    let rig = rig("orchard-pickup");
    let crowd = Crowd::draw(&rig);
    let walked = |fault, severity| {
        let mut walked = knowing_one_fault(&rig);
        let car = FaultyCar::new(&rig, &[(fault, severity)]).unwrap();
        drive(&mut walked, &Simulated { bench: &car, tools: None, repaired: None }).unwrap();
        walked
    };
    let sound = walked(Fault::NoFault, 0.0);
    let sure_of_it = |s: &Session| {
        let outlook = s.outlook(&crowd, false);
        let part = outlook.parts[0];
        part.0 == Part::Distribution && part.1 >= SURE && outlook.odd.is_none() && outlook.fragile.is_none()
    };
    assert!(stages(&sound).any(|s| sure_of_it(&s)), "the odds never came so far, so nothing is shown here");
    assert!(sure(&sound, &crowd).is_none(), "a sound car was named");
    let uneven =
        sure(&walked(Fault::UnevenDistribution, 0.9), &crowd).expect("nothing was named where it is so");
    assert_eq!(uneven.outlook(&crowd, false).conclusion.unwrap().fault, Fault::UnevenDistribution);
}

#[test]
fn what_was_named_by_the_odds_says_so_and_nothing_that_was_not_tested() {
    let (_, mut at) = blocked();
    let open = at.state().open_step().unwrap();
    let (_, text) = talk(&mut at, &["standing".to_owned(), "conclude".to_owned()]);
    assert!(text.contains("All that was seen names feed filter blocked"), "{text}");
    assert!(text.contains("To name it now, type: conclude"), "{text}");
    assert!(text.contains("named by all that was seen"), "{text}");
    assert!(text.contains("before the tree came to its end. What was left of it was not tested."), "{text}");
    let At::Finding(finding) = *at.state().at() else { panic!("{:?}", at.state().at()) };
    let own = at.tree().findings[finding].says.clone();
    assert!(!text.contains(&own), "the tree's own words may rest on tests that were not done: {text}");
    let (_, text) = talk(&mut at, &["back".to_owned()]);
    assert_eq!(at.state().open_step(), Some(open), "going back goes on testing: {text}");
}

#[test]
fn nothing_is_named_that_is_not_sure() {
    let rig = rig("orchard-pickup");
    let mut one = session(&rig, "runs-lean");
    let (_, text) = talk(&mut one, &["conclude".to_owned()]);
    assert!(text.contains("Error: Nothing can be named: nothing was read or seen yet."), "{text}");
    let open = one.state().open_step().unwrap();
    assert!(matches!(one.tree().steps[open].kind, StepKind::Observe { .. }));
}

#[test]
fn a_single_slip_is_never_enough() {
    let (_, at) = blocked();
    // The same readings with one of them far off what goes with the rest: asked for again, and nothing named.
    let read = |e: &Event| matches!(e, Event::Read { taken, .. } if taken.reading == Reading::PumpVoltage);
    let Some(Event::Read { step, .. }) = at.events().iter().find(|e| read(e)).cloned() else {
        panic!("the pump's voltage was not read before the filter was sure")
    };
    let mut slipped = at;
    slipped.change(&step, "2.1 V", None).unwrap();
    let outlook = slipped.outlook(&Crowd::draw(slipped.rig()), false);
    assert!(outlook.odd.is_some(), "{outlook:?}");
    assert_eq!(outlook.conclusion, None);
}
