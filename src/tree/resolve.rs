//! From what was written to what is meant: ids, kinds of steps, targets, quantities. Finds everything wrong, by path.

use super::graph::{
    Confirm, Document, Expected, FileKind, Finding, Handover, Origin, SourceFile, StateUndo, UndoBy,
};
use super::likelihood;
use super::raw::{Entries, Opt, RawFile, RawFinding, RawHandover};
use super::resolve_step;
use crate::terms::{Fault, State, nearest};
use std::collections::BTreeMap;

/// One thing wrong, at a path of the file.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Problem {
    pub rule: &'static str,
    pub path: String,
    pub message: String,
    pub why: &'static str,
    pub hint: Option<String>,
    /// Whether it may be a mere consequence of a wrong shape in the same map.
    pub follows: bool,
    /// Whether the key is wrong rather than its value.
    pub at_key: bool,
}

/// What a name in the file's one namespace stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Named {
    Step,
    Finding,
    Handover,
    Exit,
}

impl Named {
    fn words(self) -> &'static str {
        match self {
            Self::Step => "step",
            Self::Finding => "finding",
            Self::Handover => "hand-over",
            Self::Exit => "exit",
        }
    }
}

/// The names of a file and the problems so far.
pub(super) struct Context {
    pub names: BTreeMap<String, Named>,
    pub problems: Vec<Problem>,
}

const DANGLING: &str = "a walk that came here could not go on";

impl Context {
    pub fn wrong(
        &mut self,
        rule: &'static str,
        path: String,
        message: String,
        why: &'static str,
        hint: &str,
    ) {
        let hint = (!hint.is_empty()).then(|| hint.to_owned());
        self.problems.push(Problem { rule, path, message, why, hint, follows: false, at_key: false });
    }

    /// The problem just found concerns the key, not its value.
    pub fn at_key(&mut self) {
        if let Some(last) = self.problems.last_mut() {
            last.at_key = true;
        }
    }

    pub fn missing(&mut self, path: &str, key: &str, why: &'static str, hint: &str) {
        self.problems.push(Problem {
            rule: "missing-key",
            path: path.to_owned(),
            message: format!("'{key}' is missing here"),
            why,
            hint: Some(hint.to_owned()),
            follows: true,
            at_key: false,
        });
    }

    /// A required text that is not blank.
    pub fn text(&mut self, value: &Opt<String>, path: &str, key: &str, why: &'static str) -> String {
        match &value.0 {
            Some(text) if !text.trim().is_empty() => self.checked(text, &format!("{path}/{key}")),
            Some(_) => {
                self.missing(path, key, why, "there is only blank space; write it out");
                String::new()
            }
            None => {
                self.missing(path, key, why, &format!("add '{key}:'"));
                String::new()
            }
        }
    }

    /// An optional text.
    pub fn maybe(&mut self, value: &Opt<String>, path: &str, key: &str) -> Option<String> {
        let text = value.0.as_ref()?;
        Some(self.checked(text, &format!("{path}/{key}")))
    }

    fn checked(&mut self, text: &str, path: &str) -> String {
        if let Some(hidden) = text.chars().find(|c| is_hidden(*c)) {
            self.wrong(
                "hidden-character",
                path.to_owned(),
                format!("this text holds the invisible character U+{:04X}", u32::from(hidden)),
                "what is read on the screen could differ from what is written here",
                "delete it",
            );
        }
        text.trim().to_owned()
    }

    /// A target name; whether it exists is checked here.
    pub fn target(&mut self, value: &Opt<String>, path: &str, key: &str) -> String {
        let Some(name) = &value.0 else {
            self.missing(
                path,
                key,
                DANGLING,
                &format!("add '{key}:' with a step, finding, hand-over or exit"),
            );
            return String::new();
        };
        self.name(name, &format!("{path}/{key}"));
        name.clone()
    }

    /// Complains unless `name` is in the namespace.
    pub fn name(&mut self, name: &str, path: &str) {
        if self.names.contains_key(name) {
            return;
        }
        let near = nearest(name, self.names.keys().map(String::as_str)).map(str::to_owned);
        self.problems.push(Problem {
            rule: "dangling-target",
            path: path.to_owned(),
            message: format!("'{name}' is no step, finding, hand-over or exit of this file"),
            why: DANGLING,
            hint: Some(near.map_or_else(
                || "add it, or name one that is there".to_owned(),
                |near| format!("did you mean '{near}'?"),
            )),
            follows: true,
            at_key: false,
        });
    }
}

