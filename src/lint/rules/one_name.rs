//! A part goes by a second name.
//!
//! Why: one part, one name, everywhere. A person who reads two names looks for two parts.
//!
//! Remedy: use the name of the vocabulary.
use crate::lint::file::FileView;
use crate::lint::rule::{Check, Found, Rule};
use crate::lint::words::has_phrase;
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "one-name",
    level: Level::Warning,
    source: include_str!("one_name.rs"),
    check: Check::File(check),
};

/// Names in use elsewhere, and ours.
const NAMES: &[(&str, &str)] = &[
    ("fpr", "regulator"),
    ("o2 sensor", "exhaust sensor"),
    ("oxygen sensor", "exhaust sensor"),
    ("ecu", "controller"),
    ("ecm", "controller"),
    ("pcm", "controller"),
    ("vacuum line", "reference hose"),
    ("boost reference", "reference hose"),
    ("dvm", "multimeter"),
    ("dmm", "multimeter"),
    ("voltmeter", "multimeter"),
    ("gas tank", "tank"),
    ("sock", "strainer"),
    ("supply line", "feed line"),
];

fn look(view: &FileView<'_>, path: &str, text: Option<&str>, found: &mut Found<'_>) {
    let Some(text) = text else { return };
    if let Some((other, ours)) = NAMES.iter().find(|(other, _)| has_phrase(text, other)) {
        found.in_file(view, path, format!("'{other}' is called '{ours}' here")).hint(format!("write '{ours}'"));
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
}
