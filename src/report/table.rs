//! Cases as rows for a database, and what they come to: one row a step, the same columns in every form.

use crate::case::{Entry, Header, Line};
use crate::quantity::unit;
use crate::rig::Rig;
use crate::terms::{Fault, ReadingDatum};
use crate::text::{csv_defused, one_line};
use crate::tree::Tree;
use crate::walk::{self, Ending, Event, Given, State};
use serde::Serialize;

/// What a case comes to.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Outcome {
    /// `finding`, `hand-over`, `open`, or `unknown` where the tree it was walked with is not at hand.
    pub end: String,
    /// The flat id of the finding or hand-over.
    pub id: Option<String>,
    /// The fault of a finding.
    pub fault: Option<Fault>,
    /// Whether the measurement after the repair proved it; none without one.
    pub confirmed: Option<bool>,
    /// Minutes by the tree's figures.
    pub minutes: Option<f64>,
}

/// The state of a case by its tree; none without a tree or with another version of it.
fn state(lines: &[Line<Entry>], tree: Option<&Tree>) -> Option<State> {
    let events = lines.iter().filter_map(|l| if let Entry::Walk(e) = &l.entry { Some(e) } else { None });
    walk::replay(tree?, events).ok()
}

/// What a case comes to by its tree.
pub fn outcome(lines: &[Line<Entry>], tree: Option<&Tree>) -> Outcome {
    let (Some(state), Some(tree)) = (state(lines, tree), tree) else {
        return Outcome { end: "unknown".into(), id: None, fault: None, confirmed: None, minutes: None };
    };
    let (end, id, fault, confirmed) = match state.ending() {
        Some(Ending::Finding { finding, confirmed }) => {
            let f = &tree.findings[finding];
            ("finding", Some(f.id.clone()), Some(f.fault), confirmed)
        }
        Some(Ending::Handover(h)) => ("hand-over", Some(tree.handovers[h].id.clone()), None, None),
        Some(Ending::GivenAway) => ("hand-over", None, None, None),
        None => ("open", None, None, None),
    };
    Outcome { end: end.into(), id, fault, confirmed, minutes: Some(state.minutes()) }
}

/// One step of one case. A case without any step has one row without a step.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CaseRow {
    /// The case's id.
    pub case: String,
    /// When it was begun, RFC 3339.
    pub begun: String,
    /// Whether the car is simulated.
    pub simulated: bool,
    /// The tree's id.
    pub tree: String,
    /// The complaint.
    pub complaint: Option<String>,
    /// The car's name.
    pub car: Option<String>,
    /// See [`Outcome::end`].
    pub end: String,
    /// Id of the finding or hand-over.
    pub finding: Option<String>,
    /// Id of the fault.
    pub fault: Option<String>,
    /// Whether the re-measurement proved it.
    pub confirmed: Option<bool>,
    /// Number of the step in the order of time, from 1.
    pub number: Option<usize>,
    /// The step's flat id.
    pub step: Option<String>,
    /// When it was kept, RFC 3339.
    pub time: Option<String>,
    /// As typed.
    pub given: Option<String>,
    /// What was read.
    pub reading: Option<String>,
    /// In which condition.
    pub condition: Option<String>,
    /// The reading in its unit.
    pub value: Option<f64>,
    /// The unit.
    pub unit: Option<String>,
    /// `gauge` or `absolute`, for pressures.
    pub reference: Option<String>,
    /// Lower limit in that unit.
    pub low: Option<f64>,
    /// Upper limit in that unit.
    pub high: Option<f64>,
    /// Standard uncertainty in that unit.
    pub uncertainty: Option<f64>,
    /// The verdict, or the outcome of a look.
    pub verdict: Option<String>,
    /// Probability of the verdict.
    pub probability: Option<f64>,
    /// Where the gauge sat.
    pub place: Option<String>,
    /// The instrument.
    pub instrument: Option<String>,
    /// SHA-256 of the data log it was taken from; none where an instrument was read.
    pub log: Option<String>,
    /// Why it was not tested.
    pub not_tested: Option<String>,
    /// Whether it corrects what was given before.
    pub correction: bool,
}

/// Names of the columns, in order.
pub const COLUMNS: &[&str] = &[
    "case",
    "begun",
    "simulated",
    "tree",
    "complaint",
    "car",
    "end",
    "finding",
    "fault",
    "confirmed",
    "number",
    "step",
    "time",
    "given",
    "reading",
    "condition",
    "value",
    "unit",
    "reference",
    "low",
    "high",
    "uncertainty",
    "verdict",
    "probability",
    "place",
    "instrument",
    "log",
    "not_tested",
    "correction",
];

