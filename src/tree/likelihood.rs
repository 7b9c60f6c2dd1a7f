//! How likely each outcome of a step is with each fault, as its author states it: for what the physical model does not know.

use super::raw::{Entries, Opt, RawStep};
use super::resolve::Context;
use super::when::Verdict;
use crate::terms::{Fault, Observation, nearest};

/// P(outcome | fault) of one step.
#[derive(Debug, Clone, PartialEq)]
pub struct Likelihood {
    /// The ids of its outcomes: verdicts of a reading, or outcomes of an observation.
    pub outcomes: Vec<String>,
    /// Faults with a row of their own: a probability for each outcome.
    pub rows: Vec<(Fault, Vec<f64>)>,
    /// The row of every other fault.
    pub rest: Vec<f64>,
}

impl Likelihood {
    /// The row of a fault.
    pub fn of(&self, fault: Fault) -> &[f64] {
        self.rows.iter().find(|(f, _)| *f == fault).map_or(&self.rest, |(_, row)| row)
    }
}

/// How far a row may be from a sum of one: three decimals rounded in each of a few outcomes.
const SUM: f64 = 5e-3;
/// The greatest weight: a fault a million times as common as another is no longer told from a slip of the pen.
const MOST: f64 = 1e6;
const WHY: &str = "the odds over the faults are reckoned from it";

/// The likelihood of a step, or nothing where it states none.
pub(super) fn likelihood(raw: &RawStep, path: &str, cx: &mut Context) -> Option<Likelihood> {
    let stated = raw.likelihood.0.as_ref()?;
    let path = format!("{path}/likelihood");
    let outcomes = outcomes(raw);
    let (mut rows, mut rest) = (Vec::new(), None);
    for (name, shares) in &stated.0 {
        let path = format!("{path}/{name}");
        let row = row(&outcomes, shares, &path, cx);
        if name == "else" {
            rest = Some(row);
        } else if let Some(fault) = fault(name, &path, cx) {
            rows.push((fault, row));
        }
    }
    if rest.is_none() {
        cx.missing(
            &path,
            "else",
            "a fault without a row could not be weighed",
            "add 'else: {OUTCOME: share, …}' for all other faults",
        );
    }
    Some(Likelihood { outcomes, rows, rest: rest.unwrap_or_default() })
}

/// The priors of a tree: only their ratios count.
pub(super) fn priors(raw: &Opt<Entries<f64>>, finds: &[Fault], cx: &mut Context) -> Vec<(Fault, f64)> {
    let Some(stated) = &raw.0 else { return Vec::new() };
    let mut priors = Vec::new();
    for (name, weight) in &stated.0 {
        let path = format!("priors/{name}");
        if !(*weight > 0.0 && *weight <= MOST) {
            cx.wrong(
                "bad-likelihood",
                path.clone(),
                format!("{weight} says nothing of how common a fault is"),
                WHY,
                "give a number above zero, up to a million; only the ratios count",
            );
        }
        priors.extend(fault(name, &path, cx).map(|fault| (fault, *weight)));
    }
    for fault in finds.iter().filter(|f| priors.iter().all(|(known, _)| known != *f)) {
        cx.wrong(
            "bad-likelihood",
            "priors".to_owned(),
            format!("'{fault}' is among what the tree finds and has no prior"),
            "a fault without a prior never happens in the odds, whatever is seen",
            &format!("add '{fault}: WEIGHT'"),
        );
    }
    priors
}

fn outcomes(raw: &RawStep) -> Vec<String> {
    let ids = |o: Observation| o.outcomes().iter().map(|o| o.id.to_owned()).collect();
    if let Some(observation) = raw.observe.0 {
        return ids(observation);
    }
    let sides =
        [(Verdict::Low, raw.low.0.is_some()), (Verdict::Within, true), (Verdict::High, raw.high.0.is_some())];
    sides.into_iter().filter(|(_, there)| *there).map(|(verdict, _)| verdict.id().to_owned()).collect()
}

fn fault(name: &str, path: &str, cx: &mut Context) -> Option<Fault> {
    let found = name.parse::<Fault>().ok();
    if found.is_none() {
        let near = nearest(name, Fault::ALL.iter().map(|f| f.id()));
        let hint = near.map_or_else(
            || "'faultwalk terms fault' lists them".to_owned(),
            |near| format!("did you mean '{near}'?"),
        );
        cx.wrong(
            "unknown-term",
            path.to_owned(),
            format!("'{name}' is no fault of the catalogue"),
            WHY,
            &hint,
        );
        cx.at_key();
    }
    found
}

/// One row in the order of the outcomes.
fn row(outcomes: &[String], shares: &Entries<f64>, path: &str, cx: &mut Context) -> Vec<f64> {
    let mut row = vec![0.0; outcomes.len()];
    let before = cx.problems.len();
    for (name, share) in &shares.0 {
        let Some(place) = outcomes.iter().position(|o| o == name) else {
            let hint = nearest(name, outcomes.iter().map(String::as_str)).map_or_else(
                || format!("it has {}", outcomes.join(", ")),
                |near| format!("did you mean '{near}'?"),
            );
            let message = format!("'{name}' is no outcome of this step");
            cx.wrong("unknown-term", format!("{path}/{name}"), message, WHY, &hint);
            cx.at_key();
            continue;
        };
        if !(0.0..=1.0).contains(share) {
            let message = format!("{share} is no share of one");
            cx.wrong("bad-likelihood", format!("{path}/{name}"), message, WHY, "give a number from 0 to 1");
        }
        row[place] = *share;
    }
    let sum: f64 = row.iter().sum();
    // What was wrong already says why the rest does not add up.
    if (sum - 1.0).abs() > SUM && cx.problems.len() == before {
        cx.wrong(
            "bad-likelihood",
            path.to_owned(),
            format!("the outcomes add up to {} instead of 1", crate::quantity::figures(sum, 4)),
            WHY,
            "one of them happens: make them add up to 1; an outcome left out has 0",
        );
    }
    if sum <= 0.0 {
        return row;
    }
    row.iter().map(|share| share / sum).collect()
}
