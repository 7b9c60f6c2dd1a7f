//! A hand-over that narrows to several faults does not say what to measure and what not to buy.
//!
//! Why: whoever gets the case would buy the likeliest part. A walk that cannot go on ends in "narrowed to …; measure … before
//! buying parts".
//!
//! Remedy: say in `advice` what to measure next, and that no part is bought on this.
use crate::lint::file::FileView;
use crate::lint::rule::{Check, Found, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "handover-advice",
    level: Level::Warning,
    source: include_str!("handover_advice.rs"),
    check: Check::File(check),
};

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    for handover in view.document.handovers.iter().filter(|h| !h.narrowed.is_empty()) {
        let text = handover.advice.to_lowercase();
        let keeps = ["buy", "bought", "replace", "part"].iter().any(|w| text.contains(w));
        if !keeps {
            let message = format!("'{}' narrows to faults and does not say what not to buy on it", handover.id);
            found.in_file(view, format!("handovers/{}/advice", handover.id), message);
        }
    }
}
