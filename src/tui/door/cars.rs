//! The car being described: what was stated, as a rig file, and cars kept between cases.

use super::super::desk::{CarLine, CarSheet, FactKind, FactLine, Settings};
use super::super::plan::{self, StationPressures};
use crate::quantity::{Dimension, Measure, UnitSystem, figures, show};
use crate::rig::{FIELDS, Field, Kind, Problem, Rig, RigDraft, explained};
use crate::session::{OVERVIEW, Session, instrument_fields, points, reference_advice, station_pressures};
use crate::tree::StepKind;
use std::fs;
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

/// A car being described, and the file it came from.
#[derive(Debug, Clone, Default)]
pub struct CarDraft {
    stated: RigDraft,
    file: Option<PathBuf>,
}

/// Cars saved in a folder, by name. What is no car there is left out.
pub fn saved(folder: Option<&Path>) -> Vec<CarLine> {
    let Some(entries) = folder.and_then(|f| fs::read_dir(f).ok()) else { return Vec::new() };
    let mut cars: Vec<CarLine> = entries
        .filter_map(|e| e.ok().map(|e| e.path()))
        .filter(|p| p.extension().is_some_and(|e| e == "yaml" || e == "yml"))
        .filter_map(|path| {
            let text = fs::read_to_string(&path).ok()?;
            let rig = Rig::parse(&path.display().to_string(), &text).ok()?;
            let about = format!(
                "{}, {}, tip {}",
                rig.car.engine.induction.id(),
                rig.car.regulator.style.id(),
                rig.car.injection.tip.id()
            );
            Some(CarLine { id: path.display().to_string(), name: rig.name, about })
        })
        .collect();
    cars.sort_by(|a, b| a.name.cmp(&b.name));
    cars
}

impl CarDraft {
    /// A saved car, or one of which nothing is stated.
    pub fn take(id: Option<&str>) -> Result<Self, String> {
        let Some(id) = id else { return Ok(Self::default()) };
        let path = PathBuf::from(id);
        let text = fs::read_to_string(&path).map_err(|e| format!("could not read the car {id}: {e}"))?;
        let stated = RigDraft::parse(id, &text).map_err(|e| e.to_string())?;
        Ok(Self { stated, file: Some(path) })
    }

    /// A car described in a rig file's text, which has no file of its own.
    pub fn described(text: &str) -> Result<Self, String> {
        let stated = RigDraft::parse("the car described", text).map_err(|e| e.to_string())?;
        Ok(Self { stated, file: None })
    }

    /// The checked car.
    pub fn rig(&self) -> Result<Rig, String> {
        self.stated.rig().map_err(|e| e.to_string())
    }

    /// Its name.
    pub fn name(&self) -> &str {
        self.stated.name().unwrap_or("unnamed car")
    }

    /// States a fact as typed; an empty text takes it back.
    pub fn set(&mut self, path: &str, text: &str) {
        self.stated.set(path, text);
    }

    /// The car as its screen shows it.
    pub fn sheet(&self, units: Option<UnitSystem>) -> CarSheet {
        let built = self.stated.rig();
        let (rig, wrong): (Option<Rig>, Vec<Problem>) = match built {
            Ok(rig) => (Some(rig), Vec::new()),
            Err(error) => (None, error.problems),
        };
        let facts = FIELDS
            .iter()
            .map(|field| {
                let stated = self.stated.stated(field.path);
                let used = rig.as_ref().and_then(|r| r.facts.iter().find(|f| f.path == field.path));
                let common = used.map_or_else(|| field.default.to_owned(), |f| f.text.clone());
                // What somebody stated stays as it was written; what nobody did is shown in the units chosen.
                let common = units.and_then(|u| in_units(field.path, &common, u)).unwrap_or(common);
                let value = stated.clone().unwrap_or(common);
                FactLine {
                    path: field.path.to_owned(),
                    label: field.label.to_owned(),
                    value,
                    default: stated.is_none(),
                    help: explained(field.path),
                    kind: match field.kind {
                        Kind::Choice(options) => {
                            FactKind::Choice(options.iter().map(|o| (*o).to_owned()).collect())
                        }
                        Kind::YesNo => FactKind::Choice(vec!["yes".into(), "no".into()]),
                        _ => FactKind::Typed,
                    },
                    problem: wrong.iter().find(|p| p.path == field.path).map(|p| p.message.clone()),
                }
            })
            .collect();
        let elsewhere = |p: &&Problem| !FIELDS.iter().any(|f| f.path == p.path);
        let problems = wrong
            .iter()
            .filter(elsewhere)
            .map(|p| if p.path.is_empty() { p.message.clone() } else { format!("{}: {}", p.path, p.message) })
            .collect();
        let shown = |r: &Rig| units.or_else(|| r.units()).unwrap_or_default();
        CarSheet {
            name: self.name().to_owned(),
            facts,
            problems,
            circuit: rig.as_ref().map(|r| circuit(r, shown(r))),
            induction: rig.as_ref().map(|r| plan::induction(r, &pressures(r), shown(r))),
            advice: rig.as_ref().map(reference_advice),
        }
    }

