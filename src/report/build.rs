//! From journal, tree and rig to everything a report says.

use crate::belief::{Belief, Evidence, Particles};
use crate::case::{Entry, Line};
use crate::physics;
use crate::quantity::{Datum, UnitSystem, show};
use crate::rig::Rig;
use crate::session::{Session, SessionError};
use crate::terms::{FIRST_WORD, Fault, Reading, ReadingDatum, State};
use crate::text::one_line;
use crate::tree::{StepKind, Tree};
use crate::walk::{Ending, Event, Given, Taken};
use serde::Serialize;
use std::sync::Arc;

/// Cars drawn for each fault, and the seed: fixed, so that the same case gives the same odds anywhere.
const PER_FAULT: usize = 64;
const SEED: u64 = 1;
/// A fault below this share of the belief counts as set aside.
const SET_ASIDE: f64 = 0.01;

/// A fact of the car.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Fact {
    /// The rig file's key.
    pub key: String,
    /// Its value.
    pub value: String,
    /// Whether nobody stated it.
    pub default: bool,
}

/// One step as done.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Row {
    /// Number in the order of time.
    pub number: usize,
    /// Flat id.
    pub step: String,
    /// In words.
    pub title: String,
    /// When, RFC 3339.
    pub time: String,
    /// What was read or answered, as typed; "not tested: reason" where it could not be done.
    pub given: String,
    /// What was expected, in words; none where nothing is.
    pub expected: Option<String>,
    /// The verdict in a word.
    pub verdict: Option<String>,
    /// Probability of the verdict.
    pub probability: Option<f64>,
    /// The instrument.
    pub instrument: Option<String>,
    /// Standard uncertainty in the unit shown.
    pub uncertainty: Option<String>,
    /// Where the gauge sat.
    pub place: Option<String>,
    /// A drawn scale, for pressures.
    pub scale: Option<String>,
    /// Whether it was a measurement or a look, rather than something done.
    pub asked: bool,
    /// Whether it could not be done.
    pub not_tested: bool,
}

/// A fault with its share of the belief.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Share {
    /// The fault's id; `other` is one in no catalogue.
    pub fault: String,
    /// In words.
    pub name: String,
    /// Before anything was measured.
    pub before: f64,
    /// After everything.
    pub after: f64,
}

/// A fault that the readings set aside.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct RuledOut {
    /// In words.
    pub fault: String,
    /// By what.
    pub by: String,
}

/// A caution that stood before a step.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, schemars::JsonSchema)]
pub struct Caution {
    /// The whole text with its signal word.
    pub text: String,
}

/// What the case comes to.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Conclusion {
    /// `finding`, `hand-over` or `open`.
    pub kind: String,
    /// The fault's id, of a finding.
    pub fault: Option<String>,
    /// What is wrong, or what is known.
    pub says: String,
    /// What to do.
    pub to_do: String,
    /// Faults that this case cannot part from it.
    pub also: Vec<String>,
    /// Share of the belief the fault's part holds after everything, 0 to 1.
    pub sure: Option<f64>,
    /// Whether the measurement after the repair proved it; none without a repair.
    pub confirmed: Option<bool>,
}

