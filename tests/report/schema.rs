//! The published schema of the JSON form: kept against drift, and every report validates against it.

use super::{FILTER, FILTER_GAUGE_ONLY, HOSE, root, walked};
use serde_json::Value;

#[test]
fn the_published_schema_is_the_one_the_program_prints() {
    let (printed, _) = crate::commands::run(&["schema", "--of", "report"], 0);
    let path = root("fixtures/schema/report.schema.json");
    let kept = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(kept == printed, "run: cargo run -- schema --of report > fixtures/schema/report.schema.json");
}

#[test]
fn requirement_10_json_validates_against_its_schema() {
    let schema: Value =
        serde_json::from_str(&std::fs::read_to_string(root("fixtures/schema/report.schema.json")).unwrap())
            .unwrap();
    for case in [FILTER, FILTER_GAUGE_ONLY, HOSE] {
        let report = serde_json::to_value(walked(case, Vec::new()).report()).unwrap();
        validate(&schema, &schema, &report, "report").unwrap();
        // The validator sees what is wrong.
        let mut wrong = report.clone();
        wrong["steps"][0]["number"] = Value::String("one".into());
        assert!(validate(&schema, &schema, &wrong, "report").is_err());
        let mut wrong = report;
        wrong.as_object_mut().unwrap().remove("digest");
        assert!(validate(&schema, &schema, &wrong, "report").is_err());
    }
}

/// The part of JSON Schema 2020-12 that the schema uses; any other keyword is an error, so that nothing is passed over.
fn validate(root: &Value, schema: &Value, value: &Value, at: &str) -> Result<(), String> {
    let Some(rules) = schema.as_object() else {
        return if schema == &Value::Bool(true) { Ok(()) } else { Err(format!("{at}: nothing fits")) };
    };
    for (keyword, rule) in rules {
        match keyword.as_str() {
            "$schema" | "$defs" | "title" | "description" | "format" | "default" => {}
            "$ref" => {
                let pointer = rule.as_str().unwrap().trim_start_matches('#');
                validate(root, root.pointer(pointer).ok_or("a reference leads nowhere")?, value, at)?;
            }
            "type" => {
                let fits = |t: &Value| match t.as_str().unwrap() {
                    "object" => value.is_object(),
                    "array" => value.is_array(),
                    "string" => value.is_string(),
                    "boolean" => value.is_boolean(),
                    "null" => value.is_null(),
                    "number" => value.is_number(),
                    "integer" => value.is_u64() || value.is_i64(),
                    other => panic!("type {other}"),
                };
                let any = rule.as_array().map_or_else(|| fits(rule), |all| all.iter().any(fits));
                if !any {
                    return Err(format!("{at}: expected {rule}, found {value}"));
                }
            }
            "properties" => {
                for (name, rule) in rule.as_object().unwrap() {
                    if let Some(inner) = value.get(name) {
                        validate(root, rule, inner, &format!("{at}.{name}"))?;
                    }
                }
                let known = rule.as_object().unwrap();
                if let Some(extra) =
                    value.as_object().and_then(|v| v.keys().find(|k| !known.contains_key(*k)))
                {
                    return Err(format!("{at}: {extra} is not in the schema"));
                }
            }
            "required" => {
                for name in rule.as_array().unwrap() {
                    if value.get(name.as_str().unwrap()).is_none() {
                        return Err(format!("{at}: {name} is missing"));
                    }
                }
            }
            "items" => {
                for (i, inner) in value.as_array().into_iter().flatten().enumerate() {
                    validate(root, rule, inner, &format!("{at}[{i}]"))?;
                }
            }
            "anyOf" | "oneOf" => {
                let errors: Vec<String> = rule
                    .as_array()
                    .unwrap()
                    .iter()
                    .filter_map(|r| validate(root, r, value, at).err())
                    .collect();
                if errors.len() == rule.as_array().unwrap().len() {
                    return Err(errors.join("; or "));
                }
            }
            "enum" if rule.as_array().unwrap().contains(value) => {}
            "const" if rule == value => {}
            "enum" | "const" => return Err(format!("{at}: expected {rule}, found {value}")),
            "minimum" if value.is_null() || value.as_f64() >= rule.as_f64() => {}
            "minItems" if value.as_array().is_none_or(|a| a.len() as u64 >= rule.as_u64().unwrap()) => {}
            "maxItems" if value.as_array().is_none_or(|a| a.len() as u64 <= rule.as_u64().unwrap()) => {}
            "minimum" | "minItems" | "maxItems" => return Err(format!("{at}: {keyword} {rule}")),
            other => return Err(format!("{at}: this reader does not know {other}")),
        }
    }
    Ok(())
}
