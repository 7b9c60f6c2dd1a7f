//! The step that proves a repair cannot be done in the state the finding leaves the car in.
//!
//! Why: after the repair the step is repeated as the car stands. If what it requires does not hold on some path to the
//! finding, the person is told to measure with a gauge that is not there, or in a way that is not safe.
//!
//! Remedy: confirm by a step whose states hold on every path to the finding, or give the finding a twin for the other
//! path.
use crate::lint::clash::standing;
use crate::lint::flow::{Flow, Spot};
use crate::lint::held::{Held, Marks};
use crate::lint::rule::{Check, Found, Rule};
use crate::terms::{Condition, State};
use crate::tree::{Level, Step};

/// The rule.
pub const RULE: Rule = Rule {
    id: "confirm-impossible",
    level: Level::Error,
    source: include_str!("confirm_impossible.rs"),
    check: Check::Paths(check),
};

/// Why `step` cannot be done in this situation, if it cannot.
fn hindered(step: &Step, held: &Held) -> Option<String> {
    if let Some(state) = step.requires.iter().find(|s| !held.sure.contains(**s)) {
        return Some(format!("requires {state}, which does not hold"));
    }
    if let Some(state) = step.forbids.iter().find(|s| held.maybe.contains(**s)) {
        return Some(format!("forbids {state}, which holds"));
    }
    let at = step.at?;
    if at == Condition::Load && !held.marks.has(Marks::RAISED_FINE) {
        return Some("is a load run that was not made ready".to_owned());
    }
    if at.pressurises() && held.maybe.contains(State::LineOpen) {
        return Some("runs the pump with a fuel line open".to_owned());
    }
    standing(at, held).map(|(state, why)| format!("cannot be done while {state} holds ({why})"))
}

fn check(flow: &Flow<'_>, found: &mut Found<'_>) {
    for (i, finding) in flow.tree.findings.iter().enumerate() {
        let Some(repeat) = finding.confirm.as_ref().map(|c| c.repeat) else { continue };
        let Some(step) = flow.tree.steps.get(repeat) else { continue };
        // A step that cannot be done on the walk itself is complained of there.
        if flow.at(Spot::Step(repeat)).any(|e| hindered(step, &e.held).is_some()) {
            continue;
        }
        for entry in flow.at(Spot::Finding(i)) {
            if let Some(reason) = hindered(step, &entry.held) {
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
}
