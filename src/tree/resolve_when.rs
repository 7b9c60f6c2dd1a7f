//! The conditions of choose-steps, from words to [`When`].

use super::raw::{FittedOrNone, OneOrMany, Opt, RawWhen, YesOrNo};
use super::resolve::{Context, Problem};
use super::when::{Key, Verdict, When};
use crate::terms::nearest;

fn list<T: Clone>(value: &Opt<OneOrMany<T>>) -> Vec<T> {
    value.0.as_ref().map(|l| l.0.clone()).unwrap_or_default()
}

pub(super) fn when(raw: &RawWhen, path: &str, cx: &mut Context) -> When {
    let yes = |v: &Opt<YesOrNo>| v.0.map(|v| v == YesOrNo::Yes);
    let fitted = |v: &Opt<FittedOrNone>| v.0.map(|v| v == FittedOrNone::Fitted);
    let mut was_list = Vec::new();
    for (key, ids) in raw.was.0.iter().flat_map(|w| &w.0) {
        let path = format!("{path}/was/{key}");
        if let Some(key) = was_key(key, &path, cx) {
            was_ids(key, &ids.0, &path, cx);
            was_list.push((key, ids.0.clone()));
        }
    }
    if *raw == RawWhen::default() {
        cx.problems.push(Problem {
            rule: "empty-condition",
            path: path.to_owned(),
            message: "this condition asks nothing".to_owned(),
            why: "it always holds and hides all arms after it",
            hint: Some("say what must hold, or use 'else'".to_owned()),
            follows: true,
            at_key: false,
        });
    }
    When {
        induction: list(&raw.induction),
        tip: list(&raw.tip),
        style: list(&raw.style),
        reference: list(&raw.reference),
        load_by: list(&raw.load_by),
        pressure_model: list(&raw.pressure_model),
        pump_type: list(&raw.pump_type),
        returns: yes(&raw.returns),
        filter: fitted(&raw.filter),
        strainer: fitted(&raw.strainer),
        holds: yes(&raw.holds),
        boosted: yes(&raw.boosted),
        trims_at: list(&raw.trims_at),
        was: was_list,
    }
}

fn was_key(key: &str, path: &str, cx: &mut Context) -> Option<Key> {
    let parsed = match key.split_once('@') {
        Some((reading, condition)) => {
            reading.parse().and_then(|r| condition.parse().map(|c| Key::Reading(r, c)))
        }
        None => key.parse().map(Key::Observation),
    };
    match parsed {
        Ok(key) => Some(key),
        Err(e) => {
            cx.wrong(
                "unknown-term",
                path.to_owned(),
                format!("'{}' is no {}", e.found, e.kind),
                "'was' asks for the latest result of a reading@condition or an observation",
                &e.near.map_or_else(
                    || "write 'rail-pressure@prime' or an observation".to_owned(),
                    |near| format!("did you mean '{near}'?"),
                ),
            );
            cx.at_key();
            None
        }
    }
}

fn was_ids(key: Key, ids: &[String], path: &str, cx: &mut Context) {
    let known: Vec<&str> = match key {
        Key::Reading(..) => Verdict::ALL.iter().map(|v| v.id()).collect(),
        Key::Observation(o) => o.outcomes().iter().map(|o| o.id).collect(),
    };
    for id in ids.iter().filter(|id| *id != "not-tested" && !known.contains(&id.as_str())) {
        let hint = nearest(id, known.iter().copied().chain(["not-tested"])).map_or_else(
            || format!("it can be {} or not-tested", known.join(", ")),
            |near| format!("did you mean '{near}'?"),
        );
        cx.wrong(
            "unknown-term",
            path.to_owned(),
            format!("'{id}' is no result of {key}"),
            "a result that cannot be never holds",
            &hint,
        );
    }
}
