//! Proof cars: cars that differ from the model in structure, not only in numbers, read by a person with real instruments.
//!
//! A proof on the model's own cars would only show that the model agrees with itself. These have another pump law (a parabola
//! through the curve, and a motor that needs some volts before it turns), a regulator with hysteresis, a gauge that lags and
//! feels the pulsation, sensors with offsets, a controller that has not learned all of its trim, and fuel a little other than
//! stated. Severities lean to the mild end, the rig's unknowns are drawn flat instead of normal, looks answer with perturbed
//! probabilities, and the reader slips in two to four of a hundred. All sizes are common practice.
//!
//! What a look shows is a property of the car and stays. A slip belongs to one asking: whoever is asked the same thing again by
//! another step repeats an earlier slip with the probability that NUREG/CR-1278 gives for moderate dependence, (1 + 6p)/7 (from
//! memory), and otherwise answers anew. A leak is answered once for all.

use super::unlisted::Unlisted;
use crate::faults::{CannotApply, GaugeError, can_show, change, entry, gauge_error, shows};
use crate::physics::{Car, Solution, solve};
use crate::quantity::Dimension;
use crate::rig::{Rig, spreads};
use crate::session::{Bench, instrument_for, seen_at};
use crate::terms::{Condition, Fault, Observation, Outcome, Place, Reading, Tool};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;
use std::cell::RefCell;
use std::collections::BTreeMap;

/// How this car differs from the model.
#[derive(Debug, Clone, Copy)]
struct Twist {
    /// Volts before the pump turns.
    threshold: f64,
    /// Half the regulator's hysteresis, as a share of its set pressure.
    hysteresis: f64,
    /// What the gauge shows too little on prime, where it still creeps up.
    lag: f64,
    /// What the pulsation adds to the pointer's mean, Pa.
    pulsation: f64,
    /// Offset of the load sensor, Pa.
    sensed: f64,
    /// Offset of the lambda sensor.
    lambda: f64,
    /// Share of its trim the controller has learned.
    learned: f64,
    /// Volts lost in the meter's leads and clips.
    leads: f64,
    /// Share of readings and answers that are slips.
    slips: f64,
}

/// One proof car.
#[derive(Debug)]
pub struct ProofCar<'a> {
    rig: &'a Rig,
    fault: Fault,
    severity: f64,
    unlisted: Option<Unlisted>,
    car: Car,
    gauge: GaugeError,
    twist: Twist,
    /// By tool: the instrument's bias as a share of what its class allows, −1 to 1.
    biases: Vec<f64>,
    /// What a careful look would answer.
    answers: BTreeMap<Observation, &'static Outcome>,
    /// What this reader answered last, where he was asked already.
    asked: RefCell<BTreeMap<Observation, &'static Outcome>>,
    careful: bool,
    rng: RefCell<Pcg64>,
    /// The noise as it was before the first reading.
    start: Pcg64,
    solved: RefCell<BTreeMap<Condition, Option<Solution>>>,
}

impl<'a> ProofCar<'a> {
    /// A car of `rig` with a fault of the catalogue, its severity drawn anew.
    ///
    /// # Errors
    /// [`CannotApply`] where the fault can't be in this car.
    pub fn draw(rig: &'a Rig, fault: Fault, seed: u64) -> Result<Self, CannotApply> {
        let mut rng = Pcg64::seed_from_u64(seed);
        let row = entry(fault);
        let (least, most) = row.severity;
        // Mild cases come to the workshop more often than wrecks.
        let size = least + (most - least) * rng.random::<f64>().powf(1.3);
        let severity = if row.two_sided && rng.random::<bool>() { -size } else { size };
        Self::build(rig, fault, severity, None, rng)
    }

    /// A car of `rig` with a fault that is in no catalogue.
    ///
    /// # Errors
    /// Never but for a rig that can't be without fault.
    pub fn unlisted(rig: &'a Rig, unlisted: Unlisted, seed: u64) -> Result<Self, CannotApply> {
        Self::build(rig, Fault::NoFault, 0.0, Some(unlisted), Pcg64::seed_from_u64(seed))
    }

