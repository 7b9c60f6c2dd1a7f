//! Every arm of a choice, and its else, leads to the same place.
//!
//! Why: the choice decides nothing; one of its edges probably should lead elsewhere.
//!
//! Remedy: lead the edge where it should go, or remove the choice.
use crate::lint::file::FileView;
use crate::lint::rule::{Check, Found, Rule, step_path};
use crate::tree::{Level, StepKind};

/// The rule.
pub const RULE: Rule = Rule {
    id: "choice-idle",
    level: Level::Warning,
    source: include_str!("choice_idle.rs"),
    check: Check::File(check),
};

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    for step in &view.document.steps {
        let StepKind::Choose { arms, otherwise } = &step.kind else { continue };
        if arms.iter().all(|a| a.next == *otherwise) {
            let message = format!("every way out of '{}' leads to '{otherwise}'", step.id);
            found.in_file(view, step_path(&step.id, "choose"), message);
        }
    }
}