/// Whether a character is invisible or turns the direction of text.
fn is_hidden(c: char) -> bool {
    (c.is_control() && c != '\n' && c != '\t')
        || matches!(c, '\u{00ad}' | '\u{061c}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{2069}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}')
}

/// Whether `id` is written as ids are: small letters, digits and single hyphens, a letter first.
pub(super) fn is_kebab(id: &str) -> bool {
    id.starts_with(|c: char| c.is_ascii_lowercase())
        && id.len() <= 64
        && id
            .split('-')
            .all(|p| !p.is_empty() && p.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit()))
}

fn entries<T>(value: &Opt<Entries<T>>) -> &[(String, T)] {
    value.0.as_ref().map_or(&[], |e| &e.0)
}

/// The document that `raw` means.
///
/// # Errors
/// Everything wrong with it.
pub(super) fn document(raw: &RawFile, file: &SourceFile) -> Result<Document, Vec<Problem>> {
    let mut cx = Context { names: BTreeMap::new(), problems: Vec::new() };
    match raw.format.0 {
        Some(1) => {}
        Some(other) => cx.wrong(
            "format",
            "format".to_owned(),
            format!("this file has format {other}; this program reads format 1"),
            "a newer format may mean other things by the same words",
            "use a newer program, or write 'format: 1'",
        ),
        None => cx.missing(
            "",
            "format",
            "it says how the rest is to be read",
            "add 'format: 1' as the first line",
        ),
    }
    let (kind, id) = identity(raw, &mut cx);
    names(raw, kind, &mut cx);
    keys_of_kind(raw, kind, &mut cx);
    let title = cx.text(&raw.title, "", "title", "people choose a tree by its title");
    let about = cx.maybe(&raw.about, "", "about");
    let start = cx.target(&raw.start, "", "start");
    if entries(&raw.steps).is_empty() {
        cx.missing("", "steps", "a tree without steps asks nothing", "add 'steps:'");
    }
    let steps = entries(&raw.steps).iter().map(|(id, step)| resolve_step::step(id, step, &mut cx)).collect();
    let findings = entries(&raw.findings).iter().map(|(id, f)| finding(id, f, raw, &mut cx)).collect();
    let handovers = entries(&raw.handovers).iter().map(|(id, h)| handover(id, h, &mut cx)).collect();
    let undo = undo(raw, &mut cx);
    let priors = likelihood::priors(&raw.priors, raw.finds.0.as_deref().unwrap_or_default(), &mut cx);
    if !cx.problems.is_empty() {
        return Err(cx.problems);
    }
    Ok(Document {
        kind,
        id,
        title,
        about,
        complaints: raw.complaints.0.clone().unwrap_or_default(),
        start,
        finds: raw.finds.0.clone().unwrap_or_default(),
        needs: raw.needs.0.clone().unwrap_or_default(),
        exits: raw.exits.0.clone().unwrap_or_default(),
        steps,
        findings,
        handovers,
        undo,
        priors,
        file: file.clone(),
    })
}

fn identity(raw: &RawFile, cx: &mut Context) -> (FileKind, String) {
    let (kind, key, id) = match (&raw.tree.0, &raw.procedure.0) {
        (Some(id), None) => (FileKind::Tree, "tree", id.clone()),
        (None, Some(id)) => (FileKind::Procedure, "procedure", id.clone()),
        (Some(id), Some(_)) => {
            cx.wrong(
                "file-kind",
                "procedure".to_owned(),
                "the file says both 'tree:' and 'procedure:'".to_owned(),
                "a tree ends in findings, a procedure in exits",
                "keep one",
            );
            (FileKind::Tree, "tree", id.clone())
        }
        (None, None) => {
            cx.missing("", "tree", "a file is a tree or a procedure", "add 'tree: ID' or 'procedure: ID'");
            return (FileKind::Tree, String::new());
        }
    };
    kebab(&id, key, cx);
    (kind, id)
}

fn kebab(id: &str, path: &str, cx: &mut Context) {
    if !is_kebab(id) {
        cx.wrong(
            "bad-id",
            path.to_owned(),
            format!("'{id}' is not written as an id"),
            "ids stand in journals, paths and links",
            "small letters, digits and single hyphens, a letter first, 64 characters at most",
        );
        if path.contains('/') {
            cx.at_key();
        }
    }
}

