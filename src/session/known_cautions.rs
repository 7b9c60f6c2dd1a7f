//! Cautions that were confirmed in this case already, at an earlier step.
//!
//! Whoever has read a caution whole needs it in sight at the next step, not on a page of its own again. Where the case was opened
//! anew, after a pause or a leak, the person may be another one and the car not as it was: then none counts as known.

use super::one::Session;
use crate::terms::Caution;
use crate::walk::Event;
use std::collections::BTreeSet;

impl Session {
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
