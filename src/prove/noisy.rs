//! Tier B: proof cars with every claimed fault and with faults of no catalogue, walked by three readers; what the odds and the
//! alarm say where each walk ends.

use super::car::ProofCar;
use super::guided::{Guided, guided};
use super::noise_free::{Injected, Outcome};
use super::tally::{Doubts, TreeTally};
use super::unit::{Effort, METER_ONLY, draw, last_is_reading, mix, number};
use super::unlisted::Unlisted;
use super::walker::{Walker, fine};
use crate::belief::{self, Belief, Evidence, Key, Particles};
use crate::faults::applies;
use crate::rig::Rig;
use crate::session::{Against, Bench, Session, instrument_for};
use crate::terms::{Condition, Fault, Part, Reading, Tool};
use crate::tree::Tree;
use rayon::prelude::*;
use std::sync::Arc;

/// Readings that a careful workshop takes of every car.
const USUAL: &[(Reading, Condition)] = &[
    (Reading::RailPressure, Condition::Prime),
    (Reading::RailPressure, Condition::Idle),
    (Reading::RailPressure, Condition::Raised),
    (Reading::RailPressure, Condition::Load),
    (Reading::PumpVoltage, Condition::Prime),
    (Reading::PumpVoltage, Condition::Load),
    (Reading::PumpCurrent, Condition::Prime),
    (Reading::PumpCurrent, Condition::Load),
    (Reading::BatteryVoltage, Condition::Prime),
    (Reading::BatteryVoltage, Condition::Idle),
    (Reading::ReturnFlow, Condition::Prime),
    (Reading::ManifoldPressure, Condition::Idle),
    (Reading::SensedPressure, Condition::Prime),
    (Reading::SensedPressure, Condition::Idle),
    (Reading::SensedPressure, Condition::Raised),
    (Reading::Trim, Condition::Idle),
    (Reading::Trim, Condition::Raised),
    (Reading::Lambda, Condition::Load),
];

/// Most readings that are taken again where something does not go with the rest, and most of one piece: three of four then agree.
const MOST_REPEATS: usize = 12;
const MOST_OF_ONE: usize = 3;

/// What the odds and the alarm say at the end of one walk.
struct Said {
    against: Option<Against>,
    /// Place of the part at fault among the parts by their odds.
    place: usize,
    alarm: bool,
    /// The usual readings taken too.
    alarm_full: bool,
}

impl Said {
    fn of(session: &Session, rig: &Rig, car: &ProofCar, particles: &Arc<Particles>, part: Part) -> Self {
        let mut belief = session.belief(particles);
        let against = session.against(&belief);
        let place = belief.part_odds().iter().position(|p| p.0 == part).unwrap_or(usize::MAX);
        let alarm = alarm(rig, car, &mut belief);
        usual(rig, car, &mut belief);
        let alarm_full = self::alarm(rig, car, &mut belief);
        Self { against, place, alarm, alarm_full }
    }

    fn count(&self, outcome: &Outcome, doubts: &mut Doubts) {
        let right = fine(outcome);
        let named = outcome.wrong() || (outcome.injected.fault == Fault::NoFault && outcome.detected());
        if right {
            doubts.right.count(self.against.is_some());
        } else if named {
            doubts.wrong.count(self.against.is_some());
        }
        match &self.against {
            None => doubts.heeded.count(right, named),
            Some(against) => {
                let likely = against.likely().map(Fault::part);
                let part = outcome.injected.fault.part();
                let wrong = likely.is_some_and(|l| l != part && l != Part::Nothing);
                doubts.heeded.count(likely == Some(part), wrong);
            }
        }
        doubts.listed.count(self.alarm);
        doubts.full_listed.entry(outcome.injected.fault).or_default().count(self.alarm_full);
        doubts.first.count(self.place == 0);
        doubts.three.count(self.place < 3);
    }
}

/// Takes the usual readings that the walk did not take.
fn usual(rig: &Rig, car: &ProofCar, belief: &mut Belief) {
    let done: Vec<Key> = belief.evidence().filter_map(Evidence::key).collect();
    for &(reading, condition) in USUAL.iter().filter(|(r, c)| !done.contains(&Key::Reading(*r, *c))) {
        let Some((tool, _)) = belief::instrument(rig, reading, 0.0) else { continue };
        match read(rig, car, reading, condition, tool) {
            Some(evidence) => {
                belief.take(evidence);
            }
            None if condition == Condition::Idle && reading == Reading::RailPressure => {
                belief.take(Evidence::DoesNotRun { condition });
            }
            None => {}
        }
    }
}

fn read(rig: &Rig, car: &ProofCar, reading: Reading, condition: Condition, tool: Tool) -> Option<Evidence> {
    let si = car.read(reading, condition, tool, None)?;
    let instrument = instrument_for(rig, tool, reading);
    let at_least = instrument.range.is_some_and(|r| si >= r.high);
    let uncertainty = instrument.uncertainty(si);
    Some(Evidence::Reading { reading, condition, si, uncertainty, tool, at_least, times: 1 })
}

