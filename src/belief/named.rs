//! What has to be seen before a part is named, however likely it is: nobody buys a part on looks alone, nor a pump, a filter or a
//! regulator without a fuel pressure (common practice; the trees keep to the same).

use super::effort::Key;
use super::evidence::Evidence;
use super::weigh::Belief;
use crate::terms::Part;

/// What is missing before a part is named.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wanted {
    /// A fuel pressure.
    Pressure,
    /// Anything measured.
    Measurement,
}

impl Wanted {
    /// Whether a test gives it.
    pub fn is_given_by(self, key: Key) -> bool {
        match (self, key) {
            (Self::Pressure, Key::Reading(reading, _)) => reading.is_delivery_pressure(),
            (Self::Measurement, Key::Reading(..)) => true,
            (_, Key::Observation(_)) => false,
        }
    }
}

/// Whether it is named with a fuel pressure seen alone.
fn wants_pressure(part: Part) -> bool {
    matches!(part, Part::Pump | Part::FeedFilter | Part::Regulator | Part::RegulatorSetting)
}

impl Belief {
    /// What is missing before `part` is named; nothing where it may be, however likely it is.
    pub fn wanted_for(&self, part: Part) -> Option<Wanted> {
        let wanted = if wants_pressure(part) { Wanted::Pressure } else { Wanted::Measurement };
        let gives = |e: &Evidence| {
            matches!(e, Evidence::Reading { .. } | Evidence::Verdict { .. })
                && e.key().is_some_and(|key| wanted.is_given_by(key))
        };
        (!self.evidence().any(gives)).then_some(wanted)
    }
}
