//! Walks, one after another, on one tree and one rig: what the model expects at each step is worked out once.

use super::noise_free::{End, Injected, Outcome};
use crate::quantity::UnitSystem;
use crate::rig::Rig;
use crate::session::{
    Bench, Driven, FaultyCar, Reply, Session, SessionError, Simulated, Source, drive, typed,
};
use crate::terms::{Fault, Tool};
use crate::tree::{Step, StepKind, Tree, Verdict};
use crate::walk::{Ending, Given, Reason};
use std::collections::BTreeSet;
use std::sync::Arc;

/// Walks a tree on a rig again and again.
pub struct Walker {
    tree: Arc<Tree>,
    rig: Arc<Rig>,
    session: Option<Session>,
}

/// What goes wrong at one step.
#[derive(Debug, Clone, PartialEq)]
pub enum Slip {
    /// It is skipped.
    Skipped,
    /// It gives this instead.
    Reads(String),
}

impl Walker {
    /// A walker that has not walked yet.
    pub fn new(tree: &Arc<Tree>, rig: &Arc<Rig>) -> Self {
        Self { tree: tree.clone(), rig: rig.clone(), session: None }
    }

    /// The session of the last walk.
    pub fn session(&self) -> Option<&Session> {
        self.session.as_ref()
    }

    /// Walks without noise.
    pub fn free(&mut self, injected: Injected, tools: Option<&[Tool]>) -> Outcome {
        self.slipped(injected, tools, None)
    }

    /// Walks without noise, but for one step where something goes wrong.
    pub fn slipped(
        &mut self,
        injected: Injected,
        tools: Option<&[Tool]>,
        slip: Option<(&str, Slip)>,
    ) -> Outcome {
        let rig = self.rig.clone();
        match FaultyCar::new(&rig, &[(injected.fault, injected.severity)]) {
            Ok(car) => self.on(&car, injected, tools, slip),
            Err(error) => failed(injected, error.to_string()),
        }
    }

    /// Walks without noise on a car with two faults; the outcome speaks of the first.
    pub fn pair(&mut self, first: Injected, second: Injected) -> Outcome {
        let rig = self.rig.clone();
        match FaultyCar::new(&rig, &[(first.fault, first.severity), (second.fault, second.severity)]) {
            Ok(car) => self.on(&car, first, None, None),
            Err(error) => failed(first, error.to_string()),
        }
    }

    /// Walks on any car.
    pub fn on(
        &mut self,
        bench: &dyn Bench,
        injected: Injected,
        tools: Option<&[Tool]>,
        slip: Option<(&str, Slip)>,
    ) -> Outcome {
        let begun = match &mut self.session {
            Some(session) => session.begin_again(),
            None => Session::begin(self.rig.clone(), self.tree.clone(), None, UnitSystem::Metric)
                .map(|session| self.session = Some(session)),
        };
        if let Err(error) = begun {
            return failed(injected, error.to_string());
        }
        let Some(session) = &mut self.session else { return failed(injected, "no session".into()) };
        let source = Slipping { inner: Simulated { bench, tools, repaired: None }, slip };
        let driven = drive(session, &source);
        let path = path_of(session);
        Outcome { injected, end: end_of(session, driven.map(Some)), minutes: session.state().minutes(), path }
    }

    /// Whether the last thing measured or looked at on the last walk was a reading.
    pub fn decided_by_reading(&self) -> bool {
        self.session.as_ref().is_some_and(decided_by_reading)
    }

    /// For each step the last walk measured or looked at: its flat id, its minutes, and what a slip there would give.
    pub fn slips(&self) -> Vec<(String, f64, Option<Slip>)> {
        let Some(session) = &self.session else { return Vec::new() };
        let mut found: Vec<(String, f64, Option<Slip>)> = Vec::new();
        for (index, given) in session.state().record() {
            let step = &self.tree.steps[index];
            if step.undoes.is_some() || found.iter().any(|f| f.0 == step.id) {
                continue;
            }
            let slip = match (given, &step.kind) {
                (Given::Read { taken }, _) => {
                    let band = taken.band;
                    let half = match (band.low, band.high) {
                        (Some(low), Some(high)) => (high - low) / 2.0,
                        (one, other) => 0.15 * one.or(other).unwrap_or(1.0).abs().max(1e-9),
                    };
                    let below = band.low.map(|l| l - half);
                    let above = band.high.map(|h| h + half);
                    let si = match taken.verdict {
                        Verdict::Within => below.or(above),
                        _ => band.expected.or(band.low.map(|l| l + half)).or(band.high.map(|h| h - half)),
                    };
                    si.map(|si| Slip::Reads(typed(taken.reading, si)))
                }
                (Given::Answered { outcome, .. }, StepKind::Observe { observation, .. }) => {
                    let other = observation.outcomes().iter().find(|o| o.id != outcome);
                    other.filter(|_| !observation.is_percentage()).map(|o| Slip::Reads(o.id.to_owned()))
                }
                _ => continue,
            };
            found.push((step.id.clone(), step.minutes, slip));
        }
        found
    }

