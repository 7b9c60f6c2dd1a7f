//! The limits of a reading lie closer together than the usual instrument can tell apart.
//!
//! Why: with limits less than four standard uncertainties apart even a reading in the middle is undecided too often
//! (JCGM 106:2012; 95 % confidence either side). The person would repeat it for nothing.
//!
//! Remedy: set the limits further apart, name a better instrument, or take the band from the model.
use crate::lint::file::FileView;
use crate::lint::instruments::usual;
use crate::lint::rule::{Check, Found, Rule, step_path};
use crate::quantity::show;
use crate::tree::{Expect, Level, StepKind};

/// The rule.
pub const RULE: Rule = Rule {
    id: "limits-too-close",
    level: Level::Warning,
    source: include_str!("limits_too_close.rs"),
    check: Check::File(check),
};

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    for step in &view.document.steps {
        let StepKind::Read(read) = &step.kind else { continue };
        let Expect::Limits { min: Some(min), max: Some(max) } = &read.expect else { continue };
        let Some(instrument) = usual(read.with, read.reading) else { continue };
        let middle = f64::midpoint(min.si, max.si);
        let u = instrument.uncertainty(middle).total();
        if min.si < max.si && max.si - min.si < 4.0 * u {
            let message = format!(
                "the limits of '{}' lie {} apart; a usual {} needs {} (four times its standard uncertainty {})",
                step.id,
                show(max.si - min.si, min.unit, None, 3),
                read.with.name(),
                show(4.0 * u, min.unit, None, 3),
                show(u, min.unit, None, 2)
            );
            found.in_file(view, step_path(&step.id, "expect"), message);
        }
    }
}
