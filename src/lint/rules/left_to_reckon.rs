//! A text leaves arithmetic to the person at the car.
//!
//! Why: limits are given as ranges by the program, in the units of the instrument. "± 5 %" to be worked out by hand is worked
//! out wrongly (NUREG-0899).
//!
//! Remedy: take the limits from `expect`; the screen shows them.
use crate::lint::file::FileView;
use crate::lint::rule::{Check, Found, Rule, step_path};
use crate::lint::words::has_phrase;
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "left-to-reckon",
    level: Level::Warning,
    source: include_str!("left_to_reckon.rs"),
    check: Check::File(check),
};

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    for (_, step) in view.asking() {
        for (key, text) in [("do", Some(step.action.as_str())), ("tell", step.tell.as_deref())] {
            let Some(text) = text else { continue };
            let reckons = text.contains('±')
                || ["plus or minus", "subtract", "multiply by", "divide by", "per cent of"].iter().any(|p| has_phrase(text, p));
            if reckons {
                found.in_file(view, step_path(&step.id, key), format!("'{}' leaves a sum to be done by hand", step.id));
            }
        }
    }
}
