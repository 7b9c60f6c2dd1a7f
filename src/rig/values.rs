//! One value at a time: stated or default, in SI, on record, complained of where it stands.

use super::Fact;
use super::fields::{Kind, dash_bore, field};
use super::problem::Problem;
use super::read::{RigText, Value};
use crate::physics::Line;
use crate::quantity::{Datum, Dimension, Measure, parse_number};
use crate::terms::{Condition, Tool};
use std::str::FromStr;

/// Which pressures of a rig file are measured from vacuum.
fn is_absolute(path: &str) -> bool {
    path.ends_with(".manifold")
        || path.starts_with("engine.blower_inlet")
        || path == "site.barometer"
        || path == "fuel.reid_vapour_pressure"
}

pub(super) struct Builder<'a> {
    pub(super) text: &'a RigText,
    pub(super) problems: Vec<Problem>,
    pub(super) facts: Vec<Fact>,
}

impl<'a> Builder<'a> {
    pub(super) fn new(text: &'a RigText) -> Self {
        Self { text, problems: Vec::new(), facts: Vec::new() }
    }

    pub(super) fn fail(&mut self, path: &str, message: impl Into<String>) {
        let at = self.text.place(path);
        self.problems.push(Problem { path: path.to_owned(), at, message: message.into() });
    }

