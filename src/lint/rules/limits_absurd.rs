//! A limit lies where the quantity can never be, or off the scale of the usual instrument.
//!
//! Why: every reading would get the same verdict. Most often a unit is wrong (bar for psi, millivolts for volts).
//!
//! Remedy: check number and unit.
use crate::lint::file::FileView;
use crate::lint::instruments::{plausible, scale};
use crate::lint::rule::{Check, Found, Rule, step_path};
use crate::quantity::show;
use crate::tree::{Expect, Level, StepKind};

/// The rule.
pub const RULE: Rule = Rule {
    id: "limits-absurd",
    level: Level::Error,
    source: include_str!("limits_absurd.rs"),
    check: Check::File(check),
};

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    for step in &view.document.steps {
        let StepKind::Read(read) = &step.kind else { continue };
        let limits = match &read.expect {
            Expect::Limits { min, max } => [("min", min), ("max", max)],
            Expect::Model { tolerance } => [("tolerance", tolerance), ("max", &None)],
        };
        for (key, limit) in limits {
            let Some(limit) = limit else { continue };
            let (low, high) = if key == "tolerance" {
                let (low, high) = scale(read.with, read.reading);
                (0.0, high - low)
            } else {
                plausible(read.with, read.reading)
            };
            if limit.si < low || limit.si > high {
                let unit = limit.unit;
                let message = format!(
                    "'{}' has a limit of {}, and {} lies between {} and {}",
                    step.id,
                    limit.typed,
                    read.reading.name(),
                    show(low, unit, None, 4),
                    show(high, unit, None, 4)
                );
                found.in_file(view, step_path(&step.id, &format!("expect/{key}")), message);
            }
        }
    }
}
