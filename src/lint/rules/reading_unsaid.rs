//! A measuring step does not say that something is read, or in which condition.
//!
//! Why: the number means nothing without the state of the engine and the pump. The order says both; the program adds the
//! expected range with its unit.
//!
//! Remedy: say it in `do`: "Switch the key on, engine off. Read the gauge while the pump runs."
use crate::lint::file::FileView;
use crate::lint::rule::{Check, Found, Rule, step_path};
use crate::terms::Condition;
use crate::tree::{Level, StepKind};

/// The rule.
pub const RULE: Rule = Rule {
    id: "reading-unsaid",
    level: Level::Warning,
    source: include_str!("reading_unsaid.rs"),
    check: Check::File(check),
};

/// Words any of which name the condition.
fn signs(at: Condition) -> &'static [&'static str] {
    match at {
        Condition::Crank => &["crank", "starter"],
        Condition::Prime | Condition::HotPrime => &["key on", "the key", "prime", "ignition on"],
        Condition::Idle => &["idle", "idling"],
        Condition::Raised => &["2,500", "2500", "raised"],
        Condition::Cruise => &["cruise", "steady", "light load"],
        Condition::Load => &["load", "full throttle", "wide open"],
        Condition::Pinched => &["close", "valve"],
        Condition::Rest => &["key off", "wait", "minutes", "switch off", "the key"],
    }
}

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    for (_, step) in view.asking() {
        let StepKind::Read(read) = &step.kind else { continue };
        let text = step.action.to_lowercase();
        let reads = ["read", "measure", "weigh", "time"].iter().any(|w| text.contains(w));
        if !reads {
            let message = format!("'{}' does not say that {} is read", step.id, read.reading.name());
            found.in_file(view, step_path(&step.id, "do"), message);
        } else if !signs(read.at).iter().any(|w| text.contains(w)) {
            let message = format!("'{}' does not say in which condition: {}", step.id, read.at.name());
            found.in_file(view, step_path(&step.id, "do"), message);
        }
    }
}
