//! An end that the odds speak against says so before a part is bought, in the dialogue and in the report.

use super::{lines, rig, session, talk};
use faultwalk::session::{Against, Bench, Crowd, FaultyCar, Session, Simulated, drive, end_id};
use faultwalk::terms::{Condition, Fault, Observation, Outcome, Part, Place, Reading, Tool};

/// A car on which some looks show nothing and some readings can't be taken.
struct Blind<'a> {
    car: FaultyCar<'a>,
    looks: &'a [Observation],
    readings: &'a [Reading],
}

impl Bench for Blind<'_> {
    fn read(&self, reading: Reading, at: Condition, with: Tool, place: Option<Place>) -> Option<f64> {
        if self.readings.contains(&reading) { None } else { self.car.read(reading, at, with, place) }
    }

    fn observe(&self, observation: Observation) -> &'static Outcome {
        if self.looks.contains(&observation) {
            &observation.outcomes()[0]
        } else {
            self.car.observe(observation)
        }
    }

    fn ethanol(&self) -> f64 {
        self.car.ethanol()
    }
}

fn walked(fault: Fault, severity: f64, looks: &[Observation], readings: &[Reading]) -> Session {
    let rig = rig("orchard-pickup");
    let mut walked = session(&rig, "runs-lean");
    let car = FaultyCar::new(&rig, &[(fault, severity)]).unwrap();
    drive(&mut walked, &Simulated { bench: &Blind { car, looks, readings }, tools: None, repaired: None })
        .unwrap();
    walked
}

fn against(session: &Session) -> Option<Against> {
    session.outlook(&Crowd::draw(session.rig()), false).against
}

#[test]
fn an_end_that_the_odds_speak_against_says_so_with_the_test_that_would_tell() {
    // The strainer is blocked, looks clean, and nobody measured the flow.
    let looks = [Observation::StrainerByEye];
    let walked = walked(Fault::InletStrainerBlocked, 0.9, &looks, &[Reading::ReturnFlow]);
    let doubt = against(&walked).unwrap_or_else(|| panic!("nothing said at {:?}", end_id(&walked)));
    assert_eq!(doubt.fault.part(), Part::Strainer, "{doubt:?}");
    assert!(doubt.probability > 0.5 && doubt.probability > 3.0 * doubt.named.unwrap(), "{doubt:?}");
    assert!(doubt.test.is_some(), "{doubt:?}");

    let mut by_lines = session(walked.rig(), "runs-lean");
    let (_, text) = talk(&mut by_lines, &lines(&walked));
    assert!(text.contains("Doubt: All that was seen speaks rather for"), "{text}");
    assert!(text.contains(doubt.fault.name()), "{text}");
}

#[test]
fn an_end_that_the_odds_share_is_left_alone() {
    for (fault, severity) in [
        (Fault::NoFault, 0.0),
        (Fault::FeedFilterBlocked, 0.8),
        (Fault::RegulatorSetLow, 0.8),
        (Fault::PumpFuseOpen, 1.0),
        (Fault::VacuumLeak, 0.9),
    ] {
        let walked = walked(fault, severity, &[], &[]);
        assert_eq!(against(&walked), None, "{fault} at {:?}", end_id(&walked));
    }
}

#[test]
fn a_walk_that_has_come_to_no_end_is_not_spoken_against() {
    let rig = rig("orchard-pickup");
    assert_eq!(against(&session(&rig, "runs-lean")), None);
}
