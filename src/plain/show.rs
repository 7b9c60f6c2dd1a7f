//! What is said for each thing asked.

use crate::quantity::{Datum, figures, show as quantity};
use crate::session::{Ask, GaugeMove, Outlook, Session, StepView, Width, bare_unit, vacuum_band};
use crate::terms::{Caution, FIRST_WORD, LEAK_ORDERS, Reading, ReadingDatum};
use crate::tree::{Step, StepKind};
use crate::walk::{self, Band, Event, Given, Taken};

/// A band in words, in the units the person reads.
pub fn band(session: &Session, reading: Reading, band: &Band) -> String {
    let own = bare_unit(reading, session.units());
    if let Some(text) = vacuum_band(reading, band, own, &session.rig().car, 3) {
        return text;
    }
    let unit = session.units().unit_for(reading.dimension());
    let datum = (reading.datum() == ReadingDatum::Absolute).then_some(Datum::Absolute);
    let value = |si: f64| quantity(si, unit, datum, 3);
    match (band.low, band.high) {
        (Some(low), Some(high)) => format!("{} to {}", figures(unit.from_si(low), 3), value(high)),
        (Some(low), None) => format!("at least {}", value(low)),
        (None, Some(high)) => format!("at most {}", value(high)),
        (None, None) => "no limits".to_owned(),
    }
}

/// A reading taken, with its verdict.
pub fn taken(session: &Session, taken: &Taken) -> String {
    format!(
        "{} is {}, expected {} ({}).",
        taken.said(),
        taken.verdict,
        band(session, taken.reading, &taken.band),
        taken.sure()
    )
}

/// What a step gave, in a few words.
pub fn given(given: &Given) -> String {
    match given {
        Given::Done => "done".to_owned(),
        Given::Read { taken } => format!("{} {}", taken.said(), taken.verdict),
        Given::Answered { outcome, .. } => outcome.clone(),
        Given::Cannot { reason, .. } => format!("not tested: {}", reason.name()),
    }
}

/// What a step of this walk gave, an answer in its words.
pub fn given_at(session: &Session, index: usize, what: &Given) -> String {
    match (&session.tree().steps[index].kind, what) {
        (StepKind::Observe { observation, .. }, Given::Answered { outcome, typed }) => {
            if observation.is_percentage() {
                return typed.clone();
            }
            observation.outcome(outcome).map_or_else(|| outcome.clone(), |o| o.name.to_owned())
        }
        _ => given(what),
    }
}

/// The report as it stands, in Markdown.
pub fn report(session: &Session) -> Vec<String> {
    let Some(case) = session.case() else {
        return vec!["This walk is not kept on disk, so it has no report.".to_owned()];
    };
    match crate::report::build(case.lines(), session.tree(), session.begun_with()) {
        Ok(report) => crate::report::markdown(&report).lines().map(str::to_owned).collect(),
        Err(error) => vec![format!("Error: no report of this case: {error}")],
    }
}

/// The answers of an observation, each with its words.
fn answers(session: &Session, view: &StepView) -> Vec<String> {
    let StepKind::Observe { observation, answers } = &view.step.kind else { return Vec::new() };
    if observation.is_percentage() {
        return Vec::new();
    }
    let answers = session.shown(*observation, answers);
    answers.iter().map(|a| format!("  {}: {}", a.outcome.id, a.outcome.name)).collect()
}

/// Whether the cautions of a step were confirmed just now, so that they and its name stand right above.
fn just_confirmed(session: &Session, step: &Step) -> bool {
    matches!(session.events().last(), Some(Event::CautionConfirmed { step: of, .. }) if *of == step.id)
}

