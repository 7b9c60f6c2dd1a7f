//! Putting states of the car back: one that is asked for, then, at the end, whatever still stands, the last made first.

use super::engine::{Refusal, refuse};
use super::state::{Along, Stage, State};
use super::trace::pass;
use crate::terms::State as CarState;
use crate::tree::{Target, Tree};
use std::sync::Arc;

pub(super) fn begin_undo(tree: &Tree, state: &mut State, undone: CarState) -> Result<(), Refusal> {
    if !state.held.contains(undone) {
        return refuse(format!("there is nothing to put back: {}", undone.name()));
    }
    let Some(undo) = tree.undo_of(undone) else {
        return refuse(format!("this tree does not say how to put back: {}", undone.name()));
    };
    advance_undo(tree, state, undone, undo.start);
    Ok(())
}

/// Goes on in the undoing of a state from `target`.
pub(super) fn advance_undo(tree: &Tree, state: &mut State, undone: CarState, target: Target) {
    state.confirmed_cautions = None;
    match pass(tree, state, &Along::path_of(tree, state), target) {
        Ok(Target::Step(step)) => state.undoing = Some((undone, step)),
        Ok(Target::Undone) => {
            state.held.remove(undone);
            state.undoing = None;
        }
        _ => {
            state.not_undone.insert(undone);
            state.undoing = None;
        }
    }
}

/// Takes up the next state to put back, last made first; when none is left the case is looked through, or begins again.
pub(super) fn restore(tree: &Tree, state: &mut State, again: bool) {
    while state.undoing.is_none() {
        let standing = state
            .made
            .iter()
            .rev()
            .copied()
            .find(|s| s.must_be_undone() && state.held.contains(*s) && !state.not_undone.contains(*s));
        let Some(standing) = standing else {
            if again {
                state.answers = Arc::default();
                state.reopened = None;
                state.concluded = None;
                state.ending = None;
                state.stage = Stage::Walking;
                state.path.clear();
            } else {
                state.stage = Stage::Review;
            }
            return;
        };
        match tree.undo_of(standing) {
            Some(undo) => advance_undo(tree, state, standing, undo.start),
            None => state.not_undone.insert(standing),
        }
    }
}