    pub(super) fn stated(&mut self, path: &str) -> Option<&'a str> {
        match self.text.values.get(path) {
            Some(Value::Text(text)) if !text.trim().is_empty() && text != "~" => Some(text),
            Some(Value::List(_) | Value::Rows(_)) => {
                self.fail(path, "expected one value, found a list");
                None
            }
            _ => None,
        }
    }

    pub(super) fn note(&mut self, path: &str, text: &str, default: bool) {
        self.facts.push(Fact { path: path.to_owned(), text: text.to_owned(), default });
    }

    /// The text of a key, stated or default, on record; nothing where it has neither.
    pub(super) fn text(&mut self, path: &str) -> Option<String> {
        let stated = self.stated(path).map(str::to_owned);
        let default = field(path).map_or("", |f| f.default);
        let text = stated.clone().or_else(|| (!default.is_empty()).then(|| default.to_owned()))?;
        self.note(path, &text, stated.is_none());
        Some(text)
    }

    pub(super) fn measured(&mut self, path: &str, text: &str, dimension: Dimension) -> Option<f64> {
        match Measure::parse(text, dimension) {
            Ok(m) => self.datum(path, &m).then_some(m.si),
            Err(error) => {
                self.fail(path, error.to_string());
                None
            }
        }
    }

    /// Whether a pressure is measured from what this key is measured from.
    pub(super) fn datum(&mut self, path: &str, m: &Measure) -> bool {
        match (m.datum, is_absolute(path)) {
            (Some(Datum::Gauge | Datum::Vacuum), true) => {
                self.fail(
                    path,
                    format!("expected an absolute pressure, found '{}'; measure it from vacuum", m.typed),
                );
                false
            }
            (Some(Datum::Absolute | Datum::Vacuum), false) => {
                self.fail(
                    path,
                    format!("expected a gauge pressure, found '{}'; measure it from the atmosphere", m.typed),
                );
                false
            }
            (None, true) if m.si < 0.0 => {
                self.fail(path, format!("'{}' is below zero, which no absolute pressure is", m.typed));
                false
            }
            _ => true,
        }
    }

    pub(super) fn maybe(&mut self, path: &str, dimension: Dimension) -> Option<f64> {
        let text = self.text(path)?;
        if text == "none" {
            return None;
        }
        self.measured(path, &text, dimension)
    }

    /// A quantity; 0 stands in where it is wrong, and the problem is on record.
    pub(super) fn quantity(&mut self, path: &str, dimension: Dimension) -> f64 {
        self.maybe(path, dimension).unwrap_or(0.0)
    }

    /// A quantity that must be above zero.
    pub(super) fn positive(&mut self, path: &str, dimension: Dimension) -> f64 {
        let before = self.problems.len();
        let value = self.quantity(path, dimension);
        if value <= 0.0 && self.problems.len() == before {
            self.fail(path, "must be above zero");
        }
        value.max(1e-12)
    }

    pub(super) fn not_negative(&mut self, path: &str, dimension: Dimension) -> f64 {
        let value = self.quantity(path, dimension);
        if value < 0.0 {
            self.fail(path, "must not be below zero");
        }
        value.max(0.0)
    }

    pub(super) fn number(&mut self, path: &str) -> Option<f64> {
        let text = self.text(path)?;
        match parse_number(&text) {
            Ok(value) => Some(value),
            Err(error) => {
                self.fail(path, format!("'{text}' {error}"));
                None
            }
        }
    }

    /// A flow in m³/s, from a volume or a mass at `density`.
    pub(super) fn flow(&mut self, path: &str, density: f64) -> Option<f64> {
        let text = self.text(path)?;
        self.flow_text(path, &text, density)
    }

    pub(super) fn flow_text(&mut self, path: &str, text: &str, density: f64) -> Option<f64> {
        match Measure::parse_any(text) {
            Ok(m) if m.unit.dimension == Dimension::VolumeFlow => Some(m.si),
            Ok(m) if m.unit.dimension == Dimension::MassFlow => Some(m.si / density),
            Ok(m) => {
                let found = m.unit.dimension.name();
                self.fail(
                    path,
                    format!("expected a flow, found '{text}', a {found}; use L/h, gal/h, cc/min or lb/h"),
                );
                None
            }
            Err(error) => {
                self.fail(path, error.to_string());
                None
            }
        }
    }

    pub(super) fn choice<T: FromStr<Err = E>, E: std::fmt::Display>(
        &mut self,
        path: &str,
        otherwise: T,
    ) -> T {
        let Some(text) = self.text(path) else { return otherwise };
        match text.parse() {
            Ok(value) => value,
            Err(error) => {
                let all = match field(path).map(|f| f.kind) {
                    Some(Kind::Choice(ids)) => ids.join(", "),
                    _ => String::new(),
                };
                self.fail(path, format!("{error}; expected one of {all}"));
                otherwise
            }
        }
    }

    pub(super) fn slope(&mut self, part: &str, density: f64) -> (f64, f64) {
        let drop = self.not_negative(&format!("{part}.drop"), Dimension::Pressure);
        let at = format!("{part}.at");
        let flow = self.flow(&at, density).unwrap_or(1.0);
        if flow <= 0.0 {
            self.fail(&at, "must be above zero");
            return (drop, 1.0);
        }
        (drop, flow)
    }

    pub(super) fn line(&mut self, part: &str) -> Line {
        let dash = format!("{part}.dash");
        let bore = if self.stated(&dash).is_some() {
            dash_bore(self.number(&dash).unwrap_or(6.0))
        } else {
            self.positive(&format!("{part}.bore"), Dimension::Length)
        };
        if !(1e-3..=0.1).contains(&bore) {
            self.fail(&format!("{part}.bore"), "expected a bore between 1 and 100 mm");
        }
        let length = self.not_negative(&format!("{part}.length"), Dimension::Length);
        let fittings = self.number(&format!("{part}.fittings")).unwrap_or(0.0).max(0.0);
        Line::new(bore.max(1e-3), length, fittings)
    }

    pub(super) fn conditions(&mut self, path: &str) -> Vec<Condition> {
        let texts: Vec<String> = match self.text.values.get(path) {
            Some(Value::List(items)) => {
                let all = items.join(", ");
                self.note(path, &all, false);
                items.clone()
            }
            Some(Value::Rows(_)) => {
                self.fail(path, "expected a list of conditions, such as [idle, raised]");
                Vec::new()
            }
            _ => {
                let text = self.text(path).unwrap_or_default();
                text.split(',')
                    .map(|t| t.trim().to_owned())
                    .filter(|t| !t.is_empty() && t != "none")
                    .collect()
            }
        };
        let mut conditions = Vec::new();
        for text in texts {
            match text.parse::<Condition>() {
                Ok(c) if c.running() => conditions.push(c),
                Ok(c) => {
                    self.fail(path, format!("nothing is trimmed on {c}; use idle, raised, cruise or load"));
                }
                Err(error) => self.fail(path, error.to_string()),
            }
        }
        conditions
    }

    pub(super) fn tools(&mut self) -> Option<Vec<Tool>> {
        let items = match self.text.values.get("tools") {
            Some(Value::List(items)) => items.clone(),
            Some(Value::Text(text)) => text.split(',').map(|t| t.trim().to_owned()).collect(),
            _ => return None,
        };
        self.note("tools", &items.join(", "), false);
        let mut tools = Vec::new();
        for item in items {
            match item.parse() {
                Ok(tool) => tools.push(tool),
                Err(error) => self.fail("tools", format!("{error}")),
            }
        }
        Some(tools)
    }
}
