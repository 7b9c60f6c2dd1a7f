//! A path leads back to a step it came from.
//!
//! Why: a walk could go round for ever, and a person at the car would do the same things again and again. Every path ends in
//! a finding, a stated hand-over or an exit; a reading is repeated only by `undecided: {retry: N}`, which has a bound.
//!
//! Remedy: lead the edge shown forward. Where something is to be done again, write it as a step of its own.
use crate::lint::file::{FileView, Node};
use crate::lint::rule::{Check, Found, Rule, step_path};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "endless-loop",
    level: Level::Error,
    source: include_str!("endless_loop.rs"),
    check: Check::File(check),
};

#[derive(Clone, Copy, PartialEq)]
enum Seen {
    No,
    Open,
    Done,
}

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    let steps = &view.document.steps;
    let mut seen = vec![Seen::No; steps.len()];
    let from_start = view.start.iter().filter_map(|n| if let Node::Step(i) = n { Some(*i) } else { None });
    let roots: Vec<usize> = from_start.chain(view.undo_steps()).chain(0..steps.len()).collect();
    for root in roots {
        if seen[root] != Seen::No {
            continue;
        }
        seen[root] = Seen::Open;
        let mut path = vec![(root, 0_usize)];
        while let Some((i, k)) = path.last_mut() {
            let i = *i;
            let Some(edge) = view.edges[i].get(*k) else {
                seen[i] = Seen::Done;
                path.pop();
                continue;
            };
            *k += 1;
            let Node::Step(to) = edge.to else { continue };
            match seen[to] {
                Seen::No => {
                    seen[to] = Seen::Open;
                    path.push((to, 0));
                }
                Seen::Open => {
                    let round: Vec<&str> = path
                        .iter()
                        .skip_while(|(s, _)| *s != to)
                        .map(|(s, _)| steps[*s].id.as_str())
                        .collect();
                    let message = format!(
                        "'{}' leads back to '{}': {} → {}",
                        steps[i].id,
                        steps[to].id,
                        round.join(" → "),
                        steps[to].id
                    );
                    found.in_file(view, step_path(&steps[i].id, &edge.below), message);
                }
                Seen::Done => {}
            }
        }
    }
}
