//! Many cars of one rig walked together on one tree.
//!
//! A walk goes where verdicts and answers lead, not where the digits do. Cars that gave the same verdicts and answers so far stand
//! at the same place, so the walk takes each step once for all of them, and only what a step asks is asked of each. What comes out
//! for a car is what [`super::Walker`] gives for it, which a test compares. A reading too near a limit is taken again for its car
//! alone, because a repeat counts with the digits of the first.

use super::noise_free::End;
use super::walker::{decided_by_reading, end_of};
use crate::session::{
    Bench, Bookmark, Driven, MOST_STEPS, Reply, Session, SessionError, Simulated, Source, endless, turn,
};
use crate::terms::Tool;
use crate::tree::{Step, StepKind, Verdict};
use crate::walk::{At, Given, Reason};

/// Where the walk of one car came to.
#[derive(Debug, Clone, PartialEq)]
pub struct Came {
    /// The end.
    pub end: End,
    /// Minutes by the tree's figures.
    pub minutes: f64,
    /// Whether the last thing measured or looked at was a reading.
    pub by_reading: bool,
}

impl Came {
    /// Where the walk of `session` came to.
    fn of(session: &Session, ended: Result<Option<Driven>, (String, SessionError)>) -> Self {
        let minutes = session.state().minutes();
        Self { end: end_of(session, ended), minutes, by_reading: decided_by_reading(session) }
    }
}

/// A car of a group: its number, and the minutes it took beyond the group's.
type Member = (usize, f64);

/// Cars that stand at one place.
struct Group {
    at: Bookmark,
    cars: Vec<Member>,
    steps: usize,
}

/// What a step gave, as far as the way on depends on it.
#[derive(Debug, Clone, PartialEq)]
enum Gave {
    Cannot(Reason),
    Verdict(Verdict),
    Outcome(String),
    Done,
}

/// Replies one thing, whatever is asked.
struct Fixed(Option<Reply>);

impl Source for Fixed {
    fn reply(&self, _: &Step, _: bool) -> Option<Reply> {
        self.0.clone()
    }
}

/// Walks `benches` on the tree and rig of `session` with these tools at hand, in their order.
pub fn together(session: &mut Session, benches: &[&dyn Bench], tools: Option<&[Tool]>) -> Vec<Came> {
    let mut came: Vec<Option<Came>> = vec![None; benches.len()];
    if let Err(error) = session.begin_again() {
        return vec![Came::of(session, Err(("?".to_owned(), error))); benches.len()];
    }
    let cars = (0..benches.len()).map(|car| (car, 0.0)).collect();
    let mut open = vec![Group { at: session.bookmark(), cars, steps: 0 }];
    let sources: Vec<Simulated> =
        benches.iter().map(|bench| Simulated { bench: *bench, tools, repaired: None }).collect();
    while let Some(group) = open.pop() {
        session.turn_to(&group.at);
        if group.steps > MOST_STEPS {
            end_all(&mut came, &group.cars, &Came::of(session, Err(endless())));
            continue;
        }
        let index = match session.state().at() {
            At::Step(step) | At::Undo { step, .. } => *step,
            _ => {
                match turn(session, &Fixed(None)) {
                    Ok(None) => {
                        open.push(Group { at: session.bookmark(), cars: group.cars, steps: group.steps + 1 });
                    }
                    ended => end_all(&mut came, &group.cars, &Came::of(session, ended)),
                }
                continue;
            }
        };
        parted(session, &sources, index, &group, &mut came, &mut open);
    }
    came.into_iter().map(|c| c.unwrap_or_else(|| Came::of(session, Ok(None)))).collect()
}

fn end_all(came: &mut [Option<Came>], cars: &[Member], one: &Came) {
    for (car, beyond) in cars {
        came[*car] = Some(Came { minutes: one.minutes + beyond, ..one.clone() });
    }
}