/// Everything a report says.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Report {
    /// Whether the car is simulated.
    pub simulated: bool,
    /// The car's name.
    pub car: String,
    /// The car's facts.
    pub facts: Vec<Fact>,
    /// What is wrong, in the driver's words.
    pub complaint: Option<String>,
    /// The tree's id, title and digest.
    pub tree: [String; 3],
    /// Version of the program.
    pub program: String,
    /// What it comes to.
    pub conclusion: Conclusion,
    /// What the readings set aside.
    pub ruled_out: Vec<RuledOut>,
    /// Every step in the order of time.
    pub steps: Vec<Row>,
    /// The same step before and after the repair.
    pub before_after: Option<(Row, Row)>,
    /// What could not be tested.
    pub not_tested: Vec<String>,
    /// What could not be put back.
    pub not_put_back: Vec<String>,
    /// The mixture ledger of the sound car at idle: what each cause would do, as ratios.
    pub ledger: Vec<(String, f64)>,
    /// Odds before and after, most probable first.
    pub odds: Vec<Share>,
    /// A warning where nothing explains the readings well.
    pub misfit: Option<String>,
    /// Notes that may be shared.
    pub notes: Vec<String>,
    /// Cautions that stood before the steps.
    pub cautions: Vec<Caution>,
    /// What comes before everything.
    pub first_word: String,
    /// Why the regulator's reference belongs where it does.
    pub reference: String,
    /// Minutes by the tree's figures.
    pub minutes: f64,
    /// Records in the journal.
    pub records: usize,
    /// Digest of the journal's last record.
    pub digest: String,
}

fn value(si: f64, reading: Reading) -> String {
    let datum = (reading.datum() == ReadingDatum::Absolute).then_some(Datum::Absolute);
    let unit = UnitSystem::Metric.unit_for(reading.dimension());
    show(si, unit, datum, 3)
}

fn band(taken: &Taken) -> String {
    match (taken.band.low, taken.band.high) {
        (Some(low), Some(high)) => format!("{} to {}", value(low, taken.reading), value(high, taken.reading)),
        (Some(low), None) => format!("at least {}", value(low, taken.reading)),
        (None, Some(high)) => format!("at most {}", value(high, taken.reading)),
        (None, None) => "no limits".to_owned(),
    }
}

fn row(tree: &Tree, number: usize, index: usize, given: &Given, time: String) -> Row {
    let step = &tree.steps[index];
    let mut row = Row {
        number,
        step: step.id.clone(),
        title: step.name().to_owned(),
        time,
        given: String::new(),
        expected: None,
        verdict: None,
        probability: None,
        instrument: None,
        uncertainty: None,
        place: None,
        scale: None,
        asked: !matches!(step.kind, StepKind::Do { .. }),
        not_tested: false,
    };
    match given {
        Given::Done => "done".clone_into(&mut row.given),
        Given::Cannot { reason, note } => {
            row.given = match note {
                Some(note) => format!("not tested: {} ({})", reason.name(), one_line(note)),
                None => format!("not tested: {}", reason.name()),
            };
            row.not_tested = true;
        }
        Given::Answered { outcome, typed } => {
            row.given = match &step.kind {
                StepKind::Observe { observation, .. } => {
                    observation.outcome(outcome).map_or(outcome.clone(), |o| o.name.to_owned())
                }
                _ => outcome.clone(),
            };
            if typed != outcome {
                row.given = format!("{} ({})", one_line(typed), row.given);
            }
            row.verdict = Some(outcome.clone());
        }
        Given::Read { taken } => {
            row.given = one_line(&taken.typed);
            row.expected = Some(band(taken));
            row.verdict = Some(taken.verdict.id().to_owned());
            row.probability = Some(taken.probability);
            row.instrument = Some(taken.instrument.clone());
            row.uncertainty = Some(value(taken.u, taken.reading));
            row.place = taken.place.map(|p| p.name().to_owned());
            row.scale = super::markdown::scale(taken);
        }
    }
    row
}

/// A session that stands where the journal's events lead, with nothing kept.
fn replayed(lines: &[Line<Entry>], tree: &Tree, rig: &Rig) -> Result<Session, SessionError> {
    let events = lines
        .iter()
        .filter_map(|l| if let Entry::Walk(event) = &l.entry { Some(event.clone()) } else { None });
    Session::replay(Arc::new(rig.clone()), Arc::new(tree.clone()), events)
}

