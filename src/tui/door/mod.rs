//! The real door: sessions, cases on disk, saved cars, settings.

mod beside;
mod cars;
mod drafts;
mod finding;
#[cfg(test)]
mod fits;
mod kept;
mod lesson;
mod opened;
mod pages;
mod reckoning;
mod remark;
mod step;
mod summary;
mod supply;

use super::desk::{
    Act, CarLine, CarSheet, CaseLine, Desk, Echo, Expected, FactLine, Head, Page, Para, Prompt, RecordLine,
    Settings, StepData,
};
use super::lesson::{Choices, LessonSheet, PracticeAct};
use super::supply::{PLANS, SupplySheet};
use super::widgets::Circuit;
use crate::case::{Case, CaseFolder};
use crate::library::{Answering, Library};
use crate::quantity::{UnitSystem, figures};
use crate::rig::{Rig, name_in};
use crate::session::Session;
use crate::terms::{Complaint, Place};
use crate::tree::{StepKind, Tree, render_all};
use cars::CarDraft;
use drafts::Drafts;
use lesson::Practice;
use reckoning::Reckoning;
use std::cell::RefCell;
use std::path::PathBuf;

/// Where everything is kept and read from.
#[derive(Debug, Clone, Default)]
pub struct Places {
    /// Cases; none: the account's own folder.
    pub cases: Option<PathBuf>,
    /// Trees; none: those built in.
    pub trees: Option<PathBuf>,
    /// Saved cars; none: they can't be kept.
    pub cars: Option<PathBuf>,
    /// The settings file; none: they are not remembered.
    pub settings: Option<PathBuf>,
}

/// Where the car being described is kept while no case is begun with it.
const UNBEGUN_CAR: &str = "car";

/// The door.
pub struct Door {
    library: Library,
    folder: Result<CaseFolder, String>,
    places: Places,
    settings: Settings,
    car: CarDraft,
    session: Option<Session>,
    drafts: Drafts,
    reckoning: Reckoning,
    practice: Option<Practice>,
    given: Option<CarDraft>,
    /// The step that another test was last remarked at, and which test.
    remarked: RefCell<Option<(String, String)>>,
}

impl Door {
    /// Opens library and case folder; what can't be opened is said when it is needed.
    ///
    /// # Errors
    /// Where the folder of trees named can't be used.
    pub fn open(places: Places, settings: Settings) -> Result<Self, String> {
        let library = match &places.trees {
            Some(folder) => Library::open(folder)?,
            None => Library::embedded(),
        };
        let folder = CaseFolder::open(places.cases.as_deref()).map_err(|e| e.to_string());
        let unbegun = places.cars.as_ref().map(|cars| cars.with_file_name("unbegun.json"));
        Ok(Self {
            library,
            folder,
            places,
            settings,
            car: CarDraft::default(),
            session: None,
            drafts: Drafts::open(unbegun),
            reckoning: Reckoning::nothing(),
            practice: None,
            given: None,
            remarked: RefCell::default(),
        })
    }

    fn units(&self, rig: &Rig) -> UnitSystem {
        units_of(self.settings, rig)
    }

    fn tree(&self, id: &str) -> Result<Tree, String> {
        self.library.tree(id).map_err(|d| render_all(&d))
    }

    /// Something was given: what is reckoned from it is reckoned anew.
    fn renew(&mut self) {
        if let Some(session) = &self.session {
            self.reckoning.renew(session);
        }
    }

    fn open_session(&mut self) -> Result<&mut Session, String> {
        self.session.as_mut().ok_or_else(|| "No case is open.".to_owned())
    }
}

/// The units chosen, or else those the car's own gauge is written in.
fn units_of(settings: Settings, rig: &Rig) -> UnitSystem {
    settings.units.or_else(|| rig.units()).unwrap_or_default()
}

/// Altitude, fuel and air for the line at the top.
fn site_facts(rig: &Rig) -> Vec<String> {
    let text = |path: &str| rig.facts.iter().find(|f| f.path == path).map(|f| f.text.clone());
    let mut facts = Vec::new();
    facts.extend(text("site.altitude").or_else(|| text("site.barometer")));
    facts.push(format!("E{}", figures(rig.car.fuel.ethanol * 100.0, 3)));
    facts.extend(text("site.air"));
    facts
}

impl Desk for Door {
    fn kinds(&self, sentence: &str) -> Vec<Complaint> {
        Complaint::in_sentence(sentence)
    }

    fn walks(&self, kinds: &[Complaint]) -> Vec<Answering> {
        self.library.answering(kinds)
    }

    fn cases(&mut self) -> Result<Vec<CaseLine>, String> {
        let folder = self.folder.as_ref().map_err(Clone::clone)?;
        kept::list(folder)
    }

    fn cars(&mut self) -> Vec<CarLine> {
        let unbegun = self.drafts.get(false, UNBEGUN_CAR).map(|text| CarLine {
            id: UNBEGUN_CAR.to_owned(),
            name: name_in(&text),
            about: "described and no case begun with it yet".to_owned(),
        });
        unbegun.into_iter().chain(cars::saved(self.places.cars.as_deref())).collect()
    }