/// The lines that open a step: where cautions are to be confirmed, those and what is done then; the rest once they are.
pub fn step(session: &Session, view: &StepView) -> Vec<String> {
    let mut lines = Vec::new();
    if !just_confirmed(session, view.step) {
        lines.extend([String::new(), view.head.clone()]);
        lines.extend(view.cautions.iter().map(|c| c.text()));
    }
    lines.extend(view.gauge_move.as_ref().map(GaugeMove::words));
    if let Some(blocked) = &view.blocked {
        lines.push(blocked.clone());
        lines.extend(view.put_back_first.map(|_| "Type: put-back, to put it back now.".to_owned()));
    }
    if !view.cautions_due.is_empty() {
        lines.push(format!("Then: {}", view.step.action));
        lines.extend(view.kept.map(|kept| format!("It gave before: {}.", given(kept))));
        return lines;
    }
    lines.push(view.step.action.clone());
    if let StepKind::Observe { observation, .. } = &view.step.kind {
        lines.extend(session.known_for(*observation));
    }
    lines.extend(session.seen_before());
    if let (StepKind::Read(read), Some(expected)) = (&view.step.kind, &view.expected) {
        lines.push(format!(
            "Expected {}, {}. Instrument: {}.",
            band(session, read.reading, &expected.band),
            width(expected.width),
            expected.instrument_name()
        ));
        if let Some(place) = view.place.filter(|_| read.places.len() > 1) {
            let all: Vec<&str> = read.places.iter().map(|p| p.id()).collect();
            lines.push(format!(
                "Gauge at the {}; to change it type: place {}",
                place.name(),
                all.join(" or ")
            ));
        }
        if let Some(ceiling) = expected.ceiling {
            let unit = session.units().unit_for(read.reading.dimension());
            lines.push(format!(
                "Stop at {}; if it is reached, type: ceiling",
                quantity(ceiling, unit, None, 3)
            ));
        }
    }
    if let (StepKind::Read(read), Some(offer)) = (&view.step.kind, &view.offer) {
        lines.push(offer.text(read.reading, session.units()));
    }
    lines.extend(answers(session, view));
    if let Some(kept) = view.kept {
        lines.push(format!("It gave before: {}. Type it again or something else.", given(kept)));
    }
    if view.repeats > 0 {
        lines.push("Too near a limit to say. Read it once more.".to_owned());
    }
    lines
}

/// What sets the width of a band, in words.
pub fn width(width: Width) -> &'static str {
    match width {
        Width::Car => "as wide as the facts of this car are uncertain",
        Width::Practice => "as wide as common practice allows",
        Width::Instrument => "as wide as this instrument can prove",
        Width::Limits => "limits of the test",
        Width::Ceiling => "up to where the test stops",
    }
}

/// Why a step is done and what its expected value rests on.
pub fn why(session: &Session, view: &StepView) -> Vec<String> {
    let mut lines = Vec::new();
    if let Some(why) = &view.step.why {
        lines.push(why.clone());
    }
    if let (StepKind::Read(read), Some(expected)) = (&view.step.kind, &view.expected) {
        let unit = session.units().unit_for(read.reading.dimension());
        if let Some(value) = expected.band.expected {
            lines.push(format!("Expected value {}:", quantity(value, unit, None, 4)));
        }
        for (what, value, source) in expected.sum(unit) {
            lines.push(format!("  {value}  {what} ({source})"));
        }
        let outcomes = [("low", read.low), ("within", Some(read.within)), ("high", read.high)];
        for (verdict, next) in outcomes {
            lines.extend(next.map(|next| format!("  {verdict}: {}", session.leads_to(next))));
        }
    }
    if let StepKind::Observe { observation, answers } = &view.step.kind {
        for answer in answers {
            let words = observation.outcome(answer.outcome.id).map_or(answer.outcome.id, |o| o.name);
            lines.push(format!("  {words}: {}", session.leads_to(answer.next)));
        }
    }
    if lines.is_empty() {
        lines.push("The step is part of doing the next one safely.".to_owned());
    }
    lines
}

