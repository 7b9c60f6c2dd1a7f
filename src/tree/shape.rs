//! The second pass over shapes: every key and value against the schema that the raw types themselves give.

use super::node::{Node, Place, Refused, Value};
use crate::terms::nearest;
use serde_json::{Map, Value as Json};
use std::collections::HashSet;

/// What the second pass found.
pub(super) struct Shaped {
    /// The file without what was wrong in it.
    pub clean: Json,
    /// Everything wrong, with a near miss where there is one.
    pub wrong: Vec<(Refused, Option<String>)>,
    /// Paths of the maps in which something was wrong.
    pub damaged: Vec<String>,
}

/// Checks `root` against `schema`, the schema of a whole file.
pub(super) fn check(root: &Node, schema: &Json) -> Shaped {
    let mut checker = Checker { whole: schema, wrong: Vec::new(), damaged: Vec::new() };
    let clean = checker.value(root, schema, "", "the file").unwrap_or_else(|| Json::Object(Map::new()));
    Shaped { clean, wrong: checker.wrong, damaged: checker.damaged }
}

struct Checker<'a> {
    whole: &'a Json,
    wrong: Vec<(Refused, Option<String>)>,
    damaged: Vec<String>,
}

/// The schema's words for a kind of value.
fn kind_of(schema: &Json) -> &'static str {
    match schema.get("type").and_then(Json::as_str) {
        Some("object") => "a map",
        Some("array") => "a list",
        Some("integer") => "a whole number",
        Some("number") => "a number",
        _ => "a word or text",
    }
}

fn found(node: &Node) -> String {
    match &node.value {
        Value::Scalar(text, true) if text.is_empty() => "nothing".to_owned(),
        Value::Scalar(text, _) => format!("'{}'", text.chars().take(40).collect::<String>()),
        Value::List(_) => "a list".to_owned(),
        Value::Map(_) => "a map".to_owned(),
    }
}

/// `SupplyStyle` as "supply style".
fn words(name: &str) -> String {
    let mut text = String::new();
    for c in name.chars() {
        if c.is_uppercase() && !text.is_empty() {
            text.push(' ');
        }
        text.extend(c.to_lowercase());
    }
    text
}

impl<'a> Checker<'a> {
    fn refuse(
        &mut self,
        rule: &'static str,
        place: Place,
        message: String,
        why: &'static str,
        hint: &'static str,
        near: Option<String>,
    ) {
        self.wrong.push((Refused { rule, place, message, why, hint }, near));
    }

    fn resolved(&self, schema: &'a Json) -> (&'a Json, Option<&'a str>) {
        let Some(name) = schema.get("$ref").and_then(Json::as_str).and_then(|r| r.strip_prefix("#/$defs/"))
        else {
            return (schema, None);
        };
        // A JSON pointer escapes the slash and percent signs; none of our names has them, only blanks.
        let name = name.trim();
        let defs = self.whole.get("$defs").and_then(Json::as_object);
        let entry =
            defs.and_then(|d| d.iter().find(|(key, _)| *key == name || key.replace(' ', "%20") == name));
        entry.map_or((schema, None), |(key, found)| (found, Some(key.as_str())))
    }

    fn damage(&mut self, path: &str) {
        self.damaged.push(path.to_owned());
    }

    /// The clean value, or nothing where it must be left out.
    fn value(&mut self, node: &Node, schema: &'a Json, path: &str, what: &str) -> Option<Json> {
        let (schema, name) = self.resolved(schema);
        if let Some(choices) = schema.get("anyOf").and_then(Json::as_array) {
            let list = matches!(node.value, Value::List(_));
            let pick =
                choices.iter().find(|c| (c.get("type").and_then(Json::as_str) == Some("array")) == list)?;
            return self.value(node, pick, path, what);
        }
        if let Some(ids) = schema.get("enum").and_then(Json::as_array) {
            return self.term(node, ids, name, path, what);
        }
        // Enums with descriptions become a choice of constants.
        if let Some(ids) = schema.get("oneOf").and_then(Json::as_array) {
            let mut all: Vec<Json> = Vec::new();
            for choice in ids {
                all.extend(choice.get("const").cloned());
                all.extend(choice.get("enum").and_then(Json::as_array).into_iter().flatten().cloned());
            }
            return self.term(node, &all, name, path, what);
        }
        match (schema.get("type").and_then(Json::as_str), &node.value) {
            (Some("object"), Value::Map(entries)) => Some(self.map(entries, schema, name, path)),
            (Some("array"), Value::List(items)) => {
                let item_schema = schema.get("items")?;
                let mut clean = Vec::new();
                for (i, item) in items.iter().enumerate() {
                    clean.extend(self.value(item, item_schema, &format!("{path}/{i}"), what));
                }
                Some(Json::Array(clean))
            }
            (Some("string"), Value::Scalar(text, plain)) if !(text.is_empty() && *plain) => {
                Some(Json::String(text.clone()))
            }
            (Some("integer"), Value::Scalar(text, true)) if whole(text).is_some() => {
                whole(text).map(Json::from)
            }
            (Some("number"), Value::Scalar(text, true)) if number(text).is_some() => {
                number(text).map(Json::from)
            }
            (_, _) => {
                self.refuse(
                    "wrong-shape",
                    node.place,
                    format!("expected {} for {what}, found {}", kind_of(schema), found(node)),
                    "each key has one shape",
                    "see the tree language in the contributor guide",
                    None,
                );
                self.damage(path);
                // An empty map keeps the id, so that nothing that points at it is reported as well.
                (schema.get("type").and_then(Json::as_str) == Some("object"))
                    .then(|| Json::Object(Map::new()))
            }
        }
    }

