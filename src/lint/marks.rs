//! What leaving a step by an edge teaches, beyond the states of the car.

use super::held::Marks;
use crate::terms::{Condition, Observation, Reading, State, SupplyStyle};
use crate::tree::{Arm, Edge, Key, Step, StepKind, Tree, When};
use std::collections::HashSet;

/// The marks that come and those that go when `step` is left by `edge`.
pub fn of(step: &Step, edge: Edge) -> (Marks, Marks) {
    let (mut come, mut go) = (Marks::default(), Marks::default());
    if edge == Edge::Cannot {
        return (come, go);
    }
    if step.makes.contains(&State::LineOpen) {
        come = come.and(Marks::UNSEEN_JOINT);
    }
    match &step.kind {
        StepKind::Read(read) if edge != Edge::Undecided => {
            let verdict = match edge {
                Edge::Low => "low",
                Edge::High => "high",
                _ => "within",
            };
            let (c, g) = result(Key::Reading(read.reading, read.at), verdict);
            come = come.and(c);
            go = go.and(g);
        }
        StepKind::Observe { observation, answers } => {
            if let Edge::Answer(i) = edge
                && let Some(answer) = answers.get(i)
            {
                let (c, g) = result(Key::Observation(*observation), answer.outcome.id);
                come = come.and(c);
                go = go.and(g);
            }
        }
        StepKind::Choose { arms, .. } => come = come.and(chosen(arms, edge)),
        _ => {}
    }
    // A joint counts as seen once the step that makes `leak-checked` gives it.
    if step.makes.contains(&State::LeakChecked) && step.effects(edge).gives.contains(State::LeakChecked) {
        go = go.and(Marks::UNSEEN_JOINT);
    }
    (come, go)
}

/// Every reading and look that some step of the tree takes.
pub fn taken(tree: &Tree) -> HashSet<Key> {
    tree.steps.iter().filter_map(|s| Key::of(&s.kind)).collect()
}

/// Whether `edge` can be gone at all in a tree that takes only what is in `taken`.
pub fn possible(step: &Step, edge: Edge, taken: &HashSet<Key>) -> bool {
    let (StepKind::Choose { arms, .. }, Edge::Arm(i)) = (&step.kind, edge) else { return true };
    let was = arms.get(i).map_or(&[][..], |a| &a.when.was);
    was.iter().all(|(key, ids)| taken.contains(key) || ids.iter().any(|id| id == "not-tested"))
}

/// What one result teaches: marks that come, marks that go.
fn result(key: Key, id: &str) -> (Marks, Marks) {
    match key {
        Key::Reading(reading, at) => {
            let mut come = Marks::MEASURED;
            let mut go = Marks::default();
            if reading.is_delivery_pressure() || reading == Reading::PumpInletPressure {
                come = come.and(Marks::PRESSURE);
            }
            if matches!(reading, Reading::Lambda | Reading::Trim) && at == Condition::Raised {
                if id == "high" {
                    go = Marks::RAISED_FINE;
                } else {
                    come = come.and(Marks::RAISED_FINE);
                }
            }
            (come, go)
        }
        Key::Observation(observation) => {
            let good = observation.outcomes().first().is_some_and(|o| o.id == id);
            let which = match observation {
                Observation::FuelSmellOrLeak => Marks::LEAK,
                Observation::InjectorDrip => Marks::FLOODED,
                _ => Marks::default(),
            };
            // Looks at the part itself, or trials that no other fault answers the same way.
            let conclusive = matches!(
                observation,
                Observation::FilterByEye
                    | Observation::StrainerByEye
                    | Observation::TankHoseByEye
                    | Observation::ReferenceHoseInside
                    | Observation::RegulatorOnHandPump
                    | Observation::RegulatorSetting
                    | Observation::HeldFeedClosed
                    | Observation::HeldReturnClosed
            );
            let shown = if conclusive { Marks::SHOWN } else { Marks::default() };
            if good { (Marks::default(), which) } else { (which.and(shown), Marks::default()) }
        }
    }
}

/// What taking an arm, or none, proves.
fn chosen(arms: &[Arm], edge: Edge) -> Marks {
    let (before, own) = match edge {
        Edge::Arm(i) => (arms.get(..i).unwrap_or(&[]), arms.get(i).map(|a| &a.when)),
        _ => (arms, None),
    };
    let mut marks = own.map_or(Marks::default(), implied);
    // An earlier arm that asks only for a car without a return was not taken, so there is one.
    if before.iter().any(|a| only_without_return(&a.when)) {
        marks = marks.and(Marks::RETURNS);
    }
    marks
}

fn only_without_return(when: &When) -> bool {
    let alone = When { returns: Some(false), ..When::default() };
    if *when == alone {
        return true;
    }
    let styles: Vec<SupplyStyle> = SupplyStyle::ALL.iter().copied().filter(|s| !s.has_return()).collect();
    *when == When { style: when.style.clone(), ..When::default() }
        && !when.style.is_empty()
        && styles.iter().all(|s| when.style.contains(s))
        && when.style.iter().all(|s| !s.has_return())
}

/// What an arm that is taken says of the walk so far: a result it names was given, whichever step gave it.
fn implied(when: &When) -> Marks {
    let mut marks = Marks::default();
    if when.returns == Some(true) || (!when.style.is_empty() && when.style.iter().all(|s| s.has_return())) {
        marks = marks.and(Marks::RETURNS);
    }
    for (key, ids) in &when.was {
        let taken = ids.iter().all(|id| id != "not-tested" && id != "undecided");
        if !taken || ids.is_empty() {
            continue;
        }
        // Marks that all of the results named teach alike.
        let common = ids.iter().map(|id| result(*key, id).0.0).fold(u8::MAX, |a, b| a & b);
        let mut of_key = Marks(common & !(Marks::LEAK.0 | Marks::FLOODED.0));
        // A load run that was made was ready for.
        if matches!(key, Key::Reading(_, Condition::Load)) {
            of_key = of_key.and(Marks::RAISED_FINE);
        }
        marks = marks.and(of_key);
    }
    marks
}
