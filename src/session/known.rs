//! What the program knows of this car and a person at a step or a repair would otherwise have to look up: the figures a thing is
//! compared with, and what the step that proves a repair should show.

use super::entry::bare_unit;
use super::one::Session;
use super::overview::reference_advice;
use super::vacuum::{vacuum, vacuum_band};
use crate::physics::Car;
use crate::quantity::{Datum, UnitSystem, figures, show};
use crate::rig::{Rig, label};
use crate::terms::{Fault, Observation, Reading, ReadingDatum};
use crate::tree::{Finding, StepKind, Target};
use crate::walk::Band;

/// The keys of the rig file that a look is held against.
fn keys(observation: Observation) -> &'static [&'static str] {
    match observation {
        Observation::ConfiguredPressure => &["regulator.set", "controller.across_injector"],
        Observation::ConfiguredInjector => &["injection.flow", "injection.rated_at"],
        Observation::RegulatorSetting => &["regulator.set"],
        Observation::EthanolTest => &["controller.ethanol"],
        _ => &[],
    }
}

/// A band in words with the value expected in it first.
fn wanted(reading: Reading, band: &Band, units: UnitSystem, car: &Car) -> Option<String> {
    let own = bare_unit(reading, units);
    if let Some(limits) = vacuum_band(reading, band, own, car, 3) {
        let expected = band.expected.and_then(|si| vacuum(reading, si, own, car, 3));
        return Some(expected.map_or(limits.clone(), |expected| format!("{expected}, from {limits}")));
    }
    let unit = units.unit_for(reading.dimension());
    let datum = (reading.datum() == ReadingDatum::Absolute).then_some(Datum::Absolute);
    let value = |si: f64| show(si, unit, datum, 3);
    Some(match (band.expected, band.low, band.high) {
        (Some(expected), Some(low), Some(high)) => {
            format!("{}, from {} to {}", value(expected), figures(unit.from_si(low), 3), value(high))
        }
        (_, Some(low), Some(high)) => format!("{} to {}", figures(unit.from_si(low), 3), value(high)),
        (_, Some(low), None) => format!("at least {}", value(low)),
        (_, None, Some(high)) => format!("at most {}", value(high)),
        (_, None, None) => return None,
    })
}

impl Session {
    /// The figures of this car that a look is held against, in one line; nothing where there are none.
    pub fn known_for(&self, observation: Observation) -> Option<String> {
        let rig: &Rig = self.rig();
        let mut known: Vec<String> = keys(observation)
            .iter()
            .filter_map(|path| rig.facts.iter().find(|f| f.path == *path && !f.text.is_empty()))
            .map(|f| {
                format!("{} {}{}", label(&f.path), f.text, if f.default { ", nobody stated it" } else { "" })
            })
            .collect();
        if observation == Observation::ReferenceHoseRouting {
            known.push(reference_advice(rig).trim_end_matches('.').to_owned());
        }
        (!known.is_empty()).then(|| format!("This car: {}.", known.join("; ")))
    }

    /// What the step that proves the repair of `finding` should show on this car, and where a reference hose belongs, in one line;
    /// nothing where the program does not know it.
    pub fn aim(&self, finding: &Finding, units: UnitSystem) -> Option<String> {
        let mut said = Vec::new();
        let faults = std::iter::once(&finding.fault).chain(&finding.also);
        if faults.into_iter().any(|f| matches!(f, Fault::ReferenceWrongStation | Fault::ReferenceHoseOff)) {
            said.push(reference_advice(self.rig()));
        }
        let proof = finding.confirm.as_ref().map(|c| c.repeat);
        let step = proof.and_then(|index| Some((index, self.tree().steps.get(index)?)));
        if let Some((index, step)) = step
            && let StepKind::Read(read) = &step.kind
            && let Ok(Some(expected)) = self.expected(index, self.place_for(read))
            && let Some(band) = wanted(read.reading, &expected.band, units, &self.rig().car)
        {
            said.push(format!("On this car, {}: {band}.", step.name()));
        }
        (!said.is_empty()).then(|| said.join(" "))
    }

    /// Where an edge of the tree leads, in words.
    pub fn leads_to(&self, target: Target) -> String {
        let tree = self.tree();
        match target {
            Target::Step(i) if tree.steps[i].asks() => format!("next, {}", tree.steps[i].name()),
            Target::Step(_) => "on, by what is known by then".to_owned(),
            Target::Finding(i) => format!("finding, {}", tree.findings[i].fault.name()),
            Target::Handover(i) => format!("as far as it goes, {}", tree.handovers[i].says),
            other => tree.target_id(other).to_owned(),
        }
    }
}
