//! What each station of the induction path sees.

use super::car::Car;
use crate::quantity::{Absolute, Difference};
use crate::terms::{Condition, Induction, Station, Tip};

/// Pressure at every station.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stations {
    /// The local atmosphere.
    pub open: Absolute,
    /// Before the throttle plates.
    pub before: Absolute,
    /// Right behind them.
    pub behind: Absolute,
    /// What the cylinders breathe.
    pub plenum: Absolute,
}

impl Stations {
    /// Pressure at one station.
    pub fn at(&self, station: Station) -> Absolute {
        match station {
            Station::Open => self.open,
            Station::BeforePlates => self.before,
            Station::BehindPlates => self.behind,
            Station::Plenum => self.plenum,
        }
    }

    /// Pressure where the injector's tip is.
    pub fn tip(&self, tip: Tip) -> Absolute {
        match tip {
            Tip::AbovePlates => self.before,
            Tip::BelowPlates => self.behind,
            Tip::Port => self.plenum,
        }
    }
}

/// The stations of `car` in a condition.
pub fn stations(car: &Car, condition: Condition) -> Stations {
    let atmosphere = car.site.atmosphere;
    let engine = &car.engine;
    let inlet = engine.blower_inlet.as_ref();
    let (plenum, blower_inlet) = match condition {
        Condition::Idle => (engine.idle.manifold, inlet.map(|b| b.idle)),
        Condition::Raised => (engine.raised.manifold, inlet.map(|b| b.raised)),
        Condition::Cruise => (engine.cruise.manifold, inlet.map(|b| b.cruise)),
        Condition::Load => {
            let plenum = atmosphere - engine.intake_loss + engine.boost;
            (plenum, Some(inlet.map_or(atmosphere - Difference(5_000.0), |b| b.load)))
        }
        _ => (atmosphere, None),
    };
    let boosting = condition == Condition::Load;
    let before = match engine.induction {
        Induction::BlowThrough if boosting => atmosphere + engine.boost,
        _ => atmosphere,
    };
    let behind = match engine.induction {
        Induction::DrawThrough => blower_inlet.unwrap_or(plenum),
        _ => plenum,
    };
    Stations { open: atmosphere, before, behind, plenum }
}

/// Where the regulator's reference belongs, so that the difference across the injector stays constant.
pub fn needed_reference(tip: Tip, induction: Induction) -> Station {
    match (tip, induction) {
        (Tip::AbovePlates, Induction::BlowThrough) => Station::BeforePlates,
        (Tip::AbovePlates, _) => Station::Open,
        (Tip::BelowPlates, _) => Station::BehindPlates,
        (Tip::Port, _) => Station::Plenum,
    }
}
