//! What the room says of every unit, every slip and every edge, beyond the tests that stand beside the code.

use super::*;

/// SI values of one of each unit: NIST SP 811 (2008), appendix B.8, to the figures given there; the rest by definition.
const SI: &[(&str, Dimension, f64)] = &[
    ("psi", Dimension::Pressure, 6.894_757e3),
    ("kPa", Dimension::Pressure, 1e3),
    ("bar", Dimension::Pressure, 1e5),
    ("inHg", Dimension::Pressure, 3.386_389e3),
    ("mmHg", Dimension::Pressure, 1.333_224e2),
    ("inH2O", Dimension::Pressure, 2.490_889e2),
    ("ftH2O", Dimension::Pressure, 2.989_067e3),
    ("MPa", Dimension::Pressure, 1e6),
    ("Pa", Dimension::Pressure, 1.0),
    ("hPa", Dimension::Pressure, 1e2),
    ("mbar", Dimension::Pressure, 1e2),
    ("atm", Dimension::Pressure, 1.013_25e5),
    ("torr", Dimension::Pressure, 1.333_224e2),
    ("L/h", Dimension::VolumeFlow, 2.777_778e-7),
    ("gal/h", Dimension::VolumeFlow, 1.051_503e-6),
    ("cc/min", Dimension::VolumeFlow, 1.666_667e-8),
    ("L/min", Dimension::VolumeFlow, 1.666_667e-5),
    ("gal/min", Dimension::VolumeFlow, 6.309_020e-5),
    ("m3/s", Dimension::VolumeFlow, 1.0),
    ("lb/h", Dimension::MassFlow, 1.259_979e-4),
    ("kg/h", Dimension::MassFlow, 2.777_778e-4),
    ("g/min", Dimension::MassFlow, 1.666_667e-5),
    ("g/s", Dimension::MassFlow, 1e-3),
    ("kg/s", Dimension::MassFlow, 1.0),
    ("m", Dimension::Length, 1.0),
    ("ft", Dimension::Length, 0.3048),
    ("mm", Dimension::Length, 1e-3),
    ("in", Dimension::Length, 2.54e-2),
    ("cm", Dimension::Length, 1e-2),
    ("km", Dimension::Length, 1e3),
    ("µm", Dimension::Length, 1e-6),
    ("K", Dimension::Temperature, 1.0),
    ("V", Dimension::Voltage, 1.0),
    ("mV", Dimension::Voltage, 1e-3),
    ("A", Dimension::Current, 1.0),
    ("mA", Dimension::Current, 1e-3),
    ("mΩ", Dimension::Resistance, 1e-3),
    ("Ω", Dimension::Resistance, 1.0),
    ("kΩ", Dimension::Resistance, 1e3),
    ("Ω/km", Dimension::ResistancePerLength, 1e-3),
    ("hp", Dimension::Power, 7.456_999e2),
    ("kW", Dimension::Power, 1e3),
    ("PS", Dimension::Power, 7.354_988e2),
    ("W", Dimension::Power, 1.0),
    ("s", Dimension::Time, 1.0),
    ("min", Dimension::Time, 60.0),
    ("h", Dimension::Time, 3.6e3),
    ("%", Dimension::Share, 0.01),
    ("lambda", Dimension::Plain, 1.0),
    ("AFR", Dimension::Plain, 0.068_027_21),
    ("kg/m³", Dimension::Density, 1.0),
    ("lb/gal", Dimension::Density, 1.198_264e2),
    ("g/cm³", Dimension::Density, 1e3),
    ("mm²/s", Dimension::Viscosity, 1e-6),
    ("m²/s", Dimension::Viscosity, 1.0),
    ("lb/hp/h", Dimension::Consumption, 1.689_659e-7),
    ("g/kWh", Dimension::Consumption, 2.777_778e-10),
    ("MJ/kg", Dimension::HeatingValue, 1e6),
    ("Btu/lb", Dimension::HeatingValue, 2.326e3),
    ("m/s", Dimension::Speed, 1.0),
    ("ft/s", Dimension::Speed, 0.3048),
    ("°", Dimension::Angle, 1.745_329e-2),
];

