//! Which faults still stand, in lines.

use crate::quantity::figures;
use crate::session::{Advice, Again, Crowd, Hinge, Session, twentieths};

/// How what is doubtful is done once more.
pub(super) fn again_line(again: Option<&Again>) -> String {
    again.map_or_else(String::new, |a| format!("To do it again now, type: take {}", a.step))
}

/// Every fault that still stands with what moved it, and what would tell most now. The simulated cars it takes are drawn once.
pub fn standing(session: &Session, crowd: &mut Option<Crowd>) -> Vec<String> {
    let crowd = crowd.get_or_insert_with(|| Crowd::draw(session.rig()));
    let outlook = session.outlook(crowd, true);
    let mut lines = vec!["Still standing, by the odds of everything seen:".to_owned()];
    for suspect in outlook.still_standing() {
        let moved: Vec<String> = suspect
            .moved
            .iter()
            .map(|(what, up)| format!("{} by {what}", if *up { "raised" } else { "lowered" }))
            .collect();
        let why = if moved.is_empty() { String::new() } else { format!("; {}", moved.join("; ")) };
        lines.push(format!("  {}: {}{why}", suspect.fault.name(), twentieths(suspect.probability)));
    }
    lines.push(format!("  something in no catalogue: {}", twentieths(outlook.other)));
    lines.extend(outlook.misfit_words());
    match &outlook.again {
        Some(again) => lines.push(format!("{} To do it again now, type: take {}", again.words(), again.step)),
        None => lines.extend(outlook.odd_words()),
    }
    if outlook.again.is_none() {
        lines.extend(outlook.fragile.as_ref().map(Hinge::words));
    }
    if let Some(conclusion) = &outlook.conclusion {
        lines.push(format!("{} To name it now, type: conclude", conclusion.words()));
    }
    lines.extend(outlook.unnamed.as_ref().map(|u| u.words(&again_line(outlook.again.as_ref()))));
    if let Some(Advice { what, minutes, step, not_now }) = &outlook.next {
        let why = not_now.as_ref().map_or_else(String::new, |why| format!(" {why}"));
        lines.push(format!(
            "What would tell most for its time now: {what}, about {} min.{why}",
            figures(*minutes, 2)
        ));
        lines.extend(step.as_ref().map(|step| format!("To do it now, before its turn, type: take {step}")));
    }
    if let Some(Advice { what, minutes, step: Some(step), .. }) = &outlook.before
        && outlook.next.as_ref().is_none_or(|next| next.step.as_ref() != Some(step))
    {
        let minutes = figures(*minutes, 2);
        lines.push(format!(
            "Of the tests that may be done as the car stands: {what}, about {minutes} min. Type: take {step}"
        ));
    }
    lines.extend(outlook.may_wait_words().map(|words| format!("{words} To put it off, type: cannot later")));
    lines
}
