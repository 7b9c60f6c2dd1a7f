//! What data logs have for a case: kept with it, offered at the step that asks for it, taken only by a person's word.

use super::entry::bare_unit;
use super::error::SessionError;
use super::expectation::seen_at;
use super::instruments::instrument_for;
use super::one::Session;
use crate::instrument::Instrument;
use crate::quantity::{Datum, UnitSystem, figures, show};
use crate::rig::Rig;
use crate::terms::{Caution, Place, Reading, ReadingDatum, Tool};
use crate::tree::{Edge, Step, StepKind, Target};
use crate::walk::{Event, FromLog, Given, LogFile, Logged, Taken};

/// The word that takes what a log has for the step.
pub const TAKE_FROM_LOG: &str = "log";

/// What a log has for a step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Offer<'a> {
    /// The log.
    pub log: &'a LogFile,
    /// The reading.
    pub logged: &'a Logged,
    /// Where its sensor sits, among the places of the step.
    pub place: Option<Place>,
}

impl Offer<'_> {
    /// Its value in words, as it would be typed.
    pub(super) fn value(&self, reading: Reading, units: UnitSystem) -> String {
        let datum = (reading.datum() == ReadingDatum::Absolute).then_some(Datum::Absolute);
        show(self.logged.si, bare_unit(reading, units), datum, 4)
    }

    pub(super) fn mark(&self) -> FromLog {
        FromLog {
            log: self.log.clone(),
            spread: self.logged.spread,
            stretches: self.logged.stretches,
            seconds: self.logged.seconds,
        }
    }

    /// What it is and how to take it, in words.
    pub fn text(&self, reading: Reading, units: UnitSystem) -> String {
        let unit = bare_unit(reading, units);
        let spread = unit.difference(self.logged.spread);
        let remark = self.logged.remark.as_deref().map(|r| format!("; {r}")).unwrap_or_default();
        format!(
            "From the log {}: {} ± {}, {} s steady{remark}. Type {TAKE_FROM_LOG} to take it, or measure and type that.",
            self.log.file,
            self.value(reading, units),
            figures(spread, 2),
            figures(self.logged.seconds, 2)
        )
    }
}

/// The recorder's sensor for a reading (common practice, as for the controller's display).
pub(super) fn log_instrument(rig: &Rig, reading: Reading) -> Instrument {
    instrument_for(rig, Tool::ControllerDisplay, reading)
}

/// What a log's sensor counts as among the instruments that have an error of their own: the sensor of a fuel pressure is a gauge
/// beside the technician's, everything else is what the controller shows.
pub(super) fn log_tool(reading: Reading) -> Tool {
    match reading {
        Reading::RailPressure | Reading::FilterOutletPressure | Reading::PumpOutletPressure => {
            Tool::SecondGauge
        }
        _ => Tool::ControllerDisplay,
    }
}

/// Where a log's sensor sits for a step, if the step has places at all.
struct Seat(Option<Place>);

/// Whether `taken` is what `offer` has.
fn is_of(taken: &Taken, offer: &Offer) -> bool {
    taken.log.as_ref().is_some_and(|from| from.log.digest == offer.log.digest)
        && taken.condition == offer.logged.condition
        && taken.si == offer.logged.si
}

impl Session {
    /// Keeps what a log shows with the case.
    ///
    /// # Errors
    /// [`SessionError::NoAnswer`] for a log kept before a repair and given again after it; otherwise as for [`Session::send`].
    pub fn keep_log(&mut self, log: LogFile, readings: Vec<Logged>) -> Result<(), SessionError> {
        let known = |e: &Event| matches!(e, Event::LogRead { log: known, .. } if known.digest == log.digest);
        let repaired = self.events().iter().rposition(|e| matches!(e, Event::Repaired { .. })).unwrap_or(0);
        if self.events()[..repaired].iter().any(known) {
            return Err(SessionError::NoAnswer(format!(
                "{} was read before the repair, so it can't show what the car does after it; record a new one",
                log.file
            )));
        }
        self.send(Event::LogRead { log, readings })
    }

