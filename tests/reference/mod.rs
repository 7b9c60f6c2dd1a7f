//! Every row of every reference table against the library.
//!
//! The tables and where their figures come from: `fixtures/reference/SOURCES.md`. Each test says the tolerance its source
//! justifies and asserts how many rows it checked. The table of gauge classes is checked with the instruments.

mod air;
mod electric;
mod flow;
mod fuel;

use std::collections::BTreeMap;
use std::path::Path;

/// One row of a reference table, by column name.
pub struct Row {
    cells: BTreeMap<String, String>,
}

impl Row {
    /// The text of a cell.
    #[track_caller]
    pub fn text(&self, column: &str) -> &str {
        self.cells.get(column).unwrap_or_else(|| panic!("no column '{column}'"))
    }

    /// The number in a cell; nothing where it is blank.
    #[track_caller]
    pub fn maybe(&self, column: &str) -> Option<f64> {
        let text = self.text(column);
        (!text.is_empty())
            .then(|| text.parse().unwrap_or_else(|e| panic!("'{text}' in column '{column}': {e}")))
    }

    /// The number in a cell that must not be blank.
    #[track_caller]
    pub fn number(&self, column: &str) -> f64 {
        self.maybe(column).unwrap_or_else(|| panic!("a number in column '{column}'"))
    }

    /// The whole row, for messages.
    pub fn show(&self) -> String {
        format!("{:?}", self.cells)
    }
}

/// Every row of `fixtures/reference/NAME.csv`.
pub fn table(name: &str) -> Vec<Row> {
    let path =
        Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/reference").join(name).with_extension("csv");
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_path(path).unwrap();
    let columns = reader.headers().unwrap().clone();
    reader
        .records()
        .map(|record| {
            let record = record.unwrap();
            Row { cells: columns.iter().map(str::to_owned).zip(record.iter().map(str::to_owned)).collect() }
        })
        .collect()
}

/// `found` within a relative tolerance of `expected`.
#[track_caller]
pub fn relative(row: &Row, what: &str, found: f64, expected: f64, tolerance: f64) {
    assert!(
        (found - expected).abs() <= tolerance * expected.abs(),
        "{what}: found {found}, reference {expected}, off by {:.4} %\n{}",
        100.0 * (found / expected - 1.0),
        row.show()
    );
}

/// `found` within an absolute tolerance of `expected`.
#[track_caller]
pub fn absolute(row: &Row, what: &str, found: f64, expected: f64, tolerance: f64) {
    assert!(
        (found - expected).abs() <= tolerance,
        "{what}: found {found}, reference {expected}\n{}",
        row.show()
    );
}

/// Every table of the folder is read by a test: none is copied and forgotten.
#[test]
fn every_table_is_read_by_a_test() {
    let tested = [
        include_str!("air.rs"),
        include_str!("electric.rs"),
        include_str!("flow.rs"),
        include_str!("fuel.rs"),
        include_str!("../instrument/mod.rs"),
    ]
    .concat();
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/reference");
    let mut tables = 0;
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|e| e == "csv") {
            let name = path.file_stem().unwrap().to_str().unwrap();
            let named = [format!("table(\"{name}\")"), format!("{name}.csv")];
            assert!(named.iter().any(|n| tested.contains(n.as_str())), "no test reads {name}.csv");
            tables += 1;
        }
    }
    assert_eq!(tables, 15);
}
