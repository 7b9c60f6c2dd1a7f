//! The step that proves a repair cannot be done in the state the finding leaves the car in.
//!
//! Why: after the repair the step is repeated as the car stands. If what it requires does not hold on some path to the
//! finding, the person is told to measure with a gauge that is not there, or in a way that is not safe.
//!
//! Remedy: confirm by a step whose states hold on every path to the finding, or give the finding a twin for the other
//! path.
use crate::lint::flow::{Flow, Spot};
use crate::lint::held::Marks;
use crate::lint::rule::{Check, Found, Rule};
use crate::terms::{Condition, State};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "confirm-impossible",
    level: Level::Error,
    source: include_str!("confirm_impossible.rs"),
    check: Check::Paths(check),
};

fn check(flow: &Flow<'_>, found: &mut Found<'_>) {
    for (i, finding) in flow.tree.findings.iter().enumerate() {
        let Some(step) = finding.confirm.as_ref().and_then(|c| flow.tree.steps.get(c.repeat)) else {
            continue;
        };
        for entry in flow.at(Spot::Finding(i)) {
            let lacking = step.requires.iter().find(|s| !entry.held.sure.contains(**s));
            let standing = step.forbids.iter().find(|s| entry.held.maybe.contains(**s));
            let open = step.at.is_some_and(Condition::pressurises) && entry.held.maybe.contains(State::LineOpen);
            let unready = step.at == Some(Condition::Load) && !entry.held.marks.has(Marks::RAISED_FINE);
            let disabled = step.at.is_some_and(|c| c.pressurises() && c != Condition::Crank)
                && entry.held.maybe.contains(State::PumpDisabled);
            let reason = match (lacking, standing) {
                (Some(state), _) => format!("requires {state}, which does not hold"),
                (_, Some(state)) => format!("forbids {state}, which holds"),
                _ if open => "runs the pump with a fuel line open".to_owned(),
                _ if unready => "is a load run that was not made ready".to_owned(),
                _ if disabled => "needs the pump, which is disabled".to_owned(),
                _ => continue,
            };
            let message = format!(
                "the repair of '{}' is proved by '{}', which {reason} {}",
                finding.id,
                step.id,
                flow.path_to(entry)
            );
            found.in_tree(flow.tree, "findings", &finding.origin, "confirm/repeat", message);
        }
    }
}
