//! A caution that the step or the repair calls for does not stand before it.
//!
//! Why: cautions come before the action, on the same screen, and the step opens only once they are confirmed (ANSI Z535.6).
//! Which ones follows from what is done: the condition, the states made and cleared, the tools, what is looked at, the part
//! that is mended.
//!
//! Remedy: add the caution to `cautions`.
use crate::lint::calls::cautions;
use crate::lint::file::FileView;
use crate::lint::repairs::repair_cautions;
use crate::lint::rule::{Check, Found, Rule, step_path};
use crate::terms::Caution;
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "cautions-missing",
    level: Level::Error,
    source: include_str!("cautions_missing.rs"),
    check: Check::File(check),
};

/// Those of `called` that are not in `given`, each once, with what calls for them.
fn lacking(called: Vec<(Caution, &'static str)>, given: &[Caution]) -> Vec<(Caution, &'static str)> {
    let mut all: Vec<(Caution, &'static str)> = Vec::new();
    for (caution, why) in called {
        if !given.contains(&caution) && all.iter().all(|(c, _)| *c != caution) {
            all.push((caution, why));
        }
    }
    all
}

fn say(id: &str, lacking: &[(Caution, &'static str)]) -> (String, String) {
    let list: Vec<String> = lacking.iter().map(|(c, why)| format!("{c} ({why})")).collect();
    let ids: Vec<&str> = lacking.iter().map(|(c, _)| c.id()).collect();
    (format!("'{id}' lacks {}", list.join(", ")), format!("add {} to 'cautions'", ids.join(", ")))
}

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    for step in &view.document.steps {
        let lacking = lacking(cautions(step), &step.cautions);
        if !lacking.is_empty() {
            let (message, hint) = say(&step.id, &lacking);
            found.in_file(view, step_path(&step.id, "cautions"), message).hint(hint);
        }
    }
    for finding in &view.document.findings {
        let mut called = repair_cautions(finding.fault);
        called.extend(finding.also.iter().flat_map(|f| repair_cautions(*f)));
        let lacking = lacking(called, &finding.cautions);
        if !lacking.is_empty() {
            let (message, hint) = say(&finding.id, &lacking);
            found.in_file(view, format!("findings/{}/cautions", finding.id), message).hint(hint);
        }
    }
}