    fn build(
        rig: &'a Rig,
        fault: Fault,
        severity: f64,
        unlisted: Option<Unlisted>,
        mut rng: Pcg64,
    ) -> Result<Self, CannotApply> {
        let mut flat = |half: f64| half * (2.0 * rng.random::<f64>() - 1.0);
        let mut car = rig.car.clone();
        for (spread, multiple) in spreads(rig) {
            (spread.shift)(&mut car, flat(1.5) * multiple);
        }
        parabola(&mut car);
        car.tank.0 += flat(1_000.0);
        car.reid *= 1.0 + flat(0.1);
        let twist = Twist {
            threshold: 1.0 + flat(0.7),
            hysteresis: 0.006 + flat(0.006),
            lag: 0.004 + flat(0.004),
            pulsation: flat(1_500.0),
            sensed: flat(900.0),
            lambda: flat(0.012),
            learned: 0.96 + flat(0.04),
            leads: 0.02 + flat(0.02),
            slips: 0.03 + flat(0.01),
        };
        let biases = Tool::ALL.iter().map(|_| flat(1.0)).collect();
        change(rig, fault, severity, &mut car)?;
        let answers =
            Observation::ALL.iter().map(|o| (*o, answer(rig, fault, severity, *o, &mut rng))).collect();
        Ok(Self {
            rig,
            fault,
            severity,
            unlisted,
            gauge: gauge_error(rig, fault, severity),
            car,
            twist,
            biases,
            answers,
            asked: RefCell::default(),
            careful: false,
            start: rng.clone(),
            rng: RefCell::new(rng),
            solved: RefCell::default(),
        })
    }

    /// The same car with a reader who never slips; instruments and answers are as noisy as before.
    pub fn carefully(mut self) -> Self {
        self.careful = true;
        self
    }

    /// Lets another reader come, who was not asked anything yet.
    pub fn forget(&self) {
        self.asked.borrow_mut().clear();
    }

    /// As before the first reading: the same noise and the same slips come again, and no reader was asked anything yet. What is solved
    /// stays solved.
    pub fn rewind(&self) {
        self.forget();
        *self.rng.borrow_mut() = self.start.clone();
    }

    /// What was put in.
    pub fn fault(&self) -> (Fault, f64) {
        (self.fault, self.severity)
    }

    /// The car as it is in one condition.
    fn at(&self, condition: Condition) -> Car {
        let mut car = self.car.clone();
        let (v, rated) = (car.wiring.system(condition), car.pump.rated);
        let turns = ((v - self.twist.threshold) / (rated - self.twist.threshold)).max(0.0);
        car.pump.speed *= turns / (v / rated).max(1e-6);
        // With the flow rising into the regulator it opens late, with the flow taken by the engine it closes late.
        let side = if condition == Condition::Load { -1.0 } else { 1.0 };
        car.regulator.set.0 *= 1.0 + side * self.twist.hysteresis;
        if let Some(unlisted) = self.unlisted {
            unlisted.act(&mut car, condition);
        }
        car
    }

    fn value(&self, reading: Reading, at: Condition) -> Option<f64> {
        let mut solved = self.solved.borrow_mut();
        let solution = solved.entry(at).or_insert_with(|| solve(&self.at(at), at).ok());
        let solution = solution.as_ref()?;
        (solution.runs != Some(false)).then(|| solution.get(reading)).flatten()
    }
}

