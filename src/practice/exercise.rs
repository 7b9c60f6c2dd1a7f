//! Which fault a trainee has to find.

use crate::faults::{CATALOGUE, applies, entry, likeliest, noticed};
use crate::rig::Rig;
use crate::session::{Bench, FaultyCar};
use crate::terms::{Fault, Tool};
use crate::tree::{StepKind, Tree};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

/// How hard an exercise is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Level {
    /// Common faults at their plainest; the expected range stands beside each reading.
    One,
    /// Less common faults of middling size; the expected range stands beside each reading.
    Two,
    /// Any fault, mild ones too; nothing is said of what a reading should be, and dear tools are not at hand.
    Three,
}

/// A fault of the catalogue less common than this is left to higher levels.
const COMMON: [f64; 3] = [3.0, 1.5, 0.0];
/// The part of the range of severities each level draws from.
const SIZES: [(f64, f64); 3] = [(0.8, 1.0), (0.4, 0.9), (0.0, 0.8)];
/// Tools a small workshop does not have (common practice).
const DEAR: [Tool; 4] = [Tool::Wideband, Tool::SmokeMachine, Tool::ClampMeter, Tool::SecondGauge];

impl Level {
    /// By its number, 1 to 3.
    pub fn of(number: u8) -> Option<Self> {
        match number {
            1 => Some(Self::One),
            2 => Some(Self::Two),
            3 => Some(Self::Three),
            _ => None,
        }
    }

    /// Whether the expected range is shown with each reading.
    pub fn shows_expected(self) -> bool {
        self != Self::Three
    }

    /// The tools at hand on this level; none: all of them.
    pub fn tools(self) -> Option<Vec<Tool>> {
        (self == Self::Three).then(|| Tool::ALL.iter().copied().filter(|t| !DEAR.contains(t)).collect())
    }
}

/// A fault put into a car.
#[derive(Debug, Clone, PartialEq)]
pub struct Exercise {
    /// The fault.
    pub fault: Fault,
    /// Its severity.
    pub severity: f64,
    /// Level.
    pub level: Level,
    /// What the draw and the noise of the instruments follow from.
    pub seed: u64,
    /// Tools at hand; none: all of them.
    pub tools: Option<Vec<Tool>>,
}

/// No fault of the tree can be found on this car with these tools.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NoExercise;

impl std::fmt::Display for NoExercise {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "expected a fault that this tree claims and this car can have, found none that a test with these tools would show; \
             choose another tree or rig, or name more tools"
        )
    }
}

impl std::error::Error for NoExercise {}

impl Exercise {
    /// Draws a fault that the tree claims, the car can have, somebody would notice, and a test with the tools at hand shows.
    ///
    /// # Errors
    /// [`NoExercise`] where there is none.
    pub fn draw(
        tree: &Tree,
        rig: &Rig,
        level: Level,
        tools: Option<Vec<Tool>>,
        seed: u64,
    ) -> Result<Self, NoExercise> {
        let tools = tools.or_else(|| level.tools());
        let mut rng = Pcg64::seed_from_u64(seed);
        let index = level as usize;
        let mut floor = COMMON[index];
        loop {
            let able: Vec<(Fault, f64, f64)> = CATALOGUE
                .iter()
                .filter(|e| tree.finds.contains(&e.fault) && e.fault != Fault::NoFault && e.prior >= floor)
                .filter(|e| applies(rig, e.fault).is_ok())
                .map(|e| (e.fault, draw_size(e.fault, SIZES[index], &mut rng), e.prior))
                .filter(|(f, s, _)| noticed(rig, *f, *s) && shown(tree, rig, *f, *s, tools.as_deref()))
                .collect();
            let total: f64 = able.iter().map(|a| a.2).sum();
            let mut left = rng.random::<f64>() * total;
            for (fault, severity, prior) in able {
                left -= prior;
                if left <= 0.0 {
                    return Ok(Self { fault, severity, level, seed, tools });
                }
            }
            // A tree of rare faults is practised on them at any level.
            if floor == 0.0 {
                return Err(NoExercise);
            }
            floor = 0.0;
        }
    }
}

fn draw_size(fault: Fault, (from, to): (f64, f64), rng: &mut Pcg64) -> f64 {
    let row = entry(fault);
    let (least, most) = row.severity;
    let size = least + (most - least) * (from + (to - from) * rng.random::<f64>());
    if row.two_sided && rng.random::<bool>() { -size } else { size }
}

/// Whether some test of the tree, with the tools at hand, gives another result than on a sound car.
fn shown(tree: &Tree, rig: &Rig, fault: Fault, severity: f64, tools: Option<&[Tool]>) -> bool {
    let at_hand = |t: &Tool| *t == Tool::Eyes || tools.is_none_or(|all| all.contains(t));
    let (Ok(sound), Ok(faulty)) = (FaultyCar::new(rig, &[]), FaultyCar::new(rig, &[(fault, severity)]))
    else {
        return false;
    };
    tree.steps.iter().filter(|s| s.undoes.is_none() && s.tools.iter().all(at_hand)).any(|step| {
        match &step.kind {
            StepKind::Read(r) => {
                let place = r.places.first().copied();
                let read = |car: &FaultyCar<'_>| car.read(r.reading, r.at, r.with, place);
                match (read(&sound), read(&faulty)) {
                    (Some(a), Some(b)) => (a - b).abs() > 0.1 * a.abs().max(b.abs()),
                    (None, None) => false,
                    _ => true,
                }
            }
            StepKind::Observe { observation, .. } => {
                likeliest(rig, Fault::NoFault, 0.0, *observation)
                    != likeliest(rig, fault, severity, *observation)
            }
            _ => false,
        }
    })
}
