//! From a session to what the step screens show.

use super::super::desk::{Asks, Echo, Expected, Phase, Prompt, RecordLine, StepData, Way};
use super::super::offers::Offers;
use super::super::plan::{self, Spot};
use super::super::theme::Role;
use super::super::widgets::{Circuit, PartState, Scale};
use super::finding::{against, finding, offers};
use super::remark::{odd, remark};
use crate::instrument;
use crate::quantity::{Datum, Dimension, Unit, UnitSystem, figures, show};
use crate::session::{
    Ask, Expectation, GaugeMove, Outlook, Session, Standing, StepView, TAKE_FROM_LOG, Width, bare_unit,
    twentieths, vacuum, vacuum_band, vacuum_limits, vacuum_taken,
};
use crate::terms::{Observation, Place, Reading, ReadingDatum};
use crate::tree::{self, Read, Step, StepKind};
use crate::walk::{self, At, Band, Ending, Given, Hindrance, Taken};

pub(super) fn verdict(of: tree::Verdict) -> instrument::Verdict {
    match of {
        tree::Verdict::Low => instrument::Verdict::Low,
        tree::Verdict::Within => instrument::Verdict::Within,
        tree::Verdict::High => instrument::Verdict::High,
        tree::Verdict::Undecided => instrument::Verdict::Undecided,
    }
}

fn datum(reading: Reading) -> Option<Datum> {
    (reading.datum() == ReadingDatum::Absolute).then_some(Datum::Absolute)
}

/// A band in words, in the unit a bare number takes, as the gauge shows it.
pub fn band(session: &Session, reading: Reading, band: &Band) -> String {
    let unit = bare_unit(reading, session.units());
    if let Some(text) = vacuum_band(reading, band, unit, &session.rig().car, 3) {
        return text;
    }
    let value = |si: f64| show(si, unit, datum(reading), 3);
    match (band.low, band.high) {
        (Some(low), Some(high)) => format!("{} to {}", figures(unit.from_si(low), 3), value(high)),
        (Some(low), None) => format!("at least {}", value(low)),
        (None, Some(high)) => format!("at most {}", value(high)),
        (None, None) => "no limits".to_owned(),
    }
}

/// What is asked now.
pub fn prompt(session: &Session, outlook: Option<&Outlook>) -> Prompt {
    match session.ask() {
        Ask::Step(view) => {
            if session.state().is_ahead() {
                return Prompt::Step(Box::new(step(session, &view, Phase::Ahead)));
            }
            if session.state().aim().is_some() {
                return Prompt::Step(Box::new(step(session, &view, Phase::Beside)));
            }
            let data = step(session, &view, Phase::Walk);
            let odd = outlook.and_then(|o| odd(o, data.typed()));
            // What is odd is settled before anything else is advised.
            let remark = outlook.filter(|_| odd.is_none()).and_then(|o| remark(o, view.step, data.typed()));
            Prompt::Step(Box::new(StepData { odd, remark, offers: offers(outlook), ..data }))
        }
        Ask::Confirm(_, view) => Prompt::Step(Box::new(step(session, &view, Phase::Confirm))),
        Ask::Undo(_, view) => Prompt::Step(Box::new(step(session, &view, Phase::PutBack))),
        Ask::Finding(f) => Prompt::Finding(Box::new(finding(session, f, outlook))),
        Ask::NotCured(f) => Prompt::NotCured(Box::new(finding(session, f, outlook))),
        Ask::Handover(h) => Prompt::Handover {
            says: h.says.clone(),
            advice: h.advice.clone(),
            narrowed: session.possible(&h.narrowed).iter().map(|f| f.name().to_owned()).collect(),
            against: against(outlook),
            offers: Box::new(offers(outlook)),
        },
        Ask::Review => Prompt::Review { mended: walk::may_start_again(session.state()) },
        Ask::Leak => Prompt::Leak,
        Ask::Paused => Prompt::Paused,
        Ask::Closed => Prompt::Closed(super::finding::outcome(session)),
        Ask::Broken(why) => Prompt::Broken(why.to_owned()),
    }
}

