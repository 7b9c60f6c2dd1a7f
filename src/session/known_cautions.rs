//! Cautions that were confirmed in this case already, at an earlier step.
//!
//! Whoever has read a caution whole needs it in sight at the next step, not on a page of its own again. Where the case was opened
//! anew, after a pause or a leak, the person may be another one and the car not as it was: then none counts as known.

use super::error::SessionError;
use super::one::Session;
use crate::terms::Caution;
use crate::walk::{At, Event, Given};
use std::collections::BTreeSet;

impl Session {
    /// Whether the cautions of the open step of the walk were all confirmed for the step given just before it, and nothing has changed
    /// since: the same condition, no state made or ended, no pause, no leak. They stand on the step, and are not asked again.
    pub(super) fn cautions_stand(&self) -> bool {
        let At::Step(open) = *self.state().at() else { return false };
        let tree = self.tree();
        let step = &tree.steps[open];
        if step.cautions.is_empty() || self.state().is_ahead() || self.state().kept().is_some() {
            return false;
        }
        let Some((last, given)) = self.state().record().next_back() else { return false };
        let before = &tree.steps[last];
        let events = self.events().get(self.opened_at..).unwrap_or_default();
        let [.., Event::CautionConfirmed { step: of, cautions }, gave] = events else { return false };
        let (Event::Done { step: gave }
        | Event::Read { step: gave, .. }
        | Event::Answered { step: gave, .. }) = gave
        else {
            return false;
        };
        let same = *of == before.id && *gave == before.id && before.at == step.at;
        let changed = !before.makes.is_empty() || !before.clears.is_empty();
        let told_of = matches!(given, Given::Answered { outcome, .. } if outcome.as_str() == "leak");
        same && !changed && !told_of && step.cautions.iter().all(|c| cautions.contains(c))
    }

    /// Cautions that stand from the step before are kept with the open one before what it gave.
    pub(super) fn carry_cautions(&mut self) -> Result<(), SessionError> {
        let id = self.state().open_step().map(|i| self.tree().steps[i].id.clone());
        match id {
            Some(id) if self.cautions_stand() && !self.state().cautions_confirmed(&id) => {
                self.confirm_cautions()
            }
            _ => Ok(()),
        }
    }

    /// Those of `cautions` that were confirmed, word for word, since the case was opened and work last went on.
    pub fn cautions_again(&self, cautions: &[Caution]) -> Vec<Caution> {
        let events = self.events().get(self.opened_at..).unwrap_or_default();
        let mut known: BTreeSet<Caution> = BTreeSet::new();
        for event in events {
            match event {
                Event::CautionConfirmed { cautions, .. } => known.extend(cautions),
                Event::Paused | Event::Resumed | Event::LeakReported { .. } | Event::LeakMended { .. } => {
                    known.clear();
                }
                _ => {}
            }
        }
        cautions.iter().copied().filter(|c| known.contains(c)).collect()
    }
}
