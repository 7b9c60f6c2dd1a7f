//! Columns whose names say nothing, taken by their values alone: only for what no named column holds, never two for one channel, and
//! always in doubt but for a clock, so that a person looks.

use super::channel::Channel;
use super::guess::{Expected, course, nearest, units};
use super::layout::Sampled;
use super::mapping::{Column, default_origin};
use super::read::clock;
use super::robust::median;
use super::scale::read_unit;

/// Why a column was left aside whose name is in no list.
pub(super) const UNKNOWN: &str = "its name is not known";

/// Takes what can be told of the columns left aside for their names.
pub(super) fn by_values_alone(columns: &mut [Column], sampled: &Sampled, expected: &Expected) {
    for (channel, tell) in RULES {
        if columns.iter().any(|c| c.channel == Some(*channel)) {
            continue;
        }
        let told: Vec<(usize, String)> = (0..columns.len())
            .filter(|i| columns[*i].channel.is_none() && columns[*i].why == UNKNOWN)
            .filter_map(|i| Some((i, tell(&Values::of(sampled, i), expected)?)))
            .collect();
        // Where two columns could be it, neither is.
        let [(index, unit)] = &told[..] else { continue };
        let sure = unit == CLOCK;
        columns[*index] = Column {
            name: columns[*index].name.clone(),
            channel: Some(*channel),
            unit: unit.clone(),
            from: default_origin(*channel),
            sure,
            why: if sure { "a clock, by its texts" } else { "by its values alone" }.to_owned(),
        };
    }
}

/// The unit of a clock.
const CLOCK: &str = "clock";

/// What is known of one column.
struct Values<'a> {
    all: &'a [f64],
    text: Option<&'a str>,
    /// Texts of its name and of the row of units that may be a unit.
    units: Vec<String>,
}

impl<'a> Values<'a> {
    fn of(sampled: &'a Sampled, index: usize) -> Self {
        let layout = &sampled.layout;
        let row = layout.units.as_ref().and_then(|u| u.get(index)).map(String::as_str);
        Self {
            all: &sampled.values[index],
            text: sampled.texts[index].as_deref(),
            units: units(&layout.names[index], row),
        }
    }