/// Fills the one namespace of the file.
fn names(raw: &RawFile, kind: FileKind, cx: &mut Context) {
    let ids = |part: &'static str, named: Named, list: Vec<&String>| {
        list.into_iter().map(move |id| (format!("{part}/{id}"), id.clone(), named)).collect::<Vec<_>>()
    };
    let mut all = ids("steps", Named::Step, entries(&raw.steps).iter().map(|(k, _)| k).collect());
    all.extend(ids("findings", Named::Finding, entries(&raw.findings).iter().map(|(k, _)| k).collect()));
    all.extend(ids("handovers", Named::Handover, entries(&raw.handovers).iter().map(|(k, _)| k).collect()));
    if kind == FileKind::Procedure {
        let exits = raw.exits.0.iter().flatten().enumerate();
        all.extend(exits.map(|(i, id)| (format!("exits/{i}"), id.clone(), Named::Exit)));
    }
    for (path, id, named) in all {
        kebab(&id, &path, cx);
        if let Some(first) = cx.names.get(&id) {
            let message = format!("'{id}' is already the name of a {}", first.words());
            cx.wrong(
                "id-taken",
                path,
                message,
                "steps, findings, hand-overs and exits share one namespace",
                "rename one",
            );
            cx.at_key();
        } else {
            cx.names.insert(id, named);
        }
    }
}

/// Keys that belong to the other kind of file.
fn keys_of_kind(raw: &RawFile, kind: FileKind, cx: &mut Context) {
    let stray: &[(&str, bool)] = match kind {
        FileKind::Tree => &[("needs", raw.needs.0.is_some()), ("exits", raw.exits.0.is_some())],
        FileKind::Procedure => {
            &[("complaints", raw.complaints.0.is_some()), ("priors", raw.priors.0.is_some())]
        }
    };
    for (key, _) in stray.iter().filter(|(_, there)| *there) {
        let (word, other) = match kind {
            FileKind::Tree => ("tree", "procedure"),
            FileKind::Procedure => ("procedure", "tree"),
        };
        cx.wrong(
            "stray-key",
            (*key).to_owned(),
            format!("a {word} has no '{key}'"),
            "it would be passed over in silence",
            &format!("remove it; it belongs to a {other}"),
        );
        cx.at_key();
    }
    if kind == FileKind::Procedure && raw.exits.0.as_ref().is_none_or(Vec::is_empty) {
        cx.missing("", "exits", "whoever includes a procedure must be able to go on", "add 'exits: [NAME]'");
    }
}

fn origin(id: &str) -> Origin {
    Origin { file: 0, id: id.to_owned() }
}

pub(super) fn minutes(value: Option<f64>, path: &str, cx: &mut Context) -> Option<f64> {
    if let Some(bad) = value.filter(|m| !(0.0..=10_000.0).contains(m)) {
        cx.wrong(
            "bad-quantity",
            format!("{path}/minutes"),
            format!("{bad} minutes cannot be"),
            "minutes are what the step costs",
            "give a number from 0 up",
        );
    }
    value
}

fn finding(id: &str, raw: &RawFinding, file: &RawFile, cx: &mut Context) -> Finding<String> {
    let path = format!("findings/{id}");
    let fault = raw.fault.0.unwrap_or_else(|| {
        cx.missing(&path, "fault", "a finding names a fault", "add 'fault:' with a fault id");
        Fault::NoFault
    });
    let says = cx.text(&raw.says, &path, "says", "the person must know what was found");
    let remedy = if fault == Fault::NoFault {
        cx.maybe(&raw.remedy, &path, "remedy")
    } else {
        Some(cx.text(&raw.remedy, &path, "remedy", "a finding without a remedy leaves the car as it was"))
    };
    let confirm = raw.confirm.0.as_ref().map(|confirm| {
        let path = format!("{path}/confirm");
        let repeat = cx.target(&confirm.repeat, &path, "repeat");
        let expect = confirm.expect.0.as_deref();
        if expect.is_none() {
            cx.missing(
                &path,
                "expect",
                "without it nobody knows what proves the repair",
                "add 'expect: within' or an outcome",
            );
        }
        Confirm { expect: expected(&repeat, expect, &path, file, cx), repeat }
    });
    Finding {
        id: id.to_owned(),
        origin: origin(id),
        fault,
        also: raw.also.0.clone().unwrap_or_default(),
        says,
        remedy,
        confirm,
        cautions: raw.cautions.0.clone().unwrap_or_default(),
        minutes: minutes(raw.minutes.0, &path, cx),
    }
}