/// What the odds say against an end, and what may be done about it.
fn doubts(outlook: Option<&Outlook>) -> Vec<String> {
    let Some(outlook) = outlook else { return Vec::new() };
    let again = outlook.again.as_ref().map(|a| format!("Doubt: {} Type: take {}", a.words(), a.step));
    let against = outlook.against.as_ref().map(|a| format!("Doubt: {}", a.words()));
    let instead = outlook.conclusion.as_ref().map(|c| format!("{} To name it, type: conclude", c.words()));
    again.into_iter().chain(against).chain(instead).collect()
}

/// The words of a prompt that is no step.
pub fn other(session: &Session, ask: &Ask, outlook: Option<&Outlook>) -> Vec<String> {
    let mut lines = vec![String::new()];
    match ask {
        Ask::Finding(finding) => {
            lines.push(format!("Finding: {}", session.says(finding)));
            let also = session.possible(&finding.also);
            if !also.is_empty() {
                let also: Vec<&str> = also.iter().map(|f| f.name()).collect();
                lines.push(format!("Not parted from it here: {}.", also.join(", ")));
            }
            lines.extend(doubts(outlook));
            for caution in &finding.cautions {
                lines.push(caution.text());
            }
            let due = !finding.cautions.is_empty() && !session.state().cautions_confirmed(&finding.id);
            match &finding.remedy {
                Some(remedy) => {
                    lines.push(format!("Remedy: {remedy}"));
                    lines.extend(session.aim(finding, session.units()));
                    if due {
                        lines.push("Type: understood, once each caution above is so.".to_owned());
                    }
                    lines.push(
                        "Type: repaired, when it is done; or: leave, to end without a repair.".to_owned(),
                    );
                }
                None => lines.push("Type: leave, to put everything back and end.".to_owned()),
            }
        }
        Ask::Handover(handover) => {
            lines.push(format!("Handed over: {}", handover.says));
            lines.extend(doubts(outlook));
            lines.push(handover.advice.clone());
            lines.push("Type: leave, to put everything back and end.".to_owned());
        }
        Ask::NotCured(finding) => {
            lines.push(format!("The repair did not cure it: {}", session.says(finding)));
            lines.push("Type: again, to put everything back and walk from the start; or: leave.".to_owned());
        }
        Ask::Review => {
            lines.push("Everything is put back. What was answered:".to_owned());
            for (index, what) in session.state().path() {
                let step = &session.tree().steps[index];
                lines.push(format!("  {}: {} ({})", step.name(), given_at(session, index, what), step.id));
            }
            for state in session.state().not_undone().iter() {
                lines.push(format!("NOT put back: {}.", state.name()));
            }
            if walk::may_start_again(session.state()) {
                lines.push("Try once more what the driver complained of.".to_owned());
                lines.push(Caution::RunningEngine.text());
                lines.push("If it is gone, type: close. If it is still there, type: again, to walk from the start. Or: change STEP ANSWER.".to_owned());
            } else {
                lines.push("Type: close; or: change STEP ANSWER.".to_owned());
            }
        }
        Ask::Leak => {
            lines.push("DANGER Fuel smell or leak: stop.".to_owned());
            lines.extend(LEAK_ORDERS.iter().map(|order| format!("- {order}")));
            lines.push("The case is kept.".to_owned());
            lines.push(
                "Type: mended, when the leak is mended and every joint is dry with the pump running."
                    .to_owned(),
            );
        }
        Ask::Paused => lines.push("Paused. Type: resume.".to_owned()),
        Ask::Closed => lines.push("The case is closed.".to_owned()),
        Ask::Broken(why) => lines.push(format!("The tree leads nowhere from here: {why}.")),
        Ask::Step(_) | Ask::Confirm(..) | Ask::Undo(..) => {}
    }
    lines
}

/// What is said first.
pub fn first(session: &Session) -> Vec<String> {
    vec![
        format!("{}: {}", session.rig().name, session.tree().title),
        FIRST_WORD.to_owned(),
        "Type ? for the words that can be typed. Fuel smell or leak: type leak.".to_owned(),
    ]
}
