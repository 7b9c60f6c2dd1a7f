//! A verdict that a reading can give leads nowhere.
//!
//! Why: with a lower limit a reading can be low, with an upper one high; the model gives both. A walk that gets such a
//! verdict could not go on.
//!
//! Remedy: add `low:` or `high:` with where it leads.
use crate::lint::file::FileView;
use crate::lint::rule::{Check, Found, Rule, step_path};
use crate::tree::{Level, StepKind};

/// The rule.
pub const RULE: Rule = Rule {
    id: "verdict-unrouted",
    level: Level::Error,
    source: include_str!("verdict_unrouted.rs"),
    check: Check::File(check),
};

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    for step in &view.document.steps {
        let StepKind::Read(read) = &step.kind else { continue };
        for (word, can, routed) in [
            ("low", read.expect.has_low(), read.low.is_some()),
            ("high", read.expect.has_high(), read.high.is_some()),
        ] {
            if can && !routed {
                let message = format!("'{}' can read {word}, and '{word}' leads nowhere", step.id);
                found.in_file(view, step_path(&step.id, ""), message).hint(format!("add '{word}: …'"));
            }
        }
    }
}
