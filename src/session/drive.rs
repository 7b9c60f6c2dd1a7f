//! A walk without a person: from an answers file, or from a simulated car.

use super::bench::Bench;
use super::error::SessionError;
use super::one::Session;
use crate::quantity::{Datum, Dimension, UnitSystem};
use crate::terms::{Condition, Observation, Reading, ReadingDatum, Tool};
use crate::tree::{Step, StepKind, Tree};
use crate::walk::{At, Ending, Event, Reason};
use std::collections::BTreeMap;

/// More steps than any tree asks on one path.
pub const MOST_STEPS: usize = 2_000;

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
        if let Some(end) = turn(session, source)? {
            return Ok(end);
        }
    }
    Err(endless())
}

/// What a walk that goes on for more than [`MOST_STEPS`] steps comes to.
pub fn endless() -> (String, SessionError) {
    ("?".into(), SessionError::NoAnswer(format!("the walk did not end within {MOST_STEPS} steps")))
}

/// One step of a walk, or one act where no step is open; nothing while it goes on.
///
/// # Errors
/// Any [`SessionError`], with the step it happened at.
pub fn turn(session: &mut Session, source: &dyn Source) -> Result<Option<Driven>, (String, SessionError)> {
    let tree = session.tree().clone();
    let (index, after_repair) = match session.state().at() {
        At::Step(step) | At::Undo { step, .. } => (*step, false),
        At::Confirm { step, .. } => (*step, true),
        at => return goes_on(session, &tree, source, at.clone()),
    };
    let step = &tree.steps[index];
    one_step(session, source, (index, step), after_repair).map_err(|e| (step.id.clone(), e))
}

/// Goes on from where no step is open.
fn goes_on(
    session: &mut Session,
    tree: &Tree,
    source: &dyn Source,
    at: At,
) -> Result<Option<Driven>, (String, SessionError)> {
    let (id, event) = match at {
        At::Finding(f) => {
            let finding = &tree.findings[f];
            let id = finding.id.clone();
            if source.repairs() && finding.remedy.is_some() {
                if !finding.cautions.is_empty() && !session.state().cautions_confirmed(&id) {
                    // The walk may lead through making the line safe before the repair.
                    session.confirm_cautions().map_err(|e| (id, e))?;
                    return Ok(None);
                }
                (id, Event::Repaired { note: None })
            } else {
                (id, Event::Accepted { note: None })
            }
        }
        At::NotCured(f) => (tree.findings[f].id.clone(), Event::Accepted { note: None }),
        At::Handover(h) => (tree.handovers[h].id.clone(), Event::HandedOver { note: None }),
        At::Review => ("review".into(), Event::Closed),
        At::Leak => ("leak".into(), Event::LeakMended { note: None }),
        At::Paused => ("paused".into(), Event::Resumed),
        At::Closed => return Ok(Some(Driven::Closed)),
        At::Broken(why) => return Err(("?".into(), SessionError::NoAnswer(why))),
        At::NotBegun => return Err(("?".into(), SessionError::NoAnswer("the walk has not begun".into()))),
        At::Step(_) | At::Undo { .. } | At::Confirm { .. } => return Ok(None),
    };
    session.send(event).map_err(|e| (id, e))?;
    Ok(None)
}

fn one_step(
    session: &mut Session,
    source: &dyn Source,
    (index, step): (usize, &Step),
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
        (StepKind::Read(read), Some(_)) => {
            session.expected(index, session.place_for(read)).is_ok_and(|e| e.is_none())
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
