//! Another instrument in the middle of a case: from here on readings are judged by its range and accuracy. What was read before
//! stays as it was taken, with the instrument it was taken with.

use super::error::SessionError;
use super::expectation::expectation;
use super::instruments::{describe, instrument_for};
use super::one::Session;
use crate::instrument::Instrument;
use crate::quantity::{Dimension, show};
use crate::rig::{FIELDS, Field, Rig, RigError, label};
use crate::terms::{Reading, Tool};
use crate::tree::StepKind;
use crate::walk::{Event, Taken};
use std::sync::Arc;

/// The keys of a rig file, under `instruments`, that describe what `tool` reads `reading` with; empty where the rig file does not
/// describe it.
pub fn instrument_fields(tool: Tool, reading: Reading) -> impl Iterator<Item = &'static Field> {
    let group = instrument_group(tool, reading);
    let mine = move |path: &str| group.is_some_and(|group| path.starts_with(group));
    FIELDS.iter().filter(move |f| mine(f.path))
}

/// Where the rig file describes what `tool` reads `reading` with.
fn instrument_group(tool: Tool, reading: Reading) -> Option<&'static str> {
    match (tool, reading.dimension()) {
        (Tool::PressureGauge | Tool::SecondGauge, Dimension::Pressure) => Some("instruments.pressure."),
        (Tool::VacuumGauge | Tool::HandPump, Dimension::Pressure) => Some("instruments.vacuum."),
        (Tool::Multimeter, Dimension::Voltage) => Some("instruments.meter."),
        (Tool::ClampMeter | Tool::Multimeter, Dimension::Current) => Some("instruments.clamp."),
        _ => None,
    }
}

/// Everything wrong with an instrument, by the labels of its facts.
fn said(error: &RigError) -> String {
    let each: Vec<String> =
        error.problems.iter().map(|p| format!("{}: {}", label(&p.path), p.message)).collect();
    each.join("; ")
}

impl Session {
    /// Another instrument from here on: keys of a rig file under `instruments` with their texts.
    ///
    /// # Errors
    /// [`SessionError::Instrument`] with everything wrong with the texts, and for a gauge that ends below what a sound car shows at the
    /// open step; as for [`Session::send`].
    pub fn change_instrument(&mut self, facts: Vec<(String, String)>) -> Result<(), SessionError> {
        let event = Event::InstrumentChanged { facts };
        if let Some(rig) = self.with_event(&event)? {
            self.holds(&rig)?;
        }
        self.send(event)
    }

    /// Whether the scale of the instrument at the open step reaches what is expected there.
    fn holds(&self, rig: &Rig) -> Result<(), SessionError> {
        let open = self.state().open_step().map(|i| &self.tree().steps[i].kind);
        let Some(StepKind::Read(read)) = open else { return Ok(()) };
        let Some(e) = expectation(rig, read, self.place_for(read))? else { return Ok(()) };
        let (Some(top), Some(expected)) = (e.instrument.range.map(|r| r.high), e.band.expected) else {
            return Ok(());
        };
        if expected <= top {
            return Ok(());
        }
        let unit = self.units().unit_for(e.seen_as.dimension());
        let value = |si: f64| show(si, unit, None, 3);
        Err(SessionError::Instrument(format!(
            "expected a scale that reaches beyond {}, which a sound car shows here, found one that ends at {}; a gauge driven past its end may \
             burst. Take one that goes a third higher.",
            value(expected),
            value(top)
        )))
    }

    /// The car with other instruments, where an event says so.
    pub(super) fn with_event(&self, event: &Event) -> Result<Option<Arc<Rig>>, SessionError> {
        let Event::InstrumentChanged { facts } = event else { return Ok(None) };
        let mut rig = self.rig().with_instruments(facts).map_err(|e| SessionError::Instrument(said(&e)))?;
        // One that was read with before in this case is the same one and keeps its name.
        let known = std::iter::once(self.begun_with()).chain(self.earlier_rigs());
        for earlier in known.map(|r| &r.instruments) {
            let mine = &mut rig.instruments;
            let pairs = [
                (&mut mine.pressure, &earlier.pressure),
                (&mut mine.vacuum, &earlier.vacuum),
                (&mut mine.meter, &earlier.meter),
                (&mut mine.clamp, &earlier.clamp),
            ];
            for (new, old) in pairs {
                if (Instrument { name: old.name.clone(), ..new.clone() }) == *old {
                    new.name.clone_from(&old.name);
                }
            }
        }
        Ok(Some(Arc::new(rig)))
    }

    /// The car with the instruments that a reading was taken with.
    pub fn rig_when(&self, tool: Tool, taken: &Taken) -> &Arc<Rig> {
        let all = || std::iter::once(self.rig()).chain(self.earlier_rigs().iter().rev());
        let with = |rig: &&Arc<Rig>| describe(&instrument_for(rig, tool, taken.reading)) == taken.instrument;
        // Records of earlier versions counted instruments; their accuracy still tells them.
        let alike = |rig: &&Arc<Rig>| {
            taken.instrument.ends_with(&format!(", {}", instrument_for(rig, tool, taken.reading).accuracy))
        };
        all().find(with).or_else(|| all().find(alike)).unwrap_or_else(|| self.rig())
    }

    /// The instrument a reading was taken with, and the tool its unknown error belongs to: another gauge errs in its own way.
    pub(super) fn taken_with(&self, tool: Tool, taken: &Taken) -> (Instrument, Tool) {
        let rig = self.rig_when(tool, taken);
        let first = self.begun_with();
        let (instrument, original) =
            (instrument_for(rig, tool, taken.reading), instrument_for(first, tool, taken.reading));
        let other = tool == Tool::PressureGauge && describe(&instrument) != describe(&original);
        (instrument, if other { Tool::SecondGauge } else { tool })
    }
}
