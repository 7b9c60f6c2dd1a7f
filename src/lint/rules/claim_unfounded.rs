//! A file claims to find a fault and has no finding that names it.
//!
//! Why: the claim is what people choose the tree by. Without a finding the walk can never come to it.
//!
//! Remedy: add a finding for the fault, or remove it from `finds`.
use crate::lint::flow::Flow;
use crate::lint::rule::{Check, Found, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "claim-unfounded",
    level: Level::Error,
    source: include_str!("claim_unfounded.rs"),
    check: Check::Paths(check),
};

fn check(flow: &Flow<'_>, found: &mut Found<'_>) {
    let tree = flow.tree;
    for (i, fault) in tree.finds.iter().enumerate() {
        let named = tree
            .findings
            .iter()
            .filter(|f| !flow.alone() || f.origin.file == 0)
            .any(|f| f.fault == *fault || f.also.contains(fault));
        if !named {
            let message = format!("'{}' claims to find {fault}, and no finding names it", tree.id);
            found.at(&tree.files[0], format!("finds/{i}"), message);
        }
        if tree.finds[..i].contains(fault) {
            let message = format!("'{}' claims {fault} twice", tree.id);
            found.at(&tree.files[0], format!("finds/{i}"), message).why("once is enough").hint("remove one");
        }
    }
}
