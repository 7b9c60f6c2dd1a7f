//! Logs as they come: other names and units, other marks, lag, rounding, missing columns, nothing driven hard.

use super::make::{Parts, RECORDER, Recorder, Style, What, draw, write};
use super::sweep::{rig, seen};
use faultwalk::logs::{About, Analysis, Answer, Channel, Origin, guess, sample};
use faultwalk::terms::{Condition, Fault, Reading};
use std::io::Cursor;

/// The answers on a log of one car: reference, set pressure, supply, steadiness.
fn answers(a: &Analysis) -> [Answer; 4] {
    [About::Reference, About::SetPressure, About::Supply, About::Steadiness]
        .map(|x| a.about(x).unwrap().answer)
}

/// A worn pump is named as a short supply, and nothing else is called off beside it.
fn worn(recorder: &Recorder) {
    let (_, a) = log("mill-road-sedan", Fault::PumpWorn, 0.8, recorder);
    let all = answers(&a);
    let said: Vec<&str> = a.judgements.iter().map(|j| j.says.as_str()).collect();
    assert_eq!(all[2], OFF, "{said:?}");
    assert_eq!(all.iter().filter(|x| **x == OFF).count(), 1, "{said:?}");
}

fn log(name: &str, fault: Fault, severity: f64, recorder: &Recorder) -> (String, Analysis) {
    let rig = rig(name);
    let text = write(&mut draw(&rig, fault, severity, 7).unwrap(), recorder).unwrap();
    let analysis = seen(&text, &rig);
    (text, analysis)
}

const OK: Answer = Answer::InOrder;
const OFF: Answer = Answer::Off;
const OPEN: Answer = Answer::CannotTell;

const BAR_AND_VACUUM: &[(What, &str)] = &[
    (What::Milliseconds, "Zeit|ms"),
    (What::Gear, "Gang|"),
    (What::Speed, "Drehzahl|U/min"),
    (What::RailBar, "Kraftstoffdruck|bar"),
    (What::ManifoldInHgVacuum, "Vacuum|inHg"),
    (What::TrimFactor, "Lambda Correction|"),
    (What::Afr, "AFR|"),
    (What::Battery, "Bordspannung|V"),
];
const PSI_AND_BOOST: &[(What, &str)] = &[
    (What::Clock, "timestamp"),
    (What::RailPsi, "FP psi"),
    (What::ManifoldPsiGauge, "Boost (psi)"),
    (What::Speed, "EngineSpeed"),
    (What::Battery, "VBATT"),
    (What::FlowLh, "Fuel flow [L/h]"),
];
const ABSOLUTE: &[(What, &str)] = &[
    (What::Seconds, "t"),
    (What::Speed, "RPM"),
    (What::RailKpaAbs, "Rail pressure"),
    (What::ManifoldBar, "p_manifold"),
    (What::TrimPercent, "STFT"),
];

#[test]
fn other_names_units_and_marks_give_the_same_answers() {
    for (style, columns) in
        [(Style::Tab, BAR_AND_VACUUM), (Style::Comma, PSI_AND_BOOST), (Style::Semicolon, ABSOLUTE)]
    {
        let recorder = Recorder { style, columns, rounding: 0.01, ..RECORDER };
        for (fault, severity, expected) in [
            (Fault::NoFault, 0.0, [OK, OK, OK, OK]),
            (Fault::ReferenceHoseOff, 1.0, [OFF, OK, OK, OK]),
            (Fault::RegulatorSetHigh, 0.6, [OK, OFF, OK, OK]),
        ] {
            let (text, a) = log("mill-road-sedan", fault, severity, &recorder);
            let said: Vec<&str> = a.judgements.iter().map(|j| j.says.as_str()).collect();
            let head: Vec<&str> = text.lines().take(5).collect();
            assert_eq!(answers(&a), expected, "{fault:?}\n{}\n{}", head.join("\n"), said.join("\n"));
        }
        worn(&recorder);
    }
}

