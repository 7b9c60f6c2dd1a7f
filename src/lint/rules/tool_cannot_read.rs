//! A reading is to be taken with a tool that cannot measure it.
//!
//! Why: the verdict follows from the instrument's accuracy, and this one has none for that quantity.
//!
//! Remedy: name the instrument that measures it.
use crate::lint::file::FileView;
use crate::lint::instruments::measures;
use crate::lint::rule::{Check, Found, Rule, step_path};
use crate::terms::Tool;
use crate::tree::{Level, StepKind};

/// The rule.
pub const RULE: Rule = Rule {
    id: "tool-cannot-read",
    level: Level::Error,
    source: include_str!("tool_cannot_read.rs"),
    check: Check::File(check),
};

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    for step in &view.document.steps {
        let StepKind::Read(read) = &step.kind else { continue };
        if measures(read.with, read.reading) {
            continue;
        }
        let fit: Vec<&str> =
            Tool::ALL.iter().filter(|t| measures(**t, read.reading)).map(|t| t.id()).collect();
        let message =
            format!("'{}' reads {} with a {}", step.id, read.reading.name(), read.with.name());
        found.in_file(view, step_path(&step.id, "with"), message).hint(format!("use {}", fit.join(" or ")));
    }
}