fn bare(step: &Step, units: UnitSystem) -> Option<(&Read, &'static Unit)> {
    match &step.kind {
        StepKind::Read(read) => Some((read, bare_unit(read.reading, units))),
        _ => None,
    }
}

fn asks(session: &Session, step: &Step, place: Option<Place>) -> Asks {
    match &step.kind {
        StepKind::Observe { observation, .. } if observation.is_percentage() => Asks::Percent,
        StepKind::Observe { observation, answers } => Asks::Pick(
            session
                .shown(*observation, answers)
                .into_iter()
                .map(|a| (a.outcome.id.to_owned(), words(*observation, a.outcome.id)))
                .collect(),
        ),
        StepKind::Read(read) => Asks::Reading {
            what: "reading".to_owned(),
            bare: bare_unit(read.reading, session.units()),
            places: read.places.clone(),
            place: read.places.iter().position(|p| Some(*p) == place).unwrap_or(0),
            absolute: read.reading.datum() == ReadingDatum::Absolute,
        },
        _ => Asks::Done,
    }
}

pub(super) fn words(observation: Observation, outcome: &str) -> String {
    observation.outcome(outcome).map_or_else(|| outcome.to_owned(), |o| o.name.to_owned())
}

/// What a step gave, as it would be entered again.
fn typed(step: &Step, given: &Given) -> Option<String> {
    let percent = matches!(&step.kind, StepKind::Observe { observation, .. } if observation.is_percentage());
    match given {
        Given::Read { taken } if taken.log.is_some() => Some(TAKE_FROM_LOG.to_owned()),
        Given::Read { taken } => Some(taken.typed.clone()),
        Given::Answered { typed, .. } if percent => Some(typed.clone()),
        Given::Answered { outcome, .. } => Some(outcome.clone()),
        _ => None,
    }
}

fn step(session: &Session, view: &StepView, phase: Phase) -> StepData {
    let number = session.tree().step_index(&view.step.id).map_or(0, |i| session.state().number_of(i));
    let skippable = walk::may_be_left(session.state(), view.step);
    let data = plain_step(session, view.step, number, phase, view.place);
    StepData {
        cautions_due: !view.cautions_due.is_empty(),
        again: session.cautions_again(&view.cautions_due),
        expected: bare(view.step, session.units())
            .zip(view.expected.as_ref())
            .map(|((read, _), e)| as_expected(session, read, e)),
        known: match &view.step.kind {
            StepKind::Observe { observation, .. } => session.known_for(*observation),
            _ => None,
        },
        blocked: view.blocked.clone(),
        put_back_first: view.put_back_first.is_some(),
        repeats: view.repeats,
        before: view.kept.and_then(|given| typed(view.step, given)),
        offer: bare(view.step, session.units())
            .zip(view.offer.as_ref())
            .map(|((read, _), offer)| offer.text(read.reading, session.units())),
        skippable,
        cautions: view.cautions.clone(),
        first: view.gauge_move.as_ref().map(GaugeMove::words),
        head: view.head.clone(),
        ..data
    }
}

pub(super) fn plain_step(
    session: &Session,
    step: &Step,
    number: usize,
    phase: Phase,
    place: Option<Place>,
) -> StepData {
    StepData {
        id: step.id.clone(),
        number,
        title: step.name().to_owned(),
        head: format!("Step {number}, {}", step.name()),
        phase,
        cautions: step.cautions.clone(),
        cautions_due: false,
        again: Vec::new(),
        action: step.action.clone(),
        tell: step.tell.clone(),
        note: step.note.clone(),
        condition: step.at.map(|c| c.name().to_owned()),
        asks: asks(session, step, place),
        expected: None,
        timer: step.timer,
        skippable: false,
        tools: step.tools.iter().map(|t| t.name().to_owned()).collect(),
        blocked: None,
        put_back_first: false,
        repeats: 0,
        before: None,
        offer: None,
        odd: None,
        remark: None,
        offers: Offers::default(),
        known: None,
        first: None,
    }
}

