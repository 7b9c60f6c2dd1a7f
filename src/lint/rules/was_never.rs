//! A choice asks for a result that can never be there.
//!
//! Why: the reading or look is taken nowhere, or not before the choice, or cannot give that verdict. The arm never holds, and
//! what it should part goes together.
//!
//! Remedy: take the reading before the choice on some path, or ask for one that is taken.
use crate::lint::rule::{Check, Found, Rule, Whole};
use crate::tree::{Key, Level, StepKind, Tree};
use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};

/// The rule.
pub const RULE: Rule = Rule {
    id: "was-never",
    level: Level::Error,
    source: include_str!("was_never.rs"),
    check: Check::Whole(check),
};

/// By file and choose-step: the results that can be there in some tree.
type Possible<'a> = BTreeMap<(&'a str, &'a str), BTreeMap<Key, BTreeSet<&'static str>>>;

/// The ids of the results that a step can leave behind.
fn results(kind: &StepKind) -> Option<(Key, Vec<&'static str>)> {
    match kind {
        StepKind::Read(read) => {
            let mut ids = vec!["within", "undecided"];
            if read.expect.has_low() {
                ids.push("low");
            }
            if read.expect.has_high() {
                ids.push("high");
            }
            Some((Key::Reading(read.reading, read.at), ids))
        }
        StepKind::Observe { observation, .. } => {
            Some((Key::Observation(*observation), observation.outcomes().iter().map(|o| o.id).collect()))
        }
        _ => None,
    }
}

fn collect<'a>(flow: &'a crate::lint::flow::Flow<'_>, possible: &mut Possible<'a>) {
    let tree: &Tree = flow.tree;
    let wanted: HashSet<usize> = tree
        .steps
        .iter()
        .enumerate()
        .filter(|(_, s)| {
            matches!(&s.kind, StepKind::Choose { arms, .. } if arms.iter().any(|a| !a.when.was.is_empty()))
        })
        .map(|(i, _)| i)
        .collect();
    if wanted.is_empty() {
        return;
    }
    // Every step from which a choice can be reached, walking the edges backwards, once a choice.
    let mut before: HashMap<usize, Vec<usize>> = HashMap::new();
    for (i, edges) in flow.edges.iter().enumerate() {
        for edge in edges {
            if let crate::tree::Target::Step(to) = edge.to {
                before.entry(to).or_default().push(i);
            }
        }
    }
    for choice in wanted {
        let step = &tree.steps[choice];
        let Some(file) = tree.files.get(step.origin.file) else { continue };
        let entry = possible.entry((&file.name, &step.origin.id)).or_default();
        let (mut seen, mut todo) = (HashSet::from([choice]), vec![choice]);
        while let Some(i) = todo.pop() {
            if let Some((key, ids)) = results(&tree.steps[i].kind) {
                entry.entry(key).or_default().extend(ids);
            }
            todo.extend(before.get(&i).into_iter().flatten().filter(|p| seen.insert(**p)));
        }
    }
}

fn check(whole: &Whole<'_>, found: &mut Found<'_>) {
    let mut possible = Possible::new();
    for flow in whole.flows.iter().filter(|f| !f.alone()) {
        collect(flow, &mut possible);
    }
    for view in whole.files {
        let file = view.document.file.name.as_str();
        for step in &view.document.steps {
            let StepKind::Choose { arms, .. } = &step.kind else { continue };
            let Some(there) = possible.get(&(file, step.id.as_str())) else { continue };
            for (i, arm) in arms.iter().enumerate() {
                for (key, ids) in &arm.when.was {
                    let can = |id: &String| id == "not-tested" || there.get(key).is_some_and(|s| s.contains(id.as_str()));
                    if ids.iter().any(can) {
                        continue;
                    }
                    let message = if there.contains_key(key) {
                        format!("'{}' asks whether {key} was {}, which it cannot be", step.id, ids.join(" or "))
                    } else {
                        format!("'{}' asks what {key} was, and nothing before it takes that", step.id)
                    };
                    found.in_file(view, format!("steps/{}/choose/{i}/when/was/{key}", step.id), message);
                }
            }
        }
    }
}
