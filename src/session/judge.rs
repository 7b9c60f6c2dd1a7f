//! From a text to a judged reading, without taking it.

use super::entry::{bare_unit, understand};
use super::error::SessionError;
use super::expectation::Expectation;
use super::logged::log_instrument;
use super::one::Session;
use super::vacuum::bare_as_vacuum;
use crate::instrument::{self, Seen, judge_seen};
use crate::terms::Place;
use crate::tree::{StepKind, Verdict};
use crate::walk::{Given, Taken};

impl Session {
    /// Understands and judges a reading for `index` without taking it.
    pub(super) fn judge(
        &self,
        index: usize,
        text: &str,
        place: Option<Place>,
        confirmed: bool,
    ) -> Result<Taken, SessionError> {
        let StepKind::Read(read) = &self.tree().steps[index].kind else {
            return Err(SessionError::NoAnswer("This step asks for no reading.".into()));
        };
        let offer = self.asked_of_log(index, text)?;
        let place = match &offer {
            Some(offer) => offer.place,
            None => place.or_else(|| self.place_for(read)),
        };
        let Some(expected) = self.expected(index, place)? else {
            return Err(SessionError::NoSuchReading(format!(
                "{} does not exist on this car at {}; choose 'cannot do this'.",
                read.reading.name(),
                read.at.name()
            )));
        };
        let value = offer.map(|offer| offer.value(read.reading, self.units()));
        let bare = bare_as_vacuum(
            text,
            read.reading,
            &expected.band,
            bare_unit(read.reading, self.units()),
            self.rig(),
        );
        let text = value.as_deref().or(bare.as_deref()).unwrap_or(text);
        let entry = understand(text, read.reading, &expected, self.rig(), self.units(), confirmed)?;
        let (si, seen, u, instrument) = if let Some(offer) = &offer {
            let instrument = log_instrument(self.rig(), read.reading);
            let si = offer.logged.si;
            let u = instrument.uncertainty(si).with_repeatability(offer.logged.spread).total();
            (si, Seen::Value(si), u, format!("data log, {}", instrument.accuracy))
        } else {
            let si = entry.seen.number();
            let (seen, u) = self.averaged(entry.seen, &expected);
            (si, seen, u, expected.instrument_name())
        };
        let judged = judge_seen(seen, u, expected.band.low, expected.band.high);
        Ok(Taken {
            reading: read.reading,
            condition: read.at,
            typed: entry.typed,
            si,
            unit: entry.unit,
            datum: entry.datum,
            place: if read.places.is_empty() { None } else { place },
            instrument,
            u,
            band: expected.band,
            verdict: as_tree(judged.verdict),
            probability: judged.probability(),
            log: offer.map(|offer| offer.mark()),
        })
    }

    /// A repeat averages what differs from reading to reading; the instrument's own error stays. What a log or another gauge gave is
    /// nothing to average with.
    fn averaged(&self, seen: Seen, expected: &Expectation) -> (Seen, f64) {
        let uncertainty = expected.instrument.uncertainty(seen.number());
        let name = expected.instrument_name();
        let before: Vec<f64> = self
            .state()
            .repeats()
            .iter()
            .filter_map(|g| match &**g {
                Given::Read { taken } if taken.log.is_none() && taken.instrument == name => Some(taken.si),
                _ => None,
            })
            .collect();
        match seen {
            Seen::Value(value) if !before.is_empty() => {
                let count = before.len() + 1;
                let mean = (before.iter().sum::<f64>() + value) / count as f64;
                (Seen::Value(mean), uncertainty.of_mean(u32::try_from(count).unwrap_or(u32::MAX)))
            }
            seen => (seen, uncertainty.total()),
        }
    }
}

/// The walk's verdict for an instrument's.
fn as_tree(verdict: instrument::Verdict) -> Verdict {
    match verdict {
        instrument::Verdict::Low => Verdict::Low,
        instrument::Verdict::Within => Verdict::Within,
        instrument::Verdict::High => Verdict::High,
        instrument::Verdict::Undecided | instrument::Verdict::NotTested => Verdict::Undecided,
    }
}
