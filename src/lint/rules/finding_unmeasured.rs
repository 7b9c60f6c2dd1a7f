//! A finding can be reached without a single measurement.
//!
//! Why: looks and sounds mislead. A part is bought on a finding, so at least one reading with a verdict stands on every
//! path to it.
//!
//! Remedy: lead the path shown through a reading first, or end it in a hand-over that says what to measure. A reading that
//! could not be taken or stayed undecided does not count.
use crate::lint::flow::{Flow, Spot};
use crate::lint::held::Marks;
use crate::lint::rule::{Check, Found, Rule};
use crate::terms::Fault;
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "finding-unmeasured",
    level: Level::Error,
    source: include_str!("finding_unmeasured.rs"),
    check: Check::Paths(check),
};

fn check(flow: &Flow<'_>, found: &mut Found<'_>) {
    for (i, finding) in flow.tree.findings.iter().enumerate() {
        if let Some(entry) = flow.at(Spot::Finding(i)).find(|e| !e.held.marks.has(Marks::MEASURED)) {
            let what = if finding.fault == Fault::NoFault { "'no fault'" } else { "the finding" };
            let message =
                format!("{what} '{}' is reached without a reading {}", finding.id, flow.path_to(entry));
            found.in_tree(flow.tree, "findings", &finding.origin, "fault", message);
        }
    }
}
