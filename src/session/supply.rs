//! What the supply of a car can feed, as it is and as planned.

pub use crate::physics::Capacity;
use crate::physics::{self, Blend, Car, NoBalance, default_consumption};
use crate::quantity::Difference;
use crate::rig::Rig;
use crate::terms::Induction;

/// Changes planned on a car; what is none stays as it is.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Planned {
    /// Power at full load, W.
    pub power: Option<f64>,
    /// Ethanol in the fuel, 0 to 1.
    pub ethanol: Option<f64>,
    /// Boost at full load, Pa.
    pub boost: Option<f64>,
    /// How it breathes.
    pub induction: Option<Induction>,
}

impl Planned {
    /// The car of a rig with the changes made. A consumption that nobody stated follows induction and boost.
    pub fn on(&self, rig: &Rig) -> Car {
        let mut car = rig.car.clone();
        if let Some(power) = self.power {
            car.engine.power = power;
        }
        if let Some(ethanol) = self.ethanol {
            car.fuel = Blend::new(ethanol);
        }
        if let Some(boost) = self.boost {
            car.engine.boost = Difference(boost);
        }
        if let Some(induction) = self.induction {
            car.engine.induction = induction;
            if induction != Induction::DrawThrough {
                car.engine.blower_inlet = None;
            }
        }
        if (self.boost.is_some() || self.induction.is_some()) && rig.is_default("engine.consumption") {
            car.engine.consumption = default_consumption(car.engine.induction, car.engine.boost.0 > 0.0);
        }
        car
    }
}

/// How much power the supply feeds and what limits it.
///
/// # Errors
/// [`NoBalance`] where the model does not close.
pub fn supply(rig: &Rig) -> Result<Capacity, NoBalance> {
    physics::capacity(&rig.car)
}

/// The same with changes planned.
///
/// # Errors
/// [`NoBalance`] where the model does not close.
pub fn supply_planned(rig: &Rig, planned: &Planned) -> Result<Capacity, NoBalance> {
    physics::capacity(&planned.on(rig))
}

/// Shares of the power asked for at which [`supply_curve`] looks.
pub const SHARES: [f64; 5] = [0.5, 0.75, 1.0, 1.25, 1.5];

/// The supply at one power. Pressures in Pa gauge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AtPower {
    /// The power, W.
    pub power: f64,
    /// Rail pressure the supply could hold.
    pub given: f64,
    /// Rail pressure the regulator asks for.
    pub asked: f64,
    /// Injector duty, as a share.
    pub duty: f64,
}

/// The supply at each of [`SHARES`] of the power asked for, with the changes planned.
///
/// # Errors
/// [`NoBalance`] where the model does not close.
pub fn supply_curve(rig: &Rig, planned: &Planned) -> Result<Vec<AtPower>, NoBalance> {
    let car = planned.on(rig);
    SHARES
        .iter()
        .map(|share| {
            let power = car.engine.power * share;
            physics::supply_at_power(&car, power).map(|(given, asked, duty)| AtPower {
                power,
                given,
                asked,
                duty,
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rig(extra: &str) -> Rig {
        Rig::parse("test", &format!("format: 1\nrig: test car\n{extra}")).unwrap()
    }

    #[test]
    fn nothing_planned_changes_nothing() {
        let rig = rig("");
        assert_eq!(supply_planned(&rig, &Planned::default()).unwrap(), supply(&rig).unwrap());
    }

    #[test]
    fn a_blower_changes_a_consumption_nobody_stated_and_leaves_a_stated_one() {
        let blown =
            Planned { boost: Some(55_000.0), induction: Some(Induction::BlowThrough), ..Planned::default() };
        let free = rig("");
        assert!(blown.on(&free).engine.consumption > free.car.engine.consumption);
        let stated = rig("engine: {consumption: 0.5 lb/hp/h}\n");
        let same = blown.on(&stated).engine.consumption;
        assert!((same - stated.car.engine.consumption).abs() < 1e-15);
    }

    #[test]
    fn the_curve_meets_the_capacity_at_the_power_asked_for_and_falls_with_power() {
        let rig = rig("");
        let planned = Planned { power: Some(250e3), ethanol: Some(0.85), ..Planned::default() };
        let whole = supply_planned(&rig, &planned).unwrap();
        let curve = supply_curve(&rig, &planned).unwrap();
        assert_eq!((curve[2].given, curve[2].asked, curve[2].duty), (whole.given, whole.asked, whole.duty));
        for pair in curve.windows(2) {
            assert!(pair[1].power > pair[0].power && pair[1].given <= pair[0].given);
            assert!(pair[1].duty > pair[0].duty);
        }
    }
}
