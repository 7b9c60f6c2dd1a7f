//! The lower limit of a reading does not lie below its upper limit.
//!
//! Why: no reading could be within; low and high would overlap.
//!
//! Remedy: swap the limits or correct the wrong one.
use crate::lint::file::FileView;
use crate::lint::rule::{Check, Found, Rule, step_path};
use crate::tree::{Expect, Level, StepKind};

/// The rule.
pub const RULE: Rule = Rule {
    id: "limits-crossed",
    level: Level::Error,
    source: include_str!("limits_crossed.rs"),
    check: Check::File(check),
};

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    for step in &view.document.steps {
        let StepKind::Read(read) = &step.kind else { continue };
        if let Expect::Limits { min: Some(min), max: Some(max) } = &read.expect
            && min.si >= max.si
        {
            let message = format!("'{}' has limits from {} to {}", step.id, min.typed, max.typed);
            found.in_file(view, step_path(&step.id, "expect/min"), message);
        }
    }
}