    /// The car as a rig file.
    pub fn yaml(&self) -> String {
        self.stated.yaml()
    }

    /// Keeps the car in `folder` under its name, or where it came from; whole or not at all.
    pub fn save(&mut self, folder: &Path) -> Result<PathBuf, String> {
        let path = self.file.clone().unwrap_or_else(|| folder.join(format!("{}.yaml", self.slug())));
        let failed = |e: io::Error| format!("could not keep the car at {}: {e}", path.display());
        fs::create_dir_all(folder).map_err(failed)?;
        let beside = path.with_extension("new");
        let write = || -> io::Result<()> {
            let mut file = fs::File::create(&beside)?;
            file.write_all(self.yaml().as_bytes())?;
            file.sync_all()?;
            fs::rename(&beside, &path)
        };
        write().map_err(failed)?;
        self.file = Some(path.clone());
        Ok(path)
    }

    /// Keeps the car if it has a name and none of that name is kept yet.
    pub fn save_if_new(&mut self, folder: &Path) -> Result<(), String> {
        let named = self.stated.name().is_some();
        if !named || self.file.is_some() || folder.join(format!("{}.yaml", self.slug())).exists() {
            return Ok(());
        }
        self.save(folder).map(|_| ())
    }

    fn slug(&self) -> String {
        let name = self.stated.name().unwrap_or_default().to_lowercase();
        let dashed: String =
            name.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '-' }).take(60).collect();
        let slug = dashed.split('-').filter(|p| !p.is_empty()).collect::<Vec<_>>().join("-");
        if slug.is_empty() { "unnamed-car".to_owned() } else { slug }
    }
}

/// What the open step of a case is read with, fact by fact.
pub fn instrument(session: &Session) -> Vec<FactLine> {
    let open = session.state().open_step().map(|i| &session.tree().steps[i].kind);
    let Some(StepKind::Read(read)) = open else { return Vec::new() };
    let facts = &session.rig().facts;
    let line = |field: &Field| {
        let fact = facts.iter().find(|f| f.path == field.path);
        FactLine {
            path: field.path.to_owned(),
            label: field.label.to_owned(),
            value: fact.map_or_else(|| field.default.to_owned(), |f| f.text.clone()),
            default: fact.is_none_or(|f| f.default),
            kind: FactKind::Typed,
            help: explained(field.path),
            problem: None,
        }
    };
    instrument_fields(read.with, read.reading).map(line).collect()
}

/// A fact in the units chosen, where it is written in others: pressures, temperatures, powers and the altitude. What belongs to an
/// instrument stays as its face has it, and bores and lengths of hose as they are sold.
pub fn in_units(path: &str, text: &str, units: UnitSystem) -> Option<String> {
    let field = FIELDS.iter().find(|f| f.path == path)?;
    let Kind::Quantity(dimension) = field.kind else { return None };
    let shown = matches!(dimension, Dimension::Pressure | Dimension::Temperature | Dimension::Power)
        || path == "site.altitude";
    if !shown || path.starts_with("instruments.") {
        return None;
    }
    let unit = units.unit_for(dimension);
    let measure = Measure::parse(text, dimension).ok()?;
    (measure.unit.symbol != unit.symbol).then(|| show(measure.si, unit, None, 4))
}

fn pressures(rig: &Rig) -> Vec<StationPressures> {
    let of = |(condition, at): (crate::terms::Condition, [f64; 4])| StationPressures {
        condition: condition.id().to_owned(),
        at,
    };
    station_pressures(rig).map(of).into()
}

