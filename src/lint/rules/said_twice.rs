//! Two steps of a file measure the same thing in the same words.
//!
//! Why: it may be one step that both paths could share; or one of the two was copied and not changed.
//!
//! Remedy: lead both paths to one step, or say what differs.
use crate::lint::file::FileView;
use crate::lint::rule::{Check, Found, Rule, step_path};
use crate::tree::{Level, StepKind};
use std::collections::HashMap;

/// The rule.
pub const RULE: Rule = Rule {
    id: "said-twice",
    level: Level::Note,
    source: include_str!("said_twice.rs"),
    check: Check::File(check),
};

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    let mut seen: HashMap<(&str, crate::terms::Reading), &str> = HashMap::new();
    for (_, step) in view.asking() {
        let StepKind::Read(read) = &step.kind else { continue };
        if let Some(first) = seen.insert((step.action.as_str(), read.reading), &step.id) {
            let message = format!("'{}' says and reads the same as '{first}'", step.id);
            found.in_file(view, step_path(&step.id, "do"), message);
        }
    }
}
