//! Numbers and quantities as typed.

use faultwalk::quantity::{Dimension, Measure, QuantityError, UnitSystem, parse_number};

const DIMENSIONS: [Dimension; 6] = [
    Dimension::Pressure,
    Dimension::VolumeFlow,
    Dimension::Temperature,
    Dimension::Voltage,
    Dimension::Share,
    Dimension::Plain,
];

/// What is taken is finite, reads back, keeps its text and is of the dimension asked for; a unit is never changed silently.
pub fn numbers(data: &[u8]) {
    let text = String::from_utf8_lossy(data);
    if let Ok(value) = parse_number(&text) {
        assert!(value.is_finite(), "{text:?} is {value}");
        assert_eq!(parse_number(&format!("{value:?}")), Ok(value), "{text:?}");
        assert!(text.contains(|c: char| c.is_ascii_digit()), "{text:?} has no digit");
    }
    let any = Measure::parse_any(&text);
    if let Ok(m) = &any {
        assert!(m.si.is_finite(), "{text:?} is {}", m.si);
        assert_eq!(m.typed, text.trim());
        assert!(m.datum.is_none() || m.unit.dimension == Dimension::Pressure, "{text:?}");
    }
    for dimension in DIMENSIONS {
        let bare = UnitSystem::Us.unit_for(dimension);
        let lent = Measure::parse_or(&text, bare);
        match Measure::parse(&text, dimension) {
            Ok(m) => {
                assert_eq!(m.unit.dimension, dimension, "{text:?}");
                assert!(any.is_ok(), "{text:?} is a quantity and none");
                if dimension != Dimension::Plain {
                    assert_eq!((any.as_ref(), lent.as_ref()), (Ok(&m), Ok(&m)), "{text:?}");
                }
            }
            Err(QuantityError::NoUnit { .. }) => {
                assert!(lent.map_or(true, |m| m.unit == bare), "{text:?} took another unit than lent");
            }
            Err(error) => {
                assert!(lent.is_err(), "{text:?} is refused with and taken without a unit lent");
                assert!(error.to_string().len() > 10, "{text:?}: {error}");
            }
        }
    }
}
