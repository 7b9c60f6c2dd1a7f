//! Why the test that would tell most can't be done now.

use super::one::Session;
use super::outlook::Advice;
use crate::belief::{Key, Suggestion};
use crate::terms::Tool;
use crate::tree::{Step, StepKind};
use crate::walk::{self, Given, Hindrance, Reason};

/// The tools that a step is done with.
fn tools(step: &Step) -> impl Iterator<Item = Tool> + '_ {
    let with = if let StepKind::Read(read) = &step.kind { Some(read.with) } else { None };
    step.tools.iter().copied().chain(with)
}

/// What stands in the way, as a sentence; of what the path leads to later, first of all that it does.
fn words(hindrance: Hindrance) -> String {
    let why = match hindrance {
        Hindrance::Open => return "It is the step that is open.".to_owned(),
        Hindrance::Stands => {
            return sentence("nothing is done before its turn where the case stands");
        }
        Hindrance::Given => return sentence("it was done already"),
        Hindrance::OffThePath => return sentence("the tree does not come to it any more on this path"),
        Hindrance::Changes => "it changes something at the car".to_owned(),
        Hindrance::MustHold(state) => format!("first it must hold: {}", state.name()),
        Hindrance::PutBack(state) => format!("first must be put back: {}", state.name()),
        Hindrance::OnItsPath(condition) => format!("it needs {}, which the path leads to", condition.name()),
        Hindrance::Prepared => "the steps before it prepare it".to_owned(),
        // Where the gauge was fitted is known only from what was read with it.
        Hindrance::GaugeAt(Some(place)) => {
            format!("the gauge was read last at the {}, and moving it opens a line", place.name())
        }
        Hindrance::GaugeAt(None) => "no gauge was read there yet, and fitting it opens a line".to_owned(),
    };
    format!("Comes later on this path: {why}.")
}

fn sentence(why: &str) -> String {
    format!("Not now: {why}.")
}

impl Session {
    /// A test with its step where it may be done now, and otherwise the reason why not.
    pub(super) fn advice_now(&self, suggestion: &Suggestion) -> Advice {
        let step = self.ahead_for(suggestion.key);
        let not_now = step.is_none().then(|| self.not_now(suggestion.key));
        Advice { step, not_now, ..self.advice(suggestion) }
    }

    /// Why a test can't be done now, by the step that comes nearest to it.
    fn not_now(&self, key: Key) -> String {
        let (tree, state) = (self.tree(), self.state());
        if self.open_test() == Some(key) {
            return words(Hindrance::Open);
        }
        let all = (0..tree.steps.len()).filter(|i| self.test_of(*i) == Some(key));
        let of: Vec<(usize, Hindrance)> =
            all.filter_map(|i| walk::hindrance(tree, state, i).map(|h| (i, h))).collect();
        let on_the_way = of.iter().find(|(_, h)| *h != Hindrance::OffThePath);
        let Some((index, hindrance)) = on_the_way.or(of.first()) else {
            return words(Hindrance::OffThePath);
        };
        let missing: Vec<Tool> = self.tools_missing().collect();
        match tools(&tree.steps[*index]).find(|t| missing.contains(t)) {
            Some(tool) => sentence(&format!("said to be not at hand: {}", tool.name())),
            None => words(*hindrance),
        }
    }

    /// The tools that some step on the path was given up for.
    fn tools_missing(&self) -> impl Iterator<Item = Tool> + '_ {
        let without =
            |(_, given): &(usize, &Given)| matches!(given, Given::Cannot { reason: Reason::NoTool, .. });
        self.state().path().filter(without).flat_map(|(index, _)| tools(&self.tree().steps[index]))
    }
}
