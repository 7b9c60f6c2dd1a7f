//! A step clears a state that never holds when a walk comes to it.
//!
//! Why: either the state is not made where it should be, so nothing guards it, or the step undoes nothing.
//!
//! Remedy: add the state to `makes` of the step that brings it about, or remove it from `clears`.
use crate::lint::rule::{Check, Found, Rule, Whole};
use crate::terms::State;
use crate::tree::Level;
use std::collections::{BTreeMap, BTreeSet};

/// The rule.
pub const RULE: Rule = Rule {
    id: "clears-nothing",
    level: Level::Error,
    source: include_str!("clears_nothing.rs"),
    check: Check::Whole(check),
};

fn check(whole: &Whole<'_>, found: &mut Found<'_>) {
    // By file and step: the states that held there in any tree, and whether any tree came there.
    let mut held: BTreeMap<(&str, &str), BTreeSet<State>> = BTreeMap::new();
    for flow in whole.flows.iter().filter(|f| !f.alone()) {
        // Who puts back may look at more than can be open then.
        let cleared = flow.before_steps().filter(|(_, s, _)| !s.clears.is_empty() && s.undoes.is_none());
        for (_, step, entry) in cleared {
            let Some(file) = flow.tree.files.get(step.origin.file) else { continue };
            held.entry((&file.name, &step.origin.id)).or_default().extend(entry.held.maybe.iter());
        }
    }
    for view in whole.files {
        for step in &view.document.steps {
            let Some(ever) = held.get(&(view.document.file.name.as_str(), step.id.as_str())) else { continue };
            for (i, state) in step.clears.iter().enumerate() {
                if !ever.contains(state) {
                    let message = format!("'{}' clears {state}, which never holds there", step.id);
                    found.in_file(view, format!("steps/{}/clears/{i}", step.id), message);
                }
            }
        }
    }
}