/// A step given earlier, to be corrected.
pub fn earlier(session: &Session, id: &str) -> Option<StepData> {
    let tree = session.tree();
    let index = tree.step_index(id)?;
    let (_, given) = session.state().path().find(|(i, _)| *i == index)?;
    let number = session.state().number_of(index);
    let place = match given {
        Given::Read { taken } => taken.place,
        _ => None,
    };
    let mut data = plain_step(session, &tree.steps[index], number, Phase::Change, place);
    data.before = typed(&tree.steps[index], given);
    data.expected = expected(session, id, place);
    Some(data)
}

/// What is expected of a step with the gauge at `place`.
pub fn expected(session: &Session, id: &str, place: Option<Place>) -> Option<Expected> {
    let tree = session.tree();
    let index = tree.step_index(id)?;
    let (read, _) = bare(&tree.steps[index], session.units())?;
    let expectation = session.expected(index, place).ok().flatten()?;
    Some(as_expected(session, read, &expectation))
}

fn as_expected(session: &Session, read: &Read, e: &Expectation) -> Expected {
    let reading = read.reading;
    let unit = bare_unit(reading, session.units());
    let width = match e.width {
        Width::Car => "as wide as the facts of this car are uncertain",
        Width::Practice => "as wide as common practice allows",
        Width::Instrument => "as wide as this gauge can prove",
        Width::Limits => "the limits of the test",
        Width::Ceiling => "up to where the test stops",
    };
    let sum = e.sum(unit);
    // The sum in short stands behind the band, as the parts of it that matter.
    let parts: Vec<String> = sum
        .iter()
        .filter(|(_, value, _)| value.split(' ').next() != Some("0"))
        .map(|(what, value, _)| format!("{what} {value}"))
        .collect();
    let mut sentence = format!("{}: {width}.", band(session, reading, &e.band));
    if !parts.is_empty() {
        sentence = format!("{}: {}; {width}.", band(session, reading, &e.band), parts.join(", "));
    }
    // A vacuum gauge counts down from the atmosphere: its scale runs the way it is read.
    let vacuum = vacuum_limits(reading, &e.band, &session.rig().car);
    let (low, high) = vacuum.unwrap_or((e.band.low, e.band.high));
    let (from, to) = match vacuum {
        Some(_) => (0.0, unit.from_si(deepest(e, session))),
        None => axis(read, e, unit),
    };
    Expected {
        band: band(session, reading, &e.band),
        sentence,
        sum,
        instrument: e.instrument_name(),
        vacuum: vacuum.is_some(),
        scale: Scale {
            from,
            to,
            low: low.map(|v| unit.from_si(v)),
            high: high.map(|v| unit.from_si(v)),
            unit: format!("{}{}", unit.symbol, if vacuum.is_some() { " vacuum" } else { "" }),
            marker: None,
            says: String::new(),
            role: Role::Text,
        },
        ceiling: e.ceiling.map(|c| show(c, unit, None, 3)),
    }
}

/// The most vacuum of the gauge's scale, or else that of the atmosphere, Pa.
fn deepest(e: &Expectation, session: &Session) -> f64 {
    let scale = e.instrument.range.map(|r| -r.low).filter(|low| *low > 0.0);
    scale.unwrap_or(session.rig().car.site.atmosphere.0)
}

/// The ends of the scale: the gauge's own where it has some, otherwise round numbers about the band. Fixed by the step, never by
/// the reading.
fn axis(read: &Read, e: &Expectation, unit: &Unit) -> (f64, f64) {
    if read.reading.dimension() == Dimension::Pressure
        && read.reading.datum() == ReadingDatum::Gauge
        && let Some(range) = e.instrument.range
    {
        return (unit.from_si(range.low), unit.from_si(range.high));
    }
    let ends = [e.band.low, e.band.high, e.band.expected].into_iter().flatten().map(|v| unit.from_si(v));
    let (low, high) = ends.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| (l.min(v), h.max(v)));
    if !low.is_finite() || !high.is_finite() {
        return (0.0, 1.0);
    }
    let round = |v: f64| {
        let step = 10f64.powf(v.abs().max(1e-6).log10().floor()) / 2.0;
        (v / step).ceil() * step
    };
    if read.reading.dimension() == Dimension::Share {
        let top = round(high.abs().max(low.abs()) * 2.5).max(25.0);
        return (-top, top);
    }
    let top = if high > 0.0 { round(high * 1.5) } else { 0.0 };
    let bottom = if low < 0.0 { -round(-low * 1.5) } else { 0.0 };
    (bottom, if top > bottom { top } else { bottom + 1.0 })
}