#[test]
fn every_unit_has_the_size_the_standard_gives_it() {
    for &(symbol, dimension, si) in SI {
        let one = unit(symbol).unwrap();
        assert_eq!(one.dimension, dimension, "{symbol}");
        assert!((one.to_si(1.0) - si).abs() <= 5e-7 * si, "1 {symbol} is {} in SI", one.to_si(1.0));
        assert!((one.from_si(si) - 1.0).abs() <= 5e-7, "{symbol}");
        assert_eq!(one.from_si(0.0), 0.0, "{symbol} begins at zero");
    }
    for (text, kelvin) in
        [("32 °F", 273.15), ("212 F", 373.15), ("-40 °F", 233.15), ("-40 °C", 233.15), ("0 K", 0.0)]
    {
        let m = Measure::parse(text, Dimension::Temperature).unwrap();
        assert!((m.si - kelvin).abs() < 1e-9, "{text} is {} K", m.si);
        assert!((m.value() - parse_number(text.split(' ').next().unwrap()).unwrap()).abs() < 1e-9, "{text}");
    }
    let dimensions: std::collections::HashSet<Dimension> = SI.iter().map(|row| row.1).collect();
    assert_eq!(dimensions.len(), 19, "every dimension is in the table");
}

#[test]
fn every_dimension_has_a_name_of_its_own_and_units_to_offer() {
    let mut names = std::collections::HashSet::new();
    for (_, dimension, _) in SI {
        names.insert(dimension.name());
        for offered in dimension.examples().split(", ") {
            assert_eq!(unit(offered).map(|u| u.dimension), Some(*dimension), "{offered}");
        }
    }
    assert_eq!(names.len(), 19);
    assert!(names.iter().all(|n| n.len() >= 4), "{names:?}");
    assert_eq!(Dimension::Voltage.examples(), "V, mV");
    assert_eq!(Dimension::Plain.examples(), "AFR");
    assert_eq!(Dimension::Length.examples(), "m, ft, mm, in", "four at most");
}

#[test]
fn each_person_reads_in_units_of_their_system() {
    let shown = |system: UnitSystem, dimension| system.unit_for(dimension).to_string();
    for (dimension, metric, us) in [
        (Dimension::Pressure, "kPa", "psi"),
        (Dimension::VolumeFlow, "L/h", "gal/h"),
        (Dimension::MassFlow, "kg/h", "lb/h"),
        (Dimension::Length, "m", "ft"),
        (Dimension::Temperature, "°C", "°F"),
        (Dimension::Power, "kW", "hp"),
        (Dimension::Consumption, "g/kWh", "lb/hp/h"),
        (Dimension::Voltage, "V", "V"),
        (Dimension::Current, "A", "A"),
        (Dimension::Resistance, "mΩ", "mΩ"),
        (Dimension::ResistancePerLength, "Ω/km", "Ω/km"),
        (Dimension::Time, "min", "min"),
        (Dimension::Share, "%", "%"),
        (Dimension::Plain, "", ""),
        (Dimension::Density, "kg/m³", "lb/gal"),
        (Dimension::Viscosity, "mm²/s", "mm²/s"),
        (Dimension::HeatingValue, "MJ/kg", "Btu/lb"),
        (Dimension::Speed, "m/s", "ft/s"),
        (Dimension::Angle, "°", "°"),
    ] {
        assert_eq!(shown(UnitSystem::Metric, dimension), metric);
        assert_eq!(shown(UnitSystem::Us, dimension), us);
    }
}

#[test]
fn letters_of_either_case_name_a_unit_but_where_a_prefix_hangs_on_them() {
    for (text, symbol) in [
        ("PSI", "psi"),
        ("Volts", "V"),
        ("OHM", "Ω"),
        ("mohm", "mΩ"),
        ("mv", "mV"),
        ("ma", "mA"),
        ("a", "A"),
        ("LPH", "L/h"),
        ("KM", "km"),
        ("HP", "hp"),
    ] {
        assert_eq!(unit(text).map(|u| u.symbol), Some(symbol), "{text}");
    }
    for text in ["MV", "MA", "MOHM", "KOHM", "Mohm", "p si", "psi ", "x"] {
        assert_eq!(unit(text).map(|u| u.symbol), None, "{text}");
    }
    // Two units of one size but other names are two units.
    assert!(unit("hPa").unwrap() != unit("mbar").unwrap());
    assert!(unit("m").unwrap() != unit("m/s").unwrap());
}

#[test]
fn a_hint_is_as_near_as_the_word_is_long() {
    let near = |text: &str| nearest_unit(text, Some(Dimension::Pressure)).map(|u| u.symbol);
    for (text, hint) in [
        ("psx", Some("psi")),
        ("xpsi", Some("psi")),
        ("spi", None),
        ("ps", Some("psi")),
        ("pxx", None),
        ("barr", Some("bar")),
        ("kpaa", Some("kPa")),
        ("INHGG", Some("inHg")),
        ("kilopsacal", Some("kPa")),
        ("kilopxxxal", Some("kPa")),
        ("kiloxxxxal", None),
        ("mmHh", Some("mmHg")),
    ] {
        assert_eq!(near(text), hint, "{text}");
    }
    assert_eq!(nearest_unit("vots", None).map(|u| u.symbol), Some("V"));
    assert_eq!(nearest_unit("psii", Some(Dimension::Voltage)).map(|u| u.symbol), None);
}