#[test]
fn absolute_and_gauge_are_told_apart_by_what_the_pump_off_shows() {
    let rig = rig("mill-road-sedan");
    let of = |recorder: &Recorder| {
        let text = write(&mut draw(&rig, Fault::NoFault, 0.0, 3).unwrap(), recorder).unwrap();
        let sampled = sample(&mut Cursor::new(text.into_bytes())).unwrap();
        let mapping = guess(&sampled, Some(&rig));
        let (_, column) = mapping.of(Channel::RailPressure).unwrap();
        (column.from, column.sure)
    };
    let absolute = Recorder { columns: ABSOLUTE, ..RECORDER };
    assert_eq!(of(&absolute), (Some(Origin::Absolute), true));
    assert_eq!(of(&RECORDER), (Some(Origin::Gauge), true));
    // Without the pump off there is nothing to tell by, and the guess says so.
    assert_eq!(of(&Recorder { parts: Parts::Running, ..RECORDER }), (Some(Origin::Gauge), false));
}

#[test]
fn a_set_pressure_read_from_a_column_in_doubt_is_not_called_wrong() {
    let doubtful = Recorder { parts: Parts::Running, ..RECORDER };
    let (_, a) = log("mill-road-sedan", Fault::RegulatorSetHigh, 0.9, &doubtful);
    let j = a.about(About::SetPressure).unwrap();
    assert_eq!(j.answer, OPEN, "{}", j.says);
    assert!(j.record.as_ref().unwrap().contains("--map"), "{j:?}");
}

#[test]
fn what_the_log_does_not_hold_is_not_told() {
    let without = |gone: What| {
        let columns: Vec<(What, &str)> =
            RECORDER.columns.iter().copied().filter(|(w, _)| *w != gone).collect();
        let columns: &'static [(What, &'static str)] = Box::leak(columns.into_boxed_slice());
        Recorder { columns, ..RECORDER }
    };
    for (recorder, expected, word) in [
        (without(What::RailKpa), [OPEN, OPEN, OPEN, OPEN], "rail pressure"),
        (without(What::Speed), [OPEN, OPEN, OPEN, OPEN], "engine speed"),
        (without(What::ManifoldKpa), [OPEN, OK, OPEN, OK], "manifold pressure"),
        (Recorder { parts: Parts::NoLoad, ..RECORDER }, [OK, OK, OPEN, OK], "full-load pull"),
    ] {
        let (_, a) = log("mill-road-sedan", Fault::NoFault, 0.0, &recorder);
        let said: Vec<&str> = a.judgements.iter().map(|j| j.says.as_str()).collect();
        assert_eq!(answers(&a), expected, "without {word}: {said:?}");
        for j in a.judgements.iter().filter(|j| j.answer == OPEN) {
            assert!(j.record.is_some(), "what to record next time: {j:?}");
        }
        let all = format!("{:?}", a.judgements);
        assert!(all.contains(word), "{word}: {all}");
    }
    // A load run is proposed with its cautions before it.
    let (_, a) = log("mill-road-sedan", Fault::NoFault, 0.0, &Recorder { parts: Parts::NoLoad, ..RECORDER });
    assert!(!a.about(About::Supply).unwrap().cautions.is_empty());
}

#[test]
fn idle_alone_tells_neither_slope_nor_supply() {
    let recorder = Recorder { parts: Parts::OnlyIdle, ..RECORDER };
    let (_, a) = log("mill-road-sedan", Fault::PumpUndersized, 0.6, &recorder);
    assert_eq!(a.about(About::Supply).unwrap().answer, OPEN);
    let rig = rig("mill-road-sedan");
    let text = write(&mut draw(&rig, Fault::ReferenceHoseOff, 1.0, 7).unwrap(), &recorder).unwrap();
    // Key on is on record here, so a hose that is off shows against it.
    assert_eq!(seen(&text, &rig).about(About::Reference).unwrap().answer, OFF);
}

