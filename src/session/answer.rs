//! What a typed answer to an observation means.

use super::entry::EntryError;
use super::error::SessionError;
use super::one::Session;
use crate::faults::can_show;
use crate::quantity::{Dimension, Measure};
use crate::terms::Observation;
use crate::tree::Answer;

/// How far a test of the fuel's ethanol may lie from what the controller was told, in share of volume (common practice).
const ETHANOL_TOLERANCE: f64 = 0.07;

impl Session {
    /// The answers to an observation that this car can show.
    pub fn shown<'a>(&self, observation: Observation, answers: &'a [Answer]) -> Vec<&'a Answer> {
        answers.iter().filter(|a| can_show(self.rig(), observation, a.outcome.id)).collect()
    }

    /// The outcome of `observation` that a text means: an outcome's id, or for a percentage what it comes to on this car.
    ///
    /// # Errors
    /// [`SessionError::NoAnswer`] with the answers there are; [`SessionError::Entry`] for a percentage that is none.
    pub fn outcome_of(&self, observation: Observation, text: &str) -> Result<String, SessionError> {
        let text = text.trim();
        if let Some(outcome) = observation.outcome(text).filter(|o| can_show(self.rig(), observation, o.id)) {
            return Ok(outcome.id.to_owned());
        }
        if observation.is_percentage() {
            let found = Measure::parse_or(text, self.units().unit_for(Dimension::Share))
                .map_err(EntryError::Quantity)?;
            if !(0.0..=1.0).contains(&found.si) {
                let why = format!("expected 0 to 100 %, found '{text}'.");
                return Err(SessionError::Entry(EntryError::Impossible { why }));
            }
            let told = self.rig().car.controller.fuel.ethanol;
            let id = if (found.si - told).abs() <= ETHANOL_TOLERANCE {
                "as-configured"
            } else if found.si > told {
                "more"
            } else {
                "less"
            };
            return Ok(id.to_owned());
        }
        let possible = observation.outcomes().iter().map(|o| o.id);
        let all: Vec<&str> = possible.filter(|id| can_show(self.rig(), observation, id)).collect();
        let near = crate::terms::nearest(text, all.iter().copied()).map(|n| format!(" Did you mean '{n}'?"));
        Err(SessionError::NoAnswer(format!(
            "'{text}' is no answer to {}; expected {}.{}",
            observation.name(),
            all.join(", "),
            near.unwrap_or_default()
        )))
    }
}
