//! A finding named before the tree comes to its end, and the test that is worth doing before its turn: what the odds advise.
//!
//! A tree asks in one order for every car. Where all that was seen names one part surely enough, what is left of the path tells
//! nothing more; where a test that lies ahead tells more a minute than the step that is open, it is done first. Both are offered,
//! never done unasked, and the proof walks proof cars in this way too (`prove/guided.rs`).

use super::error::SessionError;
use super::one::Session;
use super::unnamed::Unnamed;
use crate::belief::{Belief, Suggestion, Wanted};
use crate::terms::{Fault, Observation, Outcome, Part};
use crate::tree::{Finding, StepKind, Verdict};
use crate::walk::{self, At, Event, Given, Hindrance};

/// A part counts as found from this probability on. The odds alone, which ask in their own order, name a sound part on
/// three or four proof cars of a hundred at 0.9, on up to one and a half at 0.99, on none at 0.997 (`cargo bench --bench order`).
pub const SURE: f64 = 0.995;

/// Where the tree comes to an end that names no part, the odds alone name one from this probability on (common practice).
pub(super) const ALONE: f64 = 0.9;

/// A finding that may be named now.
#[derive(Debug, Clone, PartialEq)]
pub struct Conclusion {
    /// Index into the tree's findings.
    pub finding: usize,
    /// Its id.
    pub id: String,
    /// Its fault.
    pub fault: Fault,
    /// The probability of its part, 0 to 1.
    pub probability: f64,
    /// Whether the tree came to another end.
    pub instead: bool,
}

impl Session {
    /// The finding that everything seen names surely enough, or why there is none: before the tree comes to its end, to leave out what
    /// is left of the path; at an end, in place of it where the odds speak against it.
    ///
    /// # Errors
    /// [`Unnamed`], which says what stands against it.
    pub fn conclusion(&self, belief: &Belief) -> Result<Conclusion, Unnamed> {
        match self.state().at() {
            At::Step(_) => self.early(belief),
            At::Finding(_) | At::Handover(_) if self.state().concluded().is_none() => self.instead(belief),
            _ => Err(Unnamed::NotHere),
        }
    }

    /// Nothing where a single slip would change it, where something seen does not go with the rest, where nothing was measured, or where
    /// something is half done at the car or the repair could not be proved as it stands.
    fn early(&self, belief: &Belief) -> Result<Conclusion, Unnamed> {
        let (part, probability) = belief.part_odds().first().copied().ok_or(Unnamed::Unseen)?;
        if belief.evidence().next().is_none() {
            return Err(Unnamed::Unseen);
        }
        if part == Part::Nothing {
            return Err(Unnamed::Sound(probability));
        }
        if probability < SURE {
            return Err(Unnamed::NotSure(part, probability));
        }
        let misfit = belief.misfit();
        let named = |index: usize| belief.evidence().nth(index).map(|e| self.in_words(e)).unwrap_or_default();
        let again = || self.again(belief).is_some();
        if misfit.alarm {
            return Err(Unnamed::Unexplained);
        }
        if let Some(odd) = misfit.repeat() {
            return Err(Unnamed::Odd(named(odd), again()));
        }
        let odds = belief.odds();
        let likeliest = odds.iter().find(|(f, _)| f.part() == part).ok_or(Unnamed::Unseen)?;
        if let Some(fragile) = belief.fragile() {
            return Err(Unnamed::Hangs(named(fragile.evidence), fragile.instead, again()));
        }
        let finding = self.may_name(belief, likeliest.0)?;
        Ok(self.naming(finding, likeliest.0, probability, false))
    }

    /// What the odds name where the tree ends in something else. The tree says much by naming a part and little by naming none, for then
    /// a test may have been left out: the odds alone have to be surer.
    fn instead(&self, belief: &Belief) -> Result<Conclusion, Unnamed> {
        let against = self.against(belief).ok_or(Unnamed::EndStands(None))?;
        let likely = against.likely().filter(|f| f.part() != Part::Nothing);
        let fault = likely.ok_or(Unnamed::EndStands(None))?;
        let nothing = self.named().is_none_or(|named| named.iter().all(|f| f.part() == Part::Nothing));
        if nothing && against.probability < ALONE {
            return Err(Unnamed::EndStands(Some((fault, against.probability))));
        }
        if belief.misfit().alarm {
            return Err(Unnamed::Unexplained);
        }
        let finding = self.may_name(belief, fault)?;
        Ok(self.naming(finding, fault, against.probability, true))
    }

    fn naming(&self, finding: usize, fault: Fault, probability: f64, instead: bool) -> Conclusion {
        Conclusion { finding, id: self.tree().findings[finding].id.clone(), fault, probability, instead }
    }

    /// The tree's finding of a fault, if it may be named as the car stands: something was measured, a pressure for what nobody changes
    /// without one, not everything is in order, and nothing is half done.
    fn may_name(&self, belief: &Belief, fault: Fault) -> Result<usize, Unnamed> {
        let names = |f: &Finding| f.fault == fault || f.also.contains(&fault);
        let finding = self.tree().findings.iter().position(names).ok_or(Unnamed::NoFinding(fault))?;
        match belief.wanted_for(fault.part()) {
            Some(Wanted::Pressure) => return Err(Unnamed::NoPressure(fault)),
            Some(Wanted::Measurement) => return Err(Unnamed::Unmeasured(fault)),
            None => {}
        }
        if !self.out_of_order() {
            return Err(Unnamed::InOrder);
        }
        if walk::may_conclude(self.tree(), self.state(), finding) {
            return Ok(finding);
        }
        let hindered = walk::unready_for(self.tree(), self.state(), finding);
        Err(Unnamed::HalfDone(hindered.unwrap_or(Hindrance::Stands)))
    }

