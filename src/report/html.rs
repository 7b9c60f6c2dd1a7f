//! The report as one HTML file: nothing outside is asked for, nothing runs, and it prints on paper.

use super::markdown::{
    LEGEND, LESS_LIKELY, RULED_OUT, belongs_first, clock, heading, how_sure, log_words, logs, measured,
    repair_words, set_aside, signed, split, verdict,
};
use super::model::{LedgerAt, Phase, Report, Row, Share};
use super::{percent, svg, units};
use crate::quantity::figures;
use askama::Template;

/// Faults shown with their odds; JSON holds all.
const MOST_ODDS: usize = 6;

/// One measured or seen step, ready to be shown.
struct Shown<'a> {
    row: &'a Row,
    verdict: String,
    phase: &'static str,
    clock: String,
    band: Option<String>,
    log: Option<String>,
}

struct Odds<'a> {
    name: &'a str,
    before: String,
    after: String,
}

struct Line<'a> {
    cause: &'a str,
    sound: String,
    measured: String,
}

struct Ledger<'a> {
    condition: &'a str,
    target: String,
    lines: Vec<Line<'a>>,
    explained: Option<String>,
}

struct Drawn<'a> {
    along: &'a str,
    picture: String,
    right: String,
    measured: String,
}

#[derive(Template)]
#[template(path = "report.html", config = "src/report/askama.toml")]
struct Page<'a> {
    r: &'a Report,
    heading: &'static str,
    how_sure: Option<String>,
    repair: &'static str,
    belongs_first: bool,
    ruled_out_says: &'static str,
    less_likely_says: &'static str,
    legend: &'static str,
    ruled_out: Vec<(&'a str, String)>,
    less_likely: Vec<(&'a str, String)>,
    steps: Vec<Shown<'a>>,
    done: Vec<(&'a Row, String)>,
    dates: String,
    odds: Vec<Odds<'a>>,
    ledger: Vec<Ledger<'a>>,
    circuit: String,
    induction: String,
    slope: Option<Drawn<'a>>,
    stated: Vec<(&'a str, &'a str)>,
    defaults: Vec<(&'a str, &'a str)>,
    before_after: Vec<(String, String, String, String)>,
    logs: Vec<String>,
    minutes: String,
    clock_back: Option<String>,
}

fn shown<'a>(r: &Report, row: &'a Row) -> Shown<'a> {
    Shown {
        row,
        verdict: verdict(row),
        phase: match row.phase {
            Phase::Walk => "",
            Phase::AfterRepair => "after the repair",
            Phase::PuttingBack => "putting back",
        },
        clock: clock(r, &row.time),
        band: row.against.as_ref().and_then(|a| svg::band(row, a)),
        log: row.from_log.as_ref().map(log_words),
    }
}

fn odds(share: &Share) -> Odds<'_> {
    Odds { name: &share.name, before: percent(share.before), after: percent(share.after) }
}

fn ledger(at: &LedgerAt) -> Ledger<'_> {
    Ledger {
        condition: &at.condition,
        target: figures(at.target, 3),
        lines: at
            .lines
            .iter()
            .map(|l| Line {
                cause: &l.cause,
                sound: format!("{:.3}", l.sound),
                measured: l.measured.map_or_else(|| "–".to_owned(), |m| format!("{m:.3}")),
            })
            .collect(),
        explained: at.trim_explained.map(signed),
    }
}

/// The whole page. The same report gives the same bytes.
///
/// # Errors
/// In words, where the template could not be filled; that is a mistake in the program.
pub fn html(r: &Report) -> Result<String, String> {
    let facts = |default: bool| -> Vec<(&str, &str)> {
        r.facts.iter().filter(|f| f.default == default).map(|f| (f.key.as_str(), f.value.as_str())).collect()
    };
    let page = Page {
        r,
        heading: heading(&r.conclusion.kind),
        how_sure: how_sure(r),
        repair: repair_words(r),
        belongs_first: belongs_first(r),
        ruled_out_says: RULED_OUT,
        less_likely_says: LESS_LIKELY,
        legend: LEGEND,
        ruled_out: r.ruled_out.iter().map(|o| (o.by.as_str(), set_aside(o))).collect(),
        less_likely: r.less_likely.iter().map(|o| (o.by.as_str(), set_aside(o))).collect(),
        steps: r.steps.iter().filter(|s| s.asked).map(|s| shown(r, s)).collect(),
        done: r.steps.iter().filter(|s| !s.asked).map(|s| (s, clock(r, &s.time))).collect(),
        dates: format!("{} UTC", split(&r.begun).0),
        odds: r.odds.iter().take(MOST_ODDS).map(odds).collect(),
        ledger: measured(r).map(ledger).collect(),
        circuit: svg::path(&r.circuit, "Fuel circuit in the order the fuel flows"),
        induction: svg::path(&r.induction, "Induction path in the order the air flows"),
        slope: r.slope.as_ref().map(|s| Drawn {
            along: &s.along,
            picture: svg::slope(s, units::pressure(r)),
            right: figures(s.right, 2),
            measured: s.measured.map_or_else(|| "not to be had from these".to_owned(), |m| figures(m, 2)),
        }),
        stated: facts(false),
        defaults: facts(true),
        before_after: r
            .before_after
            .iter()
            .map(|p| {
                let cell = |row: &Row| format!("{}, {}", row.given, verdict(row));
                let expected = p.after.expected.clone().unwrap_or_default();
                (p.before.title.clone(), cell(&p.before), cell(&p.after), expected)
            })
            .collect(),
        logs: logs(r),
        minutes: format!("{:.0}", r.minutes),
        clock_back: (!r.clock_back.is_empty())
            .then(|| r.clock_back.iter().map(u64::to_string).collect::<Vec<_>>().join(", ")),
    };
    page.render().map_err(|e| format!("the report's page could not be filled: {e}"))
}
