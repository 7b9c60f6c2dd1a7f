//! A verdict is routed that the reading cannot give.
//!
//! Why: without a lower limit nothing is low, without an upper one nothing is high. The edge pretends that a case is taken
//! care of that never comes, or a limit is missing.
//!
//! Remedy: remove the edge, or add the limit.
use crate::lint::file::FileView;
use crate::lint::rule::{Check, Found, Rule, step_path};
use crate::tree::{Level, StepKind};

/// The rule.
pub const RULE: Rule = Rule {
    id: "verdict-impossible",
    level: Level::Error,
    source: include_str!("verdict_impossible.rs"),
    check: Check::File(check),
};

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    for step in &view.document.steps {
        let StepKind::Read(read) = &step.kind else { continue };
        for (word, limit, can, routed) in [
            ("low", "lower", read.expect.has_low(), read.low.is_some()),
            ("high", "upper", read.expect.has_high(), read.high.is_some()),
        ] {
            if routed && !can {
                let message = format!("'{}' has no {limit} limit and can never read {word}", step.id);
                found.in_file(view, step_path(&step.id, word), message);
            }
        }
    }
}
