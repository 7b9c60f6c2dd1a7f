//! The engine can be cranked or run after an injector was seen to drip.
//!
//! Why: a cylinder full of fuel cannot be compressed; cranking bends a rod or blows fuel out of the plug hole.
//!
//! Remedy: lead the answer `drips` to a finding or hand-over that says: do not crank, plugs out first, check the oil.
use crate::lint::flow::Flow;
use crate::lint::held::Marks;
use crate::lint::rule::{Check, Found, Rule};
use crate::terms::Condition;
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "crank-flooded",
    level: Level::Error,
    source: include_str!("crank_flooded.rs"),
    check: Check::Paths(check),
};

fn check(flow: &Flow<'_>, found: &mut Found<'_>) {
    for (_, step, entry) in flow.before_steps() {
        let turns = step.at.filter(|c| c.running() || *c == Condition::Crank);
        if let Some(at) = turns
            && step.undoes.is_none()
            && entry.held.maybe_marks.has(Marks::FLOODED)
        {
            let message = format!(
                "'{}' puts the car at {at} after an injector was seen to drip {}",
                step.id,
                flow.path_to(entry)
            );
            found.in_tree(flow.tree, "steps", &step.origin, "at", message);
        }
    }
}