/// Builds the report.
///
/// # Errors
/// [`SessionError::Refused`] where the journal does not fit the tree.
pub fn build(lines: &[Line<Entry>], tree: &Tree, rig: &Rig) -> Result<Report, SessionError> {
    let session = replayed(lines, tree, rig)?;
    let header = lines.iter().find_map(|l| if let Entry::Header(h) = &l.entry { Some(h) } else { None });
    let steps = rows(lines, tree, &session);
    let particles = Arc::new(Particles::draw(rig, PER_FAULT, SEED));
    let before = Belief::new(particles.clone());
    let after = session.belief(&particles);
    let conclusion = conclude(&session, tree, &after);
    let mut cautions: Vec<Caution> = session
        .state()
        .record()
        .iter()
        .flat_map(|(i, _)| tree.steps[*i].cautions.iter())
        .map(|c| Caution { text: c.text() })
        .collect();
    cautions.sort();
    cautions.dedup();
    let notes = lines
        .iter()
        .filter_map(|l| match &l.entry {
            Entry::Walk(Event::NoteAdded { text, private: false, .. }) => Some(one_line(text)),
            Entry::Walk(Event::Repaired { note: Some(text) }) => Some(format!("repair: {}", one_line(text))),
            _ => None,
        })
        .collect();
    let misfit = after.misfit();
    Ok(Report {
        simulated: header.is_some_and(|h| h.simulated),
        car: rig.name.clone(),
        facts: rig
            .facts
            .iter()
            .map(|f| Fact { key: f.path.clone(), value: f.text.clone(), default: f.default })
            .collect(),
        complaint: header.and_then(|h| h.complaint.as_deref()).map(one_line),
        tree: [tree.id.clone(), tree.title.clone(), tree.digest.clone()],
        program: header.map_or_else(String::new, |h| h.program.clone()),
        ruled_out: ruled_out(&before, &after, &session),
        before_after: before_after(&steps, &session, tree),
        not_tested: steps.iter().filter(|r| r.not_tested).map(|r| format!("{}: {}", r.title, r.given)).collect(),
        not_put_back: session.state().not_undone().iter().map(State::name).map(str::to_owned).collect(),
        ledger: ledger(rig),
        odds: odds(&before, &after),
        misfit: (misfit.alarm && after.evidence().next().is_some()).then(|| {
            "Nothing in the catalogue explains all readings well: a misread gauge, two faults at once, or a fault outside it."
                .to_owned()
        }),
        notes,
        cautions,
        first_word: FIRST_WORD.to_owned(),
        reference: physics::reference_advice(&rig.car),
        minutes: session.state().minutes(),
        records: lines.len(),
        digest: lines.last().map_or_else(String::new, |l| l.digest.to_string()),
        conclusion,
        steps,
    })
}

/// Every step in the order of time. A correction stands where it was made.
fn rows(lines: &[Line<Entry>], tree: &Tree, session: &Session) -> Vec<Row> {
    let times = lines.iter().filter_map(|l| match &l.entry {
        Entry::Walk(
            Event::Done { .. }
            | Event::Read { .. }
            | Event::Answered { .. }
            | Event::CannotDo { .. }
            | Event::Changed { .. },
        ) => Some(l.time.to_string()),
        _ => None,
    });
    let times: Vec<String> = times.collect();
    session
        .state()
        .record()
        .iter()
        .enumerate()
        .map(|(i, (index, given))| row(tree, i + 1, *index, given, times.get(i).cloned().unwrap_or_default()))
        .collect()
}

fn before_after(steps: &[Row], session: &Session, tree: &Tree) -> Option<(Row, Row)> {
    let Some(Ending::Finding { finding, confirmed: Some(_) }) = session.state().ending() else { return None };
    let repeat = &tree.steps[tree.findings[finding].confirm.as_ref()?.repeat].id;
    let same: Vec<&Row> = steps.iter().filter(|r| r.step == *repeat).collect();
    match same.as_slice() {
        [first, .., last] => Some(((*first).clone(), (*last).clone())),
        _ => None,
    }
}