/// How far a value lies outside its band, in words; empty inside. Where limits are shown as vacuum, which way that is.
fn off_by(taken: &Taken, unit: &Unit, vacuum: bool) -> String {
    let by = |d: f64, way: &str| {
        let by = format!("by {} {unit}", figures(unit.difference(d), 2)).trim_end().to_owned();
        if vacuum { format!("{by}, {way} vacuum than expected") } else { by }
    };
    match (taken.band.low, taken.band.high) {
        (Some(low), _) if taken.si < low => by(low - taken.si, "more"),
        (_, Some(high)) if taken.si > high => by(taken.si - high, "less"),
        _ => String::new(),
    }
}

/// What a typed text would be.
pub fn echo(session: &Session, id: &str, text: &str, place: Option<Place>) -> Result<Echo, String> {
    let taken = session.preview_of(id, text, place).map_err(|e| e.to_string())?;
    let unit = bare_unit(taken.reading, session.units());
    let other = bare_unit(
        taken.reading,
        match session.units() {
            UnitSystem::Metric => UnitSystem::Us,
            UnitSystem::Us => UnitSystem::Metric,
        },
    );
    let car = &session.rig().car;
    let plain = |unit: &Unit| show(taken.si, unit, datum(taken.reading), 4);
    let own = vacuum(taken.reading, taken.si, unit, car, 4).unwrap_or_else(|| plain(unit));
    let also = vacuum_taken(&taken, other, car, 4).unwrap_or_else(|| plain(other));
    let text = if own == also { own } else { format!("{own} = {also}") };
    let judged = verdict(taken.verdict);
    let limits = vacuum_limits(taken.reading, &taken.band, car);
    let single = Band { low: Some(taken.si), high: None, expected: None };
    let at = match vacuum_limits(taken.reading, &single, car) {
        Some((_, Some(below))) if limits.is_some() => below,
        _ if limits.is_some() => 0.0,
        _ => taken.si,
    };
    Ok(Echo {
        text,
        at: Some(unit.from_si(at)),
        verdict: Some((judged, off_by(&taken, unit, limits.is_some()))),
    })
}

/// A reading as taken, in one line.
pub fn taken(session: &Session, taken: &Taken) -> String {
    let expected = band(session, taken.reading, &taken.band);
    if taken.verdict == tree::Verdict::Undecided {
        return format!(
            "Kept: {} is too near a limit of {expected} for this instrument to decide.",
            taken.said()
        );
    }
    let unit = bare_unit(taken.reading, session.units());
    let vacuum = vacuum_limits(taken.reading, &taken.band, &session.rig().car).is_some();
    let by = off_by(taken, unit, vacuum);
    let sure = taken.sure();
    let verdict = format!("{} {by}", verdict(taken.verdict).word());
    format!("Kept: {} is {}, {sure}; expected {expected}.", taken.said(), verdict.trim())
}

/// The reading or look that proved the repair, or did not.
fn proof(session: &Session) -> Option<(usize, &Given)> {
    let state = session.state();
    let finding = match (state.ending(), state.at()) {
        (Some(Ending::Finding { finding, confirmed: Some(_) }), _) => finding,
        (_, At::NotCured(finding)) => *finding,
        _ => return None,
    };
    let repeated = session.tree().findings[finding].confirm.as_ref()?.repeat;
    let mut after = state.record().skip(state.before_repair().count());
    after.rfind(|(index, given)| *index == repeated && !matches!(given, Given::Done))
}