    /// For each reading of the last walk, a value so near its limit that no verdict can be given.
    pub fn doubtful(&self) -> Vec<(String, Slip)> {
        let Some(session) = &self.session else { return Vec::new() };
        let record = session.state().record();
        let near = record.filter_map(|(index, given)| {
            let step = self.tree.steps[index].undoes.is_none().then_some(&self.tree.steps[index])?;
            let Given::Read { taken } = given else { return None };
            let limit = taken.band.low.or(taken.band.high)?;
            Some((step.id.clone(), Slip::Reads(typed(taken.reading, limit))))
        });
        let mut seen = BTreeSet::new();
        near.filter(|n| seen.insert(n.0.clone())).collect()
    }
}

/// The steps in order of time with what they gave.
pub(super) fn path_of(session: &Session) -> Vec<(String, String)> {
    let told = |(i, given): (usize, &Given)| (session.tree().steps[i].id.clone(), say(given));
    session.state().record().map(told).collect()
}

/// Where a driven walk came to.
pub(super) fn end_of(session: &Session, driven: Result<Option<Driven>, (String, SessionError)>) -> End {
    let tree = session.tree();
    match driven {
        Err((step, error)) => End::Failed(format!("{step}: {error}")),
        Ok(Some(Driven::RanOut { step, asks })) => End::Failed(format!("{step}: nothing to answer {asks}")),
        Ok(None) => End::Failed("no end".into()),
        Ok(Some(Driven::Closed)) => match session.state().ending() {
            Some(Ending::Finding { finding, .. }) => {
                let f = &tree.findings[finding];
                let faults = std::iter::once(f.fault).chain(f.also.iter().copied()).collect();
                End::Finding { id: f.id.clone(), faults }
            }
            Some(Ending::Handover(h)) => {
                let h = &tree.handovers[h];
                End::Handover { id: h.id.clone(), narrowed: h.narrowed.clone() }
            }
            Some(Ending::GivenAway) => End::Handover { id: "given-away".into(), narrowed: Vec::new() },
            None => End::Failed("no end".into()),
        },
    }
}

/// Whether the last thing measured or looked at, save to put something back, was a reading.
pub(super) fn decided_by_reading(session: &Session) -> bool {
    let told = |g: &(usize, &Given)| {
        let looks = matches!(g.1, Given::Read { .. } | Given::Answered { .. });
        looks && session.tree().steps[g.0].undoes.is_none()
    };
    session.state().record().rev().find(told).is_some_and(|g| matches!(g.1, Given::Read { .. }))
}

fn failed(injected: Injected, why: String) -> Outcome {
    Outcome { injected, end: End::Failed(why), minutes: 0.0, path: Vec::new() }
}

fn say(given: &Given) -> String {
    match given {
        Given::Done => "done".to_owned(),
        Given::Read { taken } => format!("{} {}", taken.typed, taken.verdict),
        Given::Answered { outcome, .. } => outcome.clone(),
        Given::Cannot { reason, .. } => format!("cannot: {reason}"),
    }
}

/// A source that is right but for one step.
struct Slipping<'a> {
    inner: Simulated<'a>,
    slip: Option<(&'a str, Slip)>,
}

impl Source for Slipping<'_> {
    fn reply(&self, step: &Step, after_repair: bool) -> Option<Reply> {
        match &self.slip {
            Some((id, Slip::Skipped)) if *id == step.id && step.cannot.is_some() => {
                Some(Reply::Cannot(Reason::NoAccess))
            }
            Some((id, Slip::Reads(text))) if *id == step.id => Some(Reply::Text(text.clone())),
            _ => self.inner.reply(step, after_repair),
        }
    }
}

/// Whether a walk ended as it should: the part at fault named, or nothing named on a sound car.
pub fn fine(outcome: &Outcome) -> bool {
    match &outcome.end {
        End::Finding { .. } | End::Handover { .. } if outcome.injected.fault == Fault::NoFault => {
            !outcome.detected()
        }
        _ => outcome.right(),
    }
}
