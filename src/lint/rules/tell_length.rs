//! There is more to read aloud than a caller can keep in mind.
//!
//! Why: a caller under a bonnet keeps two short sentences and one question.
//!
//! Remedy: move the rest to `note`, which the agent reads, or make another step. "Key off." and the like do not count.
use crate::lint::file::FileView;
use crate::lint::rule::{Check, Found, Rule, step_path};
use crate::lint::words::{count, is_standing, sentences};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "tell-length",
    level: Level::Warning,
    source: include_str!("tell_length.rs"),
    check: Check::File(check),
};

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    for (_, step) in view.asking() {
        let Some(tell) = &step.tell else { continue };
        let (mut told, mut asked) = (0, 0);
        for sentence in sentences(tell) {
            if sentence.ends_with('?') {
                asked += 1;
            } else if !is_standing(sentence) && count(sentence) > 2 {
                told += 1;
            }
        }
        // A second question takes the place of a sentence.
        if told + asked > 3 || told > 2 {
            let message =
                format!("'{}' tells {told} sentences and asks {asked} questions in one go", step.id);
            found.in_file(view, step_path(&step.id, "tell"), message);
        }
    }
}
