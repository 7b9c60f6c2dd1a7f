//! A step does not ask for a state that what it does calls for.
//!
//! Why: the state may hold on every path today. Only a step that asks for it stays safe when the tree is changed, and only
//! then does the engine refuse it when it does not hold.
//!
//! Remedy: add the state to `requires`.
use crate::lint::calls::requires;
use crate::lint::file::FileView;
use crate::lint::rule::{Check, Found, Rule, step_path};
use crate::terms::{Condition, State};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "requires-missing",
    level: Level::Error,
    source: include_str!("requires_missing.rs"),
    check: Check::File(check),
};

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    for step in &view.document.steps {
        let mut called = requires(step);
        // A file that is entered with joints seen dry says so again wherever the engine runs in it.
        let entered_dry = view.document.needs.contains(&State::LeakChecked);
        let runs = step.asks() && step.at.is_some_and(Condition::running);
        if entered_dry && runs && called.iter().all(|(s, _)| *s != State::LeakChecked) {
            called.push((State::LeakChecked, "a joint was opened before, and the engine runs here"));
        }
        let lacking: Vec<_> = called.into_iter().filter(|(s, _)| !step.requires.contains(s)).collect();
        if !lacking.is_empty() {
            let list: Vec<String> = lacking.iter().map(|(s, why)| format!("{s} ({why})")).collect();
            let ids: Vec<&str> = lacking.iter().map(|(s, _)| s.id()).collect();
            found
                .in_file(view, step_path(&step.id, "requires"), format!("'{}' does not require {}", step.id, list.join(", ")))
                .hint(format!("add {} to 'requires'", ids.join(", ")));
        }
    }
}
