//! The car under test: from a rig file to checked parameters, with every default marked as one.
//!
//! In: YAML text (the caller reads the file). Out: a [`Rig`]: the model's [`Car`], the instruments, and for each key what was
//! stated or taken as default; or a [`RigError`] with everything wrong, its place and its remedy. This room knows nothing of
//! faults, trees or screens.

mod build;
mod draft;
mod explained;
mod fields;
mod problem;
mod read;
mod uncertain;
mod values;

pub use draft::{RigDraft, name_in};
pub use explained::explained;
pub use fields::{FIELDS, Field, Kind, dash_bore, field, label};
pub use problem::{Problem, RigError};
pub use read::{RigText, Value};
pub use uncertain::{SPREADS, Spread, spread_of, spreads, tolerance};

use crate::instrument::Instrument;
use crate::physics::Car;
use crate::quantity::{UnitSystem, unit};
use crate::terms::Tool;

/// One key of the rig as used.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Fact {
    /// Dotted path of the key.
    pub path: String,
    /// The value as written, or the default as text.
    pub text: String,
    /// Whether nobody stated it.
    pub default: bool,
}

/// What is measured with.
#[derive(Debug, Clone, PartialEq)]
pub struct Instruments {
    /// Fuel pressure gauge.
    pub pressure: Instrument,
    /// Vacuum and boost gauge.
    pub vacuum: Instrument,
    /// Multimeter on volts.
    pub meter: Instrument,
    /// Clamp meter.
    pub clamp: Instrument,
}

/// A checked car.
#[derive(Debug, Clone, PartialEq)]
pub struct Rig {
    /// Its name.
    pub name: String,
    /// The model's parameters.
    pub car: Car,
    /// Every key with its value, in the order of the rig file.
    pub facts: Vec<Fact>,
    /// The instruments.
    pub instruments: Instruments,
    /// Tools at hand, if the rig file says; otherwise all are taken to be.
    pub tools: Option<Vec<Tool>>,
}

impl Rig {
    /// Builds a rig from what was read.
    ///
    /// # Errors
    /// Everything that is wrong with its values, at once.
    pub fn build(text: &RigText) -> Result<Self, RigError> {
        values::Builder::new(text).build()
    }

    /// Reads and builds a rig; `source` names it in messages.
    ///
    /// # Errors
    /// Everything that is wrong with it, at once.
    pub fn parse(source: &str, text: &str) -> Result<Self, RigError> {
        Self::build(&RigText::parse(source, text)?)
    }

    /// The same car with other instruments: keys under `instruments` with their texts; what is not among them stays. What changes gets
    /// its range in its name, so that a record tells one gauge from the next by what is printed on it.
    ///
    /// # Errors
    /// Everything that is wrong with the texts, and any other key.
    pub fn with_instruments(&self, changed: &[(String, String)]) -> Result<Self, RigError> {
        let mine = |path: &str| path.starts_with("instruments.") && field(path).is_some();
        let mut draft = RigDraft::default();
        for fact in self.facts.iter().filter(|f| mine(&f.path) && !f.default) {
            draft.set(&fact.path, &fact.text);
        }
        if let Some((path, text)) = changed.iter().find(|(path, _)| !mine(path)) {
            return Err(RigError::no_such_instrument(path, text));
        }
        for (path, text) in changed {
            draft.set(path, text);
        }
        let mut built = draft.rig()?;
        let mut rig = self.clone();
        let text = |path: &str| built.facts.iter().find(|f| f.path == path).map(|f| f.text.clone());
        let pairs = [
            (&mut built.instruments.pressure, &self.instruments.pressure, "pressure"),
            (&mut built.instruments.vacuum, &self.instruments.vacuum, "vacuum"),
            (&mut built.instruments.meter, &self.instruments.meter, "meter"),
            (&mut built.instruments.clamp, &self.instruments.clamp, "clamp"),
        ];
        for (new, old, group) in pairs {
            let as_before = Instrument { name: old.name.clone(), ..new.clone() };
            if as_before == *old {
                new.name.clone_from(&old.name);
                continue;
            }
            if let Some(range) = text(&format!("instruments.{group}.range")) {
                new.name = format!("{} {}", new.name, range.replace("..", " to "));
            }
            // Same range and accuracy: what parts the two is how finely they are read.
            if new.name == old.name && new.accuracy == old.accuracy {
                let step = ["graduation", "resolution"]
                    .iter()
                    .find_map(|k| text(&format!("instruments.{group}.{k}")));
                new.name = format!("{} read to {}", new.name, step.unwrap_or_default());
            }
        }
        rig.car.gauge_top = built.car.gauge_top;
        rig.instruments = built.instruments;
        for fact in rig.facts.iter_mut().filter(|f| mine(&f.path)) {
            if let Some(new) = built.facts.iter().find(|f| f.path == fact.path) {
                fact.clone_from(new);
            }
        }
        Ok(rig)
    }

