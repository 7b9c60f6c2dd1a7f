//! Proof cars walked as the odds advise: a test before its turn where it tells more a minute than the open step, and an end where
//! everything seen names one part surely enough. What a person does who takes every offer the screens make.

use super::noise_free::{Injected, Outcome};
use super::walker::end_of;
use crate::belief::{Belief, Evidence, Particles, Suggestion};
use crate::quantity::UnitSystem;
use crate::rig::Rig;
use crate::session::{Bench, MOST_STEPS, Session, SessionError, Simulated, endless, turn};
use crate::terms::Tool;
use crate::tree::{StateSet, Tree};
use crate::walk::{At, Event, Given};
use std::collections::BTreeSet;
use std::sync::Arc;

/// The odds along a walk, kept from step to step.
struct Kept {
    belief: Belief,
    seen: Vec<Evidence>,
    /// The tests ranked, and what that followed from beside the odds: what is fitted, and how much was given up.
    ranked: Option<(StateSet, usize, Vec<Suggestion>)>,
}

impl Kept {
    /// Takes what is new; where something seen before was read anew, all of it again.
    fn follow(&mut self, session: &Session, particles: &Arc<Particles>) {
        let now = session.evidence();
        if now == self.seen {
            return;
        }
        self.ranked = None;
        if self.seen.iter().all(|e| now.contains(e)) {
            for new in now.iter().filter(|e| !self.seen.contains(e)) {
                self.belief.take(new.clone());
            }
        } else {
            self.belief = session.belief(particles);
        }
        self.seen = now;
    }

    fn ranked(&mut self, session: &Session) -> &[Suggestion] {
        let held = session.state().held();
        let left = session.state().path().filter(|(_, g)| matches!(g, Given::Cannot { .. })).count();
        if !self.ranked.as_ref().is_some_and(|r| (r.0, r.1) == (held, left)) {
            self.ranked = Some((held, left, session.suggestions(&self.belief)));
        }
        self.ranked.as_ref().map_or(&[], |r| &r.2)
    }
}

/// Walks one car as the odds advise. The path in what comes out is left empty; `particles` are those of the rig.
pub fn guided(
    tree: &Arc<Tree>,
    rig: &Arc<Rig>,
    particles: &Arc<Particles>,
    bench: &dyn Bench,
    injected: Injected,
    tools: Option<&[Tool]>,
) -> (Outcome, bool) {
    let broken = |why: String| {
        let end = super::End::Failed(why);
        (Outcome { injected, end, minutes: 0.0, path: Vec::new() }, false)
    };
    let mut session = match Session::begin(rig.clone(), tree.clone(), None, UnitSystem::Metric) {
        Ok(session) => session,
        Err(error) => return broken(error.to_string()),
    };
    let source = Simulated { bench, tools, repaired: None };
    let mut kept = Kept { belief: session.first_belief(particles), seen: Vec::new(), ranked: None };
    let mut tried = BTreeSet::new();
    let mut ended = Ok(None);
    for _ in 0..MOST_STEPS {
        if let Some(event) = advice(&session, &mut kept, particles, &mut tried)
            && let Err(error) = session.send(event)
        {
            ended = Err(("?".to_owned(), error));
            break;
        }
        ended = turn(&mut session, &source);
        if !matches!(ended, Ok(None)) {
            break;
        }
    }
    if let Ok(None) = ended {
        ended = Err::<_, (String, SessionError)>(endless());
    }
    let early = session.state().concluded().is_some();
    let minutes = session.state().minutes();
    (Outcome { injected, end: end_of(&session, ended), minutes, path: Vec::new() }, early)
}

/// What the odds advise at the step open now, if it is not that step.
fn advice(
    session: &Session,
    kept: &mut Kept,
    particles: &Arc<Particles>,
    tried: &mut BTreeSet<String>,
) -> Option<Event> {
    if !matches!(session.state().at(), At::Step(_)) || session.state().is_ahead() {
        return None;
    }
    kept.follow(session, particles);
    if let Some(conclusion) = session.conclusion(&kept.belief) {
        return Some(Event::Concluded { finding: conclusion.id, probability: conclusion.probability });
    }
    let (_, step) = session.before_its_turn(kept.ranked(session))?;
    tried.insert(step.clone()).then_some(Event::TakenUp { step })
}
