//! What a slip may be: one look or reading alone, and what stands or falls with it.

use super::{look, rail, rig};
use faultwalk::belief::{Belief, Evidence, PartState, Particles, SLIP};
use faultwalk::terms::{Condition, Fault, Observation, Part};
use std::sync::Arc;

#[test]
fn what_was_seen_twice_alike_is_hardly_a_slip_and_never_what_the_verdict_hangs_on() {
    let again = |evidence: Evidence| match evidence {
        Evidence::Observation { observation, outcome, times } => {
            Evidence::Observation { observation, outcome, times: times + 1 }
        }
        Evidence::Reading { reading, condition, si, uncertainty, tool, at_least, times } => {
            Evidence::Reading { reading, condition, si, uncertainty, tool, at_least, times: times + 1 }
        }
        other => other,
    };
    let blocked = look(Observation::FilterByEye, "blocked");
    let high = rail(500e3, Condition::Prime);
    assert!((blocked.slip() - SLIP).abs() < 1e-15 && (high.slip() - SLIP).abs() < 1e-15);
    // Moderate dependence: NUREG/CR-1278, (1 + 6p)/7, from memory.
    assert!((again(blocked.clone()).slip() - 0.02 * (1.0 + 0.12) / 7.0).abs() < 1e-15);
    assert!((again(high.clone()).slip() - 0.0004).abs() < 1e-15);
    // A third time says nothing new of the car.
    assert!((again(again(high.clone())).slip() - 0.0004).abs() < 1e-15);

    let particles = Arc::new(Particles::draw(&rig(), 64, 1));
    let believe = |evidence: Evidence| {
        let mut belief = Belief::new(particles.clone());
        belief.take(evidence);
        belief
    };
    let share = |belief: &Belief, fault: Fault| {
        belief.odds().into_iter().find(|(f, _)| *f == fault).map_or(0.0, |(_, p)| p)
    };
    let filter = Fault::FeedFilterBlocked;
    let (once, twice) = (believe(blocked.clone()), believe(again(blocked)));
    assert!(once.fragile().is_some(), "one look alone is what the verdict hangs on");
    assert_eq!(twice.fragile(), None);
    assert!(share(&twice, filter) > share(&once, filter), "a second look alike tells more");
    // What a second look alike would come to is reckoned without it.
    let sure = twice.part_odds()[0].1;
    assert_eq!(once.part_odds()[0].0, twice.part_odds()[0].0);
    assert_eq!((once.settling(sure - 1e-5), once.settling(sure + 1e-5)), (vec![0], vec![]));
    assert_eq!(twice.settling(0.0), Vec::<usize>::new(), "it was seen twice already");
    let (once, twice) = (believe(high.clone()), believe(again(high)));
    assert!(share(&twice, Fault::NoFault) < share(&once, Fault::NoFault) / 4.0);
}

#[test]
fn a_part_is_cleared_only_where_no_single_slip_would_bring_it_back() {
    let rig = rig();
    let mut belief = Belief::new(Arc::new(Particles::draw(&rig, 64, 5)));
    let cleared = |belief: &Belief| -> Vec<Part> {
        let states = belief.part_states().into_iter();
        states.filter(|(_, _, state)| *state == PartState::Cleared).map(|(part, ..)| part).collect()
    };
    assert_eq!(cleared(&belief), []);
    belief.take(look(Observation::PrimeSound, "silent"));
    assert_eq!(cleared(&belief), [], "nobody tested them, and one look may be a slip");
    let twice =
        Evidence::Observation { observation: Observation::PrimeSound, outcome: "silent".into(), times: 2 };
    belief.take(twice);
    let now = cleared(&belief);
    assert!(now.contains(&Part::FeedFilter) && !now.contains(&Part::PumpRelay), "{now:?}");
}

#[test]
fn the_reading_the_verdict_hangs_on_is_named() {
    let rig = rig();
    let mut belief = Belief::new(Arc::new(Particles::draw(&rig, 64, 5)));
    belief.take(look(Observation::HosesByEye, "sound"));
    let index = belief.take(look(Observation::FuelInTank, "low"));
    assert_eq!(belief.part_odds()[0].0, Part::FuelFill);
    let fragile = belief.fragile().unwrap();
    assert_eq!(fragile.evidence, index);
    assert_ne!(fragile.instead, Part::FuelFill);
    assert_eq!(belief.why(Fault::FuelLevelLow)[0].evidence, index);
    assert!(belief.why(Fault::FuelLevelLow)[0].ratio > 0.0);
}

#[test]
fn what_one_slip_would_bring_back_is_told_from_what_two_things_speak_against() {
    let rig = rig();
    let mut belief = Belief::new(Arc::new(Particles::draw(&rig, 64, 5)));
    let of = |odds: &[(Fault, f64)], fault: Fault| odds.iter().find(|(f, _)| *f == fault).unwrap().1;
    let level = |belief: &Belief| {
        (of(&belief.odds(), Fault::FuelLevelLow), of(&belief.after_one_slip(), Fault::FuelLevelLow))
    };
    belief.take(look(Observation::FuelInTank, "enough"));
    let first = level(&belief);
    let prior = of(&Belief::new(Arc::new(Particles::draw(&rig, 64, 5))).odds(), Fault::FuelLevelLow);
    // Without that one look nothing was seen: the fault stands where it began.
    assert!((first.1 - prior).abs() < 1e-9 && first.0 < prior / 5.0, "{first:?} of {prior}");
    // A second thing that speaks against it stays when the first is left out.
    belief.take(look(Observation::PrimeSound, "normal"));
    belief.take(look(Observation::HosesByEye, "kinked"));
    let more = level(&belief);
    assert!(more.1 < first.1 / 5.0, "{more:?} after {first:?}");
    for (fault, p) in belief.odds() {
        assert!(of(&belief.after_one_slip(), fault) >= p, "{fault}");
    }
}
