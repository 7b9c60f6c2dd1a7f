//! A caution stands before a step that nothing in the step calls for.
//!
//! Why: people stop reading cautions that do not concern them. Too many hide the one that counts.
//!
//! Remedy: remove it, or write into the step what it warns of (condition, state, tool).
use crate::lint::calls::{cautions, suits};
use crate::lint::file::FileView;
use crate::lint::rule::{Check, Found, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "caution-unfounded",
    level: Level::Note,
    source: include_str!("caution_unfounded.rs"),
    check: Check::File(check),
};

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    for step in &view.document.steps {
        let called = cautions(step);
        for (i, caution) in step.cautions.iter().enumerate() {
            if !called.iter().any(|(c, _)| c == caution) && !suits(step, *caution) {
                let message = format!("nothing in '{}' calls for {caution}", step.id);
                found.in_file(view, format!("steps/{}/cautions/{i}", step.id), message);
            }
        }
    }
}