impl CaseRow {
    /// The cells in the order of [`COLUMNS`]; texts that a spreadsheet would take for a formula are defused.
    pub fn cells(&self) -> Vec<String> {
        let text = |t: &Option<String>| t.as_deref().map(csv_defused).unwrap_or_default();
        let number = |n: Option<f64>| n.map(|n| n.to_string()).unwrap_or_default();
        vec![
            csv_defused(&self.case),
            csv_defused(&self.begun),
            self.simulated.to_string(),
            csv_defused(&self.tree),
            text(&self.complaint),
            text(&self.car),
            csv_defused(&self.end),
            text(&self.finding),
            text(&self.fault),
            self.confirmed.map(|c| c.to_string()).unwrap_or_default(),
            self.number.map(|n| n.to_string()).unwrap_or_default(),
            text(&self.step),
            text(&self.time),
            text(&self.given),
            text(&self.reading),
            text(&self.condition),
            number(self.value),
            text(&self.unit),
            text(&self.reference),
            number(self.low),
            number(self.high),
            number(self.uncertainty),
            text(&self.verdict),
            number(self.probability),
            text(&self.place),
            text(&self.instrument),
            text(&self.log),
            text(&self.not_tested),
            self.correction.to_string(),
        ]
    }
}

fn fill(row: &mut CaseRow, given: &Given) {
    match given {
        Given::Done => row.given = Some("done".into()),
        Given::Answered { outcome, typed } => {
            row.given = Some(one_line(typed));
            row.verdict = Some(one_line(outcome));
        }
        Given::Cannot { reason, note } => {
            row.given = note.as_deref().map(one_line);
            row.verdict = Some("not-tested".into());
            row.not_tested = Some(reason.id().into());
        }
        Given::Read { taken } => {
            let unit = unit(&taken.unit).filter(|u| u.dimension == taken.reading.dimension());
            let shown = |si: f64| unit.map_or(si, |u| u.from_si(si));
            row.given = Some(one_line(&taken.typed));
            row.reading = Some(taken.reading.id().into());
            row.condition = Some(taken.condition.id().into());
            row.value = Some(shown(taken.si));
            row.unit = Some(unit.map_or_else(|| "SI".to_owned(), |u| u.symbol.to_owned()));
            row.reference = match taken.reading.datum() {
                ReadingDatum::Gauge => Some("gauge".into()),
                ReadingDatum::Absolute => Some("absolute".into()),
                ReadingDatum::None => None,
            };
            row.low = taken.band.low.map(shown);
            row.high = taken.band.high.map(shown);
            row.uncertainty = Some(shown(taken.si + taken.u) - shown(taken.si));
            row.verdict = Some(taken.verdict.id().into());
            row.probability = Some(taken.probability);
            row.place = taken.place.map(|p| p.id().into());
            row.instrument = Some(one_line(&taken.instrument));
            row.log = taken.log.as_ref().map(|from| one_line(&from.log.digest));
        }
    }
}

/// What an event gave for a step, and whether it corrects an earlier one.
fn given_by(event: &Event) -> Option<(&str, Given, bool)> {
    match event {
        Event::Done { step } => Some((step, Given::Done, false)),
        Event::Read { step, taken } => Some((step, Given::Read { taken: taken.clone() }, false)),
        Event::Answered { step, outcome, typed, .. } => {
            Some((step, Given::Answered { outcome: outcome.clone(), typed: typed.clone() }, false))
        }
        Event::CannotDo { step, reason, note } => {
            Some((step, Given::Cannot { reason: *reason, note: note.clone() }, false))
        }
        Event::Changed { step, given } => Some((step, given.clone(), true)),
        _ => None,
    }
}

/// The rows of a case called `id`.
pub fn case_rows(id: &str, lines: &[Line<Entry>], tree: Option<&Tree>) -> Vec<CaseRow> {
    let empty = Header::default();
    let header = lines
        .iter()
        .find_map(|l| if let Entry::Header(h) = &l.entry { Some(h) } else { None })
        .unwrap_or(&empty);
    let end = outcome(lines, tree);
    let bare = CaseRow {
        case: id.to_owned(),
        begun: lines.first().map_or_else(String::new, |l| l.time.to_string()),
        simulated: header.simulated,
        tree: one_line(&header.tree),
        complaint: header.complaint.as_deref().map(one_line),
        car: Rig::parse("the rig kept in the case", &header.rig).ok().map(|r| one_line(&r.name)),
        end: end.end,
        finding: end.id,
        fault: end.fault.map(|f| f.id().to_owned()),
        confirmed: end.confirmed,
        number: None,
        step: None,
        time: None,
        given: None,
        reading: None,
        condition: None,
        value: None,
        unit: None,
        reference: None,
        low: None,
        high: None,
        uncertainty: None,
        verdict: None,
        probability: None,
        place: None,
        instrument: None,
        log: None,
        not_tested: None,
        correction: false,
    };
    let mut rows = Vec::new();
    // As on the screen: a step keeps the number it got when it was first given.
    let mut steps: Vec<String> = Vec::new();
    for line in lines {
        let Entry::Walk(event) = &line.entry else { continue };
        let Some((step, given, correction)) = given_by(event) else { continue };
        let known = steps.iter().position(|s| s == step).unwrap_or_else(|| {
            steps.push(step.to_owned());
            steps.len() - 1
        });
        let mut row = CaseRow {
            number: Some(known + 1),
            step: Some(one_line(step)),
            time: Some(line.time.to_string()),
            correction,
            ..bare.clone()
        };
        fill(&mut row, &given);
        rows.push(row);
    }
    if rows.is_empty() { vec![bare] } else { rows }
}
