//! What has to be set right at the car before the walk goes on: a state that stands in the way, joints nobody has seen dry since a leak.

use super::error::SessionError;
use super::one::{Ask, Session};
use crate::terms::State;
use crate::walk::{At, Event, Given};

impl Session {
    /// Puts back what stands in the way of the step open now.
    ///
    /// # Errors
    /// As for [`Session::send`]; nothing stands in its way.
    pub fn put_back_first(&mut self) -> Result<(), SessionError> {
        let state = match self.ask() {
            Ask::Step(view) => view.put_back_first,
            _ => None,
        };
        let state = state.ok_or_else(|| SessionError::NoAnswer("Nothing stands in the way here.".into()))?;
        self.send(Event::UndoBegun { state })
    }

    /// The leak is mended. While the walk goes on or stands at an end, the joints are looked at by the step that does so before
    /// anything else runs.
    ///
    /// # Errors
    /// As for [`Session::send`].
    pub fn mended(&mut self, note: Option<String>) -> Result<(), SessionError> {
        self.send(Event::LeakMended { note })?;
        let walks = matches!(self.state().at(), At::Step(_) | At::Finding(_) | At::Handover(_));
        // Where the walk has its own look at the joints next, it asks for it.
        if self.state().holds(State::LeakChecked) || !walks || self.state().aim().is_some() {
            return Ok(());
        }
        let checks = |(i, _): &(usize, &Given)| self.tree().steps[*i].makes.contains(&State::LeakChecked);
        let step = self.state().path().filter(checks).last().map(|(i, _)| self.tree().steps[i].id.clone());
        step.map_or(Ok(()), |step| self.send(Event::TakenUp { step }))
    }
}
