//! A sentence is too long to be done from.
//!
//! Why: at the car a sentence is read once. Twenty words are the most for an order, twenty-five for any other text
//! (ASD-STE100).
//!
//! Remedy: cut it in two.
use crate::lint::file::FileView;
use crate::lint::rule::{Check, Found, Rule};
use crate::lint::words::{count, sentences};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "sentence-length",
    level: Level::Warning,
    source: include_str!("sentence_length.rs"),
    check: Check::File(check),
};

const ORDER: usize = 20;
const OTHER: usize = 25;

fn measure(view: &FileView<'_>, path: &str, text: Option<&str>, most: usize, found: &mut Found<'_>) {
    // Fewer bytes than words allow cannot be too long.
    let Some(text) = text.filter(|t| t.len() > 2 * most) else { return };
    if let Some(n) = sentences(text).map(count).find(|n| *n > most) {
        let message = format!("a sentence of {n} words; {most} are the most here");
        found.in_file(view, path, message);
    }
}

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    for (_, s) in view.asking() {
        let path = |key: &str| format!("steps/{}/{key}", s.id);
        measure(view, &path("do"), Some(&s.action), ORDER, found);
        measure(view, &path("tell"), s.tell.as_deref(), OTHER, found);
        measure(view, &path("note"), s.note.as_deref(), OTHER, found);
        measure(view, &path("why"), s.why.as_deref(), OTHER, found);
    }
    for f in &view.document.findings {
        measure(view, &format!("findings/{}/says", f.id), Some(&f.says), OTHER, found);
        measure(view, &format!("findings/{}/remedy", f.id), f.remedy.as_deref(), OTHER, found);
    }
    for h in &view.document.handovers {
        measure(view, &format!("handovers/{}/says", h.id), Some(&h.says), OTHER, found);
        measure(view, &format!("handovers/{}/advice", h.id), Some(&h.advice), OTHER, found);
    }
}
