//! Figures over many cases: what was found, whether the cure proved it, how long it took, what was skipped.

use super::table::{Outcome, outcome};
use crate::case::{Entry, Line};
use crate::tree::Tree;
use crate::walk::{Event, Given};
use serde::Serialize;
use std::collections::BTreeMap;

/// How often one fault was found and what became of it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Found {
    /// The fault's id.
    pub fault: String,
    /// Its name.
    pub name: String,
    /// Cases that ended in it.
    pub cases: usize,
    /// Of them, repaired, measured again and proved.
    pub confirmed: usize,
    /// Of them, repaired, measured again and not cured.
    pub not_cured: usize,
    /// Of them, not measured after a repair.
    pub not_measured_again: usize,
}

/// A step that was skipped.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Skipped {
    /// The tree and the step's flat id.
    pub step: String,
    /// Cases it was skipped in and not done later.
    pub cases: usize,
    /// Of them by reason.
    pub reasons: BTreeMap<String, usize>,
}

/// Figures over many cases.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Statistics {
    /// Cases counted.
    pub cases: usize,
    /// Ended in a finding.
    pub findings: usize,
    /// Handed over.
    pub handovers: usize,
    /// Not at their end.
    pub open: usize,
    /// Of a tree or version of it that is not at hand: their end is not known.
    pub unknown: usize,
    /// By fault, the most frequent first.
    pub found: Vec<Found>,
    /// Steps skipped, the most frequent first.
    pub skipped: Vec<Skipped>,
    /// Middle of the minutes by the trees' figures, of cases that came to an end.
    pub median_minutes: Option<f64>,
    /// Mean of the same.
    pub mean_minutes: Option<f64>,
}

/// What one case adds.
#[derive(Debug, Clone)]
pub struct Counted {
    tree: String,
    outcome: Outcome,
    /// Step and reason, of steps skipped and not done later.
    skipped: Vec<(String, &'static str)>,
}

/// Reads one case for [`Statistics::over`].
pub fn count(lines: &[Line<Entry>], tree: Option<&Tree>) -> Counted {
    let name =
        lines.iter().find_map(|l| if let Entry::Header(h) = &l.entry { Some(h.tree.clone()) } else { None });
    let mut skipped: BTreeMap<&str, &'static str> = BTreeMap::new();
    for line in lines {
        match &line.entry {
            Entry::Walk(
                Event::CannotDo { step, reason, .. }
                | Event::Changed { step, given: Given::Cannot { reason, .. } },
            ) => {
                skipped.insert(step, reason.id());
            }
            Entry::Walk(
                Event::Done { step }
                | Event::Read { step, .. }
                | Event::Answered { step, .. }
                | Event::Changed { step, .. },
            ) => {
                skipped.remove(step.as_str());
            }
            _ => {}
        }
    }
    Counted {
        tree: name.unwrap_or_default(),
        outcome: outcome(lines, tree),
        skipped: skipped.into_iter().map(|(step, reason)| (step.to_owned(), reason)).collect(),
    }
}

impl Statistics {
    /// Adds up cases.
    pub fn over(cases: &[Counted]) -> Self {
        let mut all = Self { cases: cases.len(), ..Self::default() };
        let mut found: BTreeMap<&'static str, Found> = BTreeMap::new();
        let mut skipped: BTreeMap<String, Skipped> = BTreeMap::new();
        let mut minutes = Vec::new();
        for case in cases {
            match case.outcome.end.as_str() {
                "finding" => all.findings += 1,
                "hand-over" => all.handovers += 1,
                "open" => all.open += 1,
                _ => all.unknown += 1,
            }
            if matches!(case.outcome.end.as_str(), "finding" | "hand-over") {
                minutes.extend(case.outcome.minutes);
            }
            if let Some(fault) = case.outcome.fault {
                let row = found.entry(fault.id()).or_insert_with(|| Found {
                    fault: fault.id().to_owned(),
                    name: fault.name().to_owned(),
                    cases: 0,
                    confirmed: 0,
                    not_cured: 0,
                    not_measured_again: 0,
                });
                row.cases += 1;
                match case.outcome.confirmed {
                    Some(true) => row.confirmed += 1,
                    Some(false) => row.not_cured += 1,
                    None => row.not_measured_again += 1,
                }
            }
            for (step, reason) in &case.skipped {
                let key = format!("{}: {step}", case.tree);
                let row = skipped.entry(key.clone()).or_insert_with(|| Skipped {
                    step: key,
                    cases: 0,
                    reasons: BTreeMap::new(),
                });
                row.cases += 1;
                *row.reasons.entry((*reason).to_owned()).or_default() += 1;
            }
        }
        all.found = found.into_values().collect();
        all.found.sort_by(|a, b| b.cases.cmp(&a.cases).then_with(|| a.fault.cmp(&b.fault)));
        all.skipped = skipped.into_values().collect();
        all.skipped.sort_by(|a, b| b.cases.cmp(&a.cases).then_with(|| a.step.cmp(&b.step)));
        minutes.sort_by(f64::total_cmp);
        if !minutes.is_empty() {
            let middle = minutes.len() / 2;
            let odd = minutes.len() % 2 == 1;
            all.median_minutes =
                Some(if odd { minutes[middle] } else { f64::midpoint(minutes[middle - 1], minutes[middle]) });
            all.mean_minutes = Some(minutes.iter().sum::<f64>() / minutes.len() as f64);
        }
        all
    }
}
