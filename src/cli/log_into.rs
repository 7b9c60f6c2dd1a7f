//! `log --into`: what a log shows, kept with a case and offered at the steps that ask for it.

use super::report::of_case;
use super::walk::{kept, library};
use super::{Failure, Output};
use crate::case::CaseFolder;
use crate::logs::{Analysis, Answer, Figure};
use crate::quantity::{Datum, UnitSystem, figures, show};
use crate::rig::Rig;
use crate::session::{Session, bare_unit};
use crate::terms::{Place, Reading, ReadingDatum};
use crate::text::one_line;
use crate::walk::{Event, LogFile, Logged};
use serde_json::{Value, json};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Which case, and what a log does not say of itself.
#[derive(Debug, clap::Args)]
pub struct IntoCase {
    /// Keep the readings with this case, whose car is then the log's: each is offered at the step that asks for it, and counts once
    /// a person takes it there.
    #[arg(long, value_name = "CASE")]
    into: Option<String>,
    /// Where the sensor of the rail's pressure sits, such as rail-tap or after-filter; without it, at the rail.
    #[arg(long, value_name = "PLACE", requires = "into")]
    at: Option<Place>,
    /// Folder the cases are kept in.
    #[arg(long, value_name = "DIR", requires = "into")]
    cases: Option<PathBuf>,
    /// Trees from this folder instead of the built-in ones.
    #[arg(long, value_name = "DIR", requires = "into")]
    trees: Option<PathBuf>,
}

/// The case a log goes into.
pub struct OpenCase {
    session: Session,
    place: Option<Place>,
}

/// What was kept of a log, and what was not.
pub struct Kept {
    case: String,
    log: LogFile,
    /// With the steps that ask for each.
    readings: Vec<(Logged, Vec<String>)>,
    /// Left out because what the column holds is in doubt.
    doubtful: Vec<String>,
    after_repair: bool,
}

impl OpenCase {
    /// Takes up the case, if one is named.
    ///
    /// # Errors
    /// Where it is not there, is closed, or can't be written now.
    pub fn open(args: &IntoCase) -> Result<Option<Self>, Failure> {
        let Some(name) = &args.into else { return Ok(None) };
        let folder = CaseFolder::open(args.cases.as_deref()).map_err(|e| of_case(&e))?;
        folder.find(name).map_err(|e| of_case(&e))?;
        let (rig, tree, case) = kept(&folder, &library(args.trees.as_deref())?, name)?;
        if let Some(why) = case.read_only() {
            let said =
                anyhow::anyhow!("{why}").context(format!("nothing can be kept with the case {}", case.id()));
            return Err(Failure::File(said));
        }
        let session = Session::resume(rig, tree, case, UnitSystem::Metric).map_err(Failure::input)?;
        Ok(Some(Self { session, place: args.at }))
    }

    /// The car of the case.
    pub fn rig(&self) -> Arc<Rig> {
        self.session.rig().clone()
    }

    /// Keeps what the log shows, and what it comes to as notes.
    ///
    /// # Errors
    /// Where the case takes nothing more, or can't be written.
    pub fn keep(&mut self, file: &Path, digest: String, a: &Analysis) -> Result<Kept, Failure> {
        let name = file.file_name().map(|n| one_line(&n.to_string_lossy())).unwrap_or_default();
        let log = LogFile { file: name, digest };
        let (sure, doubtful): (Vec<&Figure>, Vec<&Figure>) = a.figures.iter().partition(|f| f.sure);
        let readings: Vec<Logged> = sure.into_iter().map(|f| logged(f, self.place)).collect();
        let doubtful =
            doubtful.iter().map(|f| format!("{}, {}", f.reading.name(), f.condition.name())).collect();
        self.session.keep_log(log.clone(), readings.clone()).map_err(Failure::input)?;
        for j in a.judgements.iter().filter(|j| j.answer != Answer::CannotTell) {
            let text = format!("From the data log: {}: {}. {}", j.about.name(), j.answer.name(), j.says);
            let note = Event::NoteAdded { step: None, text, private: false };
            self.session.send(note).map_err(Failure::input)?;
        }
        let asked = |l: Logged| {
            let steps = self.session.asking_for(&l).into_iter().map(|s| s.name().to_owned()).collect();
            (l, steps)
        };
        Ok(Kept {
            case: self.session.case().map(|c| c.id().to_owned()).unwrap_or_default(),
            log,
            readings: readings.into_iter().map(asked).collect(),
            doubtful,
            after_repair: self.session.events().iter().any(|e| matches!(e, Event::Repaired { .. })),
        })
    }
}

/// A figure of the log as the case keeps it.
fn logged(f: &Figure, place: Option<Place>) -> Logged {
    // What a controller records of the manifold is what its load sensor says, which a vacuum gauge is there to check.
    let reading = match f.reading {
        Reading::ManifoldPressure => Reading::SensedPressure,
        other => other,
    };
    Logged {
        reading,
        condition: f.condition,
        place: place.filter(|_| reading == Reading::RailPressure),
        si: f.si,
        spread: f.spread,
        stretches: f.stretches,
        seconds: f.seconds,
        remark: f.pulled_to.map(|s| format!("at {s:.0} 1/min, the upper end of the pulls")),
    }
}

fn value(l: &Logged, units: UnitSystem) -> (String, f64, f64, &'static str) {
    let unit = bare_unit(l.reading, units);
    let datum = (l.reading.datum() == ReadingDatum::Absolute).then_some(Datum::Absolute);
    let spread = unit.difference(l.spread);
    let words = format!("{} ± {}", show(l.si, unit, datum, 4), figures(spread, 2));
    (words, unit.from_si(l.si), spread, unit.symbol)
}

impl Kept {
    /// In words.
    pub fn text(&self, units: UnitSystem, out: &mut Output) -> Result<(), Failure> {
        out.line("")?;
        out.line(format!(
            "Kept with the case {}: {} readings of {} (SHA-256 {}).",
            self.case,
            self.readings.len(),
            self.log.file,
            self.log.digest
        ))?;
        for (l, steps) in &self.readings {
            let asked = match steps.first() {
                Some(first) => format!("offered at: {first}"),
                None => "no step of this tree asks for it".to_owned(),
            };
            let (words, ..) = value(l, units);
            out.line(format!("  {:<32} {:<26} {words:<20} {asked}", l.reading.name(), l.condition.name()))?;
        }
        for left in &self.doubtful {
            out.line(format!("  {left}: left out, as its column is in doubt; say by --map what it holds"))?;
        }
        if self.after_repair {
            out.line("The repair is on record, so this counts as recorded after it.")?;
        }
        out.line(format!(
            "Nothing counts yet. 'faultwalk walk --resume {}' goes on; where a reading is offered, type log to take it.",
            self.case
        ))
    }

    /// As data.
    pub fn json(&self, units: UnitSystem) -> Value {
        let readings: Vec<Value> = self
            .readings
            .iter()
            .map(|(l, steps)| {
                let (_, value, spread, unit) = value(l, units);
                json!({
                    "reading": l.reading.id(), "condition": l.condition.id(), "place": l.place.map(Place::id),
                    "value": value, "unit": unit, "spread": spread, "steps": steps,
                })
            })
            .collect();
        json!({
            "case": self.case, "file": self.log.file, "digest": self.log.digest, "readings": readings,
            "left_out": self.doubtful, "after_repair": self.after_repair,
        })
    }
}
