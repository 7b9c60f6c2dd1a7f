//! A car being described: what was stated so far, key by key, and the rig file that says the same.

use super::Rig;
use super::fields::{FIELDS, Kind};
use super::problem::RigError;
use super::read::{RigText, Value};
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// What was stated of a car.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RigDraft {
    values: BTreeMap<String, Value>,
}

impl RigDraft {
    /// What a rig file states; its values are not checked yet.
    ///
    /// # Errors
    /// Everything that is wrong with the file's shape.
    pub fn parse(source: &str, text: &str) -> Result<Self, RigError> {
        Ok(Self { values: RigText::parse(source, text)?.values })
    }

    /// What was stated, as it would be read from a file.
    pub fn text(&self) -> RigText {
        let mut text = RigText::default();
        "the car".clone_into(&mut text.source);
        text.values.clone_from(&self.values);
        text
    }

    /// The checked car.
    ///
    /// # Errors
    /// Everything that is wrong with its values, at once.
    pub fn rig(&self) -> Result<Rig, RigError> {
        Rig::build(&self.text())
    }

    /// The car's name, if it was given one.
    pub fn name(&self) -> Option<&str> {
        match self.values.get("rig") {
            Some(Value::Text(name)) => Some(name),
            _ => None,
        }
    }

    /// What was stated for a key, as it would be typed again.
    pub fn stated(&self, path: &str) -> Option<String> {
        self.values.get(path).map(as_text)
    }

    /// States a fact as typed; an empty text takes it back. A key that is none changes nothing.
    pub fn set(&mut self, path: &str, text: &str) {
        let Some(field) = FIELDS.iter().find(|f| f.path == path) else { return };
        let items = |text: &str| -> Vec<String> {
            text.split([',', ' ']).map(str::trim).filter(|t| !t.is_empty()).map(str::to_owned).collect()
        };
        if text.trim().is_empty() {
            self.values.remove(path);
            return;
        }
        let value = match field.kind {
            Kind::Conditions | Kind::Tools => Value::List(items(text)),
            Kind::Curve => {
                let row = |r: &str| r.split(',').map(|c| c.trim().to_owned()).collect::<Vec<_>>();
                Value::Rows(text.split(';').filter(|r| !r.trim().is_empty()).map(row).collect())
            }
            _ => Value::Text(text.trim().to_owned()),
        };
        self.values.insert(path.to_owned(), value);
    }

    /// The car as a rig file.
    pub fn yaml(&self) -> String {
        let mut out = String::from("format: 1\n");
        let mut open: Vec<&str> = Vec::new();
        for field in FIELDS {
            let Some(value) = self.values.get(field.path) else { continue };
            let parts: Vec<&str> = field.path.split('.').collect();
            let (key, folders) = parts.split_last().map_or(("", &[][..]), |(k, f)| (*k, f));
            let same = open.iter().zip(folders).take_while(|(a, b)| a == b).count();
            open.truncate(same);
            for folder in &folders[same..] {
                let _ = writeln!(out, "{}{folder}:", "  ".repeat(open.len()));
                open.push(folder);
            }
            let _ = writeln!(out, "{}{key}: {}", "  ".repeat(open.len()), as_yaml(value));
        }
        out
    }
}

/// The car's name in the text of a rig file, for lists: its `rig:` line as it stands, without reading the rest.
pub fn name_in(rig: &str) -> String {
    let line = rig.lines().find_map(|l| l.strip_prefix("rig:"));
    let name = line.map(|l| l.trim().trim_matches('"').replace("\\\"", "\"")).unwrap_or_default();
    if name.is_empty() { "unnamed car".to_owned() } else { name }
}

fn as_text(value: &Value) -> String {
    match value {
        Value::Text(text) => text.clone(),
        Value::List(items) => items.join(", "),
        Value::Rows(rows) => rows.iter().map(|r| r.join(", ")).collect::<Vec<_>>().join("; "),
    }
}

fn quoted(text: &str) -> String {
    format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\""))
}

fn as_yaml(value: &Value) -> String {
    let list =
        |items: &[String]| format!("[{}]", items.iter().map(|i| quoted(i)).collect::<Vec<_>>().join(", "));
    match value {
        Value::Text(text) => quoted(text),
        Value::List(items) => list(items),
        Value::Rows(rows) => format!("[{}]", rows.iter().map(|r| list(r)).collect::<Vec<_>>().join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_stated_survives_the_file() {
        let mut draft = RigDraft::default();
        for (path, text) in [
            ("rig", "a \"quoted\" car: with # signs"),
            ("site.altitude", "1200 ft"),
            ("engine.idle.manifold", "45 kPa"),
            ("controller.closed_loop", "idle, raised"),
            ("pump.curve", "0 kPa, 300 L/h, 5 A; 600 kPa, 0 L/h, 15 A"),
        ] {
            draft.set(path, text);
        }
        assert_eq!(RigDraft::parse("test", &draft.yaml()).unwrap(), draft);
        assert_eq!(draft.rig().unwrap().name, "a \"quoted\" car: with # signs");
        assert_eq!(name_in(&draft.yaml()), "a \"quoted\" car: with # signs");
        assert_eq!(draft.stated("pump.curve").unwrap(), "0 kPa, 300 L/h, 5 A; 600 kPa, 0 L/h, 15 A");
    }

    #[test]
    fn an_empty_text_takes_a_fact_back_and_an_unknown_key_changes_nothing() {
        let mut draft = RigDraft::default();
        draft.set("regulator.set", "58 psi");
        draft.set("no.such.key", "1");
        draft.set("regulator.set", " ");
        assert_eq!(draft, RigDraft::default());
        assert_eq!(name_in(&draft.yaml()), "unnamed car");
    }
}