/// Asks each car of a group what a step asks, and parts the group by what they gave.
fn parted(
    session: &mut Session,
    sources: &[Simulated],
    index: usize,
    group: &Group,
    came: &mut [Option<Came>],
    open: &mut Vec<Group>,
) {
    let tree = session.tree().clone();
    let step = &tree.steps[index];
    // A step of the walk is read again where no verdict can be given; an undoing is not.
    let retried = matches!(&step.kind, StepKind::Read(read) if read.undecided.retry > 0)
        && matches!(group.at.state().at(), At::Step(_));
    let mut likes: Vec<(Gave, Option<Reply>, Vec<Member>)> = Vec::new();
    let mut doubtful: Vec<(Member, Option<Reply>)> = Vec::new();
    if matches!(step.kind, StepKind::Do { .. }) {
        let reply = sources[group.cars[0].0].reply(step, false);
        likes.push((Gave::Done, reply, group.cars.clone()));
    } else {
        for member in &group.cars {
            let reply = sources[member.0].reply(step, false);
            match gave(session, step, reply.as_ref()) {
                Ok(Gave::Verdict(Verdict::Undecided)) if retried => doubtful.push((*member, reply)),
                Ok(gave) => match likes.iter_mut().find(|l| l.0 == gave) {
                    Some(like) => like.2.push(*member),
                    None => likes.push((gave, reply, vec![*member])),
                },
                Err(error) => {
                    end_all(came, &[*member], &Came::of(session, Err((step.id.clone(), error))));
                }
            }
        }
    }
    let mut next: Vec<(Gave, Group)> = Vec::new();
    for (n, (gave, reply, cars)) in likes.into_iter().enumerate() {
        if n > 0 {
            session.turn_to(&group.at);
        }
        match turn(session, &Fixed(reply)) {
            Ok(None) => {
                next.push((gave, Group { at: session.bookmark(), cars, steps: group.steps + 1 }));
            }
            ended => end_all(came, &cars, &Came::of(session, ended)),
        }
    }
    for ((car, beyond), first) in doubtful {
        session.turn_to(&group.at);
        let mut done = turn(session, &Fixed(first));
        while matches!(done, Ok(None)) && !session.state().repeats().is_empty() {
            done = turn(session, &sources[car]);
        }
        if let Ok(None) = done {
            let gave = match session.state().record().next_back() {
                Some((_, Given::Read { taken })) => Gave::Verdict(taken.verdict),
                Some((_, Given::Cannot { reason, .. })) => Gave::Cannot(*reason),
                _ => Gave::Done,
            };
            let minutes = session.state().minutes() + beyond;
            if let Some((_, like)) = next.iter_mut().find(|n| n.0 == gave) {
                like.cars.push((car, minutes - like.at.state().minutes()));
            } else {
                let at = session.bookmark();
                next.push((gave, Group { at, cars: vec![(car, beyond)], steps: group.steps + 1 }));
            }
        } else {
            end_all(came, &[(car, beyond)], &Came::of(session, done));
        }
    }
    open.extend(next.into_iter().map(|n| n.1));
}

/// What a reply gives at the step open now, without taking it.
fn gave(session: &Session, step: &Step, reply: Option<&Reply>) -> Result<Gave, SessionError> {
    let text = match reply {
        None => return Ok(Gave::Cannot(Reason::NoAccess)),
        Some(Reply::Cannot(reason)) => return Ok(Gave::Cannot(*reason)),
        Some(Reply::Text(text)) => text,
    };
    match &step.kind {
        StepKind::Observe { observation, .. } => session.outcome_of(*observation, text).map(Gave::Outcome),
        _ => match session.preview(text, None) {
            Ok(taken) => Ok(Gave::Verdict(taken.verdict)),
            Err(SessionError::NoSuchReading(_)) => Ok(Gave::Cannot(Reason::NoAccess)),
            Err(error) => Err(error),
        },
    }
}