#[test]
fn a_rail_that_flutters_is_seen_and_noise_of_the_sensor_is_not_taken_for_it() {
    let flutter = Recorder { flutter: 25_000.0, ..RECORDER };
    let (_, a) = log("orchard-pickup", Fault::NoFault, 0.0, &flutter);
    let j = a.about(About::Steadiness).unwrap();
    assert_eq!(j.answer, OFF, "{}", j.says);
    assert!(j.says.contains("quiet with the engine off") && j.says.contains("vapour"), "{}", j.says);
    let noisy = Recorder { noise: 4_000.0, rounding: 5.0, ..RECORDER };
    let (_, a) = log("orchard-pickup", Fault::NoFault, 0.0, &noisy);
    assert_eq!(a.about(About::Steadiness).unwrap().answer, OK);
}

#[test]
fn lag_rounding_and_dropouts_do_not_move_the_answers() {
    let poor = Recorder { rate: 8.0, lag: 0.5, dropouts: 0.03, rounding: 7.0, noise: 4_000.0, ..RECORDER };
    for (fault, severity, expected) in [
        (Fault::NoFault, 0.0, [OK, OK, OK, OK]),
        (Fault::ReferenceHoseOff, 1.0, [OFF, OK, OK, OK]),
        (Fault::RegulatorSetLow, 0.7, [OK, OFF, OK, OK]),
    ] {
        let (_, a) = log("mill-road-sedan", fault, severity, &poor);
        let said: Vec<&str> = a.judgements.iter().map(|j| j.says.as_str()).collect();
        assert_eq!(answers(&a), expected, "{fault:?}: {said:?}");
    }
    worn(&poor);
}

#[test]
fn readings_are_filled_with_their_spread_and_trims_by_condition() {
    let rig = rig("mill-road-sedan");
    let mut drawn = draw(&rig, Fault::InjectorsFouled, 0.5, 11).unwrap();
    let idle = faultwalk::physics::solve(&drawn.car, Condition::Idle).unwrap();
    let text = write(&mut drawn, &RECORDER).unwrap();
    let a = seen(&text, &rig);
    let of = |reading: Reading, condition: Condition| {
        a.figures.iter().find(|f| f.reading == reading && f.condition == condition).unwrap()
    };
    let rail = of(Reading::RailPressure, Condition::Idle);
    // Within the sensor's own error of what the model put there, 3 standard deviations of 1.5 kPa and 0.5 %.
    assert!(
        (rail.si - idle.rail.0).abs() < 3.0 * (1_500f64.hypot(0.005 * idle.rail.0)),
        "{rail:?} {}",
        idle.rail.0
    );
    assert!(rail.spread > 100.0 && rail.spread < 3_000.0, "{rail:?}");
    assert!(rail.seconds > 40.0 && rail.stretches >= 2, "{rail:?}");
    for condition in [Condition::Idle, Condition::Raised] {
        let trim = of(Reading::Trim, condition);
        let expected = faultwalk::physics::solve(&drawn.car, condition).unwrap().ledger.unwrap().trim;
        assert!((trim.si - expected).abs() < 0.01, "{condition:?}: {} against {expected}", trim.si);
    }
    assert!(a.trims.iter().any(|t| t.against == Channel::ManifoldPressure));
    // The whole drive is on record: engine off, idle, raised, cruise and full load.
    for condition in
        [Condition::Prime, Condition::Idle, Condition::Raised, Condition::Cruise, Condition::Load]
    {
        assert!(a.stretches.iter().any(|s| s.condition == condition), "{condition:?}");
    }
}

#[test]
fn the_same_log_gives_the_same_answers_every_time() {
    let (text, a) = log("harbour-roadster", Fault::PumpWorn, 0.7, &RECORDER);
    let b = seen(&text, &rig("harbour-roadster"));
    assert_eq!(a.judgements, b.judgements);
    assert_eq!(a.figures, b.figures);
}
