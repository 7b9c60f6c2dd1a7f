//! The reference hose is looked into with the key on or the engine hot.
//!
//! Why: the hose may hold fuel. It is looked into with the key off, the engine cool, a rag under it and eyes only.
//!
//! Remedy: take `at` out of the step, and require `engine-cool`.
use crate::lint::file::FileView;
use crate::lint::rule::{Check, Found, Rule, step_path};
use crate::terms::Observation;
use crate::tree::{Level, StepKind};

/// The rule.
pub const RULE: Rule = Rule {
    id: "reference-hose-look",
    level: Level::Error,
    source: include_str!("reference_hose_look.rs"),
    check: Check::File(check),
};

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    for (_, step) in view.asking() {
        let looks = matches!(&step.kind, StepKind::Observe { observation: Observation::ReferenceHoseInside, .. });
        if let Some(at) = step.at.filter(|_| looks) {
            let message = format!("'{}' looks into the reference hose at {at}", step.id);
            found.in_file(view, step_path(&step.id, "at"), message);
        }
    }
}