    fn term(
        &mut self,
        node: &Node,
        ids: &[Json],
        name: Option<&str>,
        path: &str,
        what: &str,
    ) -> Option<Json> {
        let known = || ids.iter().filter_map(Json::as_str);
        let kind = name.map_or_else(|| what.to_owned(), words);
        if let Value::Scalar(text, _) = &node.value {
            if known().any(|id| id == text) {
                return Some(Json::String(text.clone()));
            }
            let near = nearest(text, known()).map(str::to_owned);
            let list = if ids.len() <= 12 {
                format!("; expected {}", known().collect::<Vec<_>>().join(", "))
            } else {
                String::new()
            };
            self.refuse(
                "unknown-term",
                node.place,
                format!("{} is no {kind}{list}", found(node)),
                "trees use the shared vocabulary only, so that results can be compared",
                "the contributor guide lists the vocabulary",
                near,
            );
        } else {
            self.refuse(
                "wrong-shape",
                node.place,
                format!("expected one {kind} for {what}, found {}", found(node)),
                "each key has one shape",
                "see the tree language in the contributor guide",
                None,
            );
        }
        self.damage(path.rsplit_once('/').map_or("", |(parent, _)| parent));
        None
    }

    fn map(
        &mut self,
        entries: &[(String, Place, Node)],
        schema: &'a Json,
        name: Option<&str>,
        path: &str,
    ) -> Json {
        let known = schema.get("properties").and_then(Json::as_object);
        let any = schema.get("additionalProperties").filter(|s| s.is_object());
        let (mut clean, mut seen) = (Map::new(), HashSet::new());
        for (key, place, child) in entries {
            if !seen.insert(key.as_str()) {
                self.refuse(
                    "duplicate-key",
                    *place,
                    format!("'{key}' stands here a second time"),
                    "only one of the two could count, and nobody could say which",
                    "rename or remove one",
                    None,
                );
                self.damage(path);
                continue;
            }
            let child_schema = known.and_then(|k| k.get(key)).or(any);
            let Some(child_schema) = child_schema else {
                let near = known.and_then(|k| nearest(key, k.keys().map(String::as_str))).map(str::to_owned);
                let around = name.map_or_else(|| "this file".to_owned(), |n| format!("a {n}"));
                self.refuse(
                    "unknown-key",
                    *place,
                    format!("{around} has no key '{key}'"),
                    "a key that is not understood would be passed over in silence",
                    "remove it, or see the tree language in the contributor guide",
                    near,
                );
                self.damage(path);
                continue;
            };
            let below = if path.is_empty() { key.clone() } else { format!("{path}/{key}") };
            if let Some(value) = self.value(child, child_schema, &below, &format!("'{key}'")) {
                clean.insert(key.clone(), value);
            } else {
                self.damage(path);
            }
        }
        Json::Object(clean)
    }
}

/// A whole number as people write one: digits only, no zero in front.
fn whole(text: &str) -> Option<u32> {
    let plain = text.bytes().all(|b| b.is_ascii_digit()) && (text == "0" || !text.starts_with('0'));
    plain.then(|| text.parse().ok()).flatten()
}

/// A number as people write one.
fn number(text: &str) -> Option<f64> {
    let start = text.strip_prefix('-').unwrap_or(text);
    let plain = start.starts_with(|c: char| c.is_ascii_digit())
        && !(start.starts_with('0') && start.len() > 1 && !start.starts_with("0."));
    plain.then(|| text.parse().ok()).flatten().filter(|x: &f64| x.is_finite())
}
