//! One step: which kind it is, that its keys fit the kind, and what its quantities and targets mean.

use super::graph::{Answer, Arm, Expect, Include, Origin, Read, Step, StepKind, Undecided};
use super::likelihood::likelihood;
use super::raw::{ExpectedBy, Opt, RawExpect, RawNext, RawStep};
use super::resolve::{Context, Problem, is_kebab, minutes};
use super::resolve_when::when;
use super::when::When;
use crate::quantity::{Dimension, Measure};
use crate::terms::{Condition, Reading, Tool, nearest};

/// The kinds with the key that marks each, in the order messages name them.
const KINDS: [&str; 5] = ["next", "read", "observe", "choose", "include"];

/// Every key that only some kinds have, and which.
const KEYS: &[(&str, &[&str])] = &[
    ("next", &["next"]),
    ("read", &["read"]),
    ("with", &["read"]),
    ("places", &["read"]),
    ("expect", &["read"]),
    ("low", &["read"]),
    ("within", &["read"]),
    ("high", &["read"]),
    ("undecided", &["read"]),
    ("observe", &["observe"]),
    ("answers", &["observe"]),
    ("choose", &["choose"]),
    ("else", &["choose"]),
    ("include", &["include"]),
    ("exits", &["include"]),
    ("do", &["next", "read", "observe"]),
    ("tell", &["next", "read", "observe"]),
    ("at", &["next", "read", "observe"]),
    ("requires", &["next", "read", "observe"]),
    ("forbids", &["next", "read", "observe"]),
    ("makes", &["next", "read", "observe"]),
    ("clears", &["next", "read", "observe"]),
    ("cautions", &["next", "read", "observe"]),
    ("tools", &["next", "read", "observe"]),
    ("minutes", &["next", "read", "observe"]),
    ("timer", &["next", "read", "observe"]),
    ("cannot", &["next", "read", "observe"]),
    ("likelihood", &["read", "observe"]),
];

fn there(raw: &RawStep, key: &str) -> bool {
    match key {
        "next" => raw.next.0.is_some(),
        "read" => raw.read.0.is_some(),
        "with" => raw.with.0.is_some(),
        "places" => raw.places.0.is_some(),
        "expect" => raw.expect.0.is_some(),
        "low" => raw.low.0.is_some(),
        "within" => raw.within.0.is_some(),
        "high" => raw.high.0.is_some(),
        "undecided" => raw.undecided.0.is_some(),
        "observe" => raw.observe.0.is_some(),
        "answers" => raw.answers.0.is_some(),
        "choose" => raw.choose.0.is_some(),
        "else" => raw.otherwise.0.is_some(),
        "include" => raw.include.0.is_some(),
        "exits" => raw.exits.0.is_some(),
        "do" => raw.action.0.is_some(),
        "tell" => raw.tell.0.is_some(),
        "at" => raw.at.0.is_some(),
        "requires" => raw.requires.0.is_some(),
        "forbids" => raw.forbids.0.is_some(),
        "makes" => raw.makes.0.is_some(),
        "clears" => raw.clears.0.is_some(),
        "cautions" => raw.cautions.0.is_some(),
        "tools" => raw.tools.0.is_some(),
        "minutes" => raw.minutes.0.is_some(),
        "timer" => raw.timer.0.is_some(),
        "cannot" => raw.cannot.0.is_some(),
        "likelihood" => raw.likelihood.0.is_some(),
        _ => false,
    }
}

/// The word for a kind, from the key that marks it.
fn kind_word(key: &str) -> &'static str {
    match key {
        "read" => "a read-step",
        "observe" => "an observe-step",
        "choose" => "a choose-step",
        "include" => "an include-step",
        _ => "a do-step",
    }
}