    fn take_car(&mut self, id: Option<&str>) -> Result<CarSheet, String> {
        let unbegun = self.drafts.get(false, UNBEGUN_CAR).filter(|_| id == Some(UNBEGUN_CAR));
        self.car = match unbegun {
            Some(text) => CarDraft::described(&text)?,
            None => CarDraft::take(id)?,
        };
        Ok(self.car.sheet(self.settings.units))
    }

    fn given_name(&self) -> Option<String> {
        self.given.as_ref().map(|car| car.name().to_owned())
    }

    fn given_car(&mut self) -> Option<CarSheet> {
        self.car = self.given.clone()?;
        Some(self.car.sheet(self.settings.units))
    }

    fn set_fact(&mut self, path: &str, value: &str) -> CarSheet {
        self.car.set(path, value);
        self.drafts.save_unbegun(UNBEGUN_CAR, &self.car.yaml());
        self.car.sheet(self.settings.units)
    }

    fn save_car(&mut self) -> Result<String, String> {
        let folder = self.places.cars.clone();
        let folder = folder.ok_or("There is no folder to keep cars in; set HOME or XDG_DATA_HOME.")?;
        let place = self.car.save(&folder)?;
        self.drafts.save_unbegun(UNBEGUN_CAR, "");
        Ok(place.display().to_string())
    }

    fn begin(&mut self, walk: &str, complaint: &str) -> Result<(), String> {
        let rig = self.car.rig()?;
        let text = self.car.yaml();
        self.begin_case(walk, rig, text, complaint)?;
        // A car once described is never asked for again; that it could not be kept does not stop the case.
        if let Some(folder) = self.places.cars.clone() {
            let _ = self.car.save_if_new(&folder);
        }
        Ok(())
    }

    fn open(&mut self, id: &str) -> Result<Option<String>, String> {
        self.open_case(id)
    }

    fn leave(&mut self) {
        self.session = None;
        self.drafts.of(Vec::new());
        self.reckoning = Reckoning::nothing();
    }

    fn case_id(&self) -> Option<String> {
        self.session.as_ref().and_then(Session::case).map(|c| c.id().to_owned())
    }

    fn take_in(&mut self, file: &str) -> Result<(String, String), String> {
        let folder = self.folder.as_ref().map_err(Clone::clone)?;
        kept::take_in(folder, file)
    }

    fn exercises(&mut self) -> Choices {
        let trees = self.library.trees().into_iter();
        let mut cars = vec![(String::new(), "common values".to_owned())];
        cars.extend(cars::saved(self.places.cars.as_deref()).into_iter().map(|car| (car.id, car.name)));
        Choices { complaints: trees.filter_map(|t| Some((t.heading.tree?, t.heading.title))).collect(), cars }
    }

    fn practise(&mut self, act: PracticeAct) -> Result<String, String> {
        match (&act, &mut self.practice) {
            (PracticeAct::Begin { complaint, car, level }, practice) => {
                *practice =
                    Some(Practice::begin(&self.library, (complaint, car, *level), self.settings.units)?);
                Ok(String::new())
            }
            (PracticeAct::Leave, practice) => {
                *practice = None;
                Ok(String::new())
            }
            (_, Some(practice)) => practice.act(&act),
            (_, None) => Err("No exercise is open.".to_owned()),
        }
    }

    fn lesson(&self) -> Option<LessonSheet> {
        self.practice.as_ref().map(Practice::sheet)
    }

    fn supply(&self, planned: &[String; PLANS.len()]) -> SupplySheet {
        match &self.session {
            Some(session) => supply::sheet(session.rig(), planned, self.units(session.rig())),
            None => match self.car.rig() {
                Ok(rig) => supply::sheet(&rig, planned, self.units(&rig)),
                Err(error) => SupplySheet { broken: Some(error), ..SupplySheet::default() },
            },
        }
    }

    fn head(&self) -> Option<Head> {
        let session = self.session.as_ref()?;
        let rig = session.rig();
        let case = session.case();
        let kept = case.and_then(|c| c.lines().last()).map(|l| kept::local(l.time, "%H:%M:%S"));
        Some(Head {
            car: rig.name.clone(),
            complaint: case.and_then(|c| c.header().complaint.clone()).unwrap_or_default(),
            facts: site_facts(rig),
            kept,
            simulated: case.is_some_and(|c| c.header().simulated),
            stranded: session.is_stranded(),
            read_only: case.and_then(Case::read_only).map(ToString::to_string),
        })
    }

    fn prompt(&self) -> Prompt {
        match &self.session {
            Some(session) => self.remarked_once(step::prompt(session, self.reckoning.outlook())),
            None => Prompt::Broken("No case is open.".into()),
        }
    }

    fn expected(&self, id: &str, place: Option<Place>) -> Option<Expected> {
        step::expected(self.session.as_ref()?, id, place)
    }

    fn echo(&self, id: &str, text: &str, place: Option<Place>) -> Result<Echo, String> {
        let session = self.session.as_ref().ok_or("No case is open.")?;
        step::echo(session, id, text, place)
    }