/// What was done, newest first: what proved a repair, then each step as it was first given.
pub fn record(session: &Session) -> Vec<RecordLine> {
    let tree = session.tree();
    let put_off = session.state().parked();
    let numbers = session.state().numbers();
    let line = |way: Way, (index, given): (usize, &Given)| {
        let step = &tree.steps[index];
        let parked = way == Way::On && put_off.contains(&index);
        let (gave, judged, expected) = match given {
            Given::Done => ("done".to_owned(), None, None),
            Given::Read { taken } => {
                (taken.said(), Some(verdict(taken.verdict)), Some(band(session, taken.reading, &taken.band)))
            }
            Given::Answered { outcome, typed } => (
                match step.kind {
                    StepKind::Observe { observation, .. } if !observation.is_percentage() => {
                        words(observation, outcome)
                    }
                    _ => typed.clone(),
                },
                None,
                None,
            ),
            Given::Cannot { reason, note } => (
                note.as_ref()
                    .map_or_else(|| reason.name().to_owned(), |note| format!("{} ({note})", reason.name())),
                Some(instrument::Verdict::NotTested),
                None,
            ),
        };
        RecordLine {
            step: step.id.clone(),
            number: numbers.get(&index).copied().unwrap_or_default(),
            way,
            title: step.name().to_owned(),
            gave,
            verdict: judged,
            expected,
            parked,
            only_done: matches!(given, Given::Done),
        }
    };
    let state = session.state();
    let ahead = |index| walk::hindrance(tree, state, index) == Some(Hindrance::Given);
    let aside = |(index, given)| line(if ahead(index) { Way::Ahead } else { Way::Off }, (index, given));
    let mut lines: Vec<RecordLine> =
        state.path().map(|given| line(Way::On, given)).chain(state.set_aside().map(aside)).collect();
    // A step may be asked several times on one path; what stands later there came later.
    lines.reverse();
    lines.sort_by_key(|line| std::cmp::Reverse(line.number));
    lines.splice(0..0, proof(session).map(|given| line(Way::Proof, given)));
    lines
}

/// How the part at a spot stands, by the faults that sit there, and its probability.
fn stands(spot: Spot, outlook: &Outlook) -> (PartState, f64) {
    let here = |part: crate::terms::Part| Spot::of_part(part) == Some(spot);
    let all: Vec<_> = outlook.parts.iter().filter(|(part, _, _)| here(*part)).collect();
    let chance: f64 = all.iter().map(|(_, p, _)| p).sum();
    let state = if all.iter().any(|(_, _, s)| *s == Standing::Likely) {
        PartState::Likely
    } else if !all.is_empty() && all.iter().all(|(_, _, s)| *s == Standing::Cleared) {
        PartState::Cleared
    } else {
        PartState::Open
    };
    (state, chance)
}

/// The fuel circuit with the latest reading at each point, and the part the step is about.
pub fn circuit(session: &Session, outlook: Option<&Outlook>) -> Circuit {
    let rig = session.rig();
    let tree = session.tree();
    let readings: Vec<&Taken> = session
        .state()
        .path()
        .chain(proof(session))
        .filter_map(|(_, g)| if let Given::Read { taken } = g { Some(taken.as_ref()) } else { None })
        .collect();
    let open = session.state().open_step().map(|i| &tree.steps[i]);
    let asked = open.and_then(|s| if let StepKind::Read(read) = &s.kind { Some(read) } else { None });
    let place = match session.ask() {
        Ask::Step(view) | Ask::Confirm(_, view) | Ask::Undo(_, view) => view.place,
        _ => None,
    };
    let place = place.or_else(|| readings.iter().rev().find_map(|t| t.place));
    // Once a repair is proved nothing is suspected any more.
    let proved = matches!(session.state().ending(), Some(Ending::Finding { confirmed: Some(true), .. }));
    let mut circuit = plan::circuit(rig, place);
    circuit.remarks.clear();
    let here = asked.and_then(|r| plan::read_at(rig, r.reading, place, place));
    for (part, spot) in circuit.parts.iter_mut().zip(plan::spots(rig, place)) {
        let latest =
            readings.iter().rev().find(|t| plan::read_at(rig, t.reading, t.place, place) == Some(spot));
        part.reading = latest.map(|t| (t.said(), Some(verdict(t.verdict))));
        part.here = here == Some(spot);
        let is_part = spot != Spot::Gauge && spot != Spot::TankAgain;
        let is_part = is_part && !proved;
        let (state, chance) = outlook.map_or((PartState::Open, 0.0), |o| stands(spot, o));
        part.state = is_part.then_some(state);
        part.odds = (is_part && state == PartState::Likely).then(|| twentieths(chance));
    }
    circuit
}
