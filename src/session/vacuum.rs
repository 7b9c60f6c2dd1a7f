//! What a vacuum gauge reads, as the person reads it: so much below the atmosphere, not a negative gauge pressure and not an absolute one.

use crate::physics::Car;
use crate::quantity::{Absolute, Datum, Unit, figures, parse_number, show};
use crate::rig::Rig;
use crate::terms::{Reading, ReadingDatum};
use crate::walk::{Band, Taken};

/// Readings that are taken with a vacuum gauge.
pub fn on_vacuum_gauge(reading: Reading) -> bool {
    matches!(reading, Reading::ManifoldPressure | Reading::PumpInletPressure | Reading::ReferencePressure)
}

/// How far a value lies below the atmosphere, Pa; below zero where it lies above.
fn below(reading: Reading, si: f64, atmosphere: Absolute) -> f64 {
    match reading.datum() {
        ReadingDatum::Absolute => -Absolute(si).gauge(atmosphere).0,
        _ => -si,
    }
}

/// What a vacuum gauge shows for a value, such as `18 inHg vacuum`; none for a reading that no vacuum gauge takes, or above the atmosphere.
pub fn vacuum(reading: Reading, si: f64, unit: &Unit, car: &Car, digits: usize) -> Option<String> {
    let below = below(reading, si, car.site.atmosphere);
    (on_vacuum_gauge(reading) && below >= 0.0).then(|| show(below, unit, Some(Datum::Vacuum), digits))
}

/// The limits as a vacuum gauge shows them, the least vacuum first; none unless they all lie below the atmosphere. Limits of an absolute
/// reading stand beside them as such.
pub fn vacuum_band(reading: Reading, band: &Band, unit: &Unit, car: &Car, digits: usize) -> Option<String> {
    let (least, most) = vacuum_limits(reading, band, car)?;
    let value = |si: f64| show(si, unit, Some(Datum::Vacuum), digits);
    let text = match (least, most) {
        (Some(least), Some(most)) => format!("{} to {}", figures(unit.from_si(least), digits), value(most)),
        (Some(least), None) => format!("at least {}", value(least)),
        (None, Some(most)) => format!("at most {}", value(most)),
        (None, None) => return None,
    };
    let absolute = |si: f64| show(si, unit, Some(Datum::Absolute), digits);
    Some(match (reading.datum(), band.low, band.high) {
        (ReadingDatum::Absolute, Some(low), Some(high)) => {
            format!("{text} ({} to {})", figures(unit.from_si(low), digits), absolute(high))
        }
        _ => text,
    })
}

/// The least and the most vacuum of a band, Pa; none unless the whole of it lies below the atmosphere.
pub fn vacuum_limits(reading: Reading, band: &Band, car: &Car) -> Option<(Option<f64>, Option<f64>)> {
    let of = |si: Option<f64>| si.map(|si| below(reading, si, car.site.atmosphere));
    let (least, most) = (of(band.high), of(band.low));
    let all = [least, most, of(band.expected)].into_iter().flatten().all(|v| v >= 0.0);
    let any = least.or(most).is_some();
    (on_vacuum_gauge(reading) && all && any).then_some((least, most))
}

/// A bare number for a reading whose limits are shown as vacuum, as what it is: so much vacuum. A gauge with zero in the middle of
/// its scale shows vacuum with a minus, which is left out.
pub(super) fn bare_as_vacuum(
    text: &str,
    reading: Reading,
    band: &Band,
    unit: &Unit,
    rig: &Rig,
) -> Option<String> {
    vacuum_limits(reading, band, &rig.car)?;
    let number = text.trim().trim_start_matches(['-', '−']);
    parse_number(number).ok()?;
    Some(format!("{number} {} vacuum", unit.symbol))
}

/// A reading's value as its gauge showed it, with the absolute pressure beside it where that is what counts; none unless a vacuum gauge
/// was read.
pub fn vacuum_taken(taken: &Taken, unit: &Unit, car: &Car, digits: usize) -> Option<String> {
    let shown = vacuum(taken.reading, taken.si, unit, car, digits).filter(|_| taken.log.is_none())?;
    Some(match taken.reading.datum() {
        ReadingDatum::Absolute => {
            format!("{shown} ({})", show(taken.si, unit, Some(Datum::Absolute), digits))
        }
        _ => shown,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::unit;

    fn rig() -> Rig {
        Rig::parse("test", "format: 1\nrig: test\nsite: {barometer: 100 kPa}\n").unwrap()
    }

    fn band(low: f64, high: f64) -> Band {
        Band { low: Some(low), high: Some(high), expected: None }
    }

    #[test]
    fn what_lies_below_the_atmosphere_is_vacuum_and_nothing_else_is() {
        let (car, kpa) = (&rig().car, unit("kPa").unwrap());
        let shown = |reading, si| vacuum(reading, si, kpa, car, 3);
        assert_eq!(shown(Reading::ManifoldPressure, 40e3).as_deref(), Some("60 kPa vacuum"));
        assert_eq!(shown(Reading::PumpInletPressure, -5e3).as_deref(), Some("5 kPa vacuum"));
        assert_eq!(shown(Reading::ReferencePressure, 50e3), None, "boost is no vacuum");
        assert_eq!(shown(Reading::SensedPressure, 40e3), None, "a controller shows it absolute");
        assert_eq!(shown(Reading::RailPressure, -5e3), None);
    }

    #[test]
    fn limits_are_turned_round_with_the_absolute_ones_beside_them() {
        let (car, kpa) = (&rig().car, unit("kPa").unwrap());
        let shown = |reading, band: &Band| vacuum_band(reading, band, kpa, car, 3);
        let manifold = shown(Reading::ManifoldPressure, &band(40e3, 55e3));
        assert_eq!(manifold.as_deref(), Some("45 to 60 kPa vacuum (40 to 55 kPa abs)"));
        let inlet = shown(Reading::PumpInletPressure, &Band { low: Some(-10e3), high: None, expected: None });
        assert_eq!(inlet.as_deref(), Some("at most 10 kPa vacuum"));
        assert_eq!(shown(Reading::ReferencePressure, &band(-5e3, 20e3)), None, "partly above the atmosphere");
    }

    #[test]
    fn a_bare_number_is_vacuum_where_the_limits_are() {
        let (rig, inches) = (rig(), unit("inHg").unwrap());
        let of =
            |text, high| bare_as_vacuum(text, Reading::ManifoldPressure, &band(40e3, high), inches, &rig);
        assert_eq!(of("18", 55e3).as_deref(), Some("18 inHg vacuum"));
        assert_eq!(of("-18.5", 55e3).as_deref(), Some("18.5 inHg vacuum"));
        assert_eq!(of("18 inHg", 55e3), None);
        assert_eq!(of("18", 120e3), None, "part of it is boost");
    }
}
