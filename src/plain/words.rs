//! The words of the dialogue: what can be typed now, and what can be typed at any time.

use crate::quantity::Dimension;
use crate::session::{Ask, Session, StepView};
use crate::tree::StepKind;
use crate::walk;

const ALWAYS: &str = "back: one step back, nothing is lost
cannot REASON: no-tool, unsafe, no-access or later
why: the sum behind the expected value, and what each outcome means
standing: which faults still stand, and what would tell most now
record: what was done
report: the findings report as it stands
note TEXT: keep a note
place PLACE: where the gauge is connected
instrument KEY TEXT: another instrument from here on, such as instrument range 0..60 psi; alone, what it is now
log: take what a data log has for this step, where one is offered
change STEP ANSWER: correct an earlier answer
take STEP: do a step that was put off, or one that 'standing' offers before its turn
conclude: name the finding now, where 'standing' says that it is sure enough
elsewhere FOLDER: where the disk takes no more, copy the case whole into another folder and go on there
pause, resume: stand still and go on
leak: fuel smelt or seen; everything stops
quit or q: leave; the case is kept
words: what the words of the trade mean
help or ?: what can be typed";

/// What can be typed now, first of all, and then always.
pub fn help(session: &Session) -> Vec<String> {
    let mut lines = vec![format!("now: {}", now(session))];
    lines.extend(ALWAYS.lines().map(str::to_owned));
    lines
}

/// What is waited for.
pub fn now(session: &Session) -> String {
    match session.ask() {
        Ask::Step(view) | Ask::Confirm(_, view) | Ask::Undo(_, view) => wanted(session, &view),
        Ask::Finding(finding) if finding.remedy.is_some() => "repaired, or leave".to_owned(),
        Ask::Finding(_) | Ask::Handover(_) => "leave".to_owned(),
        Ask::NotCured(_) => "again, or leave".to_owned(),
        Ask::Review if walk::may_start_again(session.state()) => {
            "close, again, or change STEP ANSWER".to_owned()
        }
        Ask::Review => "close, or change STEP ANSWER".to_owned(),
        Ask::Leak => "mended, once the leak is mended and everything is dry".to_owned(),
        Ask::Paused => "resume".to_owned(),
        Ask::Closed | Ask::Broken(_) => "quit".to_owned(),
    }
}

fn wanted(session: &Session, view: &StepView) -> String {
    if view.put_back_first.is_some() {
        return "put-back, which puts back what stands in the way".to_owned();
    }
    if !view.cautions_due.is_empty() {
        return "understood, once you have read each caution above and it is so".to_owned();
    }
    match &view.step.kind {
        StepKind::Read(read) if read.reading.dimension() == Dimension::VolumeFlow => {
            format!("{}, or what ran into the container, such as 0.95 L in 15 s", view.step.name())
        }
        StepKind::Read(_) => format!("the reading of {} with its unit", view.step.name()),
        StepKind::Observe { observation, answers } => {
            if observation.is_percentage() {
                return "the percentage found, such as 10 %".to_owned();
            }
            let shown = session.shown(*observation, answers);
            let all: Vec<&str> = shown.into_iter().map(|a| a.outcome.id).collect();
            all.join(" or ")
        }
        _ => "done".to_owned(),
    }
}
