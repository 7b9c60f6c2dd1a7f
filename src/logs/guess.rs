//! What each column holds, from its name and from the values in it. What stays in doubt is marked, never passed over.

use super::channel::{Channel, NAMES, OTHERS};
use super::layout::Sampled;
use super::mapping::{Column, Mapping, default_origin, usual};
use super::read::clock;
use super::scale::{Origin, read_unit};
use super::unnamed::{UNKNOWN, by_values_alone};
use crate::physics::stations;
use crate::rig::Rig;
use crate::terms::Condition;

/// What the guess leans on where a name gives no unit: pressures this car should show, Pa.
pub(super) struct Expected {
    /// Rail pressure, gauge.
    pub rail: f64,
    /// Greatest manifold pressure, absolute.
    pub full: f64,
    pub atmosphere: f64,
}

impl Expected {
    fn of(rig: Option<&Rig>) -> Self {
        match rig {
            Some(rig) => Self {
                rail: rig.car.regulator.set.0,
                full: stations(&rig.car, Condition::Load).plenum.0,
                atmosphere: rig.car.site.atmosphere.0,
            },
            // A port-injected engine at sea level (common practice).
            None => Self { rail: 300e3, full: 98e3, atmosphere: 101_325.0 },
        }
    }
}

/// The words of a name in small letters: parted where letters, digits and case part them, digits at the end left out.
fn words(name: &str) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    let mut before = ' ';
    for c in name.chars() {
        if c.is_alphanumeric() {
            // One small letter before a large one is a prefix, as in kPa.
            let long = all.last().is_some_and(|w| w.chars().count() > 1);
            let begins = !before.is_alphanumeric() || (before.is_lowercase() && c.is_uppercase() && long);
            if begins {
                all.push(String::new());
            }
            if let Some(word) = all.last_mut() {
                word.extend(c.to_lowercase());
            }
        }
        before = c;
    }
    for word in &mut all {
        let bare = word.trim_end_matches(|c: char| c.is_ascii_digit());
        if !bare.is_empty() {
            *word = bare.to_owned();
        }
    }
    all
}

/// Texts of a name that may be its unit, the likeliest first.
pub(super) fn units(name: &str, row: Option<&str>) -> Vec<String> {
    let mut all: Vec<String> = row.map(str::to_owned).into_iter().filter(|u| !u.is_empty()).collect();
    for (open, close) in [('(', ')'), ('[', ']'), ('{', '}')] {
        if let Some((_, rest)) = name.split_once(open)
            && let Some((inside, _)) = rest.rsplit_once(close)
        {
            all.push(inside.trim().to_owned());
        }
    }
    let parts: Vec<&str> = name
        .split(|c: char| c.is_whitespace() || matches!(c, '_' | ',' | '-' | '(' | '['))
        .filter(|p| !p.is_empty())
        .collect();
    if let [.., before, last] = parts.as_slice() {
        all.push(format!("{before} {last}"));
        all.push((*last).to_owned());
        all.push((*before).to_owned());
    }
    // A name that is its unit and nothing else: RPM, AFR.
    all.push(name.trim().to_owned());
    all
}

/// Channels whose words all stand in the name, the one with most letters first.
fn channels(words: &[String]) -> Vec<Channel> {
    if words.iter().any(|w| OTHERS.contains(&w.as_str())) {
        return Vec::new();
    }
    let mut fits: Vec<(usize, Channel)> = NAMES
        .iter()
        .filter(|(_, needed)| needed.iter().all(|n| words.iter().any(|w| w == n)))
        .map(|(channel, needed)| (needed.iter().map(|n| n.len()).sum(), *channel))
        .collect();
    fits.sort_by_key(|(letters, _)| std::cmp::Reverse(*letters));
    let mut all: Vec<Channel> = Vec::new();
    for (_, channel) in fits {
        if !all.contains(&channel) {
            all.push(channel);
        }
    }
    all
}

/// Least, middle and greatest of the values, a hundredth at either end left out.
pub(super) fn course(values: &[f64]) -> Option<(f64, f64, f64)> {
    let mut all = values.to_vec();
    all.sort_by(f64::total_cmp);
    let at = |share: f64| {
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        // A share of a length, never negative.
        let index = (share * (all.len().saturating_sub(1)) as f64).round() as usize;
        all.get(index).copied()
    };
    Some((at(0.01)?, at(0.5)?, at(0.99)?))
}

