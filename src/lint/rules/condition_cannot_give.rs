//! A reading does not exist in the condition it is taken in.
//!
//! Why: trim and lambda need a running engine, a held pressure needs the key off, and a pump that is off has neither flow
//! nor current. The model gives no band there, and the meter shows nothing that means anything.
//!
//! Remedy: take another condition or another reading.
use crate::lint::file::FileView;
use crate::lint::rule::{Check, Found, Rule, step_path};
use crate::terms::Reading;
use crate::tree::{Expect, Level, StepKind};

/// The rule.
pub const RULE: Rule = Rule {
    id: "condition-cannot-give",
    level: Level::Error,
    source: include_str!("condition_cannot_give.rs"),
    check: Check::File(check),
};

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    for step in &view.document.steps {
        let StepKind::Read(read) = &step.kind else { continue };
        if !read.reading.exists_at(read.at) {
            let message = format!("'{}' reads {} at {}", step.id, read.reading.name(), read.at.name());
            found.in_file(view, step_path(&step.id, "at"), message);
        } else if read.reading == Reading::BatteryVoltage && matches!(read.expect, Expect::Model { .. }) {
            let message = format!("'{}' expects the model to give the battery's voltage", step.id);
            found
                .in_file(view, step_path(&step.id, "expect"), message)
                .why("the rig states the battery's voltage; it does not follow from anything")
                .hint("give limits: 'expect: {by: limits, min: …}'");
        }
    }
}
