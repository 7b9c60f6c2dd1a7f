//! The report as Markdown, fit for a ticket. Whatever a person typed is made inert.

use super::model::{Against, FromLog, LedgerAt, Phase, ReadLog, Report, Row, RuledOut};
use super::{percent, units};
use crate::quantity::figures;
use crate::text::markdown as inert;
use std::fmt::Write as _;

/// Columns of a drawn scale.
const WIDTH: usize = 44;
/// Faults shown with their odds; JSON holds all.
const MOST_ODDS: usize = 8;

/// A reading against its band as one row of text; only where both limits are.
pub fn scale(a: &Against) -> Option<String> {
    let (low, high) = (a.low?, a.high?);
    let (left, right) = span(a.value, low, high);
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // A share of 44 columns, clamped.
    let column =
        |v: f64| (((v - left) / (right - left)).clamp(0.0, 1.0) * (WIDTH - 1) as f64).round() as usize;
    let mut row: Vec<char> = vec!['-'; WIDTH];
    let (from, to) = (column(low), column(high));
    row[from..=to].fill('=');
    (row[from], row[to]) = ('[', ']');
    row[column(a.value)] = 'x';
    let row: String = row.into_iter().collect();
    Some(format!("{:>8} |{row}| {} {}", figures(left, 3), figures(right, 3), a.unit))
}

/// Ends of a scale that shows the whole band and the reading with room around both.
pub(super) fn span(value: f64, low: f64, high: f64) -> (f64, f64) {
    let pad = (high - low).abs().max(1e-9);
    ((low - pad).min(value - 0.2 * pad), (high + pad).max(value + 0.2 * pad))
}

/// The verdict with how sure it is, in words.
pub(super) fn verdict(row: &Row) -> String {
    match (&row.verdict, row.probability) {
        (Some(v), Some(p)) => format!("{v} ({})", percent(p)),
        (Some(v), None) => v.clone(),
        (None, _) => String::new(),
    }
}

/// What the repair came to, in words.
pub(super) fn repair_words(r: &Report) -> &'static str {
    match (r.conclusion.confirmed, r.conclusion.kind.as_str()) {
        (Some(true), _) => "Measured again after the repair, and proved.",
        (Some(false), _) => "Measured again after the repair, and NOT cured.",
        (None, "finding") => "No repair was measured in this case: the finding is not proved by its cure.",
        (None, _) => "Nothing was repaired in this case.",
    }
}

/// The heading of what the case comes to.
pub(super) fn heading(kind: &str) -> &'static str {
    match kind {
        "finding" => "Finding",
        "hand-over" => "Handed over",
        _ => "Still open",
    }
}

/// How sure the finding is, in words; none where nothing says.
pub(super) fn how_sure(r: &Report) -> Option<String> {
    let belief = r
        .conclusion
        .sure
        .map(|s| format!("{} of the belief lies on this part after everything measured", percent(s)));
    let weakest =
        r.conclusion.weakest.as_ref().map(|w| format!("the least certain verdict on the way is {w}"));
    match (belief, weakest) {
        (Some(b), Some(w)) => Some(format!("{b}; {w}.")),
        (Some(t), None) | (None, Some(t)) => Some(format!("{t}.")),
        (None, None) => None,
    }
}

/// What a list of what was ruled out says.
pub(super) const RULED_OUT: &str =
    "Each fault stands at the reading or look that fits it worst; the likeliest at the start come first.";
pub(super) const LESS_LIKELY: &str = "Each hangs on one reading or look, read once. Were that a slip, it would stand again; repeat the reading before it is trusted.";
/// What the columns of verdicts and instruments say.
pub(super) const LEGEND: &str = "The percentage at a verdict is how likely the true value lies on that side; u is the standard uncertainty \
    of the reading. Times are UTC.";
/// Faults named as ruled out by one reading; JSON holds all.
const MOST_RULED_OUT: usize = 8;

/// The faults that one reading speaks against, as far as a person reads on.
pub(super) fn set_aside(ruled: &RuledOut) -> String {
    let named = ruled.faults.iter().take(MOST_RULED_OUT).cloned().collect::<Vec<_>>().join(", ");
    match ruled.faults.len().saturating_sub(MOST_RULED_OUT) {
        0 => named,
        more => format!("{named} and {more} more"),
    }
}

