//! A table from JSON or from parts, checked: everything wrong is reported at once.

use super::error::TableError;
use super::{Table, Test};
use crate::terms::nearest;
use serde::de::{Deserialize, Deserializer, MapAccess, Visitor};
use std::collections::HashSet;
use std::fmt;

/// Sums off by more than this are refused; by less they are scaled, as figures rounded to three digits are.
const SUM_REFUSED: f64 = 2e-3;
/// Sums off by more than this are mentioned when they are scaled.
const SUM_MENTIONED: f64 = 1e-9;

#[derive(serde::Deserialize)]
struct RawTable {
    faults: Vec<RawFault>,
    tests: Vec<RawTest>,
}

#[derive(serde::Deserialize)]
struct RawFault {
    id: String,
    prior: f64,
}

#[derive(serde::Deserialize)]
struct RawTest {
    id: String,
    cost: f64,
    outcomes: Vec<String>,
    p: Pairs,
}

/// A JSON object with its keys in order and repeated ones kept, so that they can be refused.
struct Pairs(Vec<(String, Vec<f64>)>);

impl<'de> Deserialize<'de> for Pairs {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        struct Reader;
        impl<'de> Visitor<'de> for Reader {
            type Value = Pairs;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("an object of fault ids, each with its probabilities")
            }
            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Pairs, A::Error> {
                let mut pairs = Vec::new();
                while let Some(pair) = map.next_entry()? {
                    pairs.push(pair);
                }
                Ok(Pairs(pairs))
            }
        }
        from.deserialize_map(Reader)
    }
}

/// Scales `numbers` to a sum of one if they nearly have it. Gives the sum found when they don't, and whether the
/// scaling is worth a remark.
fn scale(numbers: &mut [f64]) -> Result<bool, f64> {
    let sum: f64 = numbers.iter().sum();
    if !sum.is_finite() || (sum - 1.0).abs() > SUM_REFUSED {
        return Err(sum);
    }
    let off = (sum - 1.0).abs() > SUM_MENTIONED;
    if off {
        for n in numbers.iter_mut() {
            *n /= sum;
        }
    }
    Ok(off)
}

fn bad_id(id: &str) -> bool {
    id.trim().is_empty() || id.chars().any(char::is_control)
}

fn check_ids<'a>(
    kind: &'static str,
    within: &str,
    ids: impl Iterator<Item = &'a str>,
    errors: &mut Vec<TableError>,
) {
    let mut seen = HashSet::new();
    for id in ids {
        if bad_id(id) {
            errors.push(TableError::BadId { kind, id: id.escape_debug().to_string() });
        } else if !seen.insert(id) {
            errors.push(TableError::Twice { kind, id: id.to_owned(), within: within.to_owned() });
        }
    }
}

impl Table {
    /// Reads the JSON of a table; beside it come remarks, such as priors that were scaled to a sum of one.
    ///
    /// ```text
    /// {"faults": [{"id", "prior"}],
    ///  "tests": [{"id", "cost", "outcomes": [...], "p": {fault: [P(outcome | fault), ...]}}]}
    /// ```
    ///
    /// # Errors
    /// Everything that is wrong with it.
    pub fn from_json(text: &str) -> Result<(Self, Vec<String>), Vec<TableError>> {
        let raw: RawTable =
            serde_json::from_str(text).map_err(|e| vec![TableError::Json { message: e.to_string() }])?;
        let faults: Vec<(String, f64)> = raw.faults.into_iter().map(|f| (f.id, f.prior)).collect();
        let mut errors = Vec::new();
        let mut tests = Vec::new();
        for test in raw.tests {
            let named = test.p.0.iter().map(|(fault, _)| fault.as_str());
            check_ids("row of fault", &test.id, named, &mut errors);
            for (fault, _) in &test.p.0 {
                if !faults.iter().any(|(id, _)| id == fault) {
                    let near = nearest(fault, faults.iter().map(|(id, _)| id.as_str())).map(str::to_owned);
                    errors.push(TableError::StrayRow { test: test.id.clone(), fault: fault.clone(), near });
                }
            }
            let mut rows = Vec::new();
            for (fault, _) in &faults {
                match test.p.0.iter().find(|(id, _)| id == fault) {
                    Some((_, row)) => rows.push(row.clone()),
                    None => errors.push(TableError::NoRow { test: test.id.clone(), fault: fault.clone() }),
                }
            }
            if rows.len() == faults.len() {
                tests.push(Test::new(test.id, test.cost, test.outcomes, rows));
            }
        }
        match Self::new(faults, tests) {
            Ok(done) if errors.is_empty() => Ok(done),
            Ok(_) => Err(errors),
            Err(more) => {
                errors.extend(more);
                Err(errors)
            }
        }
    }

    /// A table from its parts; each test has one row a fault, in the order of `faults`. Beside it come remarks.
    ///
    /// # Errors
    /// Everything that is wrong with it.
    pub fn new(
        mut faults: Vec<(String, f64)>,
        mut tests: Vec<Test>,
    ) -> Result<(Self, Vec<String>), Vec<TableError>> {
        let mut errors = Vec::new();
        let mut remarks = Vec::new();
        if faults.is_empty() {
            errors.push(TableError::NoFaults);
        }
        check_ids("fault", "", faults.iter().map(|(id, _)| id.as_str()), &mut errors);
        check_ids("test", "", tests.iter().map(|t| t.id.as_str()), &mut errors);
        let bad = faults.iter().filter(|(_, p)| !(p.is_finite() && *p > 0.0));
        errors.extend(bad.map(|(id, p)| TableError::BadPrior { fault: id.clone(), prior: *p }));
        let mut priors: Vec<f64> = faults.iter().map(|(_, p)| *p).collect();
        if errors.is_empty() {
            match scale(&mut priors) {
                Ok(true) => remarks.push("the priors were scaled to a sum of 1".to_owned()),
                Ok(false) => {}
                Err(sum) => errors.push(TableError::PriorSum { sum }),
            }
        }
        for (fault, prior) in faults.iter_mut().zip(priors) {
            fault.1 = prior;
        }
        for test in &mut tests {
            check_test(test, &faults, &mut errors, &mut remarks);
        }
        if errors.is_empty() { Ok((Self { faults, tests }, remarks)) } else { Err(errors) }
    }
}

