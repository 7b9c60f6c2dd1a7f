//! A load run stands on a path where the mixture was not read at raised idle first, or was lean there.
//!
//! Why: an engine that is lean without load melts its pistons under it. A load run never comes with a leak seen, with lean
//! at raised idle, or without a look at either.
//!
//! Remedy: read lambda or trim at `raised` first, and lead `high` (lean) and what could not be read away from the load run.
use crate::lint::flow::Flow;
use crate::lint::held::Marks;
use crate::lint::rule::{Check, Found, Rule};
use crate::terms::Condition;
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "load-run-unready",
    level: Level::Error,
    source: include_str!("load_run_unready.rs"),
    check: Check::Paths(check),
};

fn check(flow: &Flow<'_>, found: &mut Found<'_>) {
    for (_, step, entry) in flow.before_steps() {
        if step.at == Some(Condition::Load) && !entry.held.marks.has(Marks::RAISED_FINE) {
            let message = format!(
                "'{}' is a load run without lambda or trim read at raised idle and found not lean {}",
                step.id,
                flow.path_to(entry)
            );
            found.in_tree(flow.tree, "steps", &step.origin, "at", message);
        }
    }
}