/// Whether the finding is about the reference, so that where it belongs is part of what to do.
pub(super) fn belongs_first(r: &Report) -> bool {
    r.conclusion.fault.as_deref().is_some_and(|f| f.starts_with("reference-"))
}

/// Day and clock of an RFC 3339 time.
pub(super) fn split(time: &str) -> (&str, &str) {
    let (day, clock) = time.split_once('T').unwrap_or(("", time));
    (day, clock.split(['.', 'Z']).next().unwrap_or(clock))
}

/// The clock alone on the day the case was begun, day and clock on any other.
pub(super) fn clock(r: &Report, time: &str) -> String {
    let (day, at) = split(time);
    if day == split(&r.begun).0 { at.to_owned() } else { format!("{day} {at}") }
}

/// Ledgers in which something was measured.
pub(super) fn measured(r: &Report) -> impl Iterator<Item = &LedgerAt> {
    r.ledger.iter().filter(|at| at.lines.iter().any(|l| l.measured.is_some()))
}

/// What a reading from a log rests on, in words.
pub(super) fn log_words(log: &FromLog) -> String {
    let stretches =
        if log.stretches == 1 { "1 stretch".to_owned() } else { format!("{} stretches", log.stretches) };
    format!("{}, {stretches} of {} s, spread {}", log.file, figures(log.seconds, 2), log.spread)
}

/// The logs read, in words.
pub(super) fn logs(r: &Report) -> Vec<String> {
    let words = |l: &ReadLog| {
        format!(
            "{}, SHA-256 {}, read {}: {} readings, {} of them taken at a step by the technician, who read no gauge for them",
            l.file, l.digest, l.time, l.readings, l.taken
        )
    };
    r.logs.iter().map(words).collect()
}

const SIMULATED: &str = "SIMULATED CAR: practice, no real car was measured.";

/// The whole report.
pub fn markdown(r: &Report) -> String {
    let mut out = String::new();
    let simulated = if r.simulated { " (SIMULATED CAR)" } else { "" };
    let _ = writeln!(out, "# Findings report: {}{simulated}\n", inert(&r.car));
    if r.simulated {
        let _ = writeln!(out, "**{SIMULATED}**\n");
    }
    if r.shared {
        out.push_str("Made from a copy with personal data left out.\n\n");
    }
    let day = split(&r.begun).0;
    let _ =
        writeln!(out, "{day} UTC, {}, {:.0} minutes by the tree's figures.\n", inert(&r.tree[1]), r.minutes);
    first_page(&mut out, r);
    before_after(&mut out, r);
    list(&mut out, "Not tested (never to be read as passed)", &r.not_tested);
    list(&mut out, "NOT put back", &r.not_put_back);
    list(&mut out, "Still changed at the car", &r.still_changed);
    steps(&mut out, r);
    figures_of(&mut out, r);
    list(&mut out, "Notes", &r.notes);
    list(&mut out, "Data logs", &logs(r));
    let cautions: Vec<String> = r.cautions.iter().map(|c| format!("{}: {}", c.signal, c.text)).collect();
    list(&mut out, "Cautions that stood before the steps", &cautions);
    let facts = |default: bool| -> Vec<String> {
        r.facts.iter().filter(|f| f.default == default).map(|f| format!("{}: {}", f.key, f.value)).collect()
    };
    run_in(&mut out, "Taken as defaults, because nobody stated them", &facts(true));
    run_in(&mut out, "The car as stated", &facts(false));
    closing(&mut out, r);
    out
}