fn check_test(
    test: &mut Test,
    faults: &[(String, f64)],
    errors: &mut Vec<TableError>,
    remarks: &mut Vec<String>,
) {
    let id = test.id.clone();
    check_ids("outcome", &id, test.outcomes.iter().map(String::as_str), errors);
    if test.outcomes.is_empty() {
        errors.push(TableError::NoOutcomes { test: id.clone() });
    }
    if !(test.cost.is_finite() && test.cost > 0.0) {
        errors.push(TableError::BadCost { test: id.clone(), cost: test.cost });
    }
    let expected = test.outcomes.len();
    let mut scaled = 0;
    for (index, (fault, _)) in faults.iter().enumerate() {
        let Some(row) = test.rows.get_mut(index) else {
            errors.push(TableError::NoRow { test: id.clone(), fault: fault.clone() });
            continue;
        };
        if row.len() != expected {
            let found = row.len();
            errors.push(TableError::RowSize { test: id.clone(), fault: fault.clone(), found, expected });
            continue;
        }
        if let Some(value) = row.iter().copied().find(|p| !(0.0..=1.0).contains(p)) {
            errors.push(TableError::BadProbability { test: id.clone(), fault: fault.clone(), value });
            continue;
        }
        match scale(row) {
            Ok(off) => scaled += usize::from(off),
            Err(sum) => errors.push(TableError::RowSum { test: id.clone(), fault: fault.clone(), sum }),
        }
    }
    if scaled > 0 {
        remarks.push(format!("test '{id}': {scaled} of its rows were scaled to a sum of 1"));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const GOOD: &str = r#"{"faults": [{"id": "a", "prior": 0.4}, {"id": "b", "prior": 0.6}],
        "tests": [{"id": "t", "cost": 1, "outcomes": ["lo", "hi"], "p": {"a": [1, 0], "b": [0.2, 0.8]}}]}"#;

    fn errors_of(from: &str, to: &str) -> String {
        let text = GOOD.replace(from, to);
        assert_ne!(text, GOOD, "'{from}' stands in the good table");
        let errors = Table::from_json(&text).unwrap_err();
        errors.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
    }

    #[test]
    fn a_good_table_is_taken_as_it_stands() {
        let (table, remarks) = Table::from_json(GOOD).unwrap();
        assert!(remarks.is_empty());
        assert_eq!(table.faults()[1], ("b".to_owned(), 0.6));
        assert_eq!(table.tests()[0].p(1, 1), 0.8);
    }

    #[test]
    fn each_mistake_is_named_where_it_is() {
        for (from, to, part) in [
            ("\"prior\": 0.4", "\"prior\": 0.3", "the priors sum to 0.8999999999999999, expected 1"),
            ("\"prior\": 0.4", "\"prior\": 0", "fault 'a': expected a prior above 0, found 0"),
            ("\"prior\": 0.4", "\"prior\": -0.4", "expected a prior above 0, found -0.4"),
            ("{\"id\": \"b\"", "{\"id\": \"a\"", "the fault 'a' stands twice"),
            ("\"cost\": 1", "\"cost\": 0", "test 't': expected a cost above 0"),
            ("[0.2, 0.8]", "[0.2, 0.7]", "test 't', fault 'b': the probabilities sum to 0.8999999999999999"),
            ("[0.2, 0.8]", "[0.2, 0.7, 0.1]", "expected 2 probabilities, one an outcome, found 3"),
            ("[0.2, 0.8]", "[-0.2, 1.2]", "-0.2 is no probability"),
            (
                "\"b\": [0.2",
                "\"bb\": [0.2",
                "has a row for 'bb', which is no fault of this table; did you mean 'b'?",
            ),
            ("\"b\": [0.2", "\"bb\": [0.2", "test 't' has no row for fault 'b'"),
            ("\"b\": [0.2", "\"a\": [0.2", "the row of fault 'a' stands twice"),
            ("\"hi\"]", "\"lo\"]", "test 't': the outcome 'lo' stands twice"),
            ("\"id\": \"t\"", "\"id\": \"\\u001b[2J\"", "no control characters"),
            ("\"cost\": 1,", "", "missing field `cost` at line 2"),
        ] {
            let found = errors_of(from, to);
            assert!(found.contains(part), "{from} → {to}: {found}");
        }
        let empty = Table::from_json(r#"{"faults": [], "tests": []}"#).unwrap_err();
        assert_eq!(empty, [TableError::NoFaults]);
    }

    #[test]
    fn all_mistakes_come_together() {
        let text = GOOD.replace("0.4", "-1").replace("\"cost\": 1", "\"cost\": -1").replace("0.8", "0.9");
        assert_eq!(Table::from_json(&text).unwrap_err().len(), 3);
    }

    #[test]
    fn rounded_figures_are_scaled_and_said() {
        let text = GOOD.replace("[0.2, 0.8]", "[0.333, 0.666]");
        let (table, remarks) = Table::from_json(&text).unwrap();
        assert_eq!(remarks, ["test 't': 1 of its rows were scaled to a sum of 1"]);
        assert!((table.tests()[0].p(1, 0) + table.tests()[0].p(1, 1) - 1.0).abs() < 1e-15);
    }
}
