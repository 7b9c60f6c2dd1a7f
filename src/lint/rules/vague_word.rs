//! A text uses a word that each person understands differently.
//!
//! Why: "normal", "OK" and "as required" leave the judgement to somebody who asked for it. A response shows the wanted value
//! or state, not that something was "checked" (IEC/IEEE 82079-1; DOE-STD-1029).
//!
//! Remedy: write the value, the state or the sign that is meant.
use crate::lint::file::FileView;
use crate::lint::rule::{Check, Found, Rule};
use crate::lint::words::{has_phrase, sentences, words};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "vague-word",
    level: Level::Warning,
    source: include_str!("vague_word.rs"),
    check: Check::File(check),
};

const WORDS: &[&str] = &[
    "normal", "normally", "ok", "okay", "adequate", "adequately", "sufficient", "sufficiently", "appropriate",
    "appropriately", "properly", "approximately", "roughly", "reasonable", "reasonably", "satisfactory", "acceptable",
];
const PHRASES: &[&str] = &["as required", "as necessary", "as needed", "if required", "if necessary", "and so on", "some time"];

fn look(view: &FileView<'_>, path: &str, text: Option<&str>, found: &mut Found<'_>) {
    let Some(text) = text else { return };
    let word = words(text).find(|w| w.len() > 1 && WORDS.iter().any(|v| w.eq_ignore_ascii_case(v)));
    let phrase = || PHRASES.iter().copied().find(|p| sentences(text).any(|s| has_phrase(s, p)));
    // A phrase is looked for only where its rarest words stand.
    let hint = text.contains("required") || text.contains("neces") || text.contains("needed") || text.contains("so on") || text.contains("some time");
    if let Some(vague) = word.or_else(|| if hint { phrase() } else { None }) {
        found.in_file(view, path, format!("'{vague}' says nothing that two people understand alike"));
    }
}

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    for (_, s) in view.asking() {
        look(view, &format!("steps/{}/do", s.id), Some(&s.action), found);
        look(view, &format!("steps/{}/tell", s.id), s.tell.as_deref(), found);
    }
    for f in &view.document.findings {
        look(view, &format!("findings/{}/says", f.id), Some(&f.says), found);
        look(view, &format!("findings/{}/remedy", f.id), f.remedy.as_deref(), found);
    }
    for h in &view.document.handovers {
        look(view, &format!("handovers/{}/says", h.id), Some(&h.says), found);
        look(view, &format!("handovers/{}/advice", h.id), Some(&h.advice), found);
    }
}
