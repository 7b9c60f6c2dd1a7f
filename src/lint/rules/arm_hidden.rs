//! An arm of a choice never gets its turn, because an earlier one holds whenever it does.
//!
//! Why: arms are tried in order. What the hidden arm should part goes the earlier way.
//!
//! Remedy: put the narrower condition first, or remove the arm.
use crate::lint::file::FileView;
use crate::lint::rule::{Check, Found, Rule};
use crate::tree::{Level, StepKind, When};

/// The rule.
pub const RULE: Rule = Rule {
    id: "arm-hidden",
    level: Level::Error,
    source: include_str!("arm_hidden.rs"),
    check: Check::File(check),
};

/// Whether `wide` holds whenever `narrow` does.
fn covers(wide: &When, narrow: &When) -> bool {
    fn list<T: PartialEq>(wide: &[T], narrow: &[T]) -> bool {
        wide.is_empty() || (!narrow.is_empty() && narrow.iter().all(|x| wide.contains(x)))
    }
    fn one(wide: Option<bool>, narrow: Option<bool>) -> bool {
        wide.is_none() || wide == narrow
    }
    list(&wide.induction, &narrow.induction)
        && list(&wide.tip, &narrow.tip)
        && list(&wide.style, &narrow.style)
        && list(&wide.reference, &narrow.reference)
        && list(&wide.load_by, &narrow.load_by)
        && list(&wide.pressure_model, &narrow.pressure_model)
        && list(&wide.pump_type, &narrow.pump_type)
        && one(wide.returns, narrow.returns)
        && one(wide.filter, narrow.filter)
        && one(wide.strainer, narrow.strainer)
        && one(wide.holds, narrow.holds)
        && one(wide.boosted, narrow.boosted)
        && list(&wide.trims_at, &narrow.trims_at)
        && wide.was.iter().all(|(key, ids)| narrow.was.iter().any(|(k, n)| k == key && list(ids, n)))
}

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    for step in &view.document.steps {
        let StepKind::Choose { arms, .. } = &step.kind else { continue };
        for (i, arm) in arms.iter().enumerate() {
            if let Some(j) = arms[..i].iter().position(|earlier| covers(&earlier.when, &arm.when)) {
                let message = format!("arm {} of '{}' is hidden by arm {}", i + 1, step.id, j + 1);
                found.in_file(view, format!("steps/{}/choose/{i}/when", step.id), message);
            }
        }
    }
}
