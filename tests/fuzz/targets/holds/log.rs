//! Data logs.

use faultwalk::logs::{analyse, guess, sample};
use faultwalk::quantity::UnitSystem;
use faultwalk::rig::Rig;
use std::io::Cursor;

const RIG: &str = include_str!("../../../../fixtures/rigs/mill-road-sedan.yaml");

/// Any table is refused in words or read to its end, and every figure of it is a number.
pub fn log(data: &[u8]) {
    let Ok(rig) = Rig::parse("rig", RIG) else { panic!("the rig is good") };
    let mut file = Cursor::new(data);
    let sampled = match sample(&mut file) {
        Ok(sampled) => sampled,
        Err(error) => return assert!(error.to_string().len() > 10, "{error}"),
    };
    for rig in [None, Some(&rig)] {
        let mapping = guess(&sampled, rig);
        match analyse(Cursor::new(data), &sampled.layout, &mapping, rig, UnitSystem::Metric) {
            Ok(seen) => {
                assert!(seen.tally.seconds.is_finite(), "{:?}", seen.tally);
                for figure in &seen.figures {
                    let numbers = [figure.si, figure.spread, figure.seconds];
                    assert!(numbers.iter().all(|x| x.is_finite()), "{figure:?}");
                    assert!(figure.expected.is_none_or(f64::is_finite), "{figure:?}");
                }
                assert!(seen.judgements.iter().all(|j| !j.says.is_empty()));
            }
            Err(error) => assert!(error.to_string().len() > 10, "{error}"),
        }
    }
}
