//! A repair is called proved by an answer that means something is wrong.
//!
//! Why: the first outcome of an observation is the one that means nothing is wrong; any other shows the fault again.
//!
//! Remedy: expect the first outcome.
use crate::lint::file::{FileView, Node};
use crate::lint::rule::{Check, Found, Rule};
use crate::tree::{Expected, Level, StepKind};

/// The rule.
pub const RULE: Rule = Rule {
    id: "confirm-expects-fault",
    level: Level::Error,
    source: include_str!("confirm_expects_fault.rs"),
    check: Check::File(check),
};

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    for finding in &view.document.findings {
        let Some(confirm) = &finding.confirm else { continue };
        let Some(Node::Step(i)) = view.node(&confirm.repeat) else { continue };
        let StepKind::Observe { observation, .. } = &view.document.steps[i].kind else { continue };
        let Some(good) = observation.outcomes().first() else { continue };
        if let Expected::Outcome(outcome) = confirm.expect
            && outcome.id != good.id
        {
            let message = format!("'{}' is proved by '{}', which means {}", finding.id, outcome.id, outcome.name);
            found
                .in_file(view, format!("findings/{}/confirm/expect", finding.id), message)
                .hint(format!("write 'expect: {}'", good.id));
        }
    }
}