#[test]
fn a_number_that_is_none_says_where() {
    for (text, at) in [
        ("abc", 1),
        ("-x", 2),
        ("--3", 2),
        ("+-3", 2),
        ("---3", 2),
        ("1.2.3", 4),
        ("-1.2.3", 5),
        ("1,2,3", 4),
        ("1,234.5", 6),
        ("1_000", 2),
        ("12x", 3),
        (" 12x ", 4),
        ("12  x", 5),
        ("5e", 2),
        ("5e+", 2),
        ("-5e-", 3),
        (".", 1),
        ("-,", 2),
        ("½", 1),
    ] {
        assert_eq!(parse_number(text), Err(NumberError::NotANumber { at }), "{text}");
    }
}

#[test]
fn a_comma_is_asked_about_only_where_it_could_mean_two_things() {
    let both = |decimal, grouped| Err(NumberError::Ambiguous { decimal, grouped });
    for (text, read) in [
        ("1,234", both(1.234, 1234.0)),
        ("123,456", both(123.456, 123_456.0)),
        ("-1,234", both(-1.234, -1234.0)),
        ("1,234e3", both(1234.0, 1_234_000.0)),
        ("1,234e-3", both(0.001_234, 1.234)),
        ("1234,567", Ok(1234.567)),
        ("1,23", Ok(1.23)),
        ("1,2345", Ok(1.2345)),
        (",234", Ok(0.234)),
        ("0,234", Ok(0.234)),
        ("1.234", Ok(1.234)),
        ("1,000", both(1.0, 1000.0)),
    ] {
        assert_eq!(parse_number(text), read, "{text}");
    }
    assert!(parse_number("-0").unwrap().is_sign_positive());
    assert_eq!(parse_number("0e5"), Ok(0.0));
    assert_eq!(parse_number("-1E-2"), Ok(-0.01));
    assert_eq!(parse_number("00e-999"), Ok(0.0));
}

#[test]
fn every_slip_is_answered_with_what_was_expected_found_and_to_be_done() {
    let said = |text: &str, dimension| Measure::parse(text, dimension).unwrap_err().to_string();
    for (text, dimension, words) in [
        ("", Dimension::Voltage, "'' expected a number, found nothing"),
        (
            "1,234 V",
            Dimension::Voltage,
            "'1,234 V' could mean 1.234 or 1234; type 1.234 or 1234 without a comma",
        ),
        ("1e999 V", Dimension::Voltage, "'1e999 V' is outside the range of numbers that can be stored"),
        ("x V", Dimension::Voltage, "'x V' is not a number from character 1 on; type digits such as 43.5"),
        ("12", Dimension::Voltage, "expected a voltage with its unit, found '12'; add one, such as V, mV"),
        ("12 zzzzz", Dimension::Voltage, "unknown unit 'zzzzz'; for a voltage use V, mV"),
        ("12 volz", Dimension::Voltage, "unknown unit 'volz'; did you mean 'V'?"),
        ("12 V", Dimension::Current, "expected a current, found '12 V', a voltage; use A, mA"),
        (
            "1e308 bar",
            Dimension::Pressure,
            "'1e308 bar' can't be: it is beyond the range of numbers that can be stored",
        ),
        ("-1 K", Dimension::Temperature, "'-1 K' can't be: nothing is colder than 0 K"),
    ] {
        assert_eq!(said(text, dimension), words);
    }
    assert_eq!(Measure::parse_any("5 zzzzz").unwrap_err().to_string(), "unknown unit 'zzzzz'");
    let long = "z".repeat(24);
    assert_eq!(
        Measure::parse_any(&format!("5 {long}")).unwrap_err().to_string(),
        format!("unknown unit '{long}'")
    );
    assert_eq!(
        Measure::parse_any(&format!("5 {long}z")).unwrap_err().to_string(),
        format!("unknown unit '{long}...'")
    );
}

#[test]
fn what_a_pressure_is_measured_from_is_understood_in_every_spelling() {
    use Datum::{Absolute, Gauge, Vacuum};
    for (text, datum) in [
        ("40 kPa absolute", Absolute),
        ("40 kPa abs.", Absolute),
        ("40 kPa abs", Absolute),
        ("40 kPa (abs", Absolute),
        ("40 kPa, abs", Absolute),
        ("40 kPaa", Absolute),
        ("40 kPa a", Absolute),
        ("40 KPA ABS", Absolute),
        ("40 kPa gauge", Gauge),
        ("40 psig", Gauge),
        ("3 barg", Gauge),
        ("20 inHg vacuum", Vacuum),
        ("20 inHg vac.", Vacuum),
        ("20 inHg vac", Vacuum),
    ] {
        assert_eq!(Measure::parse(text, Dimension::Pressure).unwrap().datum, Some(datum), "{text}");
    }
    for text in ["40 abs", "40 kPa absolut e", "12 V abs", "12 V vacuum", "12 Va", "40 zza"] {
        assert!(
            matches!(Measure::parse_any(text), Err(QuantityError::UnknownUnit { .. })),
            "{text}: {:?}",
            Measure::parse_any(text)
        );
    }
}