/// Of units, the one that brings `value` nearest to `expected`, and whether no other comes near.
pub(super) fn nearest(
    channel: Channel,
    value: f64,
    expected: f64,
    among: &[&'static str],
) -> Option<(&'static str, bool)> {
    let off = |unit: &str| {
        let (scale, _) = read_unit(channel, unit)?;
        Some((scale.si(value) / expected).ln().abs()).filter(|o| o.is_finite())
    };
    let mut all: Vec<(f64, &'static str)> = among.iter().filter_map(|u| Some((off(u)?, *u))).collect();
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (best, unit) = *all.first()?;
    Some((unit, best < 0.55 && all.get(1).is_none_or(|(next, _)| *next > best + 0.4)))
}

/// The unit the values speak for, what a pressure is measured from, and whether that is beyond doubt.
fn by_values(channel: Channel, values: &[f64], expected: &Expected) -> (&'static str, Option<Origin>, bool) {
    let plain = usual(channel);
    let Some((low, middle, high)) = course(values) else { return (plain, default_origin(channel), false) };
    let (unit, origin, sure) = match channel {
        Channel::RailPressure => {
            let (unit, sure) =
                nearest(channel, middle, expected.rail, &["kPa", "psi", "bar"]).unwrap_or((plain, false));
            (unit, Some(Origin::Gauge), sure)
        }
        Channel::Barometer => {
            let (unit, sure) =
                nearest(channel, middle, expected.atmosphere, &["kPa", "psi", "bar", "inHg", "hPa"])
                    .unwrap_or((plain, false));
            (unit, Some(Origin::Absolute), sure)
        }
        Channel::ManifoldPressure if low < -0.3 => {
            let unit = match low {
                l if l > -1.05 => "bar",
                l if l > -14.0 => "psi",
                l if l > -31.0 => "inHg",
                _ => "kPa",
            };
            (unit, Some(Origin::Gauge), !(-31.0..=-1.05).contains(&low))
        }
        Channel::ManifoldPressure => {
            let (unit, sure) = nearest(channel, high, expected.full, &["kPa", "psi", "bar", "inHg"])
                .unwrap_or((plain, false));
            (unit, Some(Origin::Absolute), sure)
        }
        Channel::Speed => (if high > 300.0 { "1/min" } else { "1/s" }, None, high > 300.0),
        Channel::Time => {
            let mut steps: Vec<f64> = values.windows(2).map(|p| p[1] - p[0]).filter(|d| *d > 0.0).collect();
            let step = super::robust::median(&mut steps).unwrap_or(0.1);
            (if step >= 5.0 { "ms" } else { "s" }, None, true)
        }
        Channel::InjectorPulse => match middle {
            m if m > 100.0 => ("us", None, true),
            m if m > 0.05 => ("ms", None, true),
            _ => ("s", None, false),
        },
        Channel::Lambda => (if middle > 5.0 { "AFR" } else { "lambda" }, None, true),
        Channel::Trim | Channel::LearnedTrim => match (low, middle) {
            (_, m) if (60.0..=140.0).contains(&m) => ("% of 100", None, true),
            (l, m) if (0.7..=1.3).contains(&m) && l > 0.4 && high < 1.6 => ("factor", None, true),
            // A few hundredths may be shares or small percentages.
            _ => ("%", None, high.abs().max(low.abs()) > 0.5),
        },
        Channel::Throttle | Channel::InjectorDuty => {
            (if high <= 1.3 { "share" } else { "%" }, None, high > 1.3)
        }
        Channel::BatteryVoltage | Channel::PumpVoltage => {
            (if middle > 1_000.0 { "mV" } else { "V" }, None, true)
        }
        Channel::FuelFlow => (plain, None, false),
    };
    (unit, origin, sure)
}

/// What the words of a name say a pressure is measured from.
fn origin_by_words(channel: Channel, words: &[String]) -> Option<Origin> {
    if !matches!(channel, Channel::RailPressure | Channel::ManifoldPressure | Channel::Barometer) {
        return None;
    }
    words.iter().find_map(|w| match w.as_str() {
        "abs" | "absolute" | "psia" | "absolut" => Some(Origin::Absolute),
        "gauge" | "gage" | "rel" | "psig" | "barg" => Some(Origin::Gauge),
        "vac" | "vacuum" | "unterdruck" => Some(Origin::Vacuum),
        _ => None,
    })
}

/// So many values one after the other are no dropouts.
const RUN: usize = 8;

/// A rail that reads the atmosphere while the pump stands is measured from vacuum; one that reads nothing, from the atmosphere.
fn origin_of_rail(values: &[f64], unit: &str, atmosphere: f64) -> Option<Origin> {
    let (scale, _) = read_unit(Channel::RailPressure, unit)?;
    let run = |fits: &dyn Fn(f64) -> bool| values.windows(RUN).any(|w| w.iter().all(|v| fits(scale.si(*v))));
    if run(&|p| p < 0.4 * atmosphere) {
        return Some(Origin::Gauge);
    }
    let (_, middle, _) = course(values)?;
    let stands = run(&|p| (p / atmosphere - 1.0).abs() < 0.06);
    (stands && scale.si(middle) > 1.6 * atmosphere).then_some(Origin::Absolute)
}

/// Guesses one column.
fn column(name: &str, row: Option<&str>, values: &[f64], text: Option<&str>, expected: &Expected) -> Column {
    let aside = |why: &str| Column {
        name: name.to_owned(),
        channel: None,
        unit: String::new(),
        from: None,
        sure: true,
        why: why.to_owned(),
    };
    let words = words(name);
    let candidates = channels(&words);
    if candidates.is_empty() {
        let wanted = words.iter().any(|w| OTHERS.contains(&w.as_str()));
        return aside(if wanted { "its name speaks of something else" } else { UNKNOWN });
    }
    if candidates[0] == Channel::Time && text.is_some_and(|t| clock(t).is_some()) && values.is_empty() {
        return Column {
            channel: Some(Channel::Time),
            unit: "clock".into(),
            why: "a clock".into(),
            ..aside("")
        };
    }
    if values.is_empty() {
        return aside("it holds no numbers");
    }
    let texts = units(name, row);
    let stated = candidates.iter().find_map(|channel| {
        let unit = texts.iter().find(|t| read_unit(*channel, t).is_some())?;
        Some((*channel, unit.clone(), read_unit(*channel, unit)?.1))
    });
    let (channel, unit, origin, mut sure, mut why) = match stated {
        // An empty unit is one too: lambda and speed have none.
        Some((channel, unit, origin)) if !unit.is_empty() => {
            (channel, unit, origin, true, "by its name and unit".to_owned())
        }
        _ => {
            let channel = candidates[0];
            let (unit, origin, sure) = by_values(channel, values, expected);
            let words = if unit.is_empty() {
                "by its name".to_owned()
            } else {
                format!("by its name; {unit} by its values")
            };
            (
                channel,
                unit.to_owned(),
                origin.filter(|o| *o != Origin::Absolute || channel != Channel::RailPressure),
                sure,
                words,
            )
        }
    };
    let mut from = origin_by_words(channel, &words).or(origin);
    if matches!(channel, Channel::ManifoldPressure) && from.is_none() {
        // A unit alone does not say; values below nothing do.
        from = course(values).filter(|(low, _, _)| *low < -0.3).map(|_| Origin::Gauge);
    }
    let from_words = origin_by_words(channel, &words).is_some()
        || read_unit(channel, &unit).is_some_and(|u| u.1.is_some());
    if channel == Channel::RailPressure && !from_words {
        if let Some(seen) = origin_of_rail(values, &unit, expected.atmosphere) {
            from = Some(seen);
            why.push_str(if seen == Origin::Absolute {
                "; it reads the atmosphere while the pump stands"
            } else {
                "; it reads nothing while the pump stands"
            });
        } else {
            why.push_str("; taken as gauge, which the log does not show");
            sure = false;
        }
    }
    let mut guessed = Column {
        name: name.to_owned(),
        channel: Some(channel),
        unit,
        from: from.or(default_origin(channel)),
        sure,
        why,
    };
    if !possible(&guessed, values, expected.atmosphere) {
        let why = format!(
            "named as {}, but its values can't be that in {}",
            channel.name(),
            if guessed.unit.is_empty() { "its unit" } else { &guessed.unit }
        );
        guessed = aside(&why);
        guessed.sure = false;
    }
    guessed
}

/// Whether most of the values can be what the column was taken for.
fn possible(column: &Column, values: &[f64], atmosphere: f64) -> bool {
    let (Some(channel), Some(scale)) = (column.channel, column.scale()) else { return false };
    let (least, most) = channel.plausible();
    let shift = match (column.from, channel) {
        (Some(Origin::Gauge), Channel::ManifoldPressure | Channel::Barometer) => atmosphere,
        _ => 0.0,
    };
    let fits = values
        .iter()
        .filter(|v| {
            let si = scale.si(**v);
            let si = if column.from == Some(Origin::Vacuum) { atmosphere - si } else { si + shift };
            (least..=most).contains(&si)
        })
        .count();
    // A rail at work, for a tenth of the time at least.
    let working = values.iter().filter(|v| (4e4..=1.2e6).contains(&scale.si(**v))).count();
    let rail_works = channel != Channel::RailPressure || working * 10 >= values.len();
    fits * 2 >= values.len() && rail_works
}

/// The mapping of a log, as its names and values speak for it; `rig` says what pressures this car should show.
pub fn guess(sampled: &Sampled, rig: Option<&Rig>) -> Mapping {
    let expected = Expected::of(rig);
    let layout = &sampled.layout;
    let mut columns: Vec<Column> = layout
        .names
        .iter()
        .enumerate()
        .map(|(i, name)| {
            let row = layout.units.as_ref().and_then(|u| u.get(i)).map(String::as_str);
            column(name, row, &sampled.values[i], sampled.texts[i].as_deref(), &expected)
        })
        .collect();
    for channel in Channel::ALL {
        let mut holders: Vec<usize> =
            (0..columns.len()).filter(|i| columns[*i].channel == Some(channel)).collect();
        // The surest one stays, and of equals the first.
        holders.sort_by_key(|i| !columns[*i].sure);
        for other in holders.iter().skip(1) {
            columns[*other].why = format!("another column is taken for {}", channel.name());
            columns[*other].channel = None;
        }
    }
    by_values_alone(&mut columns, sampled, &expected);
    Mapping { columns }
}

#[cfg(test)]
mod tests {
    use super::Channel as C;
    use super::*;

    fn of(name: &str, row: Option<&str>, values: &[f64]) -> (Option<Channel>, String, Option<Origin>, bool) {
        let c = column(name, row, values, None, &Expected::of(None));
        (c.channel, c.unit, c.from, c.sure)
    }

    #[test]
    fn names_are_taken_apart() {
        assert_eq!(words("FuelPress_kPa (abs) 2"), ["fuel", "press", "kpa", "abs", "2"]);
        assert_eq!(words("AFR1"), ["afr"]);
        assert_eq!(words("Lambda 1 [-]"), ["lambda", "1"]);
    }

    #[test]
    fn names_and_units_in_many_spellings() {
        let stands = |at: f64, runs: f64| [[at; 8], [runs; 8]].concat();
        let rail = stands(0.0, 300.0);
        let (psi, bar, absolute) = (stands(0.0, 43.5), stands(0.0, 3.0), stands(1.01, 4.0));
        let gauge = Some(Origin::Gauge);
        for (name, row, values, channel, unit, from) in [
            ("Fuel Pressure (kPa)", None, &rail[..], C::RailPressure, "kPa", gauge),
            ("FP", None, &psi[..], C::RailPressure, "psi", gauge),
            ("p_rail", Some("bar"), &bar[..], C::RailPressure, "bar", gauge),
            ("FuelPressure", None, &absolute[..], C::RailPressure, "bar", Some(Origin::Absolute)),
            (
                "MAP kPa abs",
                None,
                &[35.0, 60.0, 99.0],
                C::ManifoldPressure,
                "kPa abs",
                Some(Origin::Absolute),
            ),
            ("Vacuum inHg", None, &[0.0, 18.0, 20.0], C::ManifoldPressure, "inHg", Some(Origin::Vacuum)),
            ("Boost (psi)", None, &[-9.0, -2.0, 8.0], C::ManifoldPressure, "psi", gauge),
            ("Manifold", None, &[30.0, 45.0, 97.0], C::ManifoldPressure, "kPa", Some(Origin::Absolute)),
            ("Engine Speed", Some("rpm"), &[0.0, 850.0, 5_000.0], C::Speed, "rpm", None),
            ("RPM", None, &[0.0, 850.0, 5_000.0], C::Speed, "RPM", None),
            ("AFR", None, &[13.0, 14.7, 15.1], C::Lambda, "AFR", None),
            ("Lambda 1", None, &[0.85, 1.0, 1.1], C::Lambda, "Lambda", None),
            ("Short term fuel trim", None, &[95.0, 101.0, 108.0], C::Trim, "% of 100", None),
            ("LTFT %", None, &[-3.0, 2.0, 4.0], C::LearnedTrim, "%", None),
            ("Batt V", None, &[12.1, 14.0, 14.1], C::BatteryVoltage, "V", None),
            ("time", None, &[0.0, 100.0, 200.0], C::Time, "ms", None),
            ("Kraftstoffdruck", None, &bar[..], C::RailPressure, "bar", gauge),
        ] {
            let (c, u, o, _) = of(name, row, values);
            assert_eq!((c, u.as_str(), o), (Some(channel), unit, from), "{name}");
        }
    }

    #[test]
    fn what_is_something_else_or_can_not_be_is_left_aside() {
        for (name, values) in [
            ("Target Lambda", &[0.9, 1.0][..]),
            ("Oil Pressure (kPa)", &[300.0, 310.0]),
            ("Intake air temp", &[25.0, 26.0]),
            ("gear", &[1.0, 2.0]),
            ("Fuel Pressure (kPa)", &[2.0, 3.0, 3.1]),
        ] {
            assert_eq!(of(name, None, values).0, None, "{name}");
        }
    }

    #[test]
    fn doubt_is_marked() {
        assert!(!of("fuel pressure kPa", None, &[300.0, 301.0]).3, "nothing shows what it is measured from");
        assert!(of("fuel pressure kPa", None, &[[0.0; 8], [300.0; 8]].concat()).3);
        assert!(!of("trim", None, &[-0.02, 0.0, 0.03]).3, "shares or small percentages");
    }
}