fn first_page(out: &mut String, r: &Report) {
    if let Some(complaint) = &r.complaint {
        let _ = writeln!(out, "**Complaint:** {}\n", inert(complaint));
    }
    let _ = writeln!(out, "**{}:** {}\n", heading(&r.conclusion.kind), inert(&r.conclusion.says));
    if let Some(name) = &r.conclusion.fault_name {
        let _ = writeln!(out, "**Fault:** {}\n", inert(name));
    }
    if let Some(sure) = how_sure(r) {
        let _ = writeln!(out, "**How sure:** {}\n", inert(&sure));
    }
    if !r.conclusion.also.is_empty() {
        let _ = writeln!(out, "**Not parted here:** {}.\n", inert(&r.conclusion.also.join(", ")));
    }
    let _ = writeln!(out, "**What to do:** {}\n", inert(&r.conclusion.to_do));
    if belongs_first(r) {
        let _ = writeln!(out, "**Where the reference belongs:** {}\n", inert(&r.reference));
    }
    let _ = writeln!(out, "**After the repair:** {}\n", repair_words(r));
    for doubt in r.misfit.iter().chain(&r.against) {
        let _ = writeln!(out, "**Doubt:** {}\n", inert(doubt));
    }
    let _ = writeln!(out, "> {}\n", inert(&r.first_word));
    let told = [
        ("Which reading ruled out what", RULED_OUT, &r.ruled_out),
        ("Which reading made what less likely", LESS_LIKELY, &r.less_likely),
    ];
    for (head, says, all) in told.into_iter().filter(|(_, _, all)| !all.is_empty()) {
        let _ = writeln!(out, "## {head}\n\n{says}\n");
        for ruled in all {
            let _ = writeln!(out, "- {} — {}", inert(&ruled.by), inert(&set_aside(ruled)));
        }
        out.push('\n');
    }
}

fn before_after(out: &mut String, r: &Report) {
    if r.before_after.is_empty() {
        return;
    }
    out.push_str(
        "## Before and after the repair\n\n| step | before | after | expected |\n|---|---|---|---|\n",
    );
    for pair in &r.before_after {
        let cell = |row: &Row| format!("{}, {}", inert(&row.given), inert(&verdict(row)));
        let expected = pair.after.expected.clone().unwrap_or_default();
        let (before, after) = (cell(&pair.before), cell(&pair.after));
        let _ =
            writeln!(out, "| {} | {before} | {after} | {} |", inert(&pair.before.title), inert(&expected));
    }
    out.push('\n');
}

fn steps(out: &mut String, r: &Report) {
    out.push_str("## Measured and seen\n\n| no. | step | given | expected, tolerance | verdict | instrument, u, place | time |\n|---|---|---|---|---|---|---|\n");
    for row in r.steps.iter().filter(|s| s.asked) {
        let phase = match row.phase {
            Phase::Walk => "",
            Phase::AfterRepair => " (after the repair)",
            Phase::PuttingBack => " (putting back)",
        };
        let correction = if row.correction { " (corrected)" } else { "" };
        let instrument = row.instrument.as_ref().map(|i| match &row.uncertainty {
            Some(u) => format!("{i}, u {u}"),
            None => i.clone(),
        });
        let joined = |parts: &[&Option<String>]| {
            parts.iter().copied().flatten().map(|p| inert(p)).collect::<Vec<_>>().join("; ")
        };
        let log = row.from_log.as_ref().map(log_words);
        let _ = writeln!(
            out,
            "| {} | {}{phase}{correction} | {} | {} | {} | {} | {} |",
            row.number,
            inert(&row.title),
            inert(&row.given),
            joined(&[&row.expected, &row.tolerance]),
            inert(&verdict(row)),
            joined(&[&instrument, &row.place, &log]),
            clock(r, &row.time)
        );
    }
    let _ = writeln!(out, "\n{LEGEND}\n");
    let scales: Vec<(&Row, String)> =
        r.steps.iter().filter_map(|s| Some((s, scale(s.against.as_ref()?)?))).collect();
    if !scales.is_empty() {
        out.push_str("Each reading (x) against its band (`[==]`):\n\n```\n");
        for (row, drawn) in scales {
            let _ =
                writeln!(out, "{:>3} {drawn}  {}", row.number, row.verdict.as_deref().unwrap_or_default());
        }
        out.push_str("```\n\n");
    }
    let done: Vec<String> = r
        .steps
        .iter()
        .filter(|s| !s.asked)
        .map(|s| {
            let given = if s.not_tested { format!(": {}", s.given) } else { String::new() };
            format!("{} {}{given}", s.number, s.title)
        })
        .collect();
    run_in(out, "Done on the way", &done);
}

