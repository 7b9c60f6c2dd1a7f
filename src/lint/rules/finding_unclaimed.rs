//! A finding names a fault that the file does not claim to find.
//!
//! Why: people choose a tree by its `finds`, and the proof injects what it claims. A fault found and not claimed is never
//! proved.
//!
//! Remedy: add the fault to `finds`, or correct the finding. A tree claims what its procedures find as well.
use crate::lint::flow::{Flow, Spot};
use crate::lint::rule::{Check, Found, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "finding-unclaimed",
    level: Level::Error,
    source: include_str!("finding_unclaimed.rs"),
    check: Check::Paths(check),
};

fn check(flow: &Flow<'_>, found: &mut Found<'_>) {
    let tree = flow.tree;
    for (i, finding) in tree.findings.iter().enumerate() {
        // A procedure may find more than a tree leads it to.
        if finding.origin.file != 0 && !flow.reached(Spot::Finding(i)) {
            continue;
        }
        // A procedure answers for its own findings; those of procedures it includes are theirs.
        if flow.alone() && finding.origin.file != 0 {
            continue;
        }
        for fault in std::iter::once(&finding.fault).chain(&finding.also) {
            if tree.finds.contains(fault) {
                continue;
            }
            let message = format!("'{}' finds {fault}, which '{}' does not claim", finding.id, tree.id);
            if finding.origin.file == 0 {
                found.in_tree(tree, "findings", &finding.origin, "fault", message);
            } else {
                found.at(&tree.files[0], "finds", message);
            }
        }
    }
}
