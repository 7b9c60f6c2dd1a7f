//! Five lines for a ticket: problem, done, result, ruled out, next.
//!
//! What a person typed freely is looked through for names, numbers and plates before it goes in; notes for the agent alone never do.

use super::super::desk::{Para, Way};
use super::step;
use crate::instrument::Verdict;
use crate::session::{Ask, Outlook, Session, Standing, twentieths};
use crate::terms::Fault;
use crate::text::{one_line, redact};
use crate::walk::Ending;
use std::fmt::Write as _;

/// How many readings, parts or faults one line names.
const NAMED: usize = 5;

/// The five lines: name and text.
pub fn lines(session: &Session, outlook: Option<&Outlook>) -> [(&'static str, String); 5] {
    [
        ("Problem", problem(session)),
        ("Done", done(session)),
        ("Result", result(session, outlook)),
        ("Ruled out", ruled_out(outlook)),
        ("Next", next(session, outlook)),
    ]
}

fn problem(session: &Session) -> String {
    let header = session.case().map(crate::case::Case::header);
    let complaint = header.and_then(|h| h.complaint.clone()).unwrap_or_else(|| "no complaint stated".into());
    let mark = if header.is_some_and(|h| h.simulated) { "SIMULATED CAR, " } else { "" };
    let facts = super::site_facts(session.rig()).join(", ");
    format!(
        "{}. {mark}{}, {facts}.",
        sentence(&redact(&one_line(&complaint))),
        redact(&one_line(&session.rig().name))
    )
}

fn done(session: &Session) -> String {
    let lines = step::record(session);
    let on_the_way = lines.iter().filter(|l| matches!(l.way, Way::On | Way::Proof));
    let count = on_the_way.clone().count();
    let told: Vec<String> = on_the_way
        .filter(|l| l.verdict.is_some() || l.gave != "done")
        .take(NAMED)
        .map(|l| match l.verdict {
            Some(Verdict::NotTested) => format!("{} not tested", l.title),
            Some(verdict) => format!("{} {} {}", l.title, one_line(&l.gave), verdict.word()),
            None => format!("{}: {}", l.title, redact(&one_line(&l.gave))),
        })
        .collect();
    let minutes = session.state().minutes().round();
    match (count, told.is_empty()) {
        (0, _) => "nothing yet.".to_owned(),
        (_, true) => format!("{count} steps in about {minutes} min, nothing measured yet."),
        _ => format!("{count} steps in about {minutes} min; latest: {}.", told.join("; ")),
    }
}

fn result(session: &Session, outlook: Option<&Outlook>) -> String {
    if session.state().ending().is_some() {
        return one_line(&super::finding::outcome(session));
    }
    if let Ask::Finding(f) | Ask::NotCured(f) = session.ask() {
        let doubt = outlook.and_then(|o| o.against.as_ref());
        let doubt = doubt.map_or_else(String::new, |a| format!(" {}", a.says()));
        return format!("{} Not repaired yet.{doubt}", one_line(&session.says(f)));
    }
    let Some(outlook) = outlook else { return "not found yet.".to_owned() };
    likely(outlook.suspects.iter().map(|s| (s.fault, s.probability)))
}

/// A part has to have this probability to be named before it is found: one in ten.
const WORTH_A_NAME: f64 = 0.1;

/// What stands out before anything is found, the likeliest first.
fn likely(odds: impl Iterator<Item = (Fault, f64)>) -> String {
    let named = |(fault, p): (Fault, f64)| match fault {
        Fault::NoFault => format!("that nothing is wrong ({})", twentieths(p)),
        fault => format!("{} ({})", fault.name(), twentieths(p)),
    };
    let likely: Vec<String> = odds.filter(|(_, p)| *p >= WORTH_A_NAME).take(2).map(named).collect();
    if likely.is_empty() {
        return "not found yet; nothing stands out so far.".to_owned();
    }
    format!("not found yet; likeliest so far: {}.", likely.join("; "))
}

fn ruled_out(outlook: Option<&Outlook>) -> String {
    let cleared: Vec<String> = outlook
        .iter()
        .flat_map(|o| &o.parts)
        .filter(|(_, _, standing)| *standing == Standing::Cleared)
        .map(|(part, _, _)| part.id().replace('-', " "))
        .collect();
    if cleared.is_empty() {
        return "nothing yet.".to_owned();
    }
    let more = cleared.len().saturating_sub(NAMED);
    let named = cleared.iter().take(NAMED).cloned().collect::<Vec<_>>().join(", ");
    if more > 0 { format!("{named}, and {more} more by their readings.") } else { format!("{named}.") }
}

fn next(session: &Session, outlook: Option<&Outlook>) -> String {
    match session.ask() {
        Ask::Step(view) | Ask::Confirm(_, view) | Ask::Undo(_, view) => {
            format!("{}: {}", view.step.name(), one_line(&view.step.action))
        }
        Ask::Finding(f) | Ask::NotCured(f) => {
            f.remedy.as_deref().map_or_else(|| "put everything back.".to_owned(), one_line)
        }
        Ask::Handover(h) => one_line(&h.advice),
        Ask::Review => "look through the answers and close.".to_owned(),
        Ask::Leak => "leak reported: nothing runs until it is mended.".to_owned(),
        Ask::Closed => match session.state().ending() {
            Some(Ending::Finding { confirmed: Some(true), .. }) => {
                "nothing, it is mended and proved.".to_owned()
            }
            Some(Ending::Finding { finding, .. }) => session.tree().findings[finding]
                .remedy
                .as_deref()
                .map_or_else(|| "nothing to mend.".to_owned(), one_line),
            _ => "see the result.".to_owned(),
        },
        Ask::Paused => match outlook.and_then(|o| o.next.as_ref()) {
            Some(advice) => format!("go on; what would tell most now is {}.", advice.what),
            None => "go on where it stands.".to_owned(),
        },
        Ask::Broken(why) => why.to_owned(),
    }
}

/// The first letter in upper case, no full stop at the end.
fn sentence(text: &str) -> String {
    let text = text.trim().trim_end_matches('.');
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}

/// The five lines as a page.
pub fn page(session: &Session, outlook: Option<&Outlook>) -> Vec<Para> {
    let mut paras: Vec<Para> = lines(session, outlook)
        .into_iter()
        .map(|(name, text)| Para::Text(format!("{name}: {text}")))
        .collect();
    paras.push(Para::Gap);
    paras.push(Para::Text(
        "S saves them as a text file of five lines. Phone numbers, plates and addresses typed in words are left out; names nobody \
         marked as such are not known, so read it before it is sent."
            .to_owned(),
    ));
    paras
}

/// Writes the five lines beside the case.
pub fn save(session: &Session, outlook: Option<&Outlook>) -> Result<String, String> {
    let case = session.case().ok_or("This case is not kept on disk, so there is no place beside it.")?;
    let path = case.path().with_extension("txt");
    let mut text = String::new();
    for (name, line) in lines(session, outlook) {
        let _ = writeln!(text, "{name}: {line}");
    }
    std::fs::write(&path, text).map_err(|e| format!("could not write {}: {e}", path.display()))?;
    Ok(path.display().to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn before_anything_is_found_only_what_stands_out_is_named_and_a_sound_car_in_words() {
        let none = likely([(Fault::NoFault, 0.05), (Fault::PumpWorn, 0.04)].into_iter());
        assert_eq!(none, "not found yet; nothing stands out so far.");
        let some =
            likely([(Fault::PumpWorn, 0.6), (Fault::NoFault, 0.3), (Fault::VacuumLeak, 0.05)].into_iter());
        let worn = Fault::PumpWorn.name();
        assert_eq!(
            some,
            format!("not found yet; likeliest so far: {worn} (12 in 20); that nothing is wrong (6 in 20).")
        );
    }
}
