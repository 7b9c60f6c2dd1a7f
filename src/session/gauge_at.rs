//! The gauge where a reading asks for it: a repair may be proved by a reading at a place that the gauge was taken away from.
//!
//! The tree leads to each place once, with everything made safe before and every joint seen dry after. The proof repeats one step
//! alone, so what the walk did to fit the gauge is said again, by the names of its own steps, with their cautions.

use super::one::Session;
use crate::terms::{Caution, Place, State as CarState};
use crate::tree::{Step, StepKind};
use crate::walk::{self, At};

/// The gauge has to be moved before a reading.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GaugeMove {
    /// Where it was read last.
    pub stands: Place,
    /// Where the reading is taken.
    pub wanted: Vec<Place>,
    /// The steps that fitted it, by their names, in their order.
    pub steps: Vec<String>,
    /// Their cautions, each once, in their order.
    pub cautions: Vec<Caution>,
}

impl GaugeMove {
    /// What to do before the reading.
    pub fn words(&self) -> String {
        let wanted: Vec<&str> = self.wanted.iter().map(|p| p.name()).collect();
        let wanted = wanted.join(" or the ");
        let steps = if self.steps.is_empty() {
            String::new()
        } else {
            format!(" As it was fitted: {}.", self.steps.join("; "))
        };
        format!(
            "First the gauge: it was read last at the {}, and this is read at the {wanted}. Unless a gauge stands there, move it now, as \
             the maker's manual has it.{steps}",
            self.stands.name()
        )
    }
}

impl Session {
    /// What has to be done about the gauge before the step that proves the repair; none where it stands there, or where nobody knows.
    pub(super) fn gauge_move(&self, index: usize) -> Option<GaugeMove> {
        let At::Confirm { .. } = self.state().at() else { return None };
        if self.state().gauge_moved() {
            return None;
        }
        let step = &self.tree().steps[index];
        let stands = walk::gauge_elsewhere(self.tree(), step, self.state())??;
        let StepKind::Read(read) = &step.kind else { return None };
        let fitted = self.steps_that_fitted();
        let mut cautions: Vec<Caution> = Vec::new();
        for caution in fitted.iter().flat_map(|s| &s.cautions) {
            if !cautions.contains(caution) {
                cautions.push(*caution);
            }
        }
        let steps = fitted.iter().map(|s| s.name().to_owned()).collect();
        Some(GaugeMove { stands, wanted: read.places.clone(), steps, cautions })
    }

    /// The cautions before a step: its own, and where the gauge has to be moved for it, those of that first.
    pub(super) fn cautions_of(&self, index: usize) -> Vec<Caution> {
        let mut cautions = self.gauge_move(index).map(|m| m.cautions).unwrap_or_default();
        for caution in &self.tree().steps[index].cautions {
            if !cautions.contains(caution) {
                cautions.push(*caution);
            }
        }
        cautions
    }

    /// The steps of the path that fitted the gauge last: from disabling the pump to seeing the joints dry.
    fn steps_that_fitted(&self) -> Vec<&Step> {
        let tree = self.tree();
        let path: Vec<&Step> = self.state().path().map(|(i, _)| &tree.steps[i]).collect();
        let makes = |step: &Step, state: CarState| step.makes.contains(&state);
        let Some(fit) = path.iter().rposition(|s| makes(s, CarState::GaugeFitted)) else { return Vec::new() };
        let Some(from) = path[..fit].iter().rposition(|s| makes(s, CarState::PumpDisabled)) else {
            return Vec::new();
        };
        let dry = path[fit..].iter().position(|s| makes(s, CarState::LeakChecked));
        let to = dry.map_or(fit, |n| fit + n);
        path[from..=to].to_vec()
    }
}
