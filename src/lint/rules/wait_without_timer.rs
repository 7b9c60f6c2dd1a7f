//! A step waits and has no timer.
//!
//! Why: a wait from memory is too short. A timed step says how long, shows the time running and says when it is over.
//!
//! Remedy: add `timer: 10 min`, or say what ends the wait instead of how long it takes.
use crate::lint::file::FileView;
use crate::lint::rule::{Check, Found, Rule, step_path};
use crate::lint::words::words;
use crate::terms::Condition;
use crate::tree::{Level, StepKind};

/// The rule.
pub const RULE: Rule = Rule {
    id: "wait-without-timer",
    level: Level::Warning,
    source: include_str!("wait_without_timer.rs"),
    check: Check::File(check),
};

/// Whether the text names a time of minutes or hours.
fn names_time(text: &str) -> bool {
    const NUMBERS: &[&str] = &["one", "two", "three", "four", "five", "six", "ten", "fifteen", "twenty", "thirty", "sixty"];
    let all: Vec<&str> = words(text).collect();
    all.windows(2).any(|w| {
        let number = w[0].bytes().all(|b| b.is_ascii_digit()) || NUMBERS.iter().any(|n| w[0].eq_ignore_ascii_case(n));
        let unit = ["min", "minute", "minutes", "hour", "hours", "h"].iter().any(|u| w[1].eq_ignore_ascii_case(u));
        number && unit
    })
}

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    for (_, step) in view.asking() {
        let soaks = matches!(&step.kind, StepKind::Read(r) if matches!(r.at, Condition::Rest | Condition::HotPrime));
        if step.timer.is_none() && (soaks || names_time(&step.action)) {
            let message = format!("'{}' waits and has no timer", step.id);
            found.in_file(view, step_path(&step.id, "do"), message);
        }
    }
}
