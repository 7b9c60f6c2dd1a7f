//! The report as Markdown, fit for a ticket. Whatever a person typed is made inert.

use super::build::{Report, Row};
use crate::quantity::{Dimension, UnitSystem, figures};
use crate::text::markdown as inert;
use crate::walk::Taken;
use std::fmt::Write as _;

/// Columns of a drawn scale.
const WIDTH: usize = 48;

/// A reading against its band as one row of text; pressures with a band only.
pub fn scale(taken: &Taken) -> Option<String> {
    if taken.reading.dimension() != Dimension::Pressure {
        return None;
    }
    let (low, high) = (taken.band.low?, taken.band.high?);
    let unit = UnitSystem::Metric.unit_for(Dimension::Pressure);
    let pad = (high - low).max(1.0);
    let (left, right) = ((low - pad).min(taken.si - 0.1 * pad), (high + pad).max(taken.si + 0.1 * pad));
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // A share of 48 columns, clamped.
    let column =
        |si: f64| (((si - left) / (right - left)).clamp(0.0, 1.0) * (WIDTH - 1) as f64).round() as usize;
    let mut row: Vec<char> = vec!['-'; WIDTH];
    let (from, to) = (column(low), column(high));
    row[from..=to].fill('=');
    (row[from], row[to]) = ('[', ']');
    row[column(taken.si)] = 'x';
    let ends = |si: f64| figures(unit.from_si(si), 3);
    Some(format!("{} |{}| {} {}", ends(left), row.iter().collect::<String>(), ends(right), unit.symbol))
}

fn percent(share: f64) -> String {
    if share >= 0.9995 { "over 99.9 %".to_owned() } else { format!("{:.1} %", share * 100.0) }
}

/// The whole report.
pub fn markdown(r: &Report) -> String {
    let mut out = String::new();
    let simulated = if r.simulated { " (SIMULATED CAR)" } else { "" };
    let _ = writeln!(out, "# Findings: {}{simulated}\n", inert(&r.car));
    if let Some(complaint) = &r.complaint {
        let _ = writeln!(out, "**Complaint:** {}\n", inert(complaint));
    }
    let heading = match r.conclusion.kind.as_str() {
        "finding" => "Finding",
        "hand-over" => "Handed over",
        _ => "Still open",
    };
    let _ = writeln!(out, "**{heading}:** {}\n", inert(&r.conclusion.says));
    if let Some(sure) = r.conclusion.sure {
        let _ = writeln!(
            out,
            "**How sure:** {} of the belief lies on this part after everything measured.\n",
            percent(sure)
        );
    }
    if !r.conclusion.also.is_empty() {
        let _ = writeln!(out, "**Not parted here:** {}.\n", r.conclusion.also.join(", "));
    }
    let _ = writeln!(out, "**What to do:** {}\n", inert(&r.conclusion.to_do));
    match r.conclusion.confirmed {
        Some(true) => out.push_str("**After the repair:** measured again and proved.\n\n"),
        Some(false) => out.push_str("**After the repair:** measured again and NOT cured.\n\n"),
        None => out.push_str("**After the repair:** not measured in this case.\n\n"),
    }
    if let Some(misfit) = &r.misfit {
        let _ = writeln!(out, "**Doubt:** {misfit}\n");
    }
    let _ = writeln!(out, "> {}\n", r.first_word);
    if !r.ruled_out.is_empty() {
        out.push_str("## Set aside, and by what\n\n");
        for ruled in r.ruled_out.iter().take(20) {
            let _ = writeln!(out, "- {}: {}", ruled.fault, inert(&ruled.by));
        }
        out.push('\n');
    }
    if let Some((before, after)) = &r.before_after {
        out.push_str("## Before and after the repair\n\n| | before | after |\n|---|---|---|\n");
        let cell = |row: &Row| format!("{} {}", inert(&row.given), row.verdict.clone().unwrap_or_default());
        let _ = writeln!(out, "| {} | {} | {} |\n", inert(&before.title), cell(before), cell(after));
    }
    steps(&mut out, r);
    lists(&mut out, r);
    let _ = writeln!(
        out,
        "Tree {} ({}), digest {}. Journal of {} records, last digest {}. {:.0} minutes by the tree's figures. Program {}.",
        r.tree[0],
        inert(&r.tree[1]),
        r.tree[2],
        r.records,
        r.digest,
        r.minutes,
        r.program
    );
    out
}

fn steps(out: &mut String, r: &Report) {
    out.push_str("## Measured and seen\n\n| no. | step | given | expected | verdict | instrument, u | time |\n|---|---|---|---|---|---|---|\n");
    for row in r.steps.iter().filter(|s| s.asked) {
        let verdict = match (&row.verdict, row.probability) {
            (Some(v), Some(p)) => format!("{v} ({})", percent(p)),
            (Some(v), None) => v.clone(),
            (None, _) => "not tested".to_owned(),
        };
        let instrument = match (&row.instrument, &row.uncertainty) {
            (Some(i), Some(u)) => format!("{i}, u {u}"),
            _ => String::new(),
        };
        let place = row.place.as_ref().map_or(String::new(), |p| format!(", {p}"));
        let _ = writeln!(
            out,
            "| {} | {}{place} | {} | {} | {verdict} | {instrument} | {} |",
            row.number,
            inert(&row.title),
            inert(&row.given),
            row.expected.clone().unwrap_or_default(),
            row.time
        );
    }
    out.push('\n');
    let scales: Vec<&Row> = r.steps.iter().filter(|s| s.scale.is_some()).collect();
    if !scales.is_empty() {
        out.push_str("Each pressure (x) against its band:\n\n```\n");
        for row in scales {
            let _ = writeln!(out, "{:>3}  {}", row.number, row.scale.clone().unwrap_or_default());
        }
        out.push_str("```\n\n");
    }
}

fn lists(out: &mut String, r: &Report) {
    let list = |out: &mut String, title: &str, items: &[String]| {
        if !items.is_empty() {
            let _ = writeln!(out, "## {title}\n");
            for item in items {
                let _ = writeln!(out, "- {}", inert(item));
            }
            out.push('\n');
        }
    };
    list(out, "Not tested (never to be read as passed)", &r.not_tested);
    list(out, "NOT put back", &r.not_put_back);
    list(out, "Notes", &r.notes);
    out.push_str("## Odds before and after\n\n| fault | before | after |\n|---|---|---|\n");
    for share in r.odds.iter().take(8) {
        let _ = writeln!(out, "| {} | {} | {} |", share.name, percent(share.before), percent(share.after));
    }
    out.push_str("\n## Mixture ledger of the sound car at idle\n\n");
    for (what, ratio) in &r.ledger {
        let _ = writeln!(out, "- {what}: {ratio:.4}");
    }
    let _ = writeln!(out, "\n{}\n", r.reference);
    list(
        out,
        "Cautions that stood before the steps",
        &r.cautions.iter().map(|c| c.text.clone()).collect::<Vec<_>>(),
    );
    let defaults: Vec<String> =
        r.facts.iter().filter(|f| f.default).map(|f| format!("{}: {}", f.key, f.value)).collect();
    list(out, "Taken as defaults", &defaults);
    let stated: Vec<String> =
        r.facts.iter().filter(|f| !f.default).map(|f| format!("{}: {}", f.key, f.value)).collect();
    list(out, "The car as stated", &stated);
}