/// The fuel circuit with what each point shows on prime, at idle and under load.
fn circuit(rig: &Rig, units: UnitSystem) -> super::super::widgets::Circuit {
    let mut circuit = plan::circuit(rig, None);
    let unit = units.unit_for(Dimension::Pressure);
    circuit.remarks.push("(G) is where the gauge sits. When nothing is wrong:".to_owned());
    for point in points(rig) {
        let values: Vec<String> = OVERVIEW
            .iter()
            .zip(point.values)
            .filter_map(|(at, v)| v.map(|v| format!("{} {}", at.id(), figures(unit.from_si(v), 3))))
            .collect();
        circuit.remarks.push(format!("{}: {} {unit}", point.reading.name(), values.join(", ")));
    }
    circuit
}

/// Keeps settings in a file.
pub fn remember(file: &Path, settings: Settings) -> io::Result<()> {
    if let Some(folder) = file.parent() {
        fs::create_dir_all(folder)?;
    }
    fs::write(
        file,
        format!(
            "{}\n",
            serde_json::json!({
                "units": settings.units,
                "agent": settings.agent,
                "light": settings.light,
                "ascii": settings.ascii,
                "colour": settings.colour,
                "plain": settings.plain,
            })
        ),
    )
}

/// Settings from a file; what is not there or not understood stays as it is by default.
pub fn recall(file: &Path) -> Settings {
    let read = fs::read_to_string(file).ok();
    let value: Option<serde_json::Value> = read.and_then(|t| serde_json::from_str(&t).ok());
    let mut settings = Settings::default();
    if let Some(value) = value {
        settings.units = serde_json::from_value(value["units"].clone()).ok();
        settings.agent = value["agent"] == true;
        settings.light = value["light"] == true;
        settings.ascii = value["ascii"].as_bool();
        settings.colour = serde_json::from_value(value["colour"].clone()).ok();
        settings.plain = value["plain"] == true;
    }
    settings
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_wrong_value_is_marked_where_it_stands_and_defaults_are_marked_as_such() {
        let mut draft = CarDraft::default();
        draft.set("regulator.set", "58 V");
        let sheet = draft.sheet(None);
        let fact = |path: &str| sheet.facts.iter().find(|f| f.path == path).unwrap();
        assert!(fact("regulator.set").problem.as_ref().unwrap().contains("expected a pressure"));
        assert!(fact("engine.power").default && fact("engine.power").problem.is_none());
        assert!(sheet.circuit.is_none());
        draft.set("regulator.set", "58 psi");
        let sheet = draft.sheet(Some(UnitSystem::Us));
        assert!(!sheet.facts.iter().any(|f| f.problem.is_some()));
        let rail =
            sheet.circuit.unwrap().remarks.into_iter().find(|r| r.starts_with("rail pressure")).unwrap();
        assert!(rail.contains("prime") && rail.contains("idle") && rail.ends_with("psi"), "{rail}");
    }

    #[test]
    fn what_nobody_stated_stands_in_the_units_chosen_and_what_was_stated_as_written() {
        let mut draft = CarDraft::default();
        draft.set("regulator.set", "58 psi");
        let value = |units, path: &str| {
            let sheet = draft.sheet(units);
            sheet.facts.into_iter().find(|f| f.path == path).unwrap().value
        };
        let metric = Some(UnitSystem::Metric);
        assert_eq!(value(metric, "injection.rated_at"), "299.9 kPa");
        assert_eq!(value(metric, "site.air"), "15 °C");
        assert_eq!(value(metric, "site.altitude"), "0 m");
        assert_eq!(value(metric, "regulator.set"), "58 psi");
        assert_eq!(value(metric, "inlet.bore"), "9.5 mm");
        assert_eq!(value(metric, "instruments.vacuum.graduation"), "0.5 inHg");
        assert_eq!(value(Some(UnitSystem::Us), "engine.intake_loss"), "0.4351 psi");
        assert_eq!(value(None, "engine.intake_loss"), "3 kPa");
    }

    #[test]
    fn a_car_is_kept_whole_and_found_again() {
        let folder = tempfile::tempdir().unwrap();
        let mut draft = CarDraft::default();
        draft.set("rig", "Long Meadow van");
        let path = draft.save(folder.path()).unwrap();
        assert_eq!(path.file_name().unwrap(), "long-meadow-van.yaml");
        let cars = saved(Some(folder.path()));
        assert_eq!(cars.len(), 1);
        let again = CarDraft::take(Some(&cars[0].id)).unwrap();
        assert_eq!(again.stated, draft.stated);
    }
}