/// Does what the program asks for where something does not go with the rest: reads it again, and keeps the last reading, as read
/// once more where both are alike. Returns whether the alarm stands then.
fn alarm(rig: &Rig, car: &ProofCar, belief: &mut Belief) -> bool {
    let mut misfit = belief.misfit();
    let mut done = Vec::new();
    for _ in 0..MOST_REPEATS {
        let times = |i: &usize| done.iter().filter(|d| *d == i).count();
        let Some(index) = misfit.repeats().find(|i| times(i) < MOST_OF_ONE) else { break };
        done.push(index);
        let again = match belief.evidence().nth(index) {
            Some(Evidence::Reading { reading, condition, si, uncertainty, tool, times: before, .. }) => {
                let (si, half, before) = (*si, 2.0 * uncertainty.total(), *before);
                let mut second = read(rig, car, *reading, *condition, *tool);
                if let Some(Evidence::Reading { si: now, times, .. }) = &mut second {
                    *times = if (*now - si).abs() <= half { before + 1 } else { 1 };
                }
                second
            }
            Some(Evidence::Observation { observation, outcome: before, times }) => {
                let outcome = car.observe(*observation).id.to_owned();
                let times = if outcome == *before { times + 1 } else { 1 };
                Some(Evidence::Observation { observation: *observation, outcome, times })
            }
            _ => None,
        };
        let Some(again) = again else { break };
        belief.replace(index, again);
        misfit = belief.misfit();
    }
    misfit.alarm
}

/// What was seen of one proof car.
struct Noisy {
    full: (Outcome, Said),
    careful: (Outcome, Said),
    advised: Guided,
    /// The same with a reader who slips.
    advised_slipping: Guided,
    metered: Outcome,
}

/// Counts proof cars with every claimed fault and with faults of no catalogue.
pub(super) fn noisy(
    tree: &Arc<Tree>,
    rig: &Arc<Rig>,
    claimed: &[Fault],
    effort: Effort,
    tally: &mut TreeTally,
) {
    let particles = Arc::new(Particles::draw(rig, effort.particles, effort.seed));
    let name = number(&rig.name);
    let jobs: Vec<(Fault, u64)> = claimed
        .iter()
        .filter(|f| applies(rig, **f).is_ok())
        .flat_map(|f| (0..effort.samples).map(move |s| (*f, s)))
        .collect();
    let walked: Vec<Option<Noisy>> = jobs
        .into_par_iter()
        .map_init(
            || Walker::new(tree, rig),
            |walker, (fault, sample)| {
                let car = draw(rig, fault, &[name, fault as u64, sample], effort.seed)?;
                let (fault, severity) = car.fault();
                let injected = Injected { fault, severity };
                let metered = walker.on(&car, injected, Some(METER_ONLY), None);
                car.forget();
                let mut walk = |car: &ProofCar| {
                    let outcome = walker.on(car, injected, None, None);
                    let said = Said::of(walker.session()?, rig, car, &particles, fault.part());
                    Some((outcome, said))
                };
                let full = walk(&car)?;
                car.forget();
                let advised_slipping = guided(tree, rig, &particles, &car, injected, None);
                let car = car.carefully();
                let careful = walk(&car)?;
                car.forget();
                let advised = guided(tree, rig, &particles, &car, injected, None);
                Some(Noisy { full, careful, advised, advised_slipping, metered })
            },
        )
        .collect();
    for Noisy { full, careful, advised, advised_slipping, metered } in walked.into_iter().flatten() {
        let fault = metered.injected.fault;
        let count = |cells: &mut super::tally::Cells, o: &Outcome| {
            cells.entry(fault).or_default().count(o, &o.parts(), last_is_reading(tree, o));
        };
        count(&mut tally.noisy, &full.0);
        count(&mut tally.careful, &careful.0);
        count(&mut tally.noisy_meter, &metered);
        let led = |cells: &mut super::tally::Cells, g: &Guided| {
            cells.entry(fault).or_default().count(&g.outcome, &g.outcome.parts(), g.by_reading);
        };
        led(&mut tally.advised, &advised);
        led(&mut tally.advised_slipping, &advised_slipping);
        tally.early.count(advised.early);
        full.1.count(&full.0, &mut tally.doubts);
        careful.1.count(&careful.0, &mut tally.doubts_careful);
    }
    unlisted(tree, rig, &particles, effort, tally);
}

/// Faults of no catalogue: whether the alarm rings.
fn unlisted(
    tree: &Arc<Tree>,
    rig: &Arc<Rig>,
    particles: &Arc<Particles>,
    effort: Effort,
    tally: &mut TreeTally,
) {
    let name = number(&rig.name);
    let strange: Vec<(Unlisted, u64)> =
        Unlisted::ALL.iter().flat_map(|u| (0..effort.samples).map(move |s| (*u, s))).collect();
    let alarms: Vec<Option<(Unlisted, [Said; 2])>> = strange
        .into_par_iter()
        .map_init(
            || Walker::new(tree, rig),
            |walker, (unlisted, sample)| {
                let seed = mix(effort.seed, &[3, name, unlisted as u64, sample]);
                let car = ProofCar::unlisted(rig, unlisted, seed).ok()?;
                let mut walk = |car: &ProofCar| {
                    walker.on(car, Injected { fault: Fault::NoFault, severity: 0.0 }, None, None);
                    Some(Said::of(walker.session()?, rig, car, particles, Part::Nothing))
                };
                let slipping = walk(&car)?;
                Some((unlisted, [slipping, walk(&car.carefully())?]))
            },
        )
        .collect();
    for (unlisted, said) in alarms.into_iter().flatten() {
        for (said, doubts) in said.into_iter().zip([&mut tally.doubts, &mut tally.doubts_careful]) {
            doubts.full_unlisted.entry(unlisted.id().to_owned()).or_default().count(said.alarm_full);
            doubts.unlisted.entry(unlisted.id().to_owned()).or_default().count(said.alarm);
        }
    }
}