    fn give(&mut self, text: &str, place: Option<Place>) -> Result<String, String> {
        let session = self.open_session()?;
        let open = session.state().open_step().ok_or("No step is open now.")?;
        let said = match session.tree().steps[open].kind {
            StepKind::Read(_) => {
                let taken = session.read(text, place).map_err(opened::words)?;
                step::taken(session, &taken)
            }
            StepKind::Observe { .. } => {
                session.answer(text).map_err(opened::words)?;
                String::new()
            }
            _ => {
                session.done().map_err(opened::words)?;
                String::new()
            }
        };
        self.renew();
        Ok(said)
    }

    fn act(&mut self, act: Act) -> Result<(), String> {
        let session = self.open_session()?;
        let done = opened::act(session, act);
        done.map_err(opened::words)?;
        self.renew();
        Ok(())
    }

    fn step(&self, id: &str) -> Option<StepData> {
        step::earlier(self.session.as_ref()?, id)
    }

    fn change(&mut self, id: &str, text: &str, place: Option<Place>) -> Result<Option<String>, String> {
        let session = self.open_session()?;
        let before: Vec<usize> = session.state().set_aside().map(|(i, _)| i).collect();
        session.change(id, text, place).map_err(opened::words)?;
        let tree = session.tree();
        let aside: Vec<&str> = session
            .state()
            .set_aside()
            .filter(|(i, _)| !before.contains(i))
            .map(|(i, _)| tree.steps[i].name())
            .collect();
        let said = (!aside.is_empty())
            .then(|| format!("Changed. No longer on the way, and kept aside: {}.", aside.join("; ")));
        self.renew();
        Ok(said)
    }

    fn record(&self) -> Vec<RecordLine> {
        self.session.as_ref().map(step::record).unwrap_or_default()
    }

    fn circuit(&self) -> Option<Circuit> {
        self.session.as_ref().map(|s| step::circuit(s, self.reckoning.last_outlook()))
    }

    fn page(&mut self, page: Page) -> Vec<Para> {
        match (&self.session, page) {
            (Some(session), Page::Summary) => summary::page(session, self.reckoning.outlook()),
            (Some(session), Page::Report) => pages::report_page(self.reckoning.report(session)),
            (Some(session), page) => pages::of_case(session, page, session.units(), self.reckoning.outlook()),
            (None, page) => match self.car.rig() {
                Ok(rig) => pages::of_car(&rig, page, self.units(&rig)),
                Err(error) => vec![Para::Text(error)],
            },
        }
    }

    fn instrument(&self) -> Vec<FactLine> {
        self.session.as_ref().map(cars::instrument).unwrap_or_default()
    }

    fn save_report(&mut self) {
        if let Some(session) = &self.session {
            self.reckoning.save_report(session);
        }
    }

    fn said(&mut self) -> Option<Result<String, String>> {
        let said = self.reckoning.said()?;
        Some(said.map(|place| format!("The report is at {place}")))
    }

    fn save_summary(&mut self) -> Result<String, String> {
        let session = self.session.as_ref().ok_or("No case is open.")?;
        summary::save(session, self.reckoning.outlook())
    }

    fn hand_over_file(&mut self) -> Result<String, String> {
        let folder = self.folder.as_ref().map_err(Clone::clone)?;
        let case = self.session.as_ref().and_then(Session::case).ok_or("This case is not kept on disk.")?;
        kept::hand_over(folder, case)
    }

    fn go_on_in(&mut self, folder: &str) -> Result<String, String> {
        let there = self.open_session()?.go_on_in(&kept::path_of(folder)).map_err(|e| e.to_string())?;
        let said = kept::goes_on(&there);
        self.folder = Ok(there);
        if let Some(case) = self.session.as_ref().and_then(Session::case) {
            self.drafts.keep(case);
        }
        Ok(said)
    }

    fn save_draft(&mut self, step: &str, text: &str) {
        match &self.session {
            Some(session) => self.drafts.save(session.case(), step, text),
            None => self.drafts.save_unbegun(step, text),
        }
    }

    fn draft(&self, step: &str) -> Option<String> {
        self.drafts.get(self.session.is_some(), step)
    }

    fn busy(&self) -> bool {
        self.reckoning.busy() || self.practice.as_ref().is_some_and(Practice::busy)
    }

    fn poll(&mut self) -> bool {
        let debrief = self.practice.as_mut().is_some_and(Practice::poll);
        self.reckoning.poll(self.session.as_ref()) || debrief
    }

    fn settle(&mut self, settings: Settings) {
        self.settings = settings;
        if let Some(session) = &mut self.session {
            let units = units_of(settings, session.rig());
            session.set_units(units);
        }
        if let Some(file) = &self.places.settings {
            // A setting that can't be remembered still holds for this run.
            let _ = cars::remember(file, settings);
        }
    }
}

/// Cars kept in a folder, by name; the id is the file's path.
pub fn saved_cars(folder: Option<&std::path::Path>) -> Vec<CarLine> {
    cars::saved(folder)
}

/// Settings remembered in a file; what is not there stays as it is by default.
pub fn recall_settings(file: &std::path::Path) -> Settings {
    cars::recall(file)
}
