//! Odds before and after, and what the readings set aside or made less likely.

use super::model::{RuledOut, Share};
use super::rows::units;
use crate::belief::{Belief, Evidence, Fate, Particles};
use crate::case::{Candidate, Entry, Line, Odds};
use crate::quantity::{Datum, show};
use crate::rig::Rig;
use crate::session::{Session, bare_unit, vacuum};
use crate::terms::{Fault, Reading, ReadingDatum};
use crate::text::one_line;
use std::sync::Arc;

/// Cars drawn for each fault, and the seed: fixed, so that the same case gives the same odds anywhere.
const PER_FAULT: usize = 64;
const SEED: u64 = 1;
/// A fault below this share of the belief counts as set aside.
const SET_ASIDE: f64 = 0.01;
/// A reading speaks against a fault when it makes it less likely by this natural logarithm at least.
const AGAINST: f64 = -0.5;

/// The belief of a case, before and after.
pub(super) struct Beliefs {
    pub before: Belief,
    pub after: Belief,
}

impl Beliefs {
    /// Of a case, worked out anew from its readings; none where nothing was measured or seen.
    pub fn of(session: &Session, rig: &Rig) -> Option<Self> {
        if session.evidence().is_empty() {
            return None;
        }
        let particles = Arc::new(Particles::draw(rig, PER_FAULT, SEED));
        Some(Self { before: session.first_belief(&particles), after: session.belief(&particles) })
    }
}

/// A value in the units of the case, as its gauge shows it.
fn value(session: &Session, si: f64, reading: Reading) -> String {
    let datum = (reading.datum() == ReadingDatum::Absolute).then_some(Datum::Absolute);
    let unit = bare_unit(reading, units(session));
    vacuum(reading, si, unit, &session.rig().car, 3).unwrap_or_else(|| show(si, unit, datum, 3))
}

/// What a piece of evidence was, in words: the test as its step is called.
fn words(session: &Session, evidence: &Evidence) -> String {
    let test = session.in_words(evidence);
    match evidence {
        Evidence::Reading { reading, si, .. } => format!("{test}: {}", value(session, *si, *reading)),
        _ => test,
    }
}

/// Faults that hardly stand any more, by the evidence that spoke most against each, in the order it was taken: those that no single
/// slip would bring back, and those that one would.
pub(super) fn ruled_out(session: &Session, b: &Beliefs) -> (Vec<RuledOut>, Vec<RuledOut>) {
    let fates = b.after.fates(&b.before.odds(), SET_ASIDE);
    let of = |wanted: Fate| {
        let these = fates.iter().filter(move |(_, fate)| *fate == wanted).map(|(fault, _)| *fault);
        spoken_against(session, b, these.filter(|fault| *fault != Fault::NoFault))
    };
    (of(Fate::SetAside), of(Fate::LessLikely))
}

fn spoken_against(session: &Session, b: &Beliefs, faults: impl Iterator<Item = Fault>) -> Vec<RuledOut> {
    let evidence: Vec<&Evidence> = b.after.evidence().collect();
    let mut out: Vec<(usize, RuledOut)> = Vec::new();
    for fault in faults {
        let worst = b.after.why(fault).into_iter().min_by(|a, b| a.ratio.total_cmp(&b.ratio));
        let Some(why) = worst.filter(|w| w.ratio < AGAINST) else { continue };
        let name = fault.name().to_owned();
        if let Some((_, known)) = out.iter_mut().find(|(index, _)| *index == why.evidence) {
            known.faults.push(name);
        } else if let Some(e) = evidence.get(why.evidence) {
            out.push((why.evidence, RuledOut { by: words(session, e), faults: vec![name] }));
        }
    }
    out.sort_by_key(|(index, _)| *index);
    out.into_iter().map(|(_, ruled)| ruled).collect()
}

/// The odds as the journal keeps them, and where they come from; where it keeps none, those worked out anew.
pub(super) fn odds(lines: &[Line<Entry>], b: Option<&Beliefs>) -> (Vec<Share>, String) {
    let mut kept = lines.iter().filter_map(|l| if let Entry::Odds(o) = &l.entry { Some(o) } else { None });
    match (kept.next(), kept.next_back(), b) {
        (Some(first), last, _) => (
            as_kept(first, last.unwrap_or(first)),
            format!("as shown during the case, by model {}", one_line(&last.unwrap_or(first).model)),
        ),
        (None, _, None) => (Vec::new(), "not reckoned: nothing was measured or seen".to_owned()),
        (None, _, Some(b)) => {
            (anew(b), "none were kept in the case; reckoned from its readings for this report".to_owned())
        }
    }
}

fn as_kept(first: &Odds, last: &Odds) -> Vec<Share> {
    let before =
        |c: &Candidate| first.candidates.iter().find(|f| f.fault == c.fault).map_or(0.0, |f| f.probability);
    let mut shares: Vec<Share> = last
        .candidates
        .iter()
        .map(|c| Share {
            fault: one_line(&c.fault),
            name: c.fault.parse::<Fault>().map_or_else(|_| one_line(&c.fault), |f| f.name().to_owned()),
            before: before(c),
            after: c.probability,
        })
        .collect();
    shares.sort_by(|a, b| b.after.total_cmp(&a.after));
    shares
}

fn anew(b: &Beliefs) -> Vec<Share> {
    let first = b.before.odds();
    let share = |(fault, after): (Fault, f64)| Share {
        fault: fault.id().into(),
        name: fault.name().into(),
        before: first.iter().find(|(f, _)| *f == fault).map_or(0.0, |(_, p)| *p),
        after,
    };
    let mut shares: Vec<Share> = b.after.odds().into_iter().map(share).collect();
    shares.push(Share {
        fault: "other".into(),
        name: "a fault in no catalogue".into(),
        before: b.before.other(),
        after: b.after.other(),
    });
    shares.sort_by(|a, b| b.after.total_cmp(&a.after));
    shares
}
