//! Twelve rigs, ten faults each, noise in every log: what is named right, what is a false alarm, what is left open.

use super::make::{Drawn, RECORDER, Recorder, draw, pulled, reference_off, severity, shortfall, write};
use faultwalk::logs::{About, Analysis, Answer, analyse, guess, sample};
use faultwalk::quantity::UnitSystem;
use faultwalk::rig::Rig;
use faultwalk::terms::Fault;
use std::collections::BTreeMap;
use std::io::{Cursor, Write};
use std::path::Path;

pub const RIGS: [&str; 12] = [
    "orchard-pickup",
    "mill-road-sedan",
    "ridge-wagon",
    "market-truck",
    "valley-pickup",
    "harbour-coupe",
    "harbour-roadster",
    "quarry-roadster",
    "foundry-coupe",
    "summit-hauler",
    "quarry-sedan",
    "coast-hatch",
];

/// In order of preference; the first ten that can be in a rig are put into it.
const FAULTS: [Fault; 16] = [
    Fault::ReferenceHoseOff,
    Fault::ReferenceHoseLeaking,
    Fault::ReferenceWrongStation,
    Fault::RegulatorSetLow,
    Fault::RegulatorSetHigh,
    Fault::PumpWorn,
    Fault::PumpUndersized,
    Fault::FeedFilterBlocked,
    Fault::FeedLineRestricted,
    Fault::PumpFeedVoltageLow,
    Fault::OldPumpLeftInLine,
    Fault::PumpGroundPoor,
    Fault::FuelLevelLow,
    Fault::InletStrainerBlocked,
    Fault::PumpBinding,
    Fault::InTankHoseLeaking,
];

pub fn rig(name: &str) -> Rig {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(root.join(format!("fixtures/rigs/{name}.yaml"))).unwrap();
    Rig::parse(name, &text).unwrap()
}

/// The log as the program sees it.
pub fn seen(text: &str, rig: &Rig) -> Analysis {
    let mut file = Cursor::new(text.as_bytes());
    let sampled = sample(&mut file).unwrap();
    let mapping = guess(&sampled, Some(rig));
    analyse(file, &sampled.layout, &mapping, Some(rig), UnitSystem::Metric).unwrap()
}

/// What is so in the car, by the model without noise: off, in order, or between the two, where either answer is fair.
pub fn truth(rig: &Rig, drawn: &Drawn, about: About) -> Option<Answer> {
    let between = |value: f64, least: f64, most: f64| match value {
        v if v >= most => Some(Answer::Off),
        v if v <= least => Some(Answer::InOrder),
        _ => None,
    };
    let car = &drawn.car;
    let set = rig.car.regulator.set.0;
    match about {
        About::Reference => between(reference_off(rig, car), 2e3, 12e3),
        About::SetPressure => between((car.regulator.set.0 / set - 1.0).abs(), 0.04, 0.07),
        // The program calls 9 kPa or 3.6 % short; a third around that is either. A pull holds 95 % of its flow for half a second.
        About::Supply => {
            let limit = 9e3f64.max(0.036 * set);
            between(shortfall(&pulled(car, 0.95))?, 0.67 * limit, 1.33 * limit)
        }
        About::Steadiness => Some(Answer::InOrder),
    }
}

#[derive(Debug, Default)]
pub struct Score {
    pub logs: usize,
    /// Faults that are there: named, missed, left open.
    pub there: [usize; 3],
    /// Things in order: said so, called off, left open.
    pub sound: [usize; 3],
    pub lines: Vec<String>,
}

impl Score {
    pub fn named(&self) -> f64 {
        self.there[0] as f64 / self.there.iter().sum::<usize>().max(1) as f64
    }

    pub fn false_alarms(&self) -> f64 {
        self.sound[1] as f64 / self.sound.iter().sum::<usize>().max(1) as f64
    }
}

/// Judges one log against the truth.
pub fn add(score: &mut Score, label: &str, rig: &Rig, drawn: &mut Drawn, recorder: &Recorder) {
    let Some(text) = write(drawn, recorder) else { return };
    let analysis = seen(&text, rig);
    score.logs += 1;
    for about in [About::Reference, About::SetPressure, About::Supply] {
        let Some(truth) = truth(rig, drawn, about) else { continue };
        let found = analysis.about(about).unwrap();
        let (counts, wanted) = if truth == Answer::Off {
            (&mut score.there, Answer::Off)
        } else {
            (&mut score.sound, Answer::InOrder)
        };
        let place = match found.answer {
            a if a == wanted => 0,
            Answer::CannotTell => 2,
            _ => 1,
        };
        counts[place] += 1;
        if place != 0 {
            score
                .lines
                .push(format!("{label}: {about:?} is {truth:?}, said {:?}: {}", found.answer, found.says));
        }
    }
}

/// Every rig with ten faults and without, `draws` times each.
pub fn sweep(rounds: std::ops::Range<u64>, recorder: &Recorder) -> Score {
    let mut score = Score::default();
    for (r, name) in RIGS.iter().enumerate() {
        let rig = rig(name);
        for round in rounds.clone() {
            let mut put = 0;
            for (f, fault) in std::iter::once(Fault::NoFault).chain(FAULTS).enumerate() {
                let seed = round * 10_000 + r as u64 * 100 + f as u64;
                let size = severity(fault, seed);
                let Some(mut drawn) = draw(&rig, fault, size, seed) else { continue };
                add(
                    &mut score,
                    &format!("{name} {} {size:.2} #{seed}", fault.id()),
                    &rig,
                    &mut drawn,
                    recorder,
                );
                put += 1;
                if put == 11 {
                    break;
                }
            }
        }
    }
    score
}

/// Cars drawn for the test; the program was never tried on these while it was written.
const ROUNDS: std::ops::Range<u64> = 40..43;

#[test]
fn twelve_rigs_ten_faults_with_noise() {
    let score = sweep(ROUNDS, &RECORDER);
    let all = score.lines.join("\n");
    assert!(score.logs >= 12 * 10 * 3, "{} logs", score.logs);
    let counts = BTreeMap::from([("there", score.there), ("sound", score.sound)]);
    // Straight to the terminal: the figures are to stand in every run, not only in one that fails.
    let open = |of: [usize; 3]| 100.0 * of[2] as f64 / of.iter().sum::<usize>().max(1) as f64;
    let _ = writeln!(
        std::io::stderr(),
        "log sweep: {} logs of {} rigs; named right {:.1} % of {} faults, {:.1} % left open; false alarms {:.2} % of {} in order, {:.1} % left open",
        score.logs,
        RIGS.len(),
        100.0 * score.named(),
        score.there.iter().sum::<usize>(),
        open(score.there),
        100.0 * score.false_alarms(),
        score.sound.iter().sum::<usize>(),
        open(score.sound),
    );
    assert!(score.named() >= 0.95, "{:.3} named right, {counts:?}\n{all}", score.named());
    assert!(score.false_alarms() <= 0.01, "{:.4} false alarms, {counts:?}\n{all}", score.false_alarms());
}