    /// Whether anything given lies outside its band, or was seen other than it should be. Where everything is in order nothing is
    /// named, however the odds add it up.
    fn out_of_order(&self) -> bool {
        let tree = self.tree();
        self.state().path().chain(self.state().set_aside()).any(|(index, given)| {
            match (&tree.steps[index].kind, given) {
                (StepKind::Read(_), Given::Read { taken }) => {
                    matches!(taken.verdict, Verdict::Low | Verdict::High)
                }
                (StepKind::Observe { observation, .. }, Given::Answered { outcome, .. }) => {
                    let work = *observation == Observation::RecentWork;
                    let told = observation.outcome(outcome).is_some_and(Outcome::tells);
                    !work && told && observation.outcomes().first().is_some_and(|sound| sound.id != outcome)
                }
                _ => false,
            }
        })
    }

    /// Names a finding before the tree comes to its end.
    ///
    /// # Errors
    /// As for [`Session::send`].
    pub fn conclude(&mut self, conclusion: &Conclusion) -> Result<(), SessionError> {
        let Conclusion { id, probability, .. } = conclusion;
        self.send(Event::Concluded { finding: id.clone(), probability: *probability })
    }

    /// What a finding says. One that was named before the tree came to its end says no more than the odds do: the tree's own words may
    /// rest on tests that were not done.
    pub fn says(&self, finding: &Finding) -> String {
        let index = self.tree().findings.iter().position(|f| f.id == finding.id);
        match self.state().concluded() {
            Some((named, probability)) if Some(named) == index => {
                let (name, sure) = (sentence(finding.fault.name()), thousandths(probability));
                let when = if self.state().concluded_instead() {
                    "in place of the end that the tree came to. Measure again after the repair before anything else is bought."
                } else {
                    "before the tree came to its end. What was left of it was not tested."
                };
                format!("{name}: named by all that was seen ({sure}), {when}")
            }
            _ => finding.says.clone(),
        }
    }

    /// Of `ranked` tests the one most worth doing before its turn: it may be done now, tells more a minute than the open step, and
    /// not much less than the best of all, which the path may have to be followed for.
    pub fn before_its_turn<'a>(&self, ranked: &'a [Suggestion]) -> Option<(&'a Suggestion, String)> {
        // What safety or the gauge's truth rests on comes before anything else.
        if self.state().open_step().is_some_and(|i| walk::never_waits(&self.tree().steps[i])) {
            return None;
        }
        let open = self.open_test();
        let own =
            open.and_then(|open| ranked.iter().find(|s| s.key == open)).map_or(0.0, |s| s.gain_per_minute);
        let least = ranked.first()?.gain_per_minute * NEARLY;
        let worth = |s: &&Suggestion| s.gain_per_minute > own && s.gain_per_minute >= least;
        let mut telling = ranked.iter().take_while(worth).filter(|s| s.gain_bits > TELLING);
        telling.find_map(|s| self.ahead_for(s.key).map(|step| (s, step)))
    }

    /// The open step, where it is a test that tells hardly anything after all that was seen, and hardly anything for its time beside the
    /// best of `ranked`. It may be put off: it is offered again once it would tell something. A step that changes something at
    /// the car, or that what is safe depends on, is none.
    pub fn may_wait(&self, ranked: &[Suggestion]) -> Option<String> {
        let step = &self.tree().steps[self.state().open_step()?];
        let open = self.open_test()?;
        // What was seen already, before its turn by another step, is asked again here: being asked twice is what catches a slip.
        let own = ranked.iter().find(|s| s.key == open)?;
        let best = ranked.first()?.gain_per_minute;
        let hardly = own.gain_bits < NOTHING && own.gain_per_minute < HARDLY * best;
        (hardly && walk::may_put_off(self.tree(), self.state())).then(|| step.id.clone())
    }
}

/// A test that may be done now is worth doing before one that tells more a minute, if it tells this share of it.
const NEARLY: f64 = 0.25;

/// A step that tells less than this, in bits, and this share of the best test for its time, may wait (both by trial on proof cars).
const NOTHING: f64 = 0.005;
const HARDLY: f64 = 0.03;

/// A probability where it matters how near to one it is. Never rounded up, so that what is not enough is not said with the figure it
/// lacks.
pub(super) fn thousandths(p: f64) -> String {
    let whole = (1_000.0 * p + 1e-9).floor();
    if whole < 1.0 {
        "under 1 in 1,000".to_owned()
    } else if whole >= 1_000.0 {
        "over 999 in 1,000".to_owned()
    } else {
        format!("{whole} in 1,000")
    }
}

/// With a capital letter.
fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// A test that tells less than this, in bits, is not worth leaving the order for.
const TELLING: f64 = 0.02;