/// The step `id`.
pub(super) fn step(id: &str, raw: &RawStep, cx: &mut Context) -> Step<String> {
    let path = format!("steps/{id}");
    let kinds: Vec<&str> = KINDS.into_iter().filter(|k| there(raw, k)).collect();
    let mark = kinds.iter().copied().find(|k| *k != "next").or(kinds.first().copied());
    match (mark, kinds.len()) {
        (None, _) => cx.problems.push(Problem {
            rule: "step-kind",
            path: path.clone(),
            message: format!("step '{id}' has none of 'next', 'read', 'observe', 'choose', 'include'"),
            why: "each step is exactly one kind",
            hint: Some("a do-step needs 'next:'".to_owned()),
            follows: true,
            at_key: false,
        }),
        (Some(mark), 2..) => {
            let other = kinds.iter().find(|k| **k != mark).copied().unwrap_or("next");
            cx.wrong(
                "step-kind",
                format!("{path}/{other}"),
                format!("{} has no '{other}'", kind_word(mark)),
                "each step is exactly one kind",
                "make two steps of it",
            );
            cx.at_key();
        }
        _ => {}
    }
    if let Some(mark) = mark {
        for (key, of) in KEYS {
            if there(raw, key) && !of.contains(&mark) && !KINDS.contains(key) {
                cx.wrong(
                    "stray-key",
                    format!("{path}/{key}"),
                    format!("{} has no '{key}'", kind_word(mark)),
                    "nobody would see it or heed it",
                    "move it to the step it belongs to",
                );
                cx.at_key();
            }
        }
    }
    let asks = !matches!(mark, Some("choose" | "include"));
    let action = if asks && mark.is_some() {
        cx.text(&raw.action, &path, "do", "the person at the car must know what to do")
    } else {
        String::new()
    };
    let kind = kind(mark, raw, &path, cx);
    let mut tools: Vec<Tool> = raw.with.0.into_iter().collect();
    for tool in raw.tools.0.iter().flatten() {
        if !tools.contains(tool) {
            tools.push(*tool);
        }
    }
    Step {
        id: id.to_owned(),
        origin: Origin { file: 0, id: id.to_owned() },
        undoes: None,
        title: cx.maybe(&raw.title, &path, "title"),
        action,
        tell: cx.maybe(&raw.tell, &path, "tell"),
        note: cx.maybe(&raw.note, &path, "note"),
        why: cx.maybe(&raw.why, &path, "why"),
        kind,
        requires: raw.requires.0.clone().unwrap_or_default(),
        forbids: raw.forbids.0.clone().unwrap_or_default(),
        makes: raw.makes.0.clone().unwrap_or_default(),
        clears: raw.clears.0.clone().unwrap_or_default(),
        cautions: raw.cautions.0.clone().unwrap_or_default(),
        tools,
        minutes: minutes(raw.minutes.0, &path, cx).unwrap_or(if asks { 1.0 } else { 0.0 }),
        timer: timer(raw, &path, cx),
        at: raw.at.0,
        cannot: raw.cannot.0.as_ref().map(|n| cx.target(&n.next, &format!("{path}/cannot"), "next")),
        likelihood: likelihood(raw, &path, cx),
    }
}

fn timer(raw: &RawStep, path: &str, cx: &mut Context) -> Option<f64> {
    let text = raw.timer.0.as_ref()?;
    let time = quantity(text, Dimension::Time, &format!("{path}/timer"), cx)?;
    if time.si <= 0.0 {
        cx.wrong(
            "bad-quantity",
            format!("{path}/timer"),
            format!("a step of '{text}' is over before it begins"),
            "the timer tells the person how long to wait",
            "give a time above zero",
        );
    }
    Some(time.si)
}

fn quantity(text: &str, dimension: Dimension, path: &str, cx: &mut Context) -> Option<Measure> {
    match Measure::parse(text, dimension) {
        Ok(measure) => Some(measure),
        Err(e) => {
            cx.wrong(
                "bad-quantity",
                path.to_owned(),
                e.to_string(),
                "a quantity without a fitting unit can be read two ways",
                &format!("a {} is written with one of {}", dimension.name(), dimension.examples()),
            );
            None
        }
    }
}

