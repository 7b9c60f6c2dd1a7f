//! A step makes `leak-checked` without a look at the joints while the pump runs.
//!
//! Why: a joint that is dry without pressure says nothing. After a line is closed every joint is seen dry on prime, with the
//! engine off, before any start, and a leak seen there must have somewhere to go.
//!
//! Remedy: write the look as `observe: fuel-smell-or-leak` with `at: prime`, `makes: [leak-checked]`, and lead `leak` to an
//! end.
use crate::lint::file::FileView;
use crate::lint::rule::{Check, Found, Rule, step_path};
use crate::terms::{Condition, Observation, State};
use crate::tree::{Level, StepKind};

/// The rule.
pub const RULE: Rule = Rule {
    id: "leak-check-unseen",
    level: Level::Error,
    source: include_str!("leak_check_unseen.rs"),
    check: Check::File(check),
};

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    for (_, step) in view.asking() {
        if !step.makes.contains(&State::LeakChecked) {
            continue;
        }
        let looks = matches!(&step.kind, StepKind::Observe { observation: Observation::FuelSmellOrLeak, .. });
        let below = if !looks {
            "makes"
        } else if step.at != Some(Condition::Prime) {
            "at"
        } else {
            continue;
        };
        let lacks = if looks { "at prime" } else { "by a look for leaks that can be answered" };
        let message = format!("'{}' makes leak-checked, and not {lacks}", step.id);
        found.in_file(view, step_path(&step.id, below), message);
    }
}
