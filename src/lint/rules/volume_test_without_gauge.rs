//! A volume test can be reached without the pressure gauge fitted.
//!
//! Why: a volume test pumps fuel into the open. It is never the alternative for someone without a gauge.
//!
//! Remedy: let every path to it pass the fitting of the gauge, and lead "no gauge" elsewhere.
use crate::lint::calls::is_volume_test;
use crate::lint::flow::Flow;
use crate::lint::rule::{Check, Found, Rule};
use crate::terms::State;
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "volume-test-without-gauge",
    level: Level::Error,
    source: include_str!("volume_test_without_gauge.rs"),
    check: Check::Paths(check),
};

fn check(flow: &Flow<'_>, found: &mut Found<'_>) {
    for (_, step, entry) in flow.before_steps() {
        if is_volume_test(step) && step.undoes.is_none() && !entry.held.sure.contains(State::GaugeFitted) {
            let message = format!(
                "'{}' belongs to a volume test and is reached without the gauge fitted {}",
                step.id,
                flow.path_to(entry)
            );
            found.in_tree(flow.tree, "steps", &step.origin, "", message);
        }
    }
}
