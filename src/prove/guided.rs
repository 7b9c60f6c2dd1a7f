//! Proof cars walked as the odds advise: a doubtful thing seen again, a test before its turn where it tells more a minute than the open
//! step, a test put off that tells hardly anything, an end where everything seen names one part surely enough, another end where it speaks against the tree's, and none where
//! hardly anything is left of that. What a person does who takes every offer the screens make.

use super::noise_free::{Injected, Outcome};
use super::walker::{decided_by_reading, end_of, path_of};
use crate::belief::{Belief, Evidence, Particles, Suggestion};
use crate::quantity::UnitSystem;
use crate::rig::Rig;
use crate::session::{Bench, MOST_STEPS, Session, SessionError, Simulated, endless, turn};
use crate::terms::Tool;
use crate::tree::{StateSet, Tree};
use crate::walk::{At, Event, Given, Reason};
use std::collections::BTreeMap;
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

/// How a walk as the odds advise came out.
#[derive(Debug, Clone, PartialEq)]
pub struct Guided {
    /// Where it ended.
    pub outcome: Outcome,
    /// Whether it was ended before the tree's end.
    pub early: bool,
    /// Whether the last thing measured or looked at was a reading.
    pub by_reading: bool,
}

/// Walks one car as the odds advise. `particles` are those of the rig.
pub fn guided(
    tree: &Arc<Tree>,
    rig: &Arc<Rig>,
    particles: &Arc<Particles>,
    bench: &dyn Bench,
    injected: Injected,
    tools: Option<&[Tool]>,
) -> Guided {
    let broken = |why: String| {
        let end = super::End::Failed(why);
        let outcome = Outcome { injected, end, minutes: 0.0, path: Vec::new() };
        Guided { outcome, early: false, by_reading: false }
    };
    let mut session = match Session::begin(rig.clone(), tree.clone(), None, UnitSystem::Metric) {
        Ok(session) => session,
        Err(error) => return broken(error.to_string()),
    };
    let source = Simulated { bench, tools, repaired: None };
    let mut kept = Kept { belief: session.first_belief(particles), seen: Vec::new(), ranked: None };
    let mut tried = BTreeMap::new();
    let mut ended = Ok(None);
    for _ in 0..MOST_STEPS {
        // Of what may be seen again there may be several things, one after the other.
        while let Some(event) = advice(&session, &mut kept, particles, &mut tried) {
            ended = session.send(event).map(|()| None).map_err(|e| ("?".to_owned(), e));
            if ended.is_err() || matches!(session.state().at(), At::Step(_)) {
                break;
            }
        }
        if ended.is_ok() {
            ended = turn(&mut session, &source);
        }
        if !matches!(ended, Ok(None)) {
            break;
        }
    }
    if let Ok(None) = ended {
        ended = Err::<_, (String, SessionError)>(endless());
    }
    let state = session.state();
    let outcome =
        Outcome { injected, end: end_of(&session, ended), minutes: state.minutes(), path: path_of(&session) };
    Guided {
        outcome,
        early: state.concluded().is_some() && !state.concluded_instead(),
        by_reading: decided_by_reading(&session),
    }
}

/// How often one step is done again for the odds: enough for two of three to agree.
const MOST_AGAIN: usize = 2;

/// What the odds advise where the walk stands, if it is not to go on: to see something again, to name something else or nothing at an
/// end that they speak against, to name a part now, to do another test first.
fn advice(
    session: &Session,
    kept: &mut Kept,
    particles: &Arc<Particles>,
    tried: &mut BTreeMap<String, usize>,
) -> Option<Event> {
    let at = session.state().at();
    if !matches!(at, At::Step(_) | At::Finding(_) | At::Handover(_))
        || session.state().is_ahead()
        || session.state().kept().is_some()
        || session.state().concluded().is_some()
    {
        return None;
    }
    kept.follow(session, particles);
    let mut not_yet = |step: &String, most: usize| {
        let times = tried.entry(step.clone()).or_default();
        *times += 1;
        *times <= most
    };
    if let Some(again) = session.again(&kept.belief)
        && not_yet(&format!("again {}", again.step), MOST_AGAIN)
    {
        return Some(Event::TakenUp { step: again.step });
    }
    if let Ok(conclusion) = session.conclusion(&kept.belief) {
        return Some(Event::Concluded { finding: conclusion.id, probability: conclusion.probability });
    }
    if !matches!(at, At::Step(_)) {
        let gives = matches!(at, At::Finding(_)) && session.against(&kept.belief)?.contradicts();
        return gives.then_some(Event::HandedOver { note: None });
    }
    if let Some((_, step)) = session.before_its_turn(kept.ranked(session))
        && not_yet(&step, 1)
    {
        return Some(Event::TakenUp { step });
    }
    let step = session.may_wait(kept.ranked(session))?;
    not_yet(&format!("later {step}"), 1).then_some(Event::CannotDo {
        step,
        reason: Reason::Later,
        note: None,
    })
}