    /// Steps of the tree that ask for what a log has.
    pub fn asking_for(&self, logged: &Logged) -> Vec<&Step> {
        self.tree().steps.iter().filter(|step| self.sits(step, logged).is_some()).collect()
    }

    /// Where the sensor sits for `step`, if the step asks for what was logged.
    fn sits(&self, step: &Step, logged: &Logged) -> Option<Seat> {
        let StepKind::Read(read) = &step.kind else { return None };
        // What a step makes or clears is so at the car now, which no log recorded earlier can show.
        if read.at != logged.condition || !step.makes.is_empty() || !step.clears.is_empty() {
            return None;
        }
        if self.opens_a_load_run(step) {
            return None;
        }
        let style = self.rig().car.regulator.style;
        let has = seen_at(logged.reading, logged.place, style);
        if read.places.is_empty() {
            return (read.reading == has).then_some(Seat(None));
        }
        let fits = |p: &Place| seen_at(read.reading, Some(*p), style) == has;
        let stated = logged.place.filter(|p| read.places.contains(p) && fits(p));
        stated.or_else(|| read.places.iter().copied().find(fits)).map(|place| Seat(Some(place)))
    }

    /// What a log has for the step at `index`; the latest log counts, and none from before a repair. A reading is offered at one
    /// step alone: a step that measures again wants a second measurement.
    pub fn offer(&self, index: usize) -> Option<Offer<'_>> {
        let step = &self.tree().steps[index];
        if !matches!(step.kind, StepKind::Read(_)) || !self.state().repeats().is_empty() {
            return None;
        }
        let mut newer: Vec<&str> = Vec::new();
        for event in self.events().iter().rev() {
            match event {
                Event::Repaired { .. } => return None,
                // A log read again, with another mapping, stands in place of what it gave before.
                Event::LogRead { log, readings } if !newer.contains(&log.digest.as_str()) => {
                    let offers = readings
                        .iter()
                        .filter_map(|logged| Some(Offer { log, logged, place: self.sits(step, logged)?.0 }));
                    if let Some(offer) = offers.into_iter().find(|o| !self.taken_elsewhere(&step.id, o)) {
                        return Some(offer);
                    }
                    newer.push(&log.digest);
                }
                _ => {}
            }
        }
        None
    }

    /// Whether a load run may begin on what this step reads: that is measured now, at the car as it is.
    fn opens_a_load_run(&self, step: &Step) -> bool {
        let loads = |step: &Step| step.cautions.contains(&Caution::LoadRun);
        let next = [Edge::Low, Edge::Within, Edge::High].map(|edge| step.target(edge));
        let opens =
            |target: &Target| matches!(target, Target::Step(next) if loads(&self.tree().steps[*next]));
        !loads(step) && next.into_iter().flatten().any(opens)
    }

    fn taken_elsewhere(&self, here: &str, offer: &Offer) -> bool {
        self.events().iter().any(|event| match event {
            Event::Read { step, taken } | Event::Changed { step, given: Given::Read { taken } } => {
                step != here && is_of(taken, offer)
            }
            _ => false,
        })
    }

    /// The offer that `text` takes; none where it is a reading of its own.
    pub(super) fn asked_of_log(&self, index: usize, text: &str) -> Result<Option<Offer<'_>>, SessionError> {
        if !text.trim().eq_ignore_ascii_case(TAKE_FROM_LOG) {
            return Ok(None);
        }
        let none = "No data log has this reading for this step, or it was taken at another; type what the instrument shows. \
                    'faultwalk log FILE --into CASE' keeps the readings of a log with a case.";
        self.offer(index).map(Some).ok_or_else(|| SessionError::NoAnswer(none.into()))
    }
}
