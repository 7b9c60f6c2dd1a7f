//! A volume test is not held to its terms.
//!
//! Why: fuel pumped into the open burns people. It is done with a cold engine, outdoors, two people, at most 15 s, on prime
//! only, and is never talked through by voice: an agent cannot see the hose, the container or the second person.
//!
//! Remedy: `at: prime`, `timer: 15 s` at most, and no `tell:` on any step of it (a `note:` for the agent may stand).
use crate::lint::calls::is_volume_test;
use crate::lint::file::FileView;
use crate::lint::rule::{Check, Found, Rule, step_path};
use crate::terms::{Condition, Tool};
use crate::tree::{Level, StepKind};

/// The rule.
pub const RULE: Rule = Rule {
    id: "volume-test",
    level: Level::Error,
    source: include_str!("volume_test.rs"),
    check: Check::File(check),
};

/// Longest a volume test may last, s (the design's safety rules).
const LONGEST: f64 = 15.0;

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    for (_, step) in view.asking() {
        if !is_volume_test(step) {
            continue;
        }
        if step.tell.is_some() {
            let message = format!("'{}' belongs to a volume test and has words to read aloud", step.id);
            found.in_file(view, step_path(&step.id, "tell"), message);
        }
        let reads = matches!(&step.kind, StepKind::Read(r) if r.with == Tool::FuelContainer);
        if !reads {
            continue;
        }
        if step.at != Some(Condition::Prime) {
            let message = format!("'{}' is a volume test and not on prime", step.id);
            found.in_file(view, step_path(&step.id, "at"), message);
        }
        match step.timer {
            Some(s) if s <= LONGEST => {}
            Some(_) => {
                let message = format!("'{}' lets fuel run for more than {LONGEST} s", step.id);
                found.in_file(view, step_path(&step.id, "timer"), message);
            }
            None => {
                let message = format!("'{}' does not say how long fuel may run", step.id);
                found.in_file(view, step_path(&step.id, ""), message);
            }
        }
    }
}