fn next(raw: &Opt<RawNext>, path: &str, key: &str, cx: &mut Context) -> String {
    if let Some(next) = &raw.0 {
        cx.target(&next.next, &format!("{path}/{key}"), "next")
    } else {
        cx.missing(path, key, "a walk that came here could not go on", &format!("add '{key}: {{next: …}}'"));
        String::new()
    }
}

fn kind(mark: Option<&str>, raw: &RawStep, path: &str, cx: &mut Context) -> StepKind<String> {
    match mark {
        Some("read") => StepKind::Read(read(raw, path, cx)),
        Some("observe") => observe(raw, path, cx),
        Some("choose") => choose(raw, path, cx),
        Some("include") => include(raw, path, cx),
        Some(_) => StepKind::Do { next: cx.target(&raw.next, path, "next") },
        None => StepKind::Do { next: String::new() },
    }
}

fn read(raw: &RawStep, path: &str, cx: &mut Context) -> Read<String> {
    let reading = raw.read.0.unwrap_or(Reading::RailPressure);
    let at = raw.at.0.unwrap_or_else(|| {
        cx.missing(path, "at", "a reading means nothing without its condition", "add 'at:' with a condition");
        Condition::Prime
    });
    let with = raw.with.0.unwrap_or_else(|| {
        cx.missing(
            path,
            "with",
            "the verdict follows from the instrument's accuracy",
            "add 'with:' with a tool",
        );
        Tool::Eyes
    });
    let expect = if let Some(expect) = &raw.expect.0 {
        self::expect(expect, reading.dimension(), &format!("{path}/expect"), cx)
    } else {
        cx.missing(
            path,
            "expect",
            "a reading without an expectation decides nothing",
            "add 'expect: {by: model}'",
        );
        Expect::Model { tolerance: None }
    };
    let undecided = if let Some(undecided) = &raw.undecided.0 {
        let path = format!("{path}/undecided");
        Undecided {
            retry: undecided.retry.0.unwrap_or_else(|| {
                cx.missing(&path, "retry", "a repeat needs a bound", "add 'retry: 1'");
                0
            }),
            next: cx.target(&undecided.next, &path, "next"),
        }
    } else {
        cx.missing(
            path,
            "undecided",
            "a reading may lie too near a limit to say",
            "add 'undecided: {retry: 1, next: …}'",
        );
        Undecided { retry: 0, next: String::new() }
    };
    let side = |value: &Opt<String>, key: &str, cx: &mut Context| {
        value.0.is_some().then(|| cx.target(value, path, key))
    };
    Read {
        reading,
        at,
        with,
        places: raw.places.0.clone().unwrap_or_default(),
        expect,
        low: side(&raw.low, "low", cx),
        within: cx.target(&raw.within, path, "within"),
        high: side(&raw.high, "high", cx),
        undecided,
    }
}

fn expect(raw: &RawExpect, dimension: Dimension, path: &str, cx: &mut Context) -> Expect {
    let measure = |value: &Opt<String>, key: &str, cx: &mut Context| {
        value.0.as_ref().and_then(|text| quantity(text, dimension, &format!("{path}/{key}"), cx))
    };
    let (tolerance, min, max) = (
        measure(&raw.tolerance, "tolerance", cx),
        measure(&raw.min, "min", cx),
        measure(&raw.max, "max", cx),
    );
    let stray: &[(&str, bool)] = match raw.by.0 {
        Some(ExpectedBy::Model) => &[("min", raw.min.0.is_some()), ("max", raw.max.0.is_some())],
        Some(ExpectedBy::Limits) => &[("tolerance", raw.tolerance.0.is_some())],
        None => {
            cx.missing(
                path,
                "by",
                "the band comes from the model or from limits",
                "add 'by: model' or 'by: limits'",
            );
            &[]
        }
    };
    for (key, _) in stray.iter().filter(|(_, there)| *there) {
        cx.wrong(
            "stray-key",
            format!("{path}/{key}"),
            format!("'{key}' does not go with this kind of expectation"),
            "it would be passed over in silence",
            "'by: model' takes tolerance; 'by: limits' takes min and max",
        );
        cx.at_key();
    }
    if raw.by.0 == Some(ExpectedBy::Limits) {
        if raw.min.0.is_none() && raw.max.0.is_none() {
            cx.missing(path, "min", "limits need at least one limit", "add 'min:' or 'max:' or both");
        }
        return Expect::Limits { min, max };
    }
    if tolerance.as_ref().is_some_and(|t| t.si < 0.0) {
        cx.wrong(
            "bad-quantity",
            format!("{path}/tolerance"),
            "a tolerance below zero leaves no band".to_owned(),
            "the tolerance is the least half-width of the band",
            "give it without a sign",
        );
    }
    Expect::Model { tolerance }
}

