//! A step does not begin with an order.
//!
//! Why: the first word says what the hands do (ASD-STE100). "The gauge is read" leaves open who reads it.
//!
//! Remedy: begin each sentence of `do` with a verb, after a condition where there is one: "If it starts, let it die."
use crate::lint::file::FileView;
use crate::lint::rule::{Check, Found, Rule, step_path};
use crate::lint::words::{is_order, is_standing, leading_word, sentences};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "starts-with-verb",
    level: Level::Warning,
    source: include_str!("starts_with_verb.rs"),
    check: Check::File(check),
};

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    for (_, step) in view.asking() {
        let order = sentences(&step.action).find(|s| !is_standing(s));
        let Some(sentence) = order else {
            let message = format!("'{}' orders nothing", step.id);
            found.in_file(view, step_path(&step.id, "do"), message);
            continue;
        };
        let word = leading_word(sentence);
        if !is_order(word) {
            let message = format!("'{}' begins with '{word}', which is no order", step.id);
            found.in_file(view, step_path(&step.id, "do"), message);
        }
    }
}