/// What the repeated step must show: `within` for a read-step, one of its outcomes for an observe-step.
fn expected(repeat: &str, expect: Option<&str>, path: &str, file: &RawFile, cx: &mut Context) -> Expected {
    let step = entries(&file.steps).iter().find(|(id, _)| id == repeat).map(|(_, s)| s);
    let why = "a repair is proved by the reading or the look that found the fault";
    match step {
        Some(s) if s.read.0.is_some() => {
            if let Some(other) = expect.filter(|e| *e != "within") {
                let message = format!("'{repeat}' is a reading; expected 'within', found '{other}'");
                cx.wrong("bad-confirm", format!("{path}/expect"), message, why, "write 'expect: within'");
            }
        }
        Some(s) if s.observe.0.is_some() => {
            let observation = s.observe.0.unwrap_or(crate::terms::Observation::FuelInTank);
            if let Some(outcome) = expect.and_then(|e| observation.outcome(e)) {
                return Expected::Outcome(*outcome);
            }
            if let Some(other) = expect {
                let ids: Vec<&str> = observation.outcomes().iter().map(|o| o.id).collect();
                let message =
                    format!("'{other}' is no outcome of {observation}; expected {}", ids.join(", "));
                cx.wrong(
                    "bad-confirm",
                    format!("{path}/expect"),
                    message,
                    why,
                    &format!("write 'expect: {}'", ids[0]),
                );
            }
        }
        Some(_) => {
            let message = format!("'{repeat}' neither reads nor observes anything");
            cx.problems.push(Problem {
                rule: "bad-confirm",
                path: format!("{path}/repeat"),
                message,
                why,
                hint: Some("name a read-step or an observe-step of this file".to_owned()),
                follows: true,
                at_key: false,
            });
        }
        None if cx.names.contains_key(repeat) => cx.wrong(
            "bad-confirm",
            format!("{path}/repeat"),
            format!("'{repeat}' is no step"),
            why,
            "name a read-step or an observe-step of this file",
        ),
        None => {}
    }
    Expected::Within
}

fn handover(id: &str, raw: &RawHandover, cx: &mut Context) -> Handover {
    let path = format!("handovers/{id}");
    Handover {
        id: id.to_owned(),
        origin: origin(id),
        says: cx.text(&raw.says, &path, "says", "whoever takes over must know what is known"),
        advice: cx.text(&raw.advice, &path, "advice", "a walk never ends without a next thing to do"),
        narrowed: raw.narrowed.0.clone().unwrap_or_default(),
    }
}

fn undo(raw: &RawFile, cx: &mut Context) -> Vec<StateUndo<UndoBy>> {
    let mut all = Vec::new();
    for (id, state) in entries(&raw.states) {
        let path = format!("states/{id}");
        let parsed = match id.parse::<State>() {
            Ok(parsed) => Some(parsed),
            Err(e) => {
                let hint = e.near.map_or_else(String::new, |near| format!("did you mean '{near}'?"));
                cx.wrong(
                    "unknown-term",
                    path.clone(),
                    format!("'{id}' is no state"),
                    "trees use the shared vocabulary only",
                    &hint,
                );
                cx.at_key();
                None
            }
        };
        let Some(by) = state.undo.0.clone() else {
            cx.missing(
                &path,
                "undo",
                "a state nobody can undo is left on the car",
                "add 'undo:' with a step or a procedure",
            );
            continue;
        };
        let start = if by.contains('/') {
            resolve_step::procedure_path(&by, &format!("{path}/undo"), cx);
            UndoBy::Procedure(by)
        } else {
            match cx.names.get(&by) {
                Some(Named::Step) => {}
                Some(other) => {
                    let message = format!("'{by}' is a {}, not a step", other.words());
                    cx.wrong(
                        "bad-undo",
                        format!("{path}/undo"),
                        message,
                        "a state is undone by doing something",
                        "name a step or a procedure",
                    );
                }
                None => cx.name(&by, &format!("{path}/undo")),
            }
            UndoBy::Step(by)
        };
        all.extend(parsed.map(|state| StateUndo { state, start, origin: origin(id) }));
    }
    all
}
