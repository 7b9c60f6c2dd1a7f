//! A step orders more than one thing in a sentence.
//!
//! Why: a person does the first and forgets the second, or does not know which of the two the next question is about (one
//! action a step: IEC/IEEE 82079-1, ASD-STE100).
//!
//! Remedy: make two sentences, or two steps. Join orders neither by "and" nor by "then". Three sentences are enough for a step.
use crate::lint::file::FileView;
use crate::lint::rule::{Check, Found, Rule, step_path};
use crate::lint::words::{has_phrase, is_order, is_standing, leading_word, sentences, words};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "one-action",
    level: Level::Warning,
    source: include_str!("one_action.rs"),
    check: Check::File(check),
};

/// The second order of a sentence, if it has one.
fn second_order(sentence: &str) -> Option<&str> {
    if !is_order(leading_word(sentence)) {
        return None;
    }
    let all: Vec<&str> = words(sentence).collect();
    all.windows(3).find_map(|w| {
        let joins = w[0].eq_ignore_ascii_case("and") || w[0].eq_ignore_ascii_case("then");
        // An order is followed by what it is done to.
        let object = ["the", "a", "an", "it", "its", "at", "to", "for", "every", "that", "off", "on", "up"];
        (joins && is_order(w[1]) && object.iter().any(|o| w[2].eq_ignore_ascii_case(o))).then_some(w[1])
    }).or_else(|| {
        // At the end of a sentence an order can stand alone: "Switch the key on and listen."
        let [.., join, last] = all.as_slice() else { return None };
        let alone = ["listen", "look", "wait", "watch", "read", "smell"];
        (join.eq_ignore_ascii_case("and") && alone.iter().any(|a| last.eq_ignore_ascii_case(a))).then_some(*last)
    })
}

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    for (_, step) in view.asking() {
        let mut orders = 0;
        let mut wrong = None;
        for sentence in sentences(&step.action) {
            orders += usize::from(!is_standing(sentence));
            if let Some(second) = second_order(sentence) {
                wrong = Some(format!("'{}' joins a second order to the first: '{second}'", step.id));
            } else if has_phrase(sentence, "then") {
                wrong = Some(format!("'{}' goes on with 'then'", step.id));
            }
        }
        if wrong.is_none() && orders > 3 {
            wrong = Some(format!("'{}' gives {orders} orders", step.id));
        }
        if let Some(message) = wrong {
            found.in_file(view, step_path(&step.id, "do"), message);
        }
    }
}
