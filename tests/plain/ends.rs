//! An end that the odds speak against says so before a part is bought, in the dialogue and in the report.

use super::{lines, rig, session, talk};
use faultwalk::belief::{Available, Evidence, Key, Particles, Suggestion};
use faultwalk::session::{Against, Ask, Bench, Crowd, FaultyCar, Session, Simulated, Suspect, drive, end_id};
use faultwalk::terms::{Condition, Fault, Observation, Outcome, Part, Place, Reading, Tool};
use faultwalk::tree::StepKind;
use faultwalk::walk::Given;
use std::sync::Arc;

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

pub(super) fn walked(fault: Fault, severity: f64, looks: &[Observation], readings: &[Reading]) -> Session {
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

/// The walk as it stood when it came to its end, before anything was put back.
pub(super) fn at_its_end(walked: &Session) -> Session {
    let events = walked.events();
    let replayed = (0..=events.len()).rev().map(|n| {
        Session::replay(walked.rig().clone(), walked.tree().clone(), events[..n].iter().cloned()).unwrap()
    });
    let mut found = replayed.filter(|s| matches!(s.ask(), Ask::Finding(_) | Ask::Handover(_)));
    found.next().unwrap()
}

/// The step of the walk that read this, and what was typed.
fn read_at(session: &Session, reading: Reading, condition: Condition) -> (String, String) {
    let mut found = session.state().path().filter_map(|(index, given)| match given {
        Given::Read { taken } if (taken.reading, taken.condition) == (reading, condition) => {
            Some((session.tree().steps[index].id.clone(), taken.typed.clone()))
        }
        _ => None,
    });
    found.next().unwrap()
}

fn evidence_of(session: &Session, what: Reading) -> (bool, u32) {
    let all = session.evidence();
    let mut found = all.iter().filter_map(|e| match e {
        Evidence::Reading { reading, at_least, times, .. } if *reading == what => Some((*at_least, *times)),
        _ => None,
    });
    found.next().unwrap()
}

#[test]
fn what_is_read_again_alike_counts_twice_and_beyond_the_scale_is_at_least() {
    let mut at_end = at_its_end(&walked(Fault::FeedFilterBlocked, 0.8, &[], &[]));
    let (step, typed) = read_at(&at_end, Reading::PumpVoltage, Condition::Prime);
    assert_eq!(evidence_of(&at_end, Reading::PumpVoltage), (false, 1));
    at_end.change(&step, &typed, None).unwrap();
    assert_eq!(evidence_of(&at_end, Reading::PumpVoltage), (false, 2));
    at_end.change(&step, "> 13 V", None).unwrap();
    assert!(evidence_of(&at_end, Reading::PumpVoltage).0);
}

#[test]
fn a_slip_is_asked_for_again_and_only_what_is_read_three_times_alike_rings_the_alarm() {
    let mut at_end = at_its_end(&walked(Fault::FeedFilterBlocked, 0.8, &[], &[]));
    let crowd = Crowd::draw(at_end.rig());
    let before = at_end.outlook(&crowd, false);
    assert_eq!((before.odd, before.misfit), (None, None));

    // A volt meter on the wrong terminal: no fault takes the voltage away and leaves the rest as it is.
    let (step, _) = read_at(&at_end, Reading::PumpVoltage, Condition::Prime);
    at_end.change(&step, "2.1 V", None).unwrap();
    let slip = at_end.outlook(&crowd, false);
    let asked = slip.odd_words().unwrap();
    assert!(
        asked.contains("voltage at the pump") && asked.contains("Read it again before anything else"),
        "{asked}"
    );
    assert_eq!(slip.misfit_words(), None);

    at_end.change(&step, "2.1 V", None).unwrap();
    let twice = at_end.outlook(&crowd, false);
    assert_eq!((twice.odd_words(), twice.misfit_words()), (Some(asked), None));

    at_end.change(&step, "2.1 V", None).unwrap();
    let alarm = at_end.outlook(&crowd, false);
    let rung = alarm.misfit_words().unwrap();
    assert!(rung.contains("No single fault in the catalogue explains everything"), "{rung}");
    assert_eq!(alarm.odd, None, "what was read three times is not asked for a fourth");
}

#[test]
fn a_test_given_up_for_want_of_a_tool_is_not_offered_again() {
    let flow = [Reading::ReturnFlow];
    let looks = [Observation::StrainerByEye];
    let without = walked(Fault::InletStrainerBlocked, 0.9, &looks, &flow);
    let given_up = |s: &Session| {
        s.state().path().any(|(i, given)| {
            matches!(given, Given::Cannot { .. })
                && matches!(&s.tree().steps[i].kind, StepKind::Read(read) if flow.contains(&read.reading))
        })
    };
    assert!(given_up(&without));
    let belief = without.belief(&Arc::new(Particles::draw(without.rig(), 16, 1)));
    let asks = |all: &[Suggestion]| all.iter().any(|s| s.key == Key::Reading(flow[0], Condition::Prime));
    assert!(asks(&belief.rank(&Available::default())));
    assert!(!asks(&without.suggestions(&belief)));
}

#[test]
fn an_end_that_names_nothing_says_what_the_odds_speak_for() {
    let rig = rig("orchard-pickup");
    let mut walked = session(&rig, "electrical-only");
    let car = FaultyCar::new(&rig, &[(Fault::InletHoseCollapsed, 0.9)]).unwrap();
    drive(&mut walked, &Simulated { bench: &car, tools: None, repaired: None }).unwrap();
    assert_eq!(end_id(&walked).as_deref(), Some("nothing"));
    let said = against(&walked).unwrap();
    assert_eq!((said.likely(), said.named), (Some(Fault::InletHoseCollapsed), None));
    assert!(said.says().starts_with("All that was seen speaks for inlet hose collapsed"), "{}", said.says());
    assert_eq!(
        said.words(),
        format!(
            "{} Before any part is bought: {}, about {} min.",
            said.says(),
            said.test.as_ref().unwrap().what,
            said.test.as_ref().unwrap().minutes
        )
    );
}

#[test]
fn a_fault_is_set_aside_only_where_no_single_slip_would_bring_it_back() {
    let rig = rig("orchard-pickup");
    let crowd = Crowd::draw(&rig);
    let mut walked = session(&rig, "runs-lean");
    let none: Vec<Fault> = walked.outlook(&crowd, false).still_standing().map(|s| s.fault).collect();
    assert_eq!(
        none.len(),
        walked.outlook(&crowd, false).suspects.len(),
        "nothing was seen yet, and all stand"
    );
    let car = FaultyCar::new(&rig, &[(Fault::FeedFilterBlocked, 0.8)]).unwrap();
    drive(&mut walked, &Simulated { bench: &car, tools: None, repaired: None }).unwrap();
    let of = |faults: Vec<&Suspect>| faults.into_iter().map(|s| s.fault).collect::<Vec<_>>();
    // On the way there is a place where some faults are gone for good and others hang on one thing seen.
    let events = walked.events();
    let found = (1..events.len()).find_map(|n| {
        let part = Session::replay(rig.clone(), walked.tree().clone(), events[..n].iter().cloned()).unwrap();
        let outlook = part.outlook(&crowd, false);
        let (less, aside) = (of(outlook.less_likely().collect()), of(outlook.set_aside().collect()));
        let standing = of(outlook.still_standing().collect());
        assert_eq!(standing.len() + less.len() + aside.len(), outlook.suspects.len());
        (less.len() > 2 && aside.len() > 2).then_some((part, standing, less))
    });
    let (part, standing, less) = found.expect("nothing ever hangs on one thing seen");
    assert!(standing.contains(&Fault::FeedFilterBlocked), "{standing:?}");
    // Each of those that a slip would bring back has a piece of evidence without which it stands again.
    let belief = part.belief(&Arc::new(Particles::draw(&rig, 64, 1)));
    let best =
        |fault: Fault| belief.after_one_slip().into_iter().find(|(f, _)| *f == fault).map_or(0.0, |o| o.1);
    let odds = |fault: Fault| belief.odds().into_iter().find(|(f, _)| *f == fault).map_or(0.0, |o| o.1);
    assert!(less.iter().all(|f| best(*f) > odds(*f)), "{less:?}");
}