impl Bench for ProofCar<'_> {
    fn read(&self, reading: Reading, at: Condition, with: Tool, place: Option<Place>) -> Option<f64> {
        let style = self.car.regulator.style;
        if at == Condition::Pinched && !style.has_return() {
            return None;
        }
        let mut value = self.value(seen_at(reading, place, style), at)?;
        let on_gauge = with == Tool::PressureGauge && reading.dimension() == Dimension::Pressure;
        if on_gauge {
            value = value * self.gauge.factor + self.gauge.offset;
            if at.pressurises() && value > 50e3 {
                value += self.twist.pulsation;
            }
            if at == Condition::Prime {
                value *= 1.0 - self.twist.lag;
            }
        }
        match reading {
            Reading::SensedPressure => value += self.twist.sensed,
            Reading::Lambda => value += self.twist.lambda,
            Reading::Trim => value *= self.twist.learned,
            Reading::PumpVoltage => value = (value - self.twist.leads).max(0.0),
            _ => {}
        }
        let instrument = instrument_for(self.rig, with, reading);
        let mut rng = self.rng.borrow_mut();
        value += self.biases[with as usize] * instrument.half_width(value);
        value += normal(&mut rng) * 0.5 * instrument.resolution;
        if rng.random::<f64>() < self.twist.slips && !self.careful {
            // A slip of the eye: a numbered mark too far, up or down.
            value *= if rng.random::<bool>() { 1.1 } else { 0.9 };
        }
        if instrument.resolution > 0.0 {
            value = (value / instrument.resolution).round() * instrument.resolution;
        }
        if matches!(reading.dimension(), Dimension::Current | Dimension::VolumeFlow) {
            // Neither a clamp on one wire nor a container shows less than nothing.
            value = value.max(0.0);
        }
        Some(instrument.range.map_or(value, |r| value.clamp(r.low, r.high)))
    }

    fn observe(&self, observation: Observation) -> &'static Outcome {
        let outcomes = observation.outcomes();
        let shown = self.answers.get(&observation).copied().unwrap_or(&outcomes[0]);
        if self.careful {
            return shown;
        }
        let p = self.twist.slips;
        let mut asked = self.asked.borrow_mut();
        let before = asked.get(&observation).copied();
        let mut rng = self.rng.borrow_mut();
        let given = match before {
            Some(before) if observation == Observation::FuelSmellOrLeak => before,
            Some(before) if before != shown && rng.random::<f64>() < (1.0 + 6.0 * p) / 7.0 => before,
            Some(before) if before != shown => shown,
            _ if rng.random::<f64>() < p => {
                let n = outcomes.len();
                let at = outcomes.iter().position(|o| o == shown).unwrap_or(0);
                let slipped = &outcomes[(at + 1 + rng.random_range(0..n - 1)) % n];
                // Nobody takes for seen what this car can't show.
                if can_show(self.rig, observation, slipped.id) { slipped } else { shown }
            }
            _ => shown,
        };
        asked.insert(observation, given);
        given
    }

    fn ethanol(&self) -> f64 {
        // The line in the cylinder is read to two percent.
        let mut rng = self.rng.borrow_mut();
        (self.car.fuel.ethanol + 0.02 * normal(&mut rng)).clamp(0.0, 1.0)
    }
}

/// Twelve uniform numbers less six: near enough to normal for noise.
fn normal(rng: &mut Pcg64) -> f64 {
    (0..12).map(|_| rng.random::<f64>()).sum::<f64>() - 6.0
}

/// Replaces the straight pieces of the pump's curve by the parabola through its first, middle and last point.
fn parabola(car: &mut Car) {
    let curve = &mut car.pump.curve;
    let (Some(first), Some(last)) = (curve.first().copied(), curve.last().copied()) else { return };
    let middle = curve[curve.len() / 2];
    if curve.len() < 4 {
        return;
    }
    let weight = |x: f64, at: f64, a: f64, b: f64| (x - a) * (x - b) / ((at - a) * (at - b));
    let through = |x: f64| {
        first.flow * weight(x, first.rise, middle.rise, last.rise)
            + middle.flow * weight(x, middle.rise, first.rise, last.rise)
            + last.flow * weight(x, last.rise, first.rise, middle.rise)
    };
    for point in curve.iter_mut() {
        point.flow = through(point.rise);
    }
}

/// The answer a careful look would give: the catalogue's probabilities without its share of slips, their log odds shifted at
/// random.
fn answer(
    rig: &Rig,
    fault: Fault,
    severity: f64,
    observation: Observation,
    rng: &mut Pcg64,
) -> &'static Outcome {
    /// Share of slips in the catalogue's probabilities.
    const COUNTED: f64 = 0.02;
    let outcomes = observation.outcomes();
    let n = outcomes.len();
    let mut p: Vec<f64> = shows(rig, fault, severity, observation)
        .into_iter()
        .map(|p| ((p - COUNTED / n as f64) / (1.0 - COUNTED)).clamp(0.0, 1.0))
        .collect();
    let best = p.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1)).map_or(0, |(i, _)| i);
    let rest = 1.0 - p[best];
    let shift = (0.4 * normal(rng)).exp();
    if rest > 1e-9 {
        let odds = p[best] / rest * shift;
        let chance = odds / (1.0 + odds);
        for (i, value) in p.iter_mut().enumerate() {
            *value = if i == best { chance } else { *value / rest * (1.0 - chance) };
        }
    }
    let mut left: f64 = rng.random();
    let shown = p.iter().position(|p| {
        left -= p;
        left <= 0.0
    });
    let shown = &outcomes[shown.unwrap_or(best)];
    if can_show(rig, observation, shown.id) { shown } else { &outcomes[best] }
}
