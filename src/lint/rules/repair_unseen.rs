//! A repair opens a fuel line and does not say that every joint is seen dry afterwards.
//!
//! Why: the repair is where most leaks are made. After a line is closed its joints are looked at on prime, before the engine
//! starts.
//!
//! Remedy: end the remedy with "See every joint dry on prime."
use crate::lint::file::FileView;
use crate::lint::rule::{Check, Found, Rule};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "repair-unseen",
    level: Level::Error,
    source: include_str!("repair_unseen.rs"),
    check: Check::File(check),
};

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    for finding in &view.document.findings {
        let Some(remedy) = &finding.remedy else { continue };
        let text = remedy.to_lowercase();
        let looked = (text.contains("dry") || text.contains("leak"))
            && (text.contains("prime") || text.contains("pump running") || text.contains("key on"));
        if finding.opens_line() && !looked {
            let message = format!("the repair of '{}' opens a line and no joint is seen dry", finding.id);
            found.in_file(view, format!("findings/{}/remedy", finding.id), message);
        }
    }
}
