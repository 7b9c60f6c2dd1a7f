//! Which tool measures what, and how well a usual one does.
//!
//! A tree is checked before anybody has said which instrument is in the box; so it is checked against usual ones. The rig file
//! of a car names the real one, and the walk uses that.

use crate::instrument::{Instrument, Range};
use crate::quantity::Dimension;
use crate::terms::{Reading, ReadingDatum, Tool};

const PSI: f64 = 6_894.757_293_168;
const INHG: f64 = 3_386.389;

/// Whether `tool` shows `reading`.
pub fn measures(tool: Tool, reading: Reading) -> bool {
    let fuel_gauge = matches!(tool, Tool::PressureGauge | Tool::SecondGauge);
    match reading {
        Reading::RailPressure
        | Reading::PumpOutletPressure
        | Reading::FilterOutletPressure
        | Reading::InjectorPressure
        | Reading::HeldPressure
        | Reading::ReturnPressure => fuel_gauge,
        Reading::PumpInletPressure => matches!(tool, Tool::VacuumGauge | Tool::SecondGauge),
        Reading::PumpVoltage | Reading::FeedDrop | Reading::GroundDrop => tool == Tool::Multimeter,
        Reading::BatteryVoltage => matches!(tool, Tool::Multimeter | Tool::ControllerDisplay),
        Reading::PumpCurrent => matches!(tool, Tool::ClampMeter | Tool::Multimeter),
        Reading::SuctionHead | Reading::PumpFlow => false,
        Reading::ReturnFlow => tool == Tool::FuelContainer,
        Reading::ManifoldPressure => matches!(tool, Tool::VacuumGauge | Tool::HandPump),
        Reading::ReferencePressure => matches!(tool, Tool::VacuumGauge | Tool::HandPump),
        Reading::Trim | Reading::SensedPressure => tool == Tool::ControllerDisplay,
        Reading::Lambda => matches!(tool, Tool::Wideband | Tool::ControllerDisplay),
    }
}

fn absolute(reading: Reading) -> bool {
    reading.datum() == ReadingDatum::Absolute
}

/// The ends of the scale of a usual `tool` for `reading`, SI.
pub fn scale(tool: Tool, reading: Reading) -> (f64, f64) {
    match (tool, reading.dimension()) {
        (Tool::VacuumGauge | Tool::HandPump, Dimension::Pressure) => (-30.0 * INHG, 30.0 * PSI),
        (_, Dimension::Pressure) if absolute(reading) => (0.0, 400_000.0),
        (_, Dimension::Pressure) if reading == Reading::PumpInletPressure => (-100_000.0, 200_000.0),
        (_, Dimension::Pressure) => (0.0, 100.0 * PSI),
        (_, Dimension::Voltage) => (0.0, 20.0),
        (_, Dimension::Current) => (0.0, 60.0),
        (_, Dimension::Share) => (-0.6, 0.6),
        (_, Dimension::Plain) => (0.5, 2.0),
        (_, Dimension::VolumeFlow) => (0.0, 1_200.0 / 3.6e6),
        _ => (f64::NEG_INFINITY, f64::INFINITY),
    }
}

/// Where a limit for `reading` can sensibly lie, SI.
pub fn plausible(tool: Tool, reading: Reading) -> (f64, f64) {
    let (low, high) = scale(tool, reading);
    match (reading, absolute(reading)) {
        // A gauge for vacuum and boost shows it from the air; the limit is given from vacuum.
        (_, true) => (10_000.0, 400_000.0),
        (Reading::FeedDrop | Reading::GroundDrop, _) => (0.0, 14.0),
        _ => (low, high),
    }
}

/// A usual `tool` as an instrument for `reading`, if a general one can be named. Common practice for the boxes of the trade: a
/// 100 psi gauge of grade B (ASME B40.100), a compound gauge of class 2.5 (EN 837-1), a handheld meter with 0.5 % and 2
/// counts, a clamp with 2 % and 5 counts, displays read to their last digit.
pub fn usual(tool: Tool, reading: Reading) -> Option<Instrument> {
    let dimension = reading.dimension();
    let (low, high) = scale(tool, reading);
    let ranged = Some(Range { low, high });
    let (accuracy, range, resolution) = match (tool, dimension) {
        (Tool::PressureGauge | Tool::SecondGauge, Dimension::Pressure) => ("ASME B40.100 B", ranged, PSI),
        (Tool::VacuumGauge | Tool::HandPump, Dimension::Pressure) => ("EN 837-1 2.5", ranged, INHG),
        (Tool::Multimeter, Dimension::Voltage) => ("0.5 % + 2 counts", None, 0.01),
        (Tool::ClampMeter | Tool::Multimeter, Dimension::Current) => ("2 % + 5 counts", None, 0.1),
        (Tool::Wideband | Tool::ControllerDisplay, Dimension::Plain) => ("1 % of reading", None, 0.01),
        _ => return None,
    };
    Instrument::new(tool.id(), dimension, range, accuracy.parse().ok()?, resolution).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_usual_instrument_is_sound_and_measures_what_it_is_for() {
        let mut named = 0;
        for &tool in Tool::ALL {
            for &reading in Reading::ALL {
                if measures(tool, reading)
                    && matches!(
                        tool,
                        Tool::PressureGauge | Tool::Multimeter | Tool::ClampMeter | Tool::Wideband
                    )
                {
                    assert!(usual(tool, reading).is_some(), "{tool} {reading}");
                    named += 1;
                }
            }
        }
        assert!(named > 10);
    }

    #[test]
    fn a_grade_b_gauge_needs_limits_some_five_psi_apart() {
        // ASME B40.100 grade B: 2 % of span in the middle half; u = 2 psi/sqrt 3, and a graduation of 1 psi.
        let u = usual(Tool::PressureGauge, Reading::RailPressure).unwrap().uncertainty(50.0 * PSI).total();
        assert!((4.0 * u / PSI - 4.76).abs() < 0.01, "{}", 4.0 * u / PSI);
    }
}
