//! Which instrument a reading is taken with, and how well it reads.

use crate::instrument::{Accuracy, Instrument};
use crate::quantity::Dimension;
use crate::rig::Rig;
use crate::terms::{Reading, Tool};

/// Accuracy and resolution of what the rig file does not describe (common practice), by what is read with it.
fn common(tool: Tool, dimension: Dimension) -> (&'static str, f64) {
    match (tool, dimension) {
        (Tool::FuelContainer, _) => ("4 % of reading", 2.0 / 3.6e6),
        (_, Dimension::Share) => ("0.5 % + 1 counts", 0.01),
        (_, Dimension::Pressure) => ("1 % of reading", 500.0),
        (_, Dimension::VolumeFlow) => ("4 % of reading", 1.0 / 3.6e6),
        _ => ("1 % of reading", 0.01),
    }
}

/// The instrument `tool` reads `reading` with on this car.
pub fn instrument_for(rig: &Rig, tool: Tool, reading: Reading) -> Instrument {
    let dimension = reading.dimension();
    match (tool, dimension) {
        (Tool::PressureGauge | Tool::SecondGauge, Dimension::Pressure) => rig.instruments.pressure.clone(),
        (Tool::VacuumGauge | Tool::HandPump, Dimension::Pressure) => rig.instruments.vacuum.clone(),
        (Tool::Multimeter, Dimension::Voltage) => rig.instruments.meter.clone(),
        (Tool::ClampMeter | Tool::Multimeter, Dimension::Current) => rig.instruments.clamp.clone(),
        _ => {
            let (accuracy, resolution) = common(tool, dimension);
            Instrument {
                name: tool.name().to_owned(),
                dimension,
                range: None,
                accuracy: accuracy.parse().unwrap_or(Accuracy::Reading(1.0)),
                resolution,
            }
        }
    }
}

/// The instrument in words, as it stands in the record: `pressure gauge 0 to 100 psi, ASME B40.100 B`.
pub fn describe(instrument: &Instrument) -> String {
    format!("{}, {}", instrument.name, instrument.accuracy)
}
