//! The answers file of a walk without a person.

use crate::session::{Answers, Reply};
use crate::terms::{Condition, Observation, Reading};
use crate::walk::Reason;
use serde_yaml::Value;
use std::collections::BTreeMap;

/// Reads an answers file: step ids, `readings:` by quantity and condition, `observations:` by observation, and optionally
/// `after_repair:` with the same.
///
/// # Errors
/// Everything wrong with it, one line each: what was expected, what was found, at which key.
pub fn parse(source: &str, text: &str) -> Result<Answers, String> {
    let value: Value =
        serde_yaml::from_str(text).map_err(|e| format!("{source}: this is not an answers file: {e}"))?;
    let mut problems = Vec::new();
    let answers = match &value {
        Value::Mapping(_) => map(&value, "", &mut problems),
        Value::Null => Answers::default(),
        _ => {
            problems.push("expected step ids with their answers, found something else".to_owned());
            Answers::default()
        }
    };
    if problems.is_empty() {
        Ok(answers)
    } else {
        Err(problems.iter().map(|p| format!("{source}: {p}")).collect::<Vec<_>>().join("\n"))
    }
}

fn entries<'a>(value: &'a Value, at: &str, problems: &mut Vec<String>) -> Vec<(String, &'a Value)> {
    let Value::Mapping(map) = value else {
        problems.push(format!("{at}: expected keys with values"));
        return Vec::new();
    };
    map.iter().filter_map(|(k, v)| scalar(k).map(|k| (k, v))).collect()
}

fn map(value: &Value, at: &str, problems: &mut Vec<String>) -> Answers {
    let mut answers = Answers::default();
    for (key, value) in entries(value, at, problems) {
        let path = if at.is_empty() { key.clone() } else { format!("{at}.{key}") };
        match key.as_str() {
            "readings" => answers.readings = readings(value, &path, problems),
            "observations" => answers.observations = observations(value, &path, problems),
            "after_repair" if at.is_empty() => {
                answers.after_repair = Some(Box::new(map(value, &path, problems)));
            }
            _ => {
                if let Some(reply) = reply(value, &path, problems) {
                    answers.steps.insert(key, reply);
                }
            }
        }
    }
    answers
}

fn readings(value: &Value, at: &str, problems: &mut Vec<String>) -> BTreeMap<(Reading, Condition), Reply> {
    let mut out = BTreeMap::new();
    for (key, value) in entries(value, at, problems) {
        let path = format!("{at}.{key}");
        let Some((reading, condition)) = key.split_once('@') else {
            problems.push(format!("{path}: expected READING@CONDITION, such as rail-pressure@idle"));
            continue;
        };
        match (reading.parse::<Reading>(), condition.parse::<Condition>()) {
            (Ok(reading), Ok(condition)) => {
                if let Some(reply) = reply(value, &path, problems) {
                    out.insert((reading, condition), reply);
                }
            }
            (Err(error), _) | (_, Err(error)) => problems.push(format!("{path}: {error}")),
        }
    }
    out
}

fn observations(value: &Value, at: &str, problems: &mut Vec<String>) -> BTreeMap<Observation, Reply> {
    let mut out = BTreeMap::new();
    for (key, value) in entries(value, at, problems) {
        let path = format!("{at}.{key}");
        match key.parse::<Observation>() {
            Ok(observation) => {
                let Some(reply) = reply(value, &path, problems) else { continue };
                if let Reply::Text(text) = &reply
                    && !observation.is_percentage()
                    && observation.outcome(text).is_none()
                {
                    let all: Vec<&str> = observation.outcomes().iter().map(|o| o.id).collect();
                    problems.push(format!("{path}: '{text}' is no answer; expected {}", all.join(", ")));
                    continue;
                }
                out.insert(observation, reply);
            }
            Err(error) => problems.push(format!("{path}: {error}")),
        }
    }
    out
}

fn scalar(value: &Value) -> Option<String> {
    match value {
        Value::String(s) => Some(s.clone()),
        Value::Number(n) => Some(n.to_string()),
        Value::Bool(b) => Some(b.to_string()),
        _ => None,
    }
}

fn reply(value: &Value, at: &str, problems: &mut Vec<String>) -> Option<Reply> {
    let reason = |text: &str, problems: &mut Vec<String>| match text.trim().parse::<Reason>() {
        Ok(reason) => Some(Reply::Cannot(reason)),
        Err(error) => {
            problems.push(format!("{at}: {error}"));
            None
        }
    };
    if let Value::Mapping(map) = value {
        if let (1, Some(text)) = (map.len(), map.get("cannot").and_then(scalar)) {
            return reason(&text, problems);
        }
        problems.push(format!("{at}: expected an answer, or cannot: REASON"));
        return None;
    }
    let Some(text) = scalar(value) else {
        problems.push(format!("{at}: expected a reading, an answer or cannot: REASON"));
        return None;
    };
    match text.strip_prefix("cannot:") {
        Some(rest) => reason(rest, problems),
        None => Some(Reply::Text(text)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_form_is_understood() {
        let a = parse(
            "a.yaml",
            "prime-pressure: 57 psi\nload: {cannot: unsafe}\nlook: 'cannot: no-access'\nreadings:\n  rail-pressure@idle: 51 psi\n  \
lambda@idle: 1.2\nobservations:\n  reference-hose-inside: dry\n  ethanol-test: 62 %\n",
        )
        .unwrap();
        assert_eq!(a.steps["prime-pressure"], Reply::Text("57 psi".into()));
        assert_eq!(a.steps["load"], Reply::Cannot(Reason::Unsafe));
        assert_eq!(a.steps["look"], Reply::Cannot(Reason::NoAccess));
        assert_eq!(a.readings[&(Reading::RailPressure, Condition::Idle)], Reply::Text("51 psi".into()));
        assert_eq!(a.readings[&(Reading::Lambda, Condition::Idle)], Reply::Text("1.2".into()));
        assert_eq!(a.observations[&Observation::EthanolTest], Reply::Text("62 %".into()));
    }

    #[test]
    fn everything_wrong_is_said_at_once() {
        let text = "readings:\n  rail-presure@idle: 51 psi\nobservations:\n  prime-sound: loud\nx: {cannot: tired}\n";
        let error = parse("a.yaml", text).unwrap_err();
        assert_eq!(error.lines().count(), 3, "{error}");
        assert!(error.contains("did you mean 'rail-pressure'?"), "{error}");
    }
}
