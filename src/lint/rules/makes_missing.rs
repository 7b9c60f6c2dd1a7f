//! A step brings about a state and does not say so.
//!
//! Why: a state nobody names is a state nobody undoes: a relay left swapped, a reference hose left off, a return left
//! closed.
//!
//! Remedy: add the state to `makes`, and say under `states:` how it is undone.
use crate::lint::calls::makes;
use crate::lint::file::FileView;
use crate::lint::rule::{Check, Found, Rule, step_path};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "makes-missing",
    level: Level::Error,
    source: include_str!("makes_missing.rs"),
    check: Check::File(check),
};

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    for step in &view.document.steps {
        for (state, why) in makes(step) {
            if !step.makes.contains(&state) && !step.requires.contains(&state) {
                let message = format!("'{}' does not say that it makes {state} ({why})", step.id);
                found.in_file(view, step_path(&step.id, "makes"), message);
            }
        }
    }
}
