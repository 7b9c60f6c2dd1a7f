//! A step makes `depressurised` without seeing zero with the pump disabled.
//!
//! Why: `depressurised` means that zero was seen and that the pump is disabled (fuse or connector out). A pump that only
//! happens to stand still can start.
//!
//! Remedy: require `pump-disabled`, take no condition that runs the pump, and let `do` say where zero is seen.
use crate::lint::file::FileView;
use crate::lint::rule::{Check, Found, Rule, step_path};
use crate::terms::State;
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "depressurised-unproved",
    level: Level::Error,
    source: include_str!("depressurised_unproved.rs"),
    check: Check::File(check),
};

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    for (_, step) in view.asking() {
        if !step.makes.contains(&State::Depressurised) {
            continue;
        }
        let title = step.title.as_deref().unwrap_or("");
        let text = format!("{} {title}", step.action).to_lowercase();
        let seen = text.contains("zero") || text.contains("seep");
        let lacks = if !step.requires.contains(&State::PumpDisabled) {
            "does not require pump-disabled"
        } else if !seen {
            "does not say that zero is seen"
        } else {
            continue;
        };
        let message = format!("'{}' makes depressurised and {lacks}", step.id);
        found.in_file(view, step_path(&step.id, "makes"), message);
    }
}
