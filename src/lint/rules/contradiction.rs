//! A step contradicts itself in the states it names.
//!
//! Why: a state cannot be required and forbidden, made and cleared, or made by a condition that takes it away; and a name
//! twice in one list says nothing more.
//!
//! Remedy: keep what is meant.
use crate::lint::file::FileView;
use crate::lint::rule::{Check, Found, Rule, step_path};
use crate::terms::State;
use crate::tree::{Level, Step, condition_takes};

/// The rule.
pub const RULE: Rule = Rule {
    id: "contradiction",
    level: Level::Error,
    source: include_str!("contradiction.rs"),
    check: Check::File(check),
};

/// What is wrong with the states of a step, and under which key.
fn wrong(step: &Step<String>) -> Option<(&'static str, String)> {
    let both = |a: &[State], b: &[State]| a.iter().copied().find(|s| b.contains(s));
    if let Some(s) = both(&step.forbids, &step.requires) {
        return Some(("forbids", format!("requires {s} and forbids it")));
    }
    if let Some(s) = both(&step.clears, &step.makes) {
        return Some(("clears", format!("makes {s} and clears it")));
    }
    let taken = condition_takes(step.at);
    if let Some(s) = step.makes.iter().find(|s| taken.contains(**s)) {
        return Some(("makes", format!("makes {s}, which its condition takes away")));
    }
    for (key, list) in [
        ("requires", &step.requires),
        ("forbids", &step.forbids),
        ("makes", &step.makes),
        ("clears", &step.clears),
    ] {
        if let Some((_, s)) = list.iter().enumerate().find(|(i, s)| list[..*i].contains(s)) {
            return Some((key, format!("names {s} twice")));
        }
    }
    let mut cautions = step.cautions.iter().enumerate();
    cautions
        .find(|(i, c)| step.cautions[..*i].contains(c))
        .map(|(_, c)| ("cautions", format!("names {c} twice")))
}

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    for step in &view.document.steps {
        if let Some((key, what)) = wrong(step) {
            found.in_file(view, step_path(&step.id, key), format!("'{}' {what}", step.id));
        }
    }
}
