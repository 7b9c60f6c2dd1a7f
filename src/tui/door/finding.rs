//! From a session to what the screens show of a finding and of the end.

use super::super::desk::FindingData;
use super::super::offers::Offers;
use super::step::{band, verdict, words};
use crate::instrument;
use crate::session::{Against, Outlook, Rest, Session, twentieths};
use crate::tree::{Finding, StepKind};
use crate::walk::{Ending, Given};

/// What the case came to, in words.
pub fn outcome(session: &Session) -> String {
    let tree = session.tree();
    match session.state().ending() {
        Some(Ending::Finding { finding, confirmed }) => {
            let finding = &tree.findings[finding];
            let proof = match confirmed {
                Some(true) => "Repaired, and the reading after the repair proves it.",
                Some(false) => "Repaired, but the reading after the repair does not prove it.",
                None => "Not repaired in this case.",
            };
            format!("{} {proof}", session.says(finding))
        }
        Some(Ending::Handover(h)) => {
            let h = &tree.handovers[h];
            format!("{} {}", h.says, h.advice)
        }
        Some(Ending::GivenAway) => "Given to somebody else before an end was reached.".to_owned(),
        None => "Closed.".to_owned(),
    }
}

/// A line of what a finding rests on: the verdict of a reading, and what it says.
type Line = (Option<instrument::Verdict>, String);

/// What a step has to say for a finding: a reading, or a look that showed something other than what is in order.
fn speaks(session: &Session, index: usize, given: &Given) -> Option<Line> {
    let StepKind::Observe { observation, .. } = &session.tree().steps[index].kind else {
        return told(session, index, given);
    };
    let in_order = |outcome: &str| observation.outcomes().first().is_some_and(|o| o.id == outcome);
    match given {
        Given::Answered { outcome, .. } if in_order(outcome) => None,
        _ => told(session, index, given),
    }
}

/// What a reading or a look gave, in one line.
fn told(session: &Session, index: usize, given: &Given) -> Option<Line> {
    let step = &session.tree().steps[index];
    let title = step.name();
    match (given, &step.kind) {
        (Given::Read { taken }, _) => {
            let judged = verdict(taken.verdict);
            let expected = band(session, taken.reading, &taken.band);
            Some((Some(judged), format!("{title}: {} {}, expected {expected}", taken.said(), judged.word())))
        }
        (Given::Answered { outcome, .. }, StepKind::Observe { observation, .. }) => {
            Some((None, format!("{title}: {}", words(*observation, outcome))))
        }
        _ => None,
    }
}

/// What a finding rests on: what the path gave, or where the odds named it, all that counts in them and what each did to it. What was
/// kept from off the path counts there too.
fn because(session: &Session, outlook: Option<&Outlook>) -> Vec<Line> {
    let path = || session.state().path();
    if session.state().concluded().is_none() {
        return path().filter_map(|(index, given)| speaks(session, index, given)).collect();
    }
    let Some(outlook) = outlook else {
        let all = path().chain(session.state().set_aside());
        return all.filter_map(|(index, given)| told(session, index, given)).collect();
    };
    let rest = |rest: &Rest| {
        let (verdict, line) = told(session, rest.step, &rest.given)?;
        let aside = if rest.aside { ", off the path" } else { "" };
        Some((verdict, format!("{line}; {}{aside}", rest.did)))
    };
    outlook.rests.iter().filter_map(rest).collect()
}

pub fn finding(session: &Session, f: &Finding, outlook: Option<&Outlook>) -> FindingData {
    let because = because(session, outlook);
    let proof = f
        .confirm
        .as_ref()
        .map(|c| format!("Proved by measuring again: {}.", session.tree().steps[c.repeat].name()));
    FindingData {
        id: f.id.clone(),
        says: session.says(f),
        // Where the odds speak against it, that says how it stands.
        sure: outlook.filter(|o| o.against.is_none()).map(|o| sure(f, o)),
        against: against(outlook),
        offers: offers(outlook),
        because,
        also: session.possible(&f.also).iter().map(|f| f.name().to_owned()).collect(),
        remedy: f.remedy.clone(),
        aim: f.remedy.as_ref().and_then(|_| session.aim(f, session.units())),
        proof,
        cautions: f.cautions.clone(),
        again: session.cautions_again(&f.cautions),
        cautions_due: !f.cautions.is_empty() && !session.state().cautions_confirmed(&f.id),
    }
}

/// What speaks against an end, and what to see again before it is believed.
pub fn against(outlook: Option<&Outlook>) -> Option<String> {
    let outlook = outlook?;
    let parts: Vec<String> = outlook
        .again
        .iter()
        .map(|a| format!("{} Ctrl-S, then R, does it.", a.words()))
        .chain(outlook.against.as_ref().map(Against::words))
        .chain(outlook.conclusion.as_ref().map(|c| format!("{} Ctrl-S, then N, names it.", c.words())))
        .collect();
    (!parts.is_empty()).then(|| parts.join(" "))
}

/// What the odds offer where the walk stands.
pub fn offers(outlook: Option<&Outlook>) -> Offers {
    let Some(outlook) = outlook else { return Offers::default() };
    Offers {
        better: outlook.before.as_ref().and_then(|test| test.step.clone()),
        better_name: outlook.before.as_ref().map(|test| test.what.clone()),
        conclusion: outlook.conclusion.clone(),
        unnamed: outlook.unnamed.as_ref().map(|u| u.words("R does it again now.")),
        not_now: outlook
            .next
            .as_ref()
            .and_then(|n| n.not_now.as_ref().map(|why| format!("Most would tell: {}. {why}", n.what))),
        again: outlook.again.as_ref().map(|a| a.step.clone()),
        may_wait: outlook.may_wait.is_some(),
    }
}

/// How sure the finding is by the odds of everything seen, and what to doubt.
fn sure(f: &Finding, outlook: &Outlook) -> String {
    let p: f64 = outlook
        .suspects
        .iter()
        .filter(|s| s.fault == f.fault || f.also.contains(&s.fault))
        .map(|s| s.probability)
        .sum();
    let mut text = format!("Odds by everything seen so far: {}.", twentieths(p));
    if let Some(hinge) = &outlook.fragile {
        text = format!("{text} It hangs on one thing; repeat it if in doubt: {}.", hinge.what);
    }
    text
}
