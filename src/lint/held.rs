//! What is known of the car at one place of a walk: states, what was measured and seen, and the order of making.

use super::clash::standing;
use crate::terms::{Condition, State};
use crate::tree::{Effects, StateSet, Step, StepKind};

/// Things a walk has learnt or done that are no states of the vocabulary, as a set of bits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct Marks(pub u8);

impl Marks {
    /// A reading gave a verdict.
    pub const MEASURED: Self = Self(1);
    /// Lambda or trim at raised idle was read and is not lean.
    pub const RAISED_FINE: Self = Self(1 << 1);
    /// The car is known to have a return line outside the tank.
    pub const RETURNS: Self = Self(1 << 2);
    /// A leak was seen and not looked at again.
    pub const LEAK: Self = Self(1 << 3);
    /// A fuel line was opened and has not been seen dry since.
    pub const UNSEEN_JOINT: Self = Self(1 << 4);
    /// An injector was seen to drip.
    pub const FLOODED: Self = Self(1 << 5);
    /// A fuel pressure was read and gave a verdict.
    pub const PRESSURE: Self = Self(1 << 6);
    /// A look at a part showed something wrong with it.
    pub const SHOWN: Self = Self(1 << 7);

    /// Whether all of `other` are set.
    pub const fn has(self, other: Self) -> bool {
        self.0 & other.0 == other.0
    }

    /// Both.
    pub const fn and(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }
}

/// What an edge does to all that is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Change {
    /// To the states of the car.
    pub states: Effects,
    /// Marks that no longer hold.
    pub unmarks: Marks,
    /// Marks that hold from now on.
    pub marks: Marks,
}

/// States in the order they were made, the last one lowest; five bits each.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct MadeOrder(u64);

impl MadeOrder {
    fn iter(self) -> impl Iterator<Item = State> {
        let mut left = self.0;
        std::iter::from_fn(move || {
            let number = usize::try_from(left & 31).ok()?.checked_sub(1)?;
            left >>= 5;
            State::ALL.get(number).copied()
        })
    }

    fn without(self, gone: impl Fn(State) -> bool) -> Self {
        let kept: Vec<State> = self.iter().filter(|s| !gone(*s)).collect();
        kept.into_iter().rev().fold(Self(0), Self::with)
    }

    fn with(self, state: State) -> Self {
        // Twelve states fit; a tree that holds more at once loses the eldest, which is then undone in any order.
        Self((self.0 << 5) & ((1 << 60) - 1) | (state as u64 + 1))
    }
}

/// One possible situation, or several merged: what holds for sure and what may hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct Held {
    /// States that hold in every situation merged here.
    pub sure: StateSet,
    /// States that hold in some.
    pub maybe: StateSet,
    /// Marks of every situation.
    pub marks: Marks,
    /// Marks of some.
    pub maybe_marks: Marks,
    order: MadeOrder,
    /// Whether this was merged, so that the order of making is lost.
    merged: bool,
}

impl Held {
    /// A situation in which exactly `states` and `marks` hold.
    pub fn exactly(states: StateSet, marks: Marks) -> Self {
        let mut held = Self { sure: states, maybe: states, marks, maybe_marks: marks, ..Self::default() };
        for state in states.iter() {
            held.order = held.order.with(state);
        }
        held
    }

    /// The situation after `change`.
    pub fn after(self, change: &Change) -> Self {
        let mut next = self;
        let Effects { takes, gives } = change.states;
        if !takes.is_empty() || !gives.is_empty() {
            next.sure = change.states.apply(self.sure);
            next.maybe = change.states.apply(self.maybe);
            if !self.merged {
                next.order = self.order.without(|s| !next.sure.contains(s));
                for made in next.sure.minus(self.sure).iter() {
                    next.order = next.order.with(made);
                }
            }
        }
        next.marks = Marks((self.marks.0 & !change.unmarks.0) | change.marks.0);
        next.maybe_marks = Marks((self.maybe_marks.0 & !change.unmarks.0) | change.marks.0);
        next
    }

    /// The situation in which everything that `step` presupposes holds, so that what is lacking is said once, at the first step
    /// that lacks it, and not again after it.
    pub fn granted(self, step: &Step) -> Self {
        let mut next = self;
        for state in step.requires.iter().copied() {
            next.sure.insert(state);
            next.maybe.insert(state);
        }
        if let StepKind::Include(include) = &step.kind {
            for state in include.needs.iter().copied() {
                next.sure.insert(state);
                next.maybe.insert(state);
            }
        }
        let Some(at) = step.at else { return next };
        while let Some((state, _)) = standing(at, &next) {
            next = next.put_back(state, false);
        }
        if at == Condition::Load {
            next.marks = next.marks.and(Marks::RAISED_FINE);
        }
        next
    }

    /// What still counts once the walk has ended: what was learnt of the fault does not.
    pub fn put_down(self) -> Self {
        let only = |marks: Marks| Marks(marks.0 & Marks::UNSEEN_JOINT.0);
        Self { marks: only(self.marks), maybe_marks: only(self.maybe_marks), ..self }
    }

    /// This or `other`.
    pub fn merge(self, other: Self) -> Self {
        Self {
            sure: self.sure.intersection(other.sure),
            maybe: self.maybe.union(other.maybe),
            marks: Marks(self.marks.0 & other.marks.0),
            maybe_marks: Marks(self.maybe_marks.0 | other.maybe_marks.0),
            order: MadeOrder::default(),
            merged: true,
        }
    }

    /// The states that may be put back next: the last made, or any where the order is lost.
    pub fn next_to_undo(self) -> Vec<State> {
        let waits = |s: &State| s.must_be_undone() && self.maybe.contains(*s);
        if self.merged {
            return self.maybe.iter().filter(waits).collect();
        }
        self.order.iter().find(waits).into_iter().collect()
    }

    /// The situation once `state` is gone, or given up as it stands (`stays`).
    pub fn put_back(self, state: State, stays: bool) -> Self {
        let mut next = self;
        next.order = self.order.without(|s| s == state);
        if !stays || self.merged {
            next.sure.remove(state);
            next.maybe.remove(state);
        }
        next
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn make(held: Held, state: State) -> Held {
        let gives = [state].into_iter().collect();
        held.after(&Change { states: Effects { takes: StateSet::EMPTY, gives }, ..Change::default() })
    }

    #[test]
    fn the_last_made_is_put_back_first() {
        let held = make(make(Held::default(), State::GaugeFitted), State::ReturnShut);
        assert_eq!(held.next_to_undo(), [State::ReturnShut]);
        let held = held.put_back(State::ReturnShut, false);
        assert_eq!(held.next_to_undo(), [State::GaugeFitted]);
        assert!(held.put_back(State::GaugeFitted, false).next_to_undo().is_empty());
    }

    #[test]
    fn a_state_made_again_while_it_holds_keeps_its_place() {
        let held = make(make(make(Held::default(), State::GaugeFitted), State::CapOpen), State::GaugeFitted);
        assert_eq!(held.next_to_undo(), [State::CapOpen]);
    }

    #[test]
    fn a_merge_keeps_what_is_sure_in_both() {
        let a = make(Held::default(), State::GaugeFitted);
        let b = make(a, State::CapOpen);
        let both = a.merge(b);
        assert!(both.sure.contains(State::GaugeFitted) && !both.sure.contains(State::CapOpen));
        assert!(both.maybe.contains(State::CapOpen));
        assert_eq!(both.next_to_undo().len(), 2);
    }
}