    /// The units the car's own gauge is written in, or else those of its set pressure; none where nobody stated either.
    pub fn units(&self) -> Option<UnitSystem> {
        ["instruments.pressure.range", "regulator.set"].into_iter().find_map(|path| {
            let stated = self.facts.iter().find(|f| f.path == path && !f.default)?;
            let start =
                stated.text.rfind(|c: char| c.is_ascii_digit() || c.is_whitespace()).map_or(0, |at| at + 1);
            let symbol = unit(stated.text.get(start..)?.trim())?.symbol;
            Some(if matches!(symbol, "psi" | "inHg") { UnitSystem::Us } else { UnitSystem::Metric })
        })
    }

    /// Whether a key was left to its default.
    pub fn is_default(&self, path: &str) -> bool {
        self.facts.iter().any(|f| f.path == path && f.default)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_units_of_a_car_are_those_its_gauge_or_its_set_pressure_is_written_in() {
        let of = |text: &str| Rig::parse("car", &format!("format: 1\n{text}")).unwrap().units();
        assert_eq!(
            of("instruments: {pressure: {range: 0..60 psi}}\nregulator: {set: 4 bar}"),
            Some(UnitSystem::Us)
        );
        assert_eq!(of("instruments: {pressure: {range: 0..6bar}}"), Some(UnitSystem::Metric));
        assert_eq!(of("regulator: {set: 58 psi}"), Some(UnitSystem::Us));
        assert_eq!(of("regulator: {set: 400kPa}"), Some(UnitSystem::Metric));
        assert_eq!(of(""), None, "nobody stated either");
    }

    #[test]
    fn another_gauge_takes_the_place_of_one_and_leaves_the_rest() {
        let rig = Rig::parse("car", "format: 1\ninstruments: {pressure: {range: 0..60 psi}}\n").unwrap();
        let changed = |facts: &[(&str, &str)]| {
            let facts: Vec<_> = facts.iter().map(|(p, t)| ((*p).to_owned(), (*t).to_owned())).collect();
            rig.with_instruments(&facts)
        };
        let other = changed(&[("instruments.pressure.class", "0.25 % of span")]).unwrap();
        assert_eq!(other.instruments.pressure.name, "pressure gauge 0 to 60 psi");
        assert_eq!(other.instruments.pressure.range, rig.instruments.pressure.range);
        assert_ne!(other.instruments.pressure.accuracy, rig.instruments.pressure.accuracy);
        assert_eq!(other.instruments.meter, rig.instruments.meter);
        assert_eq!(other.car, rig.car);
        let text =
            |rig: &Rig| rig.facts.iter().find(|f| f.path == "instruments.pressure.class").cloned().unwrap();
        assert_eq!((text(&other).text.as_str(), text(&other).default), ("0.25 % of span", false));
        let third =
            other.with_instruments(&[("instruments.pressure.range".into(), "0..10 bar".into())]).unwrap();
        assert_eq!(third.instruments.pressure.name, "pressure gauge 0 to 10 bar");
        let finer =
            other.with_instruments(&[("instruments.pressure.graduation".into(), "0.1 psi".into())]).unwrap();
        assert_eq!(finer.instruments.pressure.name, "pressure gauge 0 to 60 psi read to 0.1 psi");
        assert_ne!(third.car.gauge_top, rig.car.gauge_top);
        let same = changed(&[("instruments.pressure.range", "0..60 psi")]).unwrap();
        assert_eq!(same.instruments, rig.instruments);

        let wrong = changed(&[("instruments.pressure.range", "60..0 psi")]).unwrap_err().to_string();
        assert!(wrong.contains("range"), "{wrong}");
        let no = changed(&[("engine.power", "300 hp")]).unwrap_err().to_string();
        assert!(no.contains("engine.power"), "{no}");
    }
}
