//! What a trainee can pick: every test and every preparation of a tree, each once.

use crate::belief::{Key, effort};
use crate::session::seen_at;
use crate::terms::{State, SupplyStyle, Tool};
use crate::tree::{Step, StepKind, Tree};

/// What kind of move it is, in the order they are listed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Group {
    /// Looking, listening, asking.
    Look,
    /// Volts and amperes.
    Electrical,
    /// Pressures and flows of fuel and air.
    Pressure,
    /// Mixture and what the controller shows.
    Mixture,
    /// What makes the car ready or puts it back.
    Prepare,
}

impl Group {
    /// Every group, in order.
    pub const ALL: [Self; 5] = [Self::Look, Self::Electrical, Self::Pressure, Self::Mixture, Self::Prepare];

    /// The group in a word.
    pub fn name(self) -> &'static str {
        match self {
            Self::Look => "look",
            Self::Electrical => "electrical",
            Self::Pressure => "pressure",
            Self::Mixture => "mixture",
            Self::Prepare => "prepare",
        }
    }
}

/// One move.
#[derive(Debug, Clone, PartialEq)]
pub struct Move {
    /// Its name in the list.
    pub name: String,
    /// What is done, as an order.
    pub action: String,
    /// Where it stands in the list.
    pub group: Group,
    /// Minutes it takes by itself.
    pub minutes: f64,
    /// The test it is; none for a preparation.
    pub key: Option<Key>,
    /// The step it was taken from.
    pub(super) step: usize,
}

fn group<T>(step: &Step<T>) -> Group {
    match &step.kind {
        StepKind::Read(read) => match read.with {
            Tool::Multimeter | Tool::ClampMeter => Group::Electrical,
            Tool::Wideband | Tool::ControllerDisplay => Group::Mixture,
            _ => Group::Pressure,
        },
        StepKind::Observe { .. } => Group::Look,
        _ => Group::Prepare,
    }
}

/// Whether a step that only is done changes something that matters here.
fn prepares<T>(step: &Step<T>) -> bool {
    let changes = !step.makes.is_empty() || !step.clears.is_empty();
    // That no leak was seen is what the look for leaks gives here, not a step of its own.
    let by_looking = step.makes == [State::NoLeakSeen];
    matches!(step.kind, StepKind::Do { .. }) && !by_looking && (changes || super::standing::relieves(step))
}

fn key<T>(step: &Step<T>, style: SupplyStyle) -> Option<Key> {
    match &step.kind {
        StepKind::Read(read) => {
            Some(Key::Reading(seen_at(read.reading, read.places.first().copied(), style), read.at))
        }
        StepKind::Observe { observation, .. } => Some(Key::Observation(*observation)),
        _ => None,
    }
}

/// Whether `a` and `b` are the same move: the same test in the same condition, or the same preparation.
fn same(a: &Step, b: &Step, style: SupplyStyle) -> bool {
    match (key(a, style), key(b, style)) {
        (Some(x), Some(y)) => x == y && a.at == b.at && a.makes == b.makes,
        (None, None) => {
            a.makes == b.makes
                && a.clears == b.clears
                && (a.requires == b.requires || a.action == b.action)
                && a.at == b.at
        }
        _ => false,
    }
}

/// Whether `a` asks for less than `b`.
fn easier(a: &Step, b: &Step) -> bool {
    a.requires.len() < b.requires.len()
}

/// Every move of `tree` that the tools allow, tests before preparations. Without `tools` all are at hand.
pub(super) fn moves(tree: &Tree, style: SupplyStyle, tools: Option<&[Tool]>) -> Vec<Move> {
    let at_hand = |t: &Tool| *t == Tool::Eyes || tools.is_none_or(|all| all.contains(t));
    let mut chosen: Vec<usize> = Vec::new();
    for (index, step) in tree.steps.iter().enumerate() {
        let wanted = key(step, style).is_some() || prepares(step);
        if step.undoes.is_some() || !wanted || !step.tools.iter().all(at_hand) {
            continue;
        }
        match chosen.iter_mut().find(|i| same(&tree.steps[**i], step, style)) {
            Some(kept) if easier(step, &tree.steps[*kept]) => *kept = index,
            Some(_) => {}
            None => chosen.push(index),
        }
    }
    let mut all: Vec<Move> = chosen
        .into_iter()
        .map(|index| {
            let step = &tree.steps[index];
            Move {
                name: name(step),
                action: step.action.clone(),
                group: group(step),
                minutes: minutes(step, style),
                key: key(step, style),
                step: index,
            }
        })
        .collect();
    all.sort_by_key(|m| m.group);
    all
}

/// Minutes of the step, or of the usual way to take that reading where it is longer: a gauge in another place has to be moved.
fn minutes(step: &Step, style: SupplyStyle) -> f64 {
    let usual = match key(step, style) {
        Some(key @ Key::Reading(..)) => effort(key).map_or(0.0, |e| e.minutes),
        _ => 0.0,
    };
    step.minutes.max(usual)
}

fn name(step: &Step) -> String {
    match &step.kind {
        StepKind::Read(read) => format!("{}, {}", read.reading.name(), read.at.name()),
        StepKind::Observe { observation, .. } => match step.at {
            Some(at) => format!("{}, {}", observation.name(), at.name()),
            None => observation.name().to_owned(),
        },
        _ => step.name().to_owned(),
    }
}
