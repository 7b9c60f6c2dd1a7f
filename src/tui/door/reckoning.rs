//! What is reckoned of the open case beside the screens: its simulated cars, the odds over them, its report.
//!
//! None of it may hold up a key. Work that is done within a few milliseconds is waited for, so that nothing flickers; what takes
//! longer comes when it comes.

use super::beside::Beside;
use super::pages;
use crate::case::{Entry, Line};
use crate::report::{self, Report};
use crate::rig::Rig;
use crate::session::{Crowd, Outlook, Session};
use crate::tree::Tree;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

/// How long the interface waits for work it has just begun.
const PATIENCE: Duration = Duration::from_millis(3);

/// A report, or why there is none.
pub type Made = Result<Report, String>;

/// Everything reckoned of one case.
pub struct Reckoning {
    crowd: Option<Crowd>,
    drawing: Beside<Crowd>,
    outlook: Option<Outlook>,
    /// Whether the outlook is that of everything given so far.
    fresh: bool,
    weighing: Beside<Option<Outlook>>,
    report: Option<Made>,
    making: Beside<Made>,
    saving: Beside<Result<String, String>>,
    said: Option<Result<String, String>>,
}

impl Reckoning {
    /// Of no case.
    pub fn nothing() -> Self {
        Self {
            crowd: None,
            drawing: Beside::nothing(),
            outlook: None,
            fresh: false,
            weighing: Beside::nothing(),
            report: None,
            making: Beside::nothing(),
            saving: Beside::nothing(),
            said: None,
        }
    }

    /// Begins to draw the simulated cars of a case's rig.
    pub fn of(session: &Session) -> Self {
        let rig = session.rig().clone();
        let mut reckoning = Self::nothing();
        reckoning.drawing = Beside::begin("cars", move || Crowd::draw(&rig));
        reckoning
    }

    /// Something was given: the odds are reckoned anew, and a report made before is no longer that of the case.
    pub fn renew(&mut self, session: &Session) {
        (self.report, self.making, self.fresh) = (None, Beside::nothing(), false);
        let Some(crowd) = self.crowd.clone() else { return };
        let (rig, tree, events) =
            (session.begun_with().clone(), session.tree().clone(), session.events().to_vec());
        self.weighing = Beside::begin("odds", move || {
            Session::replay(rig, tree, events).ok().map(|session| session.outlook(&crowd, true))
        });
        if let Some(outlook) = self.weighing.wait(PATIENCE) {
            self.weighed(outlook);
        }
    }

    fn weighed(&mut self, outlook: Option<Outlook>) {
        (self.outlook, self.fresh) = (outlook, true);
    }

    /// The odds of everything given so far; none while they are reckoned.
    pub fn outlook(&self) -> Option<&Outlook> {
        self.outlook.as_ref().filter(|_| self.fresh)
    }

    /// The odds as they stood when they were reckoned last.
    pub fn last_outlook(&self) -> Option<&Outlook> {
        self.outlook.as_ref()
    }

    /// The report of the case; none while it is made.
    pub fn report(&mut self, session: &Session) -> Option<&Made> {
        if self.report.is_none() && !self.making.busy() {
            match Sources::of(session) {
                Err(error) => self.report = Some(Err(error)),
                Ok(sources) => {
                    self.making = Beside::begin("report", move || sources.make());
                    self.report = self.making.wait(PATIENCE);
                }
            }
        }
        self.report.as_ref()
    }

    /// Writes the report beside the case; where it is comes by [`Reckoning::said`].
    pub fn save_report(&mut self, session: &Session) {
        if self.saving.busy() {
            return;
        }
        let made = self.report.clone();
        match Sources::of(session) {
            Err(error) => self.said = Some(Err(error)),
            Ok(sources) => {
                let work = move || {
                    let report = made.unwrap_or_else(|| sources.make())?;
                    pages::save_report(&report, &sources.path)
                };
                self.saving = Beside::begin("saving", work);
                self.said = self.saving.wait(PATIENCE);
            }
        }
    }

    /// What came of the report that was to be written, the one time it has come.
    pub fn said(&mut self) -> Option<Result<String, String>> {
        self.said.take()
    }

    /// Whether something is still to come.
    pub fn busy(&self) -> bool {
        self.drawing.busy() || self.weighing.busy() || self.making.busy() || self.saving.busy()
    }

    /// Takes what has come; `true` where there is something new.
    pub fn poll(&mut self, session: Option<&Session>) -> bool {
        let mut news = false;
        if let Some(crowd) = self.drawing.take() {
            self.crowd = Some(crowd);
            if let Some(session) = session {
                self.renew(session);
            }
            news = true;
        }
        if let Some(outlook) = self.weighing.take() {
            self.weighed(outlook);
            news = true;
        }
        if let Some(report) = self.making.take() {
            self.report = Some(report);
            news = true;
        }
        if let Some(said) = self.saving.take() {
            self.said = Some(said);
            news = true;
        }
        news
    }
}

impl Drop for Reckoning {
    /// A report that is being written is written to its end.
    fn drop(&mut self) {
        self.saving.finish();
    }
}

/// What a report is made from, as it stands now.
struct Sources {
    lines: Vec<Line<Entry>>,
    tree: Arc<Tree>,
    rig: Arc<Rig>,
    path: PathBuf,
}

impl Sources {
    fn of(session: &Session) -> Result<Self, String> {
        let case = session.case().ok_or("This case is not kept on disk, so it has no report.")?;
        Ok(Self {
            lines: case.lines().to_vec(),
            tree: session.tree().clone(),
            rig: session.begun_with().clone(),
            path: case.path().to_owned(),
        })
    }

    fn make(&self) -> Made {
        report::build(&self.lines, &self.tree, &self.rig).map_err(|e| e.to_string())
    }
}
