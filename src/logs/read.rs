//! The log from end to end, row by row, in SI. Nothing of it is held.

use super::channel::Channel;
use super::error::LogError;
use super::layout::{Layout, number};
use super::mapping::Mapping;
use super::scale::{Origin, Scale};
use serde::Serialize;
use std::io::{self, Read};

/// What was met on the way.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Tally {
    /// Rows of values.
    pub rows: u64,
    /// Rows that held nothing that could be used.
    pub unusable: u64,
    /// Values outside anything the sensor can mean, left out.
    pub dropouts: u64,
    /// Seconds from the first row to the last, gaps and jumps aside.
    pub seconds: f64,
    /// Whether the log has no time, so that ten rows a second were taken.
    pub time_assumed: bool,
}

/// Rows a second where the log has no time (common practice).
const ASSUMED_RATE: f64 = 10.0;

/// Bytes read at once, and the most that are read for the rest of a row once it goes on beyond what was read for it before.
const BLOCK: usize = 256 * 1024;

/// A reader that fails where a row does not end, so that a row takes no more memory than a row can be long.
struct Bounded<R> {
    from: R,
    in_row: usize,
}

impl<R: Read> Read for Bounded<R> {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        if self.in_row >= BLOCK {
            return Err(io::ErrorKind::InvalidData.into());
        }
        let n = self.from.read(into)?;
        self.in_row += n;
        Ok(n)
    }
}

struct Wanted {
    column: usize,
    channel: Channel,
    scale: Scale,
    from: Option<Origin>,
    clock: bool,
}

/// Seconds of a clock such as `2026-01-31T14:02:11.5Z` or `14:02:11,5`.
pub(super) fn clock(text: &str) -> Option<f64> {
    let time = text.trim().trim_end_matches('Z').rsplit(['T', ' ']).next()?;
    let mut parts = time.splitn(3, ':');
    let hours: f64 = parts.next()?.parse().ok()?;
    let minutes: f64 = parts.next()?.parse().ok()?;
    let seconds: f64 = parts.next().map_or(Some(0.0), |s| s.replace(',', ".").parse().ok())?;
    let all = hours * 3_600.0 + minutes * 60.0 + seconds;
    (all.is_finite() && hours >= 0.0 && (0.0..60.0).contains(&minutes)).then_some(all)
}

/// Brings a pressure to where its channel is measured from: the rail to the atmosphere, all others to vacuum.
fn origin(si: f64, channel: Channel, from: Option<Origin>, atmosphere: f64) -> f64 {
    let rail = channel == Channel::RailPressure;
    match from {
        Some(Origin::Absolute) if rail => si - atmosphere,
        Some(Origin::Gauge) if !rail => si + atmosphere,
        Some(Origin::Vacuum) if rail => -si,
        Some(Origin::Vacuum) => atmosphere - si,
        _ => si,
    }
}

/// Hands every row to `each`: time in s and the channels in SI, NaN where a channel has no value.
///
/// # Errors
/// [`LogError::Io`] where the file can't be read on; [`LogError::LongRow`].
pub(super) fn rows(
    from: impl Read,
    layout: &Layout,
    mapping: &Mapping,
    atmosphere: f64,
    mut each: impl FnMut(f64, &[f64; Channel::COUNT]),
) -> Result<Tally, LogError> {
    let wanted: Vec<Wanted> = mapping
        .columns
        .iter()
        .enumerate()
        .filter_map(|(column, c)| {
            Some(Wanted {
                column,
                channel: c.channel?,
                scale: c.scale()?,
                from: c.from,
                clock: c.channel == Some(Channel::Time) && c.unit == "clock",
            })
        })
        .collect();
    let across =
        wanted.iter().any(|w| w.channel == Channel::RailPressure && w.from == Some(Origin::Manifold));
    let timed = wanted.iter().any(|w| w.channel == Channel::Time);
    let mut tally = Tally { time_assumed: !timed, ..Tally::default() };
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(layout.delimiter)
        .has_headers(false)
        .flexible(true)
        .buffer_capacity(BLOCK)
        .from_reader(Bounded { from, in_row: 0 });
    let mut record = csv::ByteRecord::new();
    let mut row = [f64::NAN; Channel::COUNT];
    let (mut index, mut before): (usize, Option<f64>) = (0, None);
    loop {
        let after = reader.position().line() - 1;
        reader.get_mut().in_row = 0;
        match reader.read_byte_record(&mut record) {
            Ok(true) => {}
            Ok(false) => break,
            Err(e) => match e.into_kind() {
                csv::ErrorKind::Io(_) if reader.get_ref().in_row >= BLOCK => {
                    return Err(LogError::LongRow { after });
                }
                csv::ErrorKind::Io(e) => return Err(LogError::Io(e)),
                // With any number of fields and any bytes allowed, nothing else is left to go wrong in a row.
                _ => continue,
            },
        }
        index += 1;
        if index <= layout.rows_before {
            continue;
        }
        row.fill(f64::NAN);
        let mut any = false;
        for w in &wanted {
            let Some(field) = record.get(w.column) else { continue };
            let raw = if w.clock {
                std::str::from_utf8(field).ok().and_then(clock)
            } else {
                number(field, layout.decimal_comma)
            };
            let Some(raw) = raw else { continue };
            let si = origin(w.scale.si(raw), w.channel, w.from, atmosphere);
            let (least, most) = w.channel.plausible();
            if (least..=most).contains(&si) {
                row[w.channel as usize] = si;
                any |= w.channel != Channel::Time;
            } else {
                tally.dropouts += 1;
            }
        }
        if across {
            row[Channel::RailPressure as usize] += row[Channel::ManifoldPressure as usize] - atmosphere;
        }
        let time = if timed { row[Channel::Time as usize] } else { tally.rows as f64 / ASSUMED_RATE };
        if !any || time.is_nan() {
            tally.unusable += 1;
            continue;
        }
        tally.rows += 1;
        if let Some(before) = before.filter(|b| (0.0..10.0).contains(&(time - b))) {
            tally.seconds += time - before;
        }
        before = Some(time);
        each(time, &row);
    }
    Ok(tally)
}

