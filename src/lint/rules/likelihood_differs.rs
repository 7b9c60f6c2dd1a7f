//! Two steps that ask the same thing state different likelihoods for it.
//!
//! Why: what was seen counts once in the odds, so only one of the two could count.
//!
//! Remedy: give both steps the same likelihood, or state it at one of them; it then counts for both.
use crate::lint::flow::Flow;
use crate::lint::rule::{Check, Found, Rule};
use crate::tree::{Key, Level, Step};
use std::collections::HashMap;

/// The rule.
pub const RULE: Rule = Rule {
    id: "likelihood-differs",
    level: Level::Error,
    source: include_str!("likelihood_differs.rs"),
    check: Check::Paths(check),
};

fn check(flow: &Flow<'_>, found: &mut Found<'_>) {
    let mut first: HashMap<Key, &Step> = HashMap::new();
    for step in &flow.tree.steps {
        let (Some(likelihood), Some(key)) = (&step.likelihood, Key::of(&step.kind)) else { continue };
        let earlier = *first.entry(key).or_insert(step);
        if earlier.likelihood.as_ref() != Some(likelihood) {
            let message = format!("'{}' asks the same as '{}' and states another likelihood", step.id, earlier.id);
            found.in_tree(flow.tree, "steps", &step.origin, "likelihood", message);
        }
    }
}
