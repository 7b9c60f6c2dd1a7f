//! How a file is laid out: what parts the fields, where the names stand, whether a comma is the decimal mark. Seen from a few
//! blocks spread over the file, so that a column that only moves late in a long log is known too.

use super::error::LogError;
use std::io::{Read, Seek, SeekFrom};

/// Bytes looked at for the names.
const HEAD: usize = 64 * 1024;
/// Blocks looked at for values, and bytes of each.
const BLOCKS: u64 = 48;
const BLOCK: usize = 16 * 1024;

/// How the fields of a log stand in its file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Layout {
    /// What parts the fields.
    pub delimiter: u8,
    /// Whether a comma is the decimal mark.
    pub decimal_comma: bool,
    /// Rows before the first row of values.
    pub rows_before: usize,
    /// The columns' names, as in the file; made up where it has none.
    pub names: Vec<String>,
    /// The row of units under the names, if there is one.
    pub units: Option<Vec<String>>,
    /// Whether the file itself names its columns.
    pub named: bool,
}

/// A layout with some values of every column.
#[derive(Debug, Clone)]
pub struct Sampled {
    /// The layout.
    pub layout: Layout,
    /// By column, values as written that are numbers, in the order of the file.
    pub values: Vec<Vec<f64>>,
    /// By column, a text that is no number, if there is one: a clock, perhaps.
    pub texts: Vec<Option<String>>,
}

/// The number a field holds; none where it is empty or holds something else.
pub(super) fn number(field: &[u8], decimal_comma: bool) -> Option<f64> {
    let text = std::str::from_utf8(field).ok()?.trim();
    if text.is_empty() {
        return None;
    }
    let parsed = if decimal_comma && text.contains(',') {
        text.replace(',', ".").parse::<f64>()
    } else {
        text.parse::<f64>()
    };
    // Words such as "nan" and "inf" are taken by the parser and are no reading.
    parsed.ok().filter(|v| v.is_finite())
}

fn rows(bytes: &[u8], delimiter: u8, most: usize) -> Vec<Vec<String>> {
    let mut reader =
        csv::ReaderBuilder::new().delimiter(delimiter).has_headers(false).flexible(true).from_reader(bytes);
    let mut all = Vec::new();
    let mut record = csv::ByteRecord::new();
    while all.len() < most && matches!(reader.read_byte_record(&mut record), Ok(true)) {
        all.push(record.iter().map(|f| String::from_utf8_lossy(f).trim().to_owned()).collect());
    }
    all
}

/// The delimiter that parts most rows into the same number of fields, and more than one.
fn delimiter(bytes: &[u8]) -> Option<u8> {
    let score = |d: u8| {
        let rows = rows(bytes, d, 200);
        let widest = rows.iter().map(Vec::len).max().unwrap_or(0);
        let same = rows.iter().filter(|r| r.len() == widest).count();
        // A comma that is a decimal mark parts a number in two; the other delimiters do not.
        (same * 10 / rows.len().max(1), widest)
    };
    [b';', b'\t', b',']
        .into_iter()
        .filter(|d| score(*d).1 > 1 && score(*d).0 >= 5)
        .max_by_key(|d| (*d != b',', score(*d)))
}

fn is_value(field: &str, comma: bool) -> bool {
    number(field.as_bytes(), comma).is_some()
}

fn layout(head: &[u8]) -> Result<Layout, LogError> {
    let no_table = |found: &str| LogError::NoTable { found: found.to_owned() };
    if head.iter().all(u8::is_ascii_whitespace) {
        return Err(no_table("an empty file"));
    }
    if head.contains(&0) {
        return Err(no_table("bytes that are no text"));
    }
    if head.len() >= HEAD && !head.iter().any(|b| matches!(b, b'\n' | b'\r')) {
        return Err(no_table("no end of a line in its first 64 KiB"));
    }
    let delimiter = delimiter(head).ok_or_else(|| no_table("no rows of several fields"))?;
    let rows = rows(head, delimiter, 400);
    let width = rows.iter().map(Vec::len).max().unwrap_or(0);
    let comma = delimiter != b','
        && rows.iter().flatten().filter(|f| f.contains(',') && is_value(f, true)).count()
            > rows.iter().flatten().filter(|f| f.contains('.') && is_value(f, false)).count();
    let values = |row: &Vec<String>| row.iter().filter(|f| is_value(f, comma)).count();
    // Values begin where at least half of the filled fields are numbers, and the row is as wide as the table.
    let filled = |row: &Vec<String>| row.iter().filter(|f| !f.is_empty()).count();
    let first = rows
        .iter()
        .position(|r| r.len() * 10 >= width * 8 && values(r) >= 2.min(width) && values(r) * 2 >= filled(r))
        .ok_or_else(|| no_table("no row of numbers"))?;
    let above: Vec<&Vec<String>> = rows[..first].iter().filter(|r| r.len() * 10 >= width * 8).collect();
    let (names, units) = match above.as_slice() {
        [] => (None, None),
        [.., names, units] if units.iter().all(|u| u.chars().count() <= 10) => {
            (Some((*names).clone()), Some((*units).clone()))
        }
        [.., names] => (Some((*names).clone()), None),
    };
    let named = names.is_some();
    let mut names = names.unwrap_or_default();
    for i in names.len()..width {
        names.push(format!("column {}", i + 1));
    }
    if let Some(first) = names.first_mut() {
        *first = first.trim_start_matches('\u{feff}').to_owned();
    }
    Ok(Layout { delimiter, decimal_comma: comma, rows_before: first, names, units, named })
}