fn figures_of(out: &mut String, r: &Report) {
    let _ = writeln!(out, "## Odds before and after\n\nWhere they come from: {}.\n", inert(&r.odds_from));
    if !r.odds.is_empty() {
        out.push_str("| fault | before | after |\n|---|---|---|\n");
        for share in r.odds.iter().take(MOST_ODDS) {
            let (before, after) = (percent(share.before), percent(share.after));
            let _ = writeln!(out, "| {} | {before} | {after} |", inert(&share.name));
        }
        out.push('\n');
    }
    if measured(r).next().is_some() {
        out.push_str("## Mixture ledger\n\nEach line is a ratio, 1 where nothing is off.\n\n");
        measured(r).for_each(|at| ledger(out, at));
    }
    if let Some(slope) = &r.slope {
        let _ = writeln!(out, "## Rail pressure against {}\n", slope.along);
        let unit = units::pressure(r);
        let _ = writeln!(
            out,
            "| condition | there, {unit} absolute | rail, {unit} | rail with the right reference, {unit} |\n|---|---|---|---|"
        );
        let shown = |kpa: f64| figures(units::from_kpa(unit, kpa), 3);
        for p in &slope.points {
            let from = if p.at_measured { "" } else { " (rig file)" };
            let (at, rail, right) = (shown(p.at_kpa), shown(p.rail_kpa), shown(p.right_kpa));
            let _ = writeln!(out, "| {} | {at}{from} | {rail} | {right} |", p.condition);
        }
        let measured = slope.measured.map_or("not to be had from these".to_owned(), |m| figures(m, 2));
        let _ = writeln!(
            out,
            "\nSlope a right reference has: {}; measured: {measured}.\n",
            figures(slope.right, 2)
        );
    }
    if !belongs_first(r) {
        let _ = writeln!(out, "{}\n", inert(&r.reference));
    }
}

fn ledger(out: &mut String, at: &LedgerAt) {
    let _ = writeln!(
        out,
        "{}, target lambda {}:\n\n| cause | sound car | as measured |\n|---|---|---|",
        at.condition,
        figures(at.target, 3)
    );
    for line in &at.lines {
        let measured = line.measured.map_or("not measured".to_owned(), |m| format!("{m:.4}"));
        let _ = writeln!(out, "| {} | {:.4} | {measured} |", line.cause, line.sound);
    }
    out.push('\n');
    if let Some(points) = at.trim_explained {
        let _ =
            writeln!(out, "The pressure across the injector alone explains {} % of trim.\n", signed(points));
    }
}

/// A number with its sign and one decimal.
pub(super) fn signed(value: f64) -> String {
    let text = format!("{value:+.1}");
    if matches!(text.as_str(), "+0.0" | "-0.0") { "0.0".to_owned() } else { text }
}

fn list(out: &mut String, title: &str, items: &[String]) {
    if items.is_empty() {
        return;
    }
    let _ = writeln!(out, "## {title}\n");
    for item in items {
        let _ = writeln!(out, "- {}", inert(item));
    }
    out.push('\n');
}

/// Short items one after the other: a list of fifty lines is not read.
fn run_in(out: &mut String, title: &str, items: &[String]) {
    if items.is_empty() {
        return;
    }
    let items: Vec<String> = items.iter().map(|i| inert(i)).collect();
    let _ = writeln!(out, "## {title}\n\n{}.\n", items.join("; "));
}

fn closing(out: &mut String, r: &Report) {
    let _ = writeln!(
        out,
        "Begun {}, last record {}. {:.0} minutes by the tree's figures. Tree {} ({}), digest `{}`. Program {}.\n",
        r.begun,
        r.last,
        r.minutes,
        r.tree[0],
        inert(&r.tree[1]),
        r.tree[2],
        inert(&r.program)
    );
    if !r.clock_back.is_empty() {
        let _ = writeln!(
            out,
            "The clock had been set back at {}; the order of steps is right, their times are not.\n",
            r.clock_back.iter().map(|s| format!("record {s}")).collect::<Vec<_>>().join(", ")
        );
    }
    let _ = writeln!(
        out,
        "Journal of {} records; digest of the last, chained over all before it: `{}`.",
        r.records, r.digest
    );
    if r.simulated {
        let _ = writeln!(out, "\n**{SIMULATED}**");
    }
}
