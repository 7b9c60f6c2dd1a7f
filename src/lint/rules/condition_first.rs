//! An order comes before its condition.
//!
//! Why: who reads "Crank it again if it starts" has cranked it before reading the end. The condition stands first: "If X,
//! do Y" (NUREG-0899, DOE-STD-1029).
//!
//! Remedy: turn the sentence round, or make the condition a step.
use crate::lint::file::FileView;
use crate::lint::rule::{Check, Found, Rule};
use crate::lint::words::{is_order, sentences, words};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "condition-first",
    level: Level::Warning,
    source: include_str!("condition_first.rs"),
    check: Check::File(check),
};

fn late(text: &str) -> bool {
    sentences(text).any(|s| {
        let mut all = words(s);
        let first = all.next().unwrap_or("");
        // "See if …" and "Look whether …" ask; they are no condition.
        let asks = ["see", "check", "look", "ask", "say", "feel", "hear", "tell", "test", "find", "try"];
        is_order(first)
            && !asks.iter().any(|a| first.eq_ignore_ascii_case(a))
            && all.any(|w| w.eq_ignore_ascii_case("if") || w.eq_ignore_ascii_case("unless"))
    })
}

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    let mut say = |path: String, id: &str| {
        found.in_file(view, path, format!("'{id}' gives an order and its condition after it"));
    };
    for (_, s) in view.asking() {
        if late(&s.action) {
            say(format!("steps/{}/do", s.id), &s.id);
        }
    }
    for f in &view.document.findings {
        if f.remedy.as_deref().is_some_and(late) {
            say(format!("findings/{}/remedy", f.id), &f.id);
        }
    }
}