#[test]
fn no_pressure_lies_below_nothing() {
    let why = |text: &str| match Measure::parse(text, Dimension::Pressure) {
        Ok(_) => String::new(),
        Err(error) => error.to_string(),
    };
    for text in
        ["0 kPa abs", "-110 kPa gauge", "110 kPa vacuum", "-500 kPa", "-1 kPa vacuum", "500 kPa gauge"]
    {
        assert_eq!(why(text), "", "{text}");
    }
    assert!(why("-0.001 kPa abs").contains("say gauge or vacuum"));
    assert!(why("-110.001 kPa gauge").contains("more than one atmosphere below"));
    assert!(why("110.001 kPa vacuum").contains("29.9 inHg at sea level"));
    assert!(why("33 inHg vac").contains("29.9 inHg at sea level"));
}

#[test]
fn a_number_without_a_unit_takes_the_one_that_is_lent_and_no_other() {
    let psi = unit("psi").unwrap();
    let m = Measure::parse_or(" 43.5 ", psi).unwrap();
    assert_eq!((m.unit, m.datum, m.typed.as_str(), m.value()), (psi, None, "43.5", 43.5));
    assert_eq!(Measure::parse_or("3 bar", psi).unwrap().unit.symbol, "bar");
    assert!(matches!(Measure::parse_or("3 V", psi), Err(QuantityError::WrongDimension { .. })));
    assert_eq!(Measure::parse_any("7").unwrap().unit.dimension, Dimension::Plain);
    assert_eq!(Measure::parse("7", Dimension::Plain).unwrap().si, 7.0);
    let same = Measure::parse_any("3 bar").unwrap();
    assert_eq!(same, Measure::parse_any("3.0 bar").unwrap(), "the text is no part of what is equal");
    for other in ["4 bar", "300 kPa", "3 bar abs"] {
        assert_ne!(same, Measure::parse_any(other).unwrap());
    }
}

#[test]
fn figures_are_rounded_to_what_counts() {
    for (value, digits, text) in [
        (f64::NAN, 4, "–"),
        (f64::INFINITY, 4, "–"),
        (0.0, 4, "0"),
        (-0.0, 4, "0"),
        (999.96, 4, "1000"),
        (0.001_234_56, 4, "0.001235"),
        (123.456, 4, "123.5"),
        (123.456, 1, "123"),
        (-9.876_54, 3, "-9.88"),
        (1e-13, 4, "0"),
        (-1e-13, 4, "0"),
        (100.0, 2, "100"),
        (1.5e10, 3, "15000000000"),
        (10.0, 4, "10"),
    ] {
        assert_eq!(figures(value, digits), text);
    }
    let show = |si, symbol, datum| Measure::of(si, unit(symbol).unwrap(), datum);
    for (measure, text) in [
        (show(45_000.0, "kPa", Some(Datum::Absolute)), "45 kPa abs"),
        (show(67_727.8, "inHg", Some(Datum::Vacuum)), "20 inHg vacuum"),
        (show(300_000.0, "bar", Some(Datum::Gauge)), "3 bar"),
        (show(0.98, "lambda", None), "0.98"),
    ] {
        assert_eq!((measure.to_string().as_str(), measure.typed.as_str()), (text, text));
    }
}

#[test]
fn pressures_add_only_where_that_means_something() {
    let (a, b) = (Absolute(300_000.0), Absolute(100_000.0));
    assert_eq!(a - b, Difference(200_000.0));
    assert_eq!(b + Difference(50_000.0), Absolute(150_000.0));
    assert_eq!(b - Difference(40_000.0), Absolute(60_000.0));
    assert_eq!(Gauge(30_000.0) - Gauge(10_000.0), Difference(20_000.0));
    assert_eq!(Gauge(30_000.0) + Difference(5_000.0), Gauge(35_000.0));
    assert_eq!(Gauge(30_000.0) - Difference(5_000.0), Gauge(25_000.0));
    assert_eq!((a.kpa(), Gauge(-2_500.0).kpa(), Difference(1_500.0).kpa()), (300.0, -2.5, 1.5));
}