fn observe(raw: &RawStep, path: &str, cx: &mut Context) -> StepKind<String> {
    let observation = raw.observe.0.unwrap_or(crate::terms::Observation::FuelInTank);
    let Some(list) = &raw.answers.0 else {
        cx.missing(
            path,
            "answers",
            "every outcome must lead somewhere",
            "add 'answers: {OUTCOME: {next: …}, …}'",
        );
        return StepKind::Observe { observation, answers: Vec::new() };
    };
    let mut answers = Vec::new();
    for (id, to) in &list.0 {
        let path = format!("{path}/answers/{id}");
        let next = cx.target(&to.next, &path, "next");
        if let Some(outcome) = observation.outcome(id) {
            answers.push(Answer { outcome: *outcome, next });
        } else {
            let ids: Vec<&str> = observation.outcomes().iter().map(|o| o.id).collect();
            let hint = nearest(id, ids.iter().copied()).map_or_else(
                || format!("it has {}", ids.join(", ")),
                |near| format!("did you mean '{near}'?"),
            );
            cx.wrong(
                "unknown-term",
                path,
                format!("'{id}' is no outcome of {observation}"),
                "an answer nobody can give leads nowhere",
                &hint,
            );
            cx.at_key();
        }
    }
    StepKind::Observe { observation, answers }
}

fn choose(raw: &RawStep, path: &str, cx: &mut Context) -> StepKind<String> {
    let mut arms = Vec::new();
    for (i, arm) in raw.choose.0.iter().flatten().enumerate() {
        let path = format!("{path}/choose/{i}");
        let next = cx.target(&arm.next, &path, "next");
        let when = if let Some(raw) = &arm.when.0 {
            when(raw, &format!("{path}/when"), cx)
        } else {
            cx.missing(
                &path,
                "when",
                "an arm without a condition hides all arms after it",
                "add 'when: {…}'",
            );
            When::default()
        };
        arms.push(Arm { when, next });
    }
    if arms.is_empty() {
        cx.missing(path, "choose", "a choice needs an arm", "add '- {when: {…}, next: …}'");
    }
    StepKind::Choose { arms, otherwise: next(&raw.otherwise, path, "else", cx) }
}

fn include(raw: &RawStep, path: &str, cx: &mut Context) -> StepKind<String> {
    let procedure = raw.include.0.clone().unwrap_or_default();
    procedure_path(&procedure, &format!("{path}/include"), cx);
    let mut exits = Vec::new();
    if let Some(list) = &raw.exits.0 {
        for (name, to) in &list.0 {
            cx.name(to, &format!("{path}/exits/{name}"));
            exits.push((name.clone(), to.clone()));
        }
    } else {
        cx.missing(
            path,
            "exits",
            "every exit of the procedure must lead somewhere",
            "add 'exits: {NAME: …}'",
        );
    }
    StepKind::Include(Include { procedure, entry: None, exits, needs: Vec::new() })
}

/// Complains unless `written` is a relative path of plain names inside the library.
pub(super) fn procedure_path(written: &str, path: &str, cx: &mut Context) {
    let plain = !written.is_empty() && written.len() <= 255 && written.split('/').all(is_kebab);
    if !plain {
        cx.wrong(
            "unsafe-include",
            path.to_owned(),
            format!("'{written}' is no path of a procedure"),
            "includes stay inside the library: relative, without '..', drive, backslash or ending",
            "write 'procedures/ID'",
        );
    }
}
