//! What is asked and offered at a step: answers that this car can show, cautions that stand already, slips of the unit that could be.

use super::ends::walked;
use super::{model, rig, talk};
use faultwalk::session::{Ask, Session};
use faultwalk::terms::{Fault, Observation};
use faultwalk::tree::StepKind;
use faultwalk::walk::Event;

/// The first stage of a walk at which `wanted` holds.
fn stage(walked: &Session, wanted: impl Fn(&Session) -> bool) -> Session {
    let events = walked.events();
    let at = |n: usize| {
        Session::replay(walked.rig().clone(), walked.tree().clone(), events[..n].iter().cloned()).unwrap()
    };
    (1..=events.len()).map(at).find(wanted).expect("the walk never comes to it")
}

fn looks_at(wanted: Observation) -> impl Fn(&Session) -> bool {
    move |s| {
        s.state().open_step().is_some_and(|i| {
            matches!(s.tree().steps[i].kind, StepKind::Observe { observation, .. } if observation == wanted)
        })
    }
}

#[test]
fn a_car_without_a_return_is_not_asked_whether_feed_and_return_are_swapped() {
    for (name, returns) in [("orchard-pickup", true), ("depot-van", false)] {
        let rig = rig(name);
        assert_eq!(rig.car.regulator.style.has_return(), returns, "{name}");
        let mut at = stage(&model(&rig, "runs-lean", Fault::NoFault, 0.0), looks_at(Observation::HosesByEye));
        let words = ["understood", "?", "swapped"].map(str::to_owned);
        let (_, text) = talk(&mut at, &words);
        assert_eq!(text.contains("  swapped: feed and return swapped"), returns, "{name}: {text}");
        assert_eq!(text.contains("sound or kinked or collapsed >"), !returns, "{name}: {text}");
        assert_eq!(text.contains("now: sound or kinked or collapsed\n"), !returns, "{name}: {text}");
        let refused = text.contains(
            "Error: 'swapped' is no answer to fuel hoses by eye; expected sound, kinked, collapsed.",
        );
        assert_eq!(refused, !returns, "{name}: {text}");
    }
}

#[test]
fn cautions_confirmed_at_the_step_before_stand_and_are_not_asked_again_until_something_changes() {
    let mut at = stage(
        &model(&rig("orchard-pickup"), "runs-lean", Fault::NoFault, 0.0),
        looks_at(Observation::HosesByEye),
    );
    let first = at.state().open_step().unwrap();
    at.confirm_cautions().unwrap();
    at.answer("kinked").unwrap();
    let open = at.state().open_step().unwrap();
    let step = at.tree().steps[open].clone();
    assert!(open != first && !step.cautions.is_empty() && step.cautions == at.tree().steps[first].cautions);
    let Ask::Step(view) = at.ask() else { panic!() };
    assert!(view.cautions_due.is_empty() && view.cautions == step.cautions, "they stand on it all the same");
    let mut paused =
        Session::replay(at.rig().clone(), at.tree().clone(), at.events().iter().cloned()).unwrap();
    let (_, text) = talk(&mut at, &["sound".to_owned()]);
    assert!(text.contains(&step.cautions[0].text()) && !text.contains("Error:"), "{text}");
    assert_ne!(at.state().open_step(), Some(open));
    let kept =
        at.events().iter().any(|e| matches!(e, Event::CautionConfirmed { step: s, .. } if *s == step.id));
    assert!(kept, "the journal says under which cautions it was done");

    paused.send(Event::Paused).unwrap();
    paused.send(Event::Resumed).unwrap();
    let Ask::Step(view) = paused.ask() else { panic!() };
    assert_eq!(view.cautions_due, step.cautions, "after a pause the car is not as it was left");
}

#[test]
fn cautions_are_asked_again_where_the_condition_or_a_state_has_changed() {
    let whole = walked(Fault::FeedFilterBlocked, 0.8, &[], &[]);
    let (mut stood, mut asked) = (0, 0);
    let events = whole.events();
    for n in 1..=events.len() {
        let at =
            Session::replay(whole.rig().clone(), whole.tree().clone(), events[..n].iter().cloned()).unwrap();
        let Ask::Step(view) = at.ask() else { continue };
        let tree = at.tree();
        let Some((last, _)) = at.state().record().next_back() else { continue };
        let before = &tree.steps[last];
        if view.step.cautions.is_empty() || matches!(events[n - 1], Event::CautionConfirmed { .. }) {
            continue;
        }
        if view.cautions_due.is_empty() {
            stood += 1;
            assert!(before.makes.is_empty() && before.clears.is_empty() && before.at == view.step.at);
            assert!(view.step.cautions.iter().all(|c| before.cautions.contains(c)), "{}", view.step.id);
        } else {
            asked += 1;
        }
    }
    assert!(stood > 0 && asked > stood, "{stood} stood, {asked} were asked");
}

#[test]
fn no_slip_is_suggested_that_no_gauge_shows() {
    let whole = walked(Fault::FeedFilterBlocked, 0.8, &[], &[]);
    let (mut seen, mut hints) = (std::collections::BTreeSet::new(), 0);
    let events = whole.events();
    for n in 1..=events.len() {
        let at =
            Session::replay(whole.rig().clone(), whole.tree().clone(), events[..n].iter().cloned()).unwrap();
        let Some(open) = at.state().open_step() else { continue };
        if !matches!(at.tree().steps[open].kind, StepKind::Read(_)) || !seen.insert(open) {
            continue;
        }
        for number in ["-45", "-58", "-18", "45", "58", "400", "4", "-4", "-0.2"] {
            for unit in ["psi", "kPa", "bar", "inHg"] {
                let mut one =
                    Session::replay(at.rig().clone(), at.tree().clone(), at.events().iter().cloned())
                        .unwrap();
                let Err(error) = one.read(&format!("{number} {unit}"), None) else { continue };
                let text = error.to_string();
                let said = text.split("would fit").next().unwrap_or_default();
                let Some(hint) = text.contains("would fit").then(|| said.rsplit(['.', ',']).next().unwrap())
                else {
                    continue;
                };
                hints += 1;
                assert!(!hint.contains('-'), "{number} {unit}: {text}");
                let gauge = !hint.contains("vacuum") && !hint.contains("inHg");
                let reading = &at.tree().steps[open].id;
                assert!(gauge || text.contains("vacuum"), "{reading}: {text}");
            }
        }
    }
    assert!(hints > 5, "{hints} hints at {seen:?}");
}
