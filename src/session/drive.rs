//! A walk without a person: from an answers file, or from a simulated car.

use super::bench::Bench;
use super::error::SessionError;
use super::one::{Ask, Session};
use crate::quantity::{Datum, Dimension, UnitSystem};
use crate::terms::{Condition, Observation, Reading, ReadingDatum, Tool};
use crate::tree::{Step, StepKind};
use crate::walk::{At, Ending, Event, Reason};
use std::collections::BTreeMap;

/// More steps than any tree asks on one path.
const MOST_STEPS: usize = 2_000;

/// What is given for a step.
#[derive(Debug, Clone, PartialEq)]
pub enum Reply {
    /// A reading or an answer as typed.
    Text(String),
    /// It can't be done.
    Cannot(Reason),
}

/// Who replies to steps.
pub trait Source {
    /// What is given for a step of that flat id; nothing where nothing is known.
    fn reply(&self, step: &Step, after_repair: bool) -> Option<Reply>;
    /// Whether the finding is repaired and measured again.
    fn repairs(&self) -> bool {
        false
    }
    /// Whether a text that looks like a slip is kept as it is.
    fn keeps_doubtful(&self) -> bool {
        true
    }
}

/// How a driven walk ended.
#[derive(Debug)]
pub enum Driven {
    /// It came to its end and was closed.
    Closed,
    /// A step needs an answer that is not there.
    RanOut {
        /// The step.
        step: String,
        /// What it asks for.
        asks: String,
    },
}

/// Walks to the end.
///
/// # Errors
/// Any [`SessionError`], with the step it happened at.
pub fn drive(session: &mut Session, source: &dyn Source) -> Result<Driven, (String, SessionError)> {
    for _ in 0..MOST_STEPS {
        let (step, after_repair) = match session.ask() {
            Ask::Step(view) | Ask::Undo(_, view) => (view.step.clone(), false),
            Ask::Confirm(_, view) => (view.step.clone(), true),
            Ask::Finding(finding) => {
                let id = finding.id.clone();
                let repair = source.repairs() && finding.remedy.is_some();
                let cautions = !finding.cautions.is_empty();
                let at = |e| (id.clone(), e);
                if repair {
                    if cautions {
                        session.confirm_cautions().map_err(at)?;
                    }
                    session.send(Event::Repaired { note: None }).map_err(at)?;
                } else {
                    session.send(Event::Accepted { note: None }).map_err(at)?;
                }
                continue;
            }
            Ask::NotCured(finding) => {
                let id = finding.id.clone();
                session.send(Event::Accepted { note: None }).map_err(|e| (id, e))?;
                continue;
            }
            Ask::Handover(handover) => {
                let id = handover.id.clone();
                session.send(Event::HandedOver { note: None }).map_err(|e| (id, e))?;
                continue;
            }
            Ask::Review => {
                session.send(Event::Closed).map_err(|e| ("review".into(), e))?;
                continue;
            }
            Ask::Leak => {
                session.send(Event::LeakMended { note: None }).map_err(|e| ("leak".into(), e))?;
                continue;
            }
            Ask::Paused => {
                session.send(Event::Resumed).map_err(|e| ("paused".into(), e))?;
                continue;
            }
            Ask::Closed => return Ok(Driven::Closed),
            Ask::Broken(why) => {
                let why = why.to_owned();
                return Err(("?".into(), SessionError::NoAnswer(why)));
            }
        };
        if let Some(ran_out) =
            one_step(session, source, &step, after_repair).map_err(|e| (step.id.clone(), e))?
        {
            return Ok(ran_out);
        }
    }
    Err(("?".into(), SessionError::NoAnswer(format!("the walk did not end within {MOST_STEPS} steps"))))
}

fn one_step(
    session: &mut Session,
    source: &dyn Source,
    step: &Step,
    after_repair: bool,
) -> Result<Option<Driven>, SessionError> {
    let reply = source.reply(step, after_repair);
    let cannot = |session: &mut Session, reason: Reason| -> Result<Option<Driven>, SessionError> {
        if step.cannot.is_none() {
            let asks = match &step.kind {
                StepKind::Read(read) => format!("{}@{}", read.reading, read.at),
                StepKind::Observe { observation, .. } => observation.id().to_owned(),
                _ => "doing it".to_owned(),
            };
            return Ok(Some(Driven::RanOut { step: step.id.clone(), asks }));
        }
        session.cannot(reason, None)?;
        Ok(None)
    };
    if let Some(Reply::Cannot(reason)) = reply {
        return cannot(session, reason);
    }
    let absent = match (&step.kind, &reply) {
        (StepKind::Read(_) | StepKind::Observe { .. }, None) => true,
        (StepKind::Read(_), Some(_)) => {
            let index = session.tree().step_index(&step.id);
            let place = match session.ask() {
                Ask::Step(v) | Ask::Undo(_, v) | Ask::Confirm(_, v) => v.place,
                _ => None,
            };
            index.is_none_or(|i| session.expected(i, place).is_ok_and(|e| e.is_none()))
        }
        _ => false,
    };
    if absent {
        return cannot(session, Reason::NoAccess);
    }
    if !step.cautions.is_empty() && !session.state().cautions_confirmed(&step.id) {
        session.confirm_cautions()?;
    }
    match (&step.kind, reply) {
        (StepKind::Read(_), Some(Reply::Text(text))) => {
            let mut taken = session.read(&text, None);
            if let Err(SessionError::Entry(super::EntryError::Doubtful { .. })) = &taken
                && source.keeps_doubtful()
            {
                taken = session.read(&text, None);
            }
            taken?;
        }
        (StepKind::Observe { .. }, Some(Reply::Text(text))) => {
            session.answer(&text)?;
        }
        _ => session.done()?,
    }
    Ok(None)
}

