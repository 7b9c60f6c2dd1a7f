//! A tree answers no complaint, or claims to find nothing.
//!
//! Why: nobody would be led to it, and nothing of it could be proved.
//!
//! Remedy: add `complaints: [...]` and `finds: [...]`.
use crate::lint::file::FileView;
use crate::lint::rule::{Check, Found, Rule};
use crate::tree::{FileKind, Level};

/// The rule.
pub const RULE: Rule = Rule {
    id: "nothing-claimed",
    level: Level::Error,
    source: include_str!("nothing_claimed.rs"),
    check: Check::File(check),
};

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    let d = view.document;
    if d.kind != FileKind::Tree {
        return;
    }
    if d.complaints.is_empty() {
        found.in_file(view, "tree", format!("'{}' answers no complaint", d.id)).hint("add 'complaints: [...]'");
    }
    if d.finds.is_empty() {
        found.in_file(view, "tree", format!("'{}' claims to find nothing", d.id)).hint("add 'finds: [...]'");
    }
}
