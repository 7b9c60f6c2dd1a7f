//! A signal word stands in a text instead of a caution before the step.
//!
//! Why: a warning inside an order is read while the hands already move. Cautions stand before the step, in their own place,
//! and are confirmed (ANSI Z535.6).
//!
//! Remedy: name the caution in `cautions`, and take the word out of the text.
use crate::lint::file::FileView;
use crate::lint::rule::{Check, Found, Rule, step_path};
use crate::lint::words::words;
use crate::terms::SignalWord;
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "signal-word",
    level: Level::Warning,
    source: include_str!("signal_word.rs"),
    check: Check::File(check),
};

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    for (_, step) in view.asking() {
        let texts = [("do", Some(step.action.as_str())), ("tell", step.tell.as_deref()), ("note", step.note.as_deref())];
        for (key, text) in texts {
            let Some(text) = text else { continue };
            if let Some(word) = words(text).find(|w| SignalWord::ALL.iter().any(|s| s.id() == *w)) {
                let message = format!("'{}' has {word} in its text", step.id);
                found.in_file(view, step_path(&step.id, key), message);
            }
        }
    }
}
