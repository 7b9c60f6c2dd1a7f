//! From journal, tree and rig to everything a report says.

use super::model::{Conclusion, Fact, Report, Row, Warned};
use super::odds::{Beliefs, odds, ruled_out};
use super::{pictures, rows};
use crate::belief::Belief;
use crate::case::{Entry, Header, Line};
use crate::physics;
use crate::rig::{Rig, label};
use crate::session::{Session, SessionError};
use crate::terms::{Caution, Complaint, FIRST_WORD, Fault, SignalWord, State};
use crate::text::one_line;
use crate::tree::Tree;
use crate::walk::{At, Ending, Event, Given};
use std::sync::Arc;

/// Version of the report's shape.
pub const FORMAT: u32 = 1;

/// A session that stands where the journal's events lead, with nothing kept.
fn replayed(lines: &[Line<Entry>], tree: &Tree, rig: &Rig) -> Result<Session, SessionError> {
    let events = lines
        .iter()
        .filter_map(|l| if let Entry::Walk(event) = &l.entry { Some(event.clone()) } else { None });
    Session::replay(Arc::new(rig.clone()), Arc::new(tree.clone()), events)
}

/// Builds the report: a function of the three and nothing else, so that anyone can make it again byte for byte.
///
/// # Errors
/// [`SessionError::Refused`] where the journal does not fit the tree.
pub fn build(lines: &[Line<Entry>], tree: &Tree, rig: &Rig) -> Result<Report, SessionError> {
    let session = replayed(lines, tree, rig)?;
    let empty = Header::default();
    let header = lines
        .iter()
        .find_map(|l| if let Entry::Header(h) = &l.entry { Some(h) } else { None })
        .unwrap_or(&empty);
    let done = rows::rows(lines, &session);
    let taken = pictures::latest(&done);
    let beliefs = Beliefs::of(&session, rig);
    let misfit = beliefs.as_ref().is_some_and(|b| b.after.misfit().alarm);
    let (odds, odds_from) = odds(lines, beliefs.as_ref());
    let time = |line: Option<&Line<Entry>>| line.map_or_else(String::new, |l| l.time.to_string());
    let (circuit, induction) = (pictures::circuit(rig, &taken), pictures::induction(rig, &taken));
    let (slope, ledger) = (pictures::slope(rig, &taken), pictures::ledger(rig, &taken));
    let steps: Vec<Row> = done.into_iter().map(|(row, _)| row).collect();
    let (ruled_out, less_likely) = beliefs.as_ref().map(|b| ruled_out(&session, b)).unwrap_or_default();
    Ok(Report {
        format: FORMAT,
        simulated: header.simulated,
        shared: header.shared,
        car: one_line(&rig.name),
        facts: rig
            .facts
            .iter()
            .map(|f| Fact { key: one_line(&f.path), value: one_line(&f.text), default: f.default })
            .collect(),
        complaint: header.complaint.as_deref().map(complaint),
        tree: [tree.id.clone(), one_line(&tree.title), tree.digest.clone()],
        program: one_line(&header.program),
        begun: time(lines.first()),
        last: time(lines.last()),
        conclusion: conclude(&session, beliefs.as_ref().map(|b| &b.after)),
        ruled_out,
        less_likely,
        before_after: rows::before_after(&steps),
        not_tested: rows::not_tested(&steps),
        steps,
        not_put_back: session.state().not_undone().iter().map(State::name).map(str::to_owned).collect(),
        still_changed: still_changed(&session),
        ledger,
        odds,
        odds_from,
        misfit: misfit.then(|| {
            "Nothing in the catalogue explains all readings well: a misread gauge, two faults at once, or a fault outside it."
                .to_owned()
        }),
        against: beliefs.as_ref().and_then(|b| session.against(&b.after)).map(|a| a.words()),
        notes: notes(lines),
        logs: rows::logs(lines, &session),
        cautions: cautions(&session, lines),
        first_word: FIRST_WORD.to_owned(),
        reference: physics::reference_advice(&rig.car),
        circuit,
        induction,
        slope,
        minutes: session.state().minutes(),
        records: lines.len(),
        clock_back: lines.iter().filter(|l| l.clock_back).map(|l| l.seq).collect(),
        digest: lines.last().map_or_else(String::new, |l| l.digest.to_string()),
    })
}

/// A complaint in words: an id of the vocabulary as its name, anything else as the person said it.
fn complaint(text: &str) -> String {
    text.parse::<Complaint>().map_or_else(|_| one_line(text), |c| c.name().to_owned())
}

/// What a case that is not at its end leaves changed at the car.
fn still_changed(session: &Session) -> Vec<String> {
    let ended = session.state().ending().is_some();
    let held = session.state().held();
    let changed = held.iter().filter(|s| session.tree().undo_of(*s).is_some());
    if ended { Vec::new() } else { changed.map(|s| s.name().to_owned()).collect() }
}