#[cfg(test)]
mod tests {
    use super::super::mapping::Column;
    use super::*;

    fn column(channel: Option<Channel>, unit: &str, from: Option<Origin>) -> Column {
        Column { name: String::new(), channel, unit: unit.into(), from, sure: true, why: String::new() }
    }

    #[test]
    fn rows_come_in_si_and_measured_from_where_they_should_be() {
        let layout = Layout {
            delimiter: b';',
            decimal_comma: true,
            rows_before: 1,
            names: Vec::new(),
            units: None,
            named: true,
        };
        let mapping = Mapping {
            columns: vec![
                column(Some(Channel::Time), "clock", None),
                column(Some(Channel::RailPressure), "kPa", Some(Origin::Absolute)),
                column(None, "", None),
                column(Some(Channel::ManifoldPressure), "kPa", Some(Origin::Vacuum)),
            ],
        };
        let text = "a;b;c;d\n00:00:01,5;401,0;x;60\n00:00:01,6;;;\n00:00:01,7;9999999;1;60\n";
        let mut seen = Vec::new();
        let tally = rows(text.as_bytes(), &layout, &mapping, 101e3, |t, row| seen.push((t, *row))).unwrap();
        assert_eq!((tally.rows, tally.unusable, tally.dropouts), (2, 1, 1));
        assert_eq!((seen[0].0, seen[0].1[Channel::RailPressure as usize]), (1.5, 300e3));
        assert_eq!(seen[0].1[Channel::ManifoldPressure as usize], 41e3);
        assert!(seen[1].1[Channel::RailPressure as usize].is_nan());
    }

    /// The bytes of the first, as many as the second has.
    struct Piece<T>(T, io::Take<io::Repeat>);

    impl<T: Iterator<Item = u8>> Read for Piece<T> {
        fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
            let n = self.1.read(into)?;
            into[..n].iter_mut().zip(&mut self.0).for_each(|(b, x)| *b = x);
            Ok(n)
        }
    }

    #[test]
    fn a_row_without_an_end_is_refused_before_it_fills_the_memory() {
        let layout = Layout {
            delimiter: b',',
            decimal_comma: false,
            rows_before: 0,
            names: Vec::new(),
            units: None,
            named: false,
        };
        let mapping = Mapping { columns: vec![column(Some(Channel::Speed), "1/min", None)] };
        let read = |begin: &str, piece: &str| {
            let endless = io::repeat(0).take(1 << 30);
            let text = piece.as_bytes().iter().copied().cycle();
            let mut given = begin.as_bytes().chain(Piece(text, endless));
            let mut seen = 0;
            let outcome = rows(&mut given, &layout, &mapping, 101e3, |_, _| seen += 1);
            (outcome, seen, (1 << 30) - given.into_inner().1.1.limit())
        };
        // One line, and a quotation mark that is not closed.
        for (begin, piece, lines, before) in
            [("", "850,1", 0, 0), ("850,\"\"\n850,b\n850,\"", "x\n850,1\n", 2, 2)]
        {
            let (outcome, seen, given) = read(begin, piece);
            assert!(matches!(&outcome, Err(LogError::LongRow { after }) if *after == lines), "{outcome:?}");
            let said = outcome.unwrap_err().to_string();
            assert!(said.contains(&format!("line {lines};")), "{said}");
            assert_eq!(seen, before);
            assert!(given <= 2 * BLOCK as u64, "{given} bytes were read");
        }
        // A long row that ends is a row.
        let long = format!("850,{}\n851,1\n", "y".repeat(BLOCK - 100));
        let mut seen = 0;
        let tally = rows(long.as_bytes(), &layout, &mapping, 101e3, |_, _| seen += 1).unwrap();
        assert_eq!((tally.rows, seen), (2, 2));
    }

    #[test]
    fn clocks() {
        assert_eq!(clock("2026-01-31T01:00:02.5Z"), Some(3602.5));
        assert_eq!(clock("31.01.2026 00:01:00"), Some(60.0));
        assert_eq!((clock("noon"), clock("1:99:00")), (None, None));
    }
}