/// Answers by step, by reading and condition, and by observation.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Answers {
    /// By flat step id, or by its id in its own file.
    pub steps: BTreeMap<String, Reply>,
    /// By reading and condition.
    pub readings: BTreeMap<(Reading, Condition), Reply>,
    /// By observation.
    pub observations: BTreeMap<Observation, Reply>,
    /// The same after the repair; with it, a finding is repaired and measured again.
    pub after_repair: Option<Box<Answers>>,
}

impl Answers {
    fn find(&self, step: &Step) -> Option<Reply> {
        let by_step = self.steps.get(&step.id).or_else(|| self.steps.get(&step.origin.id));
        by_step.cloned().or_else(|| match &step.kind {
            StepKind::Read(read) => self.readings.get(&(read.reading, read.at)).cloned(),
            StepKind::Observe { observation, .. } => self.observations.get(observation).cloned(),
            _ => None,
        })
    }
}

impl Source for Answers {
    fn reply(&self, step: &Step, after_repair: bool) -> Option<Reply> {
        match (&self.after_repair, after_repair) {
            (Some(after), true) => after.find(step).or_else(|| self.find(step)),
            _ => self.find(step),
        }
    }

    fn repairs(&self) -> bool {
        self.after_repair.is_some()
    }
}

/// A simulated car as a source of replies, with the tools at hand.
pub struct Simulated<'a> {
    /// The car.
    pub bench: &'a dyn Bench,
    /// Tools at hand; none: all of them.
    pub tools: Option<&'a [Tool]>,
    /// The sound car, read after a repair; none: a finding is taken as it is.
    pub repaired: Option<&'a dyn Bench>,
}

/// A reading as a person would type it, with every digit.
pub fn typed(reading: Reading, si: f64) -> String {
    let unit = UnitSystem::Metric.unit_for(reading.dimension());
    let datum = match (reading.dimension(), reading.datum()) {
        (Dimension::Pressure, ReadingDatum::Absolute) => Some(Datum::Absolute),
        _ => None,
    };
    let suffix = if datum.is_some() { " abs" } else { "" };
    let value = unit.from_si(si);
    // An absolute pressure or a tiny leftover of a difference is never typed as minus nothing.
    let value = if value.abs() < 1e-9 { 0.0 } else { value };
    format!("{value:.6} {}{suffix}", unit.symbol)
}

impl Source for Simulated<'_> {
    fn reply(&self, step: &Step, after_repair: bool) -> Option<Reply> {
        if let Some(tools) = self.tools
            && step.tools.iter().any(|t| *t != Tool::Eyes && !tools.contains(t))
            && step.cannot.is_some()
        {
            return Some(Reply::Cannot(Reason::NoTool));
        }
        let bench = self.repaired.filter(|_| after_repair).unwrap_or(self.bench);
        match &step.kind {
            StepKind::Read(read) => {
                let si = bench.read(read.reading, read.at, read.with, read.places.first().copied())?;
                Some(Reply::Text(typed(read.reading, si)))
            }
            StepKind::Observe { observation: Observation::EthanolTest, .. } => {
                Some(Reply::Text(format!("{:.4} %", bench.ethanol() * 100.0)))
            }
            StepKind::Observe { observation, .. } => {
                Some(Reply::Text(bench.observe(*observation).id.to_owned()))
            }
            _ => None,
        }
    }

    fn repairs(&self) -> bool {
        self.repaired.is_some()
    }
}

/// The flat id of where a closed walk came to: a finding or a hand-over.
pub fn end_id(session: &Session) -> Option<String> {
    let tree = session.tree();
    match (session.state().ending(), session.state().at()) {
        (Some(Ending::Finding { finding, .. }), _) => Some(tree.findings[finding].id.clone()),
        (Some(Ending::Handover(handover)), _) => Some(tree.handovers[handover].id.clone()),
        (_, At::Handover(handover)) => Some(tree.handovers[*handover].id.clone()),
        _ => None,
    }
}
