//! A step as a front shows it: what is asked, under which cautions, what is expected, and what stands in the way.

use super::expectation::Expectation;
use super::gauge_at::GaugeMove;
use super::logged::Offer;
use super::one::Session;
use crate::terms::{Caution, Place, State};
use crate::tree::{Step, StepKind};
use crate::walk::{self, Aim, At, Given};
use std::sync::Arc;

/// A step as a front shows it.
#[derive(Debug, Clone)]
pub struct StepView<'a> {
    /// The step.
    pub step: &'a Step,
    /// Its number, or what it is for where it is none of the path, and its name.
    pub head: String,
    /// Cautions still to be confirmed before it opens.
    pub cautions_due: Vec<Caution>,
    /// All that are to be confirmed, those of moving the gauge first.
    pub cautions: Vec<Caution>,
    /// The gauge has to be moved first.
    pub gauge_move: Option<GaugeMove>,
    /// What is expected, on a read-step whose reading exists on this car.
    pub expected: Option<Arc<Expectation>>,
    /// Where the gauge was said to be last, if that is one of the step's places; otherwise the first of them.
    pub place: Option<Place>,
    /// How often it was read already without a decision.
    pub repeats: usize,
    /// What a data log has for it.
    pub offer: Option<Offer<'a>>,
    /// What it gave before, when it was reopened.
    pub kept: Option<&'a Given>,
    /// Why it can't be done now, if its states do not hold.
    pub blocked: Option<String>,
    /// The state that has to be put back first, where this tree says how.
    pub put_back_first: Option<State>,
}

impl Session {
    /// A step as it stands now.
    pub(super) fn view(&self, index: usize) -> StepView<'_> {
        let step = &self.tree().steps[index];
        let place = match &step.kind {
            StepKind::Read(read) => self.place_for(read),
            _ => None,
        };
        let held = self.state().held();
        let missing = step.requires.iter().find(|s| !self.state().holds(**s));
        let forbidden = step.forbids.iter().copied().find(|s| held.contains(*s));
        let clash = walk::in_the_way(self.state(), step);
        let standing = forbidden.or_else(|| clash.map(|(s, _)| s));
        let why = clash.map_or_else(String::new, |(_, why)| format!(" As it is, {why}."));
        let blocked =
            missing.map(|s| format!("Before this step it must hold: {}.", s.name())).or_else(|| {
                standing.map(|s| format!("Before this step it must be put back: {}.{why}", s.name()))
            });
        let confirmed = self.state().cautions_confirmed(&step.id);
        let gauge_move = self.gauge_move(index);
        let cautions = self.cautions_of(index);
        StepView {
            step,
            head: self.head(index),
            cautions_due: if confirmed { Vec::new() } else { cautions.clone() },
            cautions,
            gauge_move,
            expected: self.expected(index, place).ok().flatten(),
            place,
            repeats: self.state().repeats().len(),
            offer: self.offer(index),
            kept: self.state().looked_at(),
            put_back_first: standing.filter(|s| missing.is_none() && self.tree().undo_of(*s).is_some()),
            blocked,
        }
    }

    fn head(&self, index: usize) -> String {
        let name = self.tree().steps[index].name();
        let state = self.state();
        let lead = match (state.at(), state.aim()) {
            (_, Some(Aim::Repair(_))) => "Before the repair".to_owned(),
            (_, Some(Aim::Proof)) => "Before the repair is proved".to_owned(),
            (_, Some(Aim::Joints)) => "After what was mended".to_owned(),
            (At::Confirm { .. }, _) => "Prove the repair".to_owned(),
            (At::Undo { state, .. }, _) => format!("Put back ({})", state.name()),
            _ if state.is_ahead() => "Before its turn".to_owned(),
            _ => {
                let more = if self.asks_once_more() { ", once more" } else { "" };
                return format!("Step {}, {name}{more}", state.number_of(index));
            }
        };
        format!("{lead}: {name}")
    }
}