fn conclude(session: &Session, tree: &Tree, belief: &Belief) -> Conclusion {
    let part_share =
        |fault: Fault| belief.part_odds().iter().find(|(p, _)| *p == fault.part()).map(|(_, share)| *share);
    match session.state().ending() {
        Some(Ending::Finding { finding, confirmed }) => {
            let f = &tree.findings[finding];
            Conclusion {
                kind: "finding".into(),
                fault: Some(f.fault.id().into()),
                says: f.says.clone(),
                to_do: f
                    .remedy
                    .clone()
                    .unwrap_or_else(|| "Nothing is to be mended on what was measured.".into()),
                also: f.also.iter().map(|f| f.name().to_owned()).collect(),
                sure: part_share(f.fault),
                confirmed,
            }
        }
        Some(Ending::Handover(h)) => {
            let h = &tree.handovers[h];
            Conclusion {
                kind: "hand-over".into(),
                fault: None,
                says: h.says.clone(),
                to_do: h.advice.clone(),
                also: h.narrowed.iter().map(|f| f.name().to_owned()).collect(),
                sure: None,
                confirmed: None,
            }
        }
        _ => Conclusion {
            kind: "open".into(),
            fault: None,
            says: "The case is not at its end.".into(),
            to_do: "Take it up where it stands, or hand it over.".into(),
            also: Vec::new(),
            sure: None,
            confirmed: None,
        },
    }
}

fn odds(before: &Belief, after: &Belief) -> Vec<Share> {
    let first = before.odds();
    let mut shares: Vec<Share> = after
        .odds()
        .into_iter()
        .map(|(fault, after)| Share {
            fault: fault.id().into(),
            name: fault.name().into(),
            before: first.iter().find(|(f, _)| *f == fault).map_or(0.0, |(_, p)| *p),
            after,
        })
        .collect();
    let other = Share {
        fault: "other".into(),
        name: "a fault in no catalogue".into(),
        before: before.other(),
        after: after.other(),
    };
    let at = shares.iter().position(|s| s.after < other.after).unwrap_or(shares.len());
    shares.insert(at, other);
    shares
}

/// What a piece of evidence was, in words.
fn words(evidence: &Evidence, session: &Session) -> String {
    match evidence {
        Evidence::Reading { reading, condition, si, .. } => {
            format!("{} at {}: {}", reading.name(), condition.name(), value(*si, *reading))
        }
        Evidence::Observation { observation, outcome } => {
            let name = observation.outcome(outcome).map_or(outcome.as_str(), |o| o.name);
            format!("{}: {name}", observation.name())
        }
        Evidence::DoesNotRun { condition } => {
            format!("the engine does not run at {} ({})", condition.name(), session.rig().name)
        }
    }
}

fn ruled_out(before: &Belief, after: &Belief, session: &Session) -> Vec<RuledOut> {
    let evidence: Vec<Evidence> = after.evidence().cloned().collect();
    let first = before.odds();
    let mut out = Vec::new();
    for (fault, share) in after.odds() {
        let was = first.iter().find(|(f, _)| *f == fault).map_or(0.0, |(_, p)| *p);
        if share >= SET_ASIDE.min(was / 2.0) || fault == Fault::NoFault {
            continue;
        }
        let worst = after.why(fault).into_iter().min_by(|a, b| a.ratio.total_cmp(&b.ratio));
        if let Some(why) = worst.filter(|w| w.ratio < -0.5)
            && let Some(e) = evidence.get(why.evidence)
        {
            out.push(RuledOut { fault: fault.name().to_owned(), by: words(e, session) });
        }
    }
    out
}

fn ledger(rig: &Rig) -> Vec<(String, f64)> {
    let solved = physics::solve(&rig.car, crate::terms::Condition::Idle).ok();
    let lines = solved.and_then(|s| s.ledger).map(|l| l.lines());
    lines.map_or_else(Vec::new, |l| l.iter().map(|(what, ratio)| ((*what).to_owned(), *ratio)).collect())
}
