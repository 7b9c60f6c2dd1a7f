//! An answer that an observation allows leads nowhere.
//!
//! Why: a person who sees just that could not go on.
//!
//! Remedy: add the outcome under `answers:` with where it leads.
use crate::lint::file::FileView;
use crate::lint::rule::{Check, Found, Rule, step_path};
use crate::tree::{Level, StepKind};

/// The rule.
pub const RULE: Rule = Rule {
    id: "answer-unrouted",
    level: Level::Error,
    source: include_str!("answer_unrouted.rs"),
    check: Check::File(check),
};

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    for step in &view.document.steps {
        let StepKind::Observe { observation, answers } = &step.kind else { continue };
        let missing: Vec<&str> = observation
            .outcomes()
            .iter()
            .filter(|o| answers.iter().all(|a| a.outcome.id != o.id))
            .map(|o| o.id)
            .collect();
        if !missing.is_empty() {
            let message = format!("'{}' does not say where {} leads", step.id, missing.join(", "));
            found.in_file(view, step_path(&step.id, "answers"), message);
        }
    }
}
