//! The minutes of a step or a repair cannot be right.
//!
//! Why: the program weighs what a step teaches against what it costs. A step that costs nothing is always asked first.
//!
//! Remedy: give the minutes a practised person takes, cautions and tidying included; no less than the timer runs.
use crate::lint::file::FileView;
use crate::lint::rule::{Check, Found, Rule, step_path};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "minutes-absurd",
    level: Level::Warning,
    source: include_str!("minutes_absurd.rs"),
    check: Check::File(check),
};

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    for (_, step) in view.asking() {
        let timer = step.timer.unwrap_or(0.0) / 60.0;
        let what = if step.minutes <= 0.0 {
            "costs nothing".to_owned()
        } else if step.minutes > 240.0 {
            format!("takes {} minutes", step.minutes)
        } else if step.minutes < timer {
            format!("takes {} minutes, less than its timer of {timer}", step.minutes)
        } else {
            continue;
        };
        found.in_file(view, step_path(&step.id, "minutes"), format!("'{}' {what}", step.id));
    }
    for finding in &view.document.findings {
        if let Some(minutes) = finding.minutes.filter(|m| *m <= 0.0 || *m > 1_440.0) {
            let message = format!("the repair of '{}' takes {minutes} minutes", finding.id);
            found.in_file(view, format!("findings/{}/minutes", finding.id), message);
        }
    }
}