    /// The unit stated, if it is one of this channel, or else the one that brings `value` nearest to what is expected, if no other does.
    fn unit(&self, channel: Channel, value: f64, expected: f64, among: &[&'static str]) -> Option<String> {
        if let Some(stated) = self.units.iter().find(|u| !u.is_empty() && read_unit(channel, u).is_some()) {
            return Some(stated.clone());
        }
        // A unit of something else says that it is something else.
        let other = self
            .units
            .iter()
            .any(|u| Channel::ALL.iter().any(|c| !u.is_empty() && read_unit(*c, u).is_some()));
        let (unit, sure) = nearest(channel, value, expected, among)?;
        (sure && !other).then(|| unit.to_owned())
    }

    /// How near to its whole numbers the column is: the share of values that are one.
    fn whole(&self) -> f64 {
        self.all.iter().filter(|v| v.fract() == 0.0).count() as f64 / self.all.len().max(1) as f64
    }
}

/// Fewest values that say anything.
const FEWEST: usize = 50;

type Tell = fn(&Values<'_>, &Expected) -> Option<String>;

/// What each channel is told by, all of it common practice. The manifold comes before the rail: at idle its kPa could be a rail's psi, while
/// over a pull only it rises to the atmosphere.
const RULES: &[(Channel, Tell)] = &[
    (Channel::Time, time),
    (Channel::Speed, speed),
    (Channel::ManifoldPressure, manifold),
    (Channel::RailPressure, rail),
    (Channel::Lambda, lambda),
];

/// Texts of a clock, or values that rise evenly and are no count of rows.
fn time(v: &Values<'_>, _: &Expected) -> Option<String> {
    if v.all.is_empty() {
        return clock(v.text?).map(|_| CLOCK.to_owned());
    }
    let mut steps: Vec<f64> = v.all.windows(2).map(|p| p[1] - p[0]).collect();
    let count = steps.len();
    let step = median(&mut steps).filter(|s| *s > 0.0 && count >= FEWEST)?;
    let even = steps.iter().filter(|s| (0.5 * step..=1.5 * step).contains(*s)).count();
    let rising = even * 10 >= count * 9;
    let counts_rows = step == 1.0 && v.whole() == 1.0;
    (rising && !counts_rows).then(|| if step >= 5.0 { "ms" } else { "s" }.to_owned())
}

fn speed(v: &Values<'_>, _: &Expected) -> Option<String> {
    let (low, middle, high) = course(v.all).filter(|_| v.all.len() >= FEWEST)?;
    let fits = (0.0..=1_300.0).contains(&low)
        && (500.0..=5_000.0).contains(&middle)
        && (1_500.0..=9_500.0).contains(&high)
        && high > 1.3 * middle;
    let stated = v.units.iter().any(|u| !u.is_empty() && read_unit(Channel::Speed, u).is_some());
    (fits && (stated || v.whole() > 0.8)).then(|| "1/min".to_owned())
}

fn rail(v: &Values<'_>, expected: &Expected) -> Option<String> {
    let (_, middle, _) = course(v.all).filter(|_| v.all.len() >= FEWEST)?;
    let unit = v.unit(Channel::RailPressure, middle, expected.rail, &["kPa", "psi", "bar"])?;
    let (scale, _) = read_unit(Channel::RailPressure, &unit)?;
    ((scale.si(middle) / expected.rail).ln().abs() < 0.12).then_some(unit)
}

fn manifold(v: &Values<'_>, expected: &Expected) -> Option<String> {
    let (low, _, high) = course(v.all).filter(|_| v.all.len() >= FEWEST)?;
    let unit = v.unit(Channel::ManifoldPressure, high, expected.full, &["kPa", "psi", "bar", "inHg"])?;
    let (scale, _) = read_unit(Channel::ManifoldPressure, &unit)?;
    let (low, high) = (scale.si(low), scale.si(high));
    ((high / expected.full).ln().abs() < 0.12 && (1.5e4..0.6 * expected.full).contains(&low)).then_some(unit)
}

fn lambda(v: &Values<'_>, _: &Expected) -> Option<String> {
    let (low, middle, high) = course(v.all).filter(|_| v.all.len() >= FEWEST)?;
    let fits = (0.93..=1.07).contains(&middle) && low > 0.6 && high < 1.6 && high > low + 0.02;
    fits.then(|| "lambda".to_owned())
}

#[cfg(test)]
mod tests {
    use super::super::guess::guess;
    use super::super::layout::sample;
    use super::*;
    use std::io::Cursor;

    /// Rows of time, speed, rail, manifold and lambda with an idle, a cruise and a pull.
    fn rows(with: impl Fn(usize) -> String) -> String {
        (0..400).fold(String::new(), |all, i| format!("{all}{}\n", with(i)))
    }

    fn guessed(text: &str) -> Vec<(Option<Channel>, String, bool)> {
        let sampled = sample(&mut Cursor::new(text.as_bytes().to_vec())).unwrap();
        guess(&sampled, None).columns.into_iter().map(|c| (c.channel, c.unit, c.sure)).collect()
    }

    fn car(i: usize) -> (f64, usize, f64, f64, f64) {
        let pull = i % 100 >= 80;
        let wave = (i % 7) as f64;
        let (speed, map) = if pull { (2_000 + 40 * (i % 100), 97.0) } else { (820 + i % 9, 38.0) };
        (i as f64 * 0.1, speed, 300.0 + wave, map + 0.2 * wave, 0.97 + 0.01 * wave)
    }

    #[test]
    fn names_that_say_nothing_are_told_by_their_values_and_marked() {
        let text = rows(|i| {
            let (t, speed, rail, map, lambda) = car(i);
            format!("{t:.1};{speed};{rail};{map:.1};{lambda:.2};{}", 80 + i % 3)
        });
        let with_names = format!("a;b;c;d;e;f\n{text}");
        for text in [text, with_names] {
            let columns = guessed(&text);
            let of = |channel| columns.iter().position(|c| c.0 == Some(channel));
            assert_eq!(of(Channel::Time), Some(0), "{columns:?}");
            assert_eq!(of(Channel::Speed), Some(1), "{columns:?}");
            assert_eq!((of(Channel::RailPressure), columns[2].1.as_str()), (Some(2), "kPa"), "{columns:?}");
            assert_eq!(of(Channel::ManifoldPressure), Some(3), "{columns:?}");
            assert_eq!(of(Channel::Lambda), Some(4), "{columns:?}");
            assert_eq!(columns[5].0, None, "a coolant temperature is none of them");
            assert!(columns[..5].iter().all(|c| !c.2), "all of it is in doubt: {columns:?}");
        }
    }

    #[test]
    fn a_clock_is_told_by_its_texts_whatever_it_is_called() {
        let text = rows(|i| format!("12:{:02}:{:02},{},{}", i / 60, i % 60, car(i).1, 300 + i % 3));
        let columns = guessed(&format!("Clock,rpm,fuel pressure kPa\n{text}"));
        assert_eq!(columns[0], (Some(Channel::Time), "clock".to_owned(), true));
    }

    #[test]
    fn what_could_be_two_things_or_counts_rows_is_left_aside() {
        let twice = rows(|i| format!("{i},{},{}", 300 + i % 5, 301 + i % 7));
        let columns = guessed(&format!("n,one,two\n{twice}"));
        assert!(columns.iter().all(|c| c.0.is_none()), "{columns:?}");
        // A unit of its own says that it is something else.
        let volts = rows(|i| format!("{},{}", i as f64 * 0.1, 300 + i % 5));
        assert_eq!(guessed(&format!("x,y (mV)\n{volts}"))[1].0, None);
    }
}
