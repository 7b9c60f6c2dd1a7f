//! A step that somebody may be unable to do has no way on.
//!
//! Why: a tool is not there, a place cannot be reached, a thing is not safe here. Every measurement, every look and every
//! step that takes a tool must say where the walk goes then.
//!
//! Remedy: add `cannot: {next: …}`.
use crate::lint::file::FileView;
use crate::lint::rule::{Check, Found, Rule, step_path};
use crate::terms::Tool;
use crate::tree::{Level, StepKind};

/// The rule.
pub const RULE: Rule = Rule {
    id: "cannot-missing",
    level: Level::Error,
    source: include_str!("cannot_missing.rs"),
    check: Check::File(check),
};

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    for (_, step) in view.asking() {
        if step.cannot.is_some() {
            continue;
        }
        let tool = step.tools.iter().find(|t| **t != Tool::Eyes);
        let what = match &step.kind {
            StepKind::Read(_) => "a measurement",
            StepKind::Observe { .. } => "a look",
            StepKind::Do { .. } => match tool {
                Some(tool) => &format!("a step that takes a {}", tool.name()),
                None => continue,
            },
            _ => continue,
        };
        let message = format!("'{}' is {what} and does not say what follows when it cannot be done", step.id);
        found.in_file(view, step_path(&step.id, ""), message);
    }
}
