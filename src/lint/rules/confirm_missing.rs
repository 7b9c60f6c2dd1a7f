//! A finding does not say how its repair is proved.
//!
//! Why: a repair that is not measured again is a guess. Every finding ends with the step that is repeated and what it must
//! show; only `no-fault` mends nothing.
//!
//! Remedy: add `confirm: {repeat: STEP, expect: within}`, or the outcome that means nothing is wrong.
use crate::lint::file::FileView;
use crate::lint::rule::{Check, Found, Rule};
use crate::terms::Fault;
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "confirm-missing",
    level: Level::Error,
    source: include_str!("confirm_missing.rs"),
    check: Check::File(check),
};

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    for finding in &view.document.findings {
        let nothing = finding.fault == Fault::NoFault;
        if finding.confirm.is_none() && !nothing {
            let message = format!("'{}' does not say how its repair is proved", finding.id);
            found.in_file(view, format!("findings/{}", finding.id), message);
        }
        if finding.confirm.is_some() && nothing {
            let message = format!("'{}' mends nothing and proves a repair", finding.id);
            found
                .in_file(view, format!("findings/{}/confirm", finding.id), message)
                .why("where there is no fault nothing is repaired")
                .hint("remove 'confirm'");
        }
    }
}