/// Notes that may be shared; what is for the agent alone stays out.
fn notes(lines: &[Line<Entry>]) -> Vec<String> {
    let said =
        |what: &str, note: &Option<String>| note.as_deref().map(|n| format!("{what}: {}", one_line(n)));
    lines
        .iter()
        .filter_map(|l| match &l.entry {
            Entry::Walk(Event::NoteAdded { text, private: false, .. }) => Some(one_line(text)),
            Entry::Walk(Event::InstrumentChanged { facts }) => {
                Some(format!("from here on another instrument: {}", one_line(&described(facts))))
            }
            Entry::Walk(Event::Repaired { note }) => said("repair", note),
            Entry::Walk(Event::Accepted { note }) => said("taken without a repair", note),
            Entry::Walk(Event::HandedOver { note }) => said("handed over", note),
            Entry::Walk(Event::LeakReported { note }) => {
                Some(said("fuel smelt or seen", note).unwrap_or_else(|| "fuel was smelt or seen".to_owned()))
            }
            Entry::Walk(Event::LeakMended { note }) => {
                Some(said("leak mended", note).unwrap_or_else(|| "the leak was mended".to_owned()))
            }
            _ => None,
        })
        .collect()
}

/// An instrument as it was described in a case, by the labels of its keys.
fn described(facts: &[(String, String)]) -> String {
    let each: Vec<String> = facts.iter().map(|(path, text)| format!("{} {text}", label(path))).collect();
    each.join(", ")
}

/// Every caution that stood before what was done, and before the repair of the finding; the gravest first.
fn cautions(session: &Session, lines: &[Line<Entry>]) -> Vec<Warned> {
    let tree = session.tree();
    let of_steps = session.state().record().flat_map(|(i, _)| tree.steps[i].cautions.iter().copied());
    let confirmed = lines.iter().filter_map(|l| match &l.entry {
        Entry::Walk(Event::CautionConfirmed { cautions, .. }) => Some(cautions.iter().copied()),
        _ => None,
    });
    let of_finding = match session.state().ending() {
        Some(Ending::Finding { finding, .. }) => tree.findings[finding].cautions.clone(),
        _ => Vec::new(),
    };
    let rank = |c: Caution| SignalWord::ALL.iter().position(|s| *s == c.signal()).unwrap_or(0);
    let mut all: Vec<Warned> = of_steps
        .chain(confirmed.flatten())
        .chain(of_finding)
        .map(|c| {
            let text = c.text();
            let signal = c.signal().id();
            let body = text.strip_prefix(signal).unwrap_or(&text).trim_start_matches([':', ' ']);
            Warned { rank: rank(c), signal: signal.to_owned(), text: body.to_owned() }
        })
        .collect();
    all.sort();
    all.dedup();
    all
}

/// The least certain verdict on the path, in words; none where nothing was measured.
fn weakest(session: &Session) -> Option<String> {
    let least = session
        .state()
        .path()
        .filter_map(|(i, g)| if let Given::Read { taken } = g { Some((i, taken)) } else { None })
        .min_by(|a, b| a.1.probability.total_cmp(&b.1.probability))?;
    let (index, taken) = least;
    Some(format!(
        "{}: {}, {}",
        session.tree().steps[index].name(),
        taken.verdict.id(),
        super::percent(taken.probability)
    ))
}

fn conclude(session: &Session, belief: Option<&Belief>) -> Conclusion {
    let tree = session.tree();
    let part_share = |fault: Fault| {
        let odds = belief?.part_odds();
        odds.iter().find(|(p, _)| *p == fault.part()).map(|(_, share)| *share)
    };
    let names = |faults: &[Fault]| faults.iter().map(|f| f.name().to_owned()).collect();
    let bare = |kind: &str, says: &str, to_do: &str, also: Vec<String>| Conclusion {
        kind: kind.to_owned(),
        fault: None,
        fault_name: None,
        says: one_line(says),
        to_do: one_line(to_do),
        also,
        sure: None,
        weakest: weakest(session),
        confirmed: None,
    };
    let found = |finding: usize, confirmed: Option<bool>| {
        let f = &tree.findings[finding];
        let to_do = match (&f.remedy, session.aim(f, rows::units(session))) {
            (Some(remedy), Some(aim)) => format!("{remedy} {aim}"),
            (Some(remedy), None) => remedy.clone(),
            (None, _) => "Nothing is to be mended on what was measured.".to_owned(),
        };
        Conclusion {
            fault: Some(f.fault.id().into()),
            fault_name: Some(f.fault.name().to_owned()),
            sure: part_share(f.fault),
            confirmed,
            ..bare("finding", &session.says(f), &to_do, names(&session.possible(&f.also)))
        }
    };
    match (session.state().ending(), session.state().at()) {
        (Some(Ending::Finding { finding, confirmed }), _) => found(finding, confirmed),
        (Some(Ending::Handover(h)), _) => {
            let h = &tree.handovers[h];
            bare("hand-over", &h.says, &h.advice, names(&session.possible(&h.narrowed)))
        }
        (Some(Ending::GivenAway), _) => bare(
            "hand-over",
            "The case was given to somebody else before it came to a finding.",
            "Go on from the readings below; nothing is to be bought on them alone.",
            Vec::new(),
        ),
        (None, At::Finding(finding)) => {
            let at = found(*finding, None);
            Conclusion { says: format!("{} Not repaired yet.", at.says), ..at }
        }
        (None, _) => bare(
            "open",
            "The case is not at its end.",
            "Take it up where it stands, or hand it over.",
            Vec::new(),
        ),
    }
}
