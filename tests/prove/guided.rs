//! Walks that take every offer of the odds: shorter, and right as often.

use super::{rig, tree_of};
use faultwalk::belief::{Available, Belief, Key, Particles};
use faultwalk::faults::noticed;
use faultwalk::prove::{Injected, ProofCar, Walker, guided};
use faultwalk::quantity::UnitSystem;
use faultwalk::session::{SURE, Session, Simulated, turn};
use faultwalk::terms::{Condition, Fault, Reading};
use faultwalk::walk::{Event, Reason};
use std::sync::Arc;

#[test]
fn as_the_odds_advise_a_walk_is_shorter_and_names_no_more_sound_parts() {
    let (tree, rig) = (tree_of("runs-lean"), rig("orchard-pickup"));
    let particles = Arc::new(Particles::draw(&rig, 32, 1));
    let mut walker = Walker::new(&tree, &rig);
    let (mut authored, mut advised) = ((0, 0, 0.0), (0, 0, 0.0));
    let mut early = 0;
    let faults = tree.finds.iter().copied().filter(|f| *f != Fault::NoFault).step_by(5);
    for fault in faults {
        let Ok(car) = ProofCar::draw(&rig, fault, 7 + fault as u64) else { continue };
        let car = car.carefully();
        let (fault, severity) = car.fault();
        if !noticed(&rig, fault, severity) {
            continue;
        }
        let injected = Injected { fault, severity };
        let count = |sum: &mut (u32, u32, f64), o: &faultwalk::prove::Outcome| {
            *sum = (sum.0 + u32::from(o.right()), sum.1 + u32::from(o.wrong()), sum.2 + o.minutes);
        };
        count(&mut authored, &walker.on(&car, injected, None, None));
        car.rewind();
        let led = guided(&tree, &rig, &particles, &car, injected, None);
        count(&mut advised, &led.outcome);
        early += u32::from(led.early);
    }
    println!("authored {authored:?}, as the odds advise {advised:?}, {early} of them named early");
    assert!(authored.0 >= 6, "too few cars to say anything: {authored:?}");
    assert!(advised.0 >= authored.0 && advised.1 <= authored.1, "{advised:?} against {authored:?}");
    assert!(advised.2 < 0.8 * authored.2 && early > 3, "{advised:?} against {authored:?}, {early} early");
}

/// A walk at its next place, taking what the odds advise beside naming a part: whether there was anything to take.
fn advised(session: &mut Session, belief: &Belief) -> bool {
    let ranked = session.suggestions(belief);
    let event = match (session.before_its_turn(&ranked), session.may_wait(&ranked)) {
        (Some((_, step)), _) => Event::TakenUp { step },
        (None, Some(step)) => Event::CannotDo { step, reason: Reason::Later, note: None },
        (None, None) => return false,
    };
    session.send(event).is_ok()
}

#[test]
fn no_test_waits_for_one_that_no_step_of_the_walk_does() {
    let (tree, rig) = (tree_of("runs-lean"), rig("orchard-pickup"));
    let particles = Arc::new(Particles::draw(&rig, 64, 1));
    let session = Session::begin(rig.clone(), tree.clone(), None, UnitSystem::Metric).unwrap();
    let belief = session.belief(&particles);
    // The controller's own pressure at idle tells much, and this tree asks for it with the engine off alone.
    let unasked = Key::Reading(Reading::SensedPressure, Condition::Idle);
    assert!(belief.rank(&Available::default()).iter().any(|s| s.key == unasked && s.gain_bits > 0.01));
    assert!(session.suggestions(&belief).iter().all(|s| s.key != unasked));

    let car = ProofCar::draw(&rig, Fault::VacuumLeak, Fault::VacuumLeak as u64).unwrap().carefully();
    let (fault, severity) = car.fault();
    let led = guided(&tree, &rig, &particles, &car, Injected { fault, severity }, None);
    let at = |id: &str| led.outcome.path.iter().position(|(step, _)| step == id);
    assert!(led.outcome.right() && led.early, "{led:?}");
    assert!(at("mixture-late/smoke").is_some() && at("fit/open").is_none(), "{led:?}");
}

#[test]
fn a_part_that_is_nearly_sure_is_settled_by_seeing_once_more_what_names_it() {
    let (tree, rig) = (tree_of("runs-lean"), rig("orchard-pickup"));
    let particles = Arc::new(Particles::draw(&rig, 64, 1));
    let fault = Fault::LambdaHeaterSupplyLow;
    let car = ProofCar::draw(&rig, fault, fault as u64).unwrap().carefully();
    let source = Simulated { bench: &car, tools: None, repaired: None };
    let mut session = Session::begin(rig.clone(), tree, None, UnitSystem::Metric).unwrap();
    let mut settled = None;
    for _ in 0..60 {
        let belief = session.belief(&particles);
        if let Some(again) = session.again(&belief).filter(|_| !session.state().is_ahead()) {
            assert!(
                session.conclusion(&belief).is_err(),
                "nothing is to be settled where a part may be named"
            );
            settled = Some((again.words(), belief.part_odds()[0]));
            // It was done before its turn, and is done once more beside the path.
            let beside = session.state().set_aside().any(|(i, _)| session.tree().steps[i].id == again.step);
            assert!(beside, "{again:?}");
            session.send(Event::TakenUp { step: again.step.clone() }).unwrap();
            assert!(session.state().is_ahead());
            turn(&mut session, &source).unwrap();
            break;
        }
        if session.state().is_ahead() || !advised(&mut session, &belief) {
            turn(&mut session, &source).unwrap();
        }
    }
    let (words, (part, p)) = settled.expect("something to settle");
    assert!(words.contains("Nearly sure") && part == fault.part() && p < SURE, "{words}: {part:?} {p}");
    let conclusion = session.conclusion(&session.belief(&particles)).unwrap();
    assert!(conclusion.fault == fault && conclusion.probability >= SURE, "{conclusion:?}");
}
