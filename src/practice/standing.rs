//! How the simulated car stands, and what may not be done to it now.

use crate::terms::{Caution, Condition, Observation, Reading, State};
use crate::tree::{Edge, StateSet, Step, StepKind};

/// How the car stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct Standing {
    /// States that hold.
    pub held: StateSet,
    /// A joint was opened and not seen dry under pressure since.
    pub unseen_joint: bool,
    /// The pressure was used up since the pump last ran.
    pub relieved: bool,
    /// The mixture was read at raised idle and is not lean.
    pub load_ready: bool,
}

/// Why a move is not done.
#[derive(Debug, Clone, PartialEq)]
pub enum Stop {
    /// Somebody would be hurt or something broken.
    Unsafe {
        /// What would happen.
        why: String,
        /// What has to come first.
        first: String,
    },
    /// It can't be done as the car stands; nothing would happen.
    NotYet {
        /// What has to come first.
        first: String,
    },
}

/// Whether a step uses up the pressure in the lines.
pub(super) fn relieves<T>(step: &Step<T>) -> bool {
    step.at == Some(Condition::Crank) && step.requires.contains(&State::PumpDisabled)
}

/// States that only make a move possible; every other one that is asked for keeps somebody safe.
fn only_fitted(state: State) -> bool {
    matches!(
        state,
        State::GaugeFitted
            | State::VacuumGaugeFitted
            | State::ReturnGaugeFitted
            | State::SecondGaugeFitted
            | State::ReturnDiverted
            | State::LineOpen
    )
}

/// What happens when a step is done without a state that keeps it safe.
fn danger(cautions: &[Caution], missing: State) -> String {
    let caution = match missing {
        State::LeakChecked | State::NoLeakSeen => Caution::FuelLeak,
        State::Depressurised | State::PumpDisabled => Caution::FuelUnderPressure,
        State::EngineCool | State::BatteryOff => Caution::OpenFuel,
        State::ReturnValveFitted => Caution::ReturnValve,
        _ => cautions.first().copied().unwrap_or(Caution::FuelVapour),
    };
    said(caution)
}

fn said(caution: Caution) -> String {
    format!("{} {}", caution.hazard(), caution.consequence())
}

impl Standing {
    /// Why `step` may not be done now, if so.
    pub fn stop(self, step: &Step) -> Option<Stop> {
        if let Some(missing) = step.requires.iter().copied().find(|s| !self.held.contains(*s)) {
            let first = missing.name().to_owned();
            return Some(if only_fitted(missing) {
                Stop::NotYet { first }
            } else {
                Stop::Unsafe { why: danger(&step.cautions, missing), first }
            });
        }
        if let Some(put_back) = step.forbids.iter().copied().find(|s| self.held.contains(*s)) {
            return Some(Stop::NotYet { first: format!("put back what stands: {}", put_back.name()) });
        }
        if step.makes.contains(&State::Depressurised) && !self.relieved {
            return Some(Stop::Unsafe {
                why: said(Caution::FuelUnderPressure),
                first: "use up the pressure with the pump disabled".to_owned(),
            });
        }
        step.at.and_then(|at| self.stop_at(at, step))
    }

    fn stop_at(self, at: Condition, step: &Step) -> Option<Stop> {
        let relieves = relieves(step);
        let clash = self
            .held
            .iter()
            .filter(|s| !(relieves && *s == State::ReturnDiverted))
            .find_map(|s| s.clash(at).map(|why| (s, why)));
        if let Some((state, why)) = clash {
            let first = format!("put back what stands: {}", state.name());
            return Some(match state {
                State::PumpDisabled | State::BatteryOff | State::IgnitionDisabled | State::PlugsOut => {
                    Stop::NotYet { first }
                }
                _ => Stop::Unsafe { why: format!("{why}."), first },
            });
        }
        let pump_runs = at.pressurises() && !relieves;
        if pump_runs && self.held.contains(State::LineOpen) {
            return Some(Stop::Unsafe {
                why: said(Caution::OpenFuel),
                first: "close every joint that was opened".to_owned(),
            });
        }
        let turns = at.running() || (at == Condition::Crank && !relieves);
        if turns && self.unseen_joint {
            return Some(Stop::Unsafe {
                why: said(Caution::FuelLeak),
                first: "see every joint dry with the pump running, before any start".to_owned(),
            });
        }
        if at == Condition::Load && !self.load_ready {
            return Some(Stop::Unsafe {
                why: said(Caution::LeanUnderLoad),
                first: "read lambda or trim at raised idle and see that it is not lean".to_owned(),
            });
        }
        None
    }

    /// How the car stands after `step` was left by `edge`; `lean` says what a mixture reading showed.
    pub fn after(mut self, step: &Step, edge: Edge, lean: bool) -> Self {
        let effects = step.effects(edge);
        self.held = effects.apply(self.held);
        if step.makes.contains(&State::LineOpen) {
            self.unseen_joint = true;
        }
        if let StepKind::Observe { observation: Observation::FuelSmellOrLeak, .. } = step.kind {
            if edge == good_edge(step) {
                self.held.insert(State::NoLeakSeen);
            } else {
                self.held.remove(State::NoLeakSeen);
            }
        }
        if effects.gives.contains(State::LeakChecked) {
            self.unseen_joint = false;
        }
        if relieves(step) {
            self.relieved = true;
        } else if step.at.is_some_and(Condition::pressurises) {
            self.relieved = false;
        }
        if mixture_at_raised(step) {
            self.load_ready = !lean;
        }
        self
    }
}

/// Whether a step reads the mixture where a load run is decided on.
pub(super) fn mixture_at_raised(step: &Step) -> bool {
    matches!(&step.kind, StepKind::Read(r) if r.at == Condition::Raised && matches!(r.reading, Reading::Lambda | Reading::Trim))
}

/// The edge on which a step brings what it is done for: done, the first answer, or within.
pub(super) fn good_edge(step: &Step) -> Edge {
    match &step.kind {
        StepKind::Read(_) => Edge::Within,
        StepKind::Observe { observation, answers } => {
            let best = observation.outcomes().first().map(|o| o.id);
            let at = answers.iter().position(|a| Some(a.outcome.id) == best);
            at.map_or(Edge::Undecided, Edge::Answer)
        }
        _ => Edge::Next,
    }
}