/// Looks at the beginning of a log and at blocks spread over it.
///
/// # Errors
/// [`LogError::Io`], or [`LogError::NoTable`] where this can't be a log.
pub fn sample(from: &mut (impl Read + Seek)) -> Result<Sampled, LogError> {
    let length = from.seek(SeekFrom::End(0))?;
    let mut block = |at: u64, most: usize| -> Result<Vec<u8>, LogError> {
        from.seek(SeekFrom::Start(at))?;
        let mut bytes = Vec::new();
        from.take(most as u64).read_to_end(&mut bytes)?;
        // What is cut off at the end is no row.
        if at + (bytes.len() as u64) < length
            && let Some(end) = bytes.iter().rposition(|b| *b == b'\n')
        {
            bytes.truncate(end + 1);
        }
        Ok(bytes)
    };
    let head = block(0, HEAD)?;
    let layout = layout(&head)?;
    let width = layout.names.len();
    let mut sampled = Sampled { values: vec![Vec::new(); width], texts: vec![None; width], layout };
    sampled.take(&rows(&head, sampled.layout.delimiter, usize::MAX)[sampled.layout.rows_before..]);
    let beyond = length.saturating_sub(head.len() as u64);
    let step = (beyond / BLOCKS).max(BLOCK as u64);
    let mut at = head.len() as u64;
    while at < length {
        let bytes = block(at, BLOCK)?;
        // The first line is the end of a row.
        let begin = if at == head.len() as u64 {
            0
        } else {
            bytes.iter().position(|b| *b == b'\n').map_or(0, |n| n + 1)
        };
        sampled.take(&rows(&bytes[begin..], sampled.layout.delimiter, usize::MAX));
        at += step;
    }
    from.seek(SeekFrom::Start(0))?;
    Ok(sampled)
}

impl Sampled {
    fn take(&mut self, rows: &[Vec<String>]) {
        for row in rows {
            for (i, field) in row.iter().enumerate().take(self.values.len()) {
                match number(field.as_bytes(), self.layout.decimal_comma) {
                    Some(value) => self.values[i].push(value),
                    None if !field.is_empty() && self.texts[i].is_none() => {
                        self.texts[i] = Some(field.clone());
                    }
                    None => {}
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::fmt::Write as _;
    use std::io::Cursor;

    fn of(text: &str) -> Layout {
        sample(&mut Cursor::new(text.as_bytes().to_vec())).unwrap().layout
    }

    #[test]
    fn names_units_and_what_stands_above_them() {
        let l = of("a log of some kind\n\nTime,Fuel Pressure,RPM\ns,psi,1/min\n0.0,43.1,850\n0.1,43.2,851\n");
        assert_eq!((l.delimiter, l.decimal_comma, l.named), (b',', false, true));
        assert_eq!(l.names, ["Time", "Fuel Pressure", "RPM"]);
        assert_eq!(l.units.unwrap(), ["s", "psi", "1/min"]);
    }

    #[test]
    fn a_decimal_comma_is_seen_where_something_else_parts_the_fields() {
        let l = of("Zeit;Kraftstoffdruck;Drehzahl\n0,0;3,01;850\n0,1;3,02;851\n");
        assert_eq!((l.delimiter, l.decimal_comma, l.rows_before), (b';', true, 1));
    }

    #[test]
    fn without_names_the_columns_are_numbered() {
        let l = of("0.0,43.1\n0.1,43.2\n0.2,43.0\n");
        assert!(!l.named);
        assert_eq!((l.names, l.rows_before), (vec!["column 1".to_owned(), "column 2".to_owned()], 0));
    }

    #[test]
    fn what_is_no_table_is_refused() {
        for bytes in [&b""[..], b"  \n ", b"one\ntwo\n", b"a,b\nc,d\n", b"\0\x01,\x02\n"] {
            assert!(matches!(sample(&mut Cursor::new(bytes)), Err(LogError::NoTable { .. })), "{bytes:?}");
        }
        let endless = "850,43.1,".repeat(10_000);
        let refused = sample(&mut Cursor::new(endless.as_bytes())).unwrap_err().to_string();
        assert!(refused.contains("no end of a line in its first 64 KiB"), "{refused}");
        let old = "850,43.1\r".repeat(10_000);
        assert_eq!(sample(&mut Cursor::new(old.as_bytes())).unwrap().layout.names.len(), 2);
    }

    #[test]
    fn values_are_seen_over_the_whole_file() {
        let mut text = "t,late\n".to_owned();
        for i in 0..60_000 {
            let _ = writeln!(text, "{},{}", f64::from(i) / 10.0, if i > 55_000 { 7 } else { 0 });
        }
        let seen = sample(&mut Cursor::new(text.into_bytes())).unwrap();
        assert!(seen.values[1].contains(&7.0));
        // Only whole rows: the times rise all the way.
        assert!(seen.values[0].windows(2).all(|p| p[0] < p[1]));
        assert_eq!(number(b" 1,5 ", true), Some(1.5));
        assert_eq!((number(b"nan", false), number(b"", false), number(b"-", false)), (None, None, None));
    }
}
