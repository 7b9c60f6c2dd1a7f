//! What the screens show and ask, as plain data, and the door through which they act.
//!
//! The screens know this file and nothing of sessions, files or models. The real door is [`super::door`]; tests put a
//! scripted one in its place.

pub use super::acts::{Act, Page};
use super::lesson::{Choices, LessonSheet, PracticeAct};
use super::offers::{Offers, Remark};
use super::supply::{PLANS, SupplySheet};
use super::theme::Depth;
use super::widgets::{Circuit, InductionPath, Scale};
use crate::instrument::Verdict;
use crate::library::Answering;
use crate::quantity::{Unit, UnitSystem};
use crate::terms::{Caution, Complaint, Place};

/// A paragraph of a page of text.
#[derive(Debug, Clone, PartialEq)]
pub enum Para {
    /// A heading.
    Head(String),
    /// A paragraph.
    Text(String),
    /// A name with its value.
    Pair(String, String),
    /// A line behind a verdict's sign.
    Judged(Verdict, String),
    /// A line of a list.
    Item(String),
    /// A caution.
    Caution(Caution),
    /// Air.
    Gap,
}

/// The line at the top while a case is open.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Head {
    /// The car.
    pub car: String,
    /// The complaint in the person's words.
    pub complaint: String,
    /// Altitude, fuel, temperature.
    pub facts: Vec<String>,
    /// When the last event was kept on disk, such as `14:02:11`; none when nothing is kept.
    pub kept: Option<String>,
    /// The car is simulated.
    pub simulated: bool,
    /// The disk takes no more; the case could go on in another folder.
    pub stranded: bool,
    /// Somebody else holds the case; it can only be read.
    pub read_only: Option<String>,
}

/// What the open step belongs to.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum Phase {
    /// Finding the fault.
    #[default]
    Walk,
    /// Proving a repair.
    Confirm,
    /// Putting a state back.
    PutBack,
    /// A test done before the path comes to it.
    Ahead,
    /// What leads to a repair or its proof, or follows what was mended.
    Beside,
    /// Correcting an earlier answer.
    Change,
}

/// What a step asks for.
#[derive(Debug, Clone, PartialEq)]
pub enum Asks {
    /// To do something.
    Done,
    /// A reading.
    Reading {
        /// What is read, in words.
        what: String,
        /// The unit a bare number takes.
        bare: &'static Unit,
        /// Where the gauge may sit.
        places: Vec<Place>,
        /// Where it was last, as an index of `places`.
        place: usize,
        /// It is measured from vacuum, and a bare number counts so.
        absolute: bool,
    },
    /// One of these answers: id and words.
    Pick(Vec<(String, String)>),
    /// A percentage.
    Percent,
}

/// What is expected of a reading.
#[derive(Debug, Clone, PartialEq)]
pub struct Expected {
    /// The band alone, with its unit.
    pub band: String,
    /// The band, the sum behind it and what sets its width, in one sentence.
    pub sentence: String,
    /// The sum behind it: what, value, source.
    pub sum: Vec<(String, String, &'static str)>,
    /// The instrument and its accuracy.
    pub instrument: String,
    /// Its limits are shown as vacuum, and a bare number counts so.
    pub vacuum: bool,
    /// The scale without a marker.
    pub scale: Scale,
    /// Where to stop, on a pinched return.
    pub ceiling: Option<String>,
}

/// The open step.
#[derive(Debug, Clone, PartialEq)]
pub struct StepData {
    /// Its id.
    pub id: String,
    /// Its number along the path, from 1.
    pub number: usize,
    /// Its name.
    pub title: String,
    /// Its number, or what it is for where it is none of the path, and its name.
    pub head: String,
    /// What it belongs to.
    pub phase: Phase,
    /// All its cautions.
    pub cautions: Vec<Caution>,
    /// Whether they are still to be confirmed.
    pub cautions_due: bool,
    /// Those among them that were confirmed in this case before, word for word.
    pub again: Vec<Caution>,
    /// What to do.
    pub action: String,
    /// Words to read aloud.
    pub tell: Option<String>,
    /// A note for the agent alone.
    pub note: Option<String>,
    /// The condition of the car, in words.
    pub condition: Option<String>,
    /// What it asks for.
    pub asks: Asks,
    /// What is expected with the gauge at its last place.
    pub expected: Option<Expected>,
    /// For a timed step, seconds.
    pub timer: Option<f64>,
    /// Whether there is a way on without it.
    pub skippable: bool,
    /// Tools it needs.
    pub tools: Vec<String>,
    /// Figures of this car that a look is held against.
    pub known: Option<String>,
    /// What has to be done before it: the gauge moved to where it is read.
    pub first: Option<String>,
    /// Why it can't be done now.
    pub blocked: Option<String>,
    /// What stands in the way can be put back first.
    pub put_back_first: bool,
    /// How often it was read without a decision.
    pub repeats: usize,
    /// What it gave before, as typed.
    pub before: Option<String>,
    /// What a data log has for it, and how to take that.
    pub offer: Option<String>,
    /// One line on something seen that does not go with all the rest.
    pub odd: Option<Remark>,
    /// One line where the odds and the tree disagree strongly.
    pub remark: Option<Remark>,
    /// What the odds offer here.
    pub offers: Offers,
}

impl StepData {
    /// Whether letters are typed into it.
    pub fn typed(&self) -> bool {
        matches!(self.asks, Asks::Reading { .. } | Asks::Percent)
    }
}

/// A finding.
#[derive(Debug, Clone, PartialEq)]
pub struct FindingData {
    /// Its id.
    pub id: String,
    /// What is wrong.
    pub says: String,
    /// How sure, in words.
    pub sure: Option<String>,
    /// What the odds say against it, in words.
    pub against: Option<String>,
    /// What the odds offer here.
    pub offers: Offers,
    /// What speaks for it, a line each; readings with their verdict.
    pub because: Vec<(Option<Verdict>, String)>,
    /// What can't be told apart from it.
    pub also: Vec<String>,
    /// What to do; none where nothing is to be mended.
    pub remedy: Option<String>,
    /// The figures it is mended to, where the program knows them.
    pub aim: Option<String>,
    /// How the repair is proved.
    pub proof: Option<String>,
    /// Cautions before the repair.
    pub cautions: Vec<Caution>,
    /// Whether they are still to be confirmed.
    pub cautions_due: bool,
    /// Those among them that were confirmed in this case before, word for word.
    pub again: Vec<Caution>,
}

/// What is asked now.
#[derive(Debug, Clone, PartialEq)]
pub enum Prompt {
    /// A step.
    Step(Box<StepData>),
    /// A finding.
    Finding(Box<FindingData>),
    /// A hand-over: what is known, what to do next.
    Handover {
        /// What is known.
        says: String,
        /// What to do next.
        advice: String,
        /// What is left, in words.
        narrowed: Vec<String>,
        /// What the odds say against it, in words.
        against: Option<String>,
        /// What the odds offer here.
        offers: Box<Offers>,
    },
    /// The repair did not cure it.
    NotCured(Box<FindingData>),
    /// All answers before closing.
    Review {
        /// A repair was done, so the complaint itself is tried once more.
        mended: bool,
    },
    /// Fuel was smelt or seen.
    Leak,
    /// Work stands still.
    Paused,
    /// The end, with what the case came to.
    Closed(String),
    /// The case can't go on; why.
    Broken(String),
}

impl Prompt {
    /// What the odds offer here.
    pub fn offers(&self) -> Option<&Offers> {
        match self {
            Self::Step(step) => Some(&step.offers),
            Self::Finding(finding) => Some(&finding.offers),
            Self::Handover { offers, .. } => Some(offers.as_ref()),
            _ => None,
        }
    }
}

/// How a line of the record stands to the path.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// It lies on it.
    On,
    /// It was done before its turn; the path may come to it.
    Ahead,
    /// The path does not come to it any more.
    Off,
    /// It was measured again after the repair.
    Proof,
}

/// One line of the record, newest first.
#[derive(Debug, Clone, PartialEq)]
pub struct RecordLine {
    /// Id of the step, for going back to it.
    pub step: String,
    /// Its number: steps count in the order they were first given.
    pub number: usize,
    /// How it stands to the path.
    pub way: Way,
    /// Its name.
    pub title: String,
    /// What it gave.
    pub gave: String,
    /// The verdict, for a reading.
    pub verdict: Option<Verdict>,
    /// What was expected.
    pub expected: Option<String>,
    /// It was put off and can be taken up.
    pub parked: bool,
    /// It only does something and was done: nothing in it could be corrected.
    pub only_done: bool,
}

/// A case in the list.
#[derive(Debug, Clone, PartialEq)]
pub struct CaseLine {
    /// Its id.
    pub id: String,
    /// The car.
    pub car: String,
    /// The complaint.
    pub complaint: String,
    /// Where it stands.
    pub stands: String,
    /// When it was last worked on, in words.
    pub when: String,
    /// Whether it is closed.
    pub closed: bool,
    /// Whether its car is simulated.
    pub simulated: bool,
}

/// A car that can be taken.
#[derive(Debug, Clone, PartialEq)]
pub struct CarLine {
    /// Its id for the door.
    pub id: String,
    /// Its name.
    pub name: String,
    /// What it is, in a few words.
    pub about: String,
}

/// What kind of value a fact takes.
#[derive(Debug, Clone, PartialEq)]
pub enum FactKind {
    /// Typed text.
    Typed,
    /// One of these.
    Choice(Vec<String>),
}

/// One fact of a car.
#[derive(Debug, Clone, PartialEq)]
pub struct FactLine {
    /// Its key.
    pub path: String,
    /// In words.
    pub label: String,
    /// The value.
    pub value: String,
    /// Nobody stated it.
    pub default: bool,
    /// What it takes.
    pub kind: FactKind,
    /// What it is and where it is found, in one line.
    pub help: Option<&'static str>,
    /// What is wrong with it.
    pub problem: Option<String>,
}

/// A car as edited.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct CarSheet {
    /// Its name.
    pub name: String,
    /// Every fact.
    pub facts: Vec<FactLine>,
    /// What is wrong as a whole.
    pub problems: Vec<String>,
    /// Its fuel circuit, when it can be drawn.
    pub circuit: Option<Circuit>,
    /// Its induction path, when it can be drawn.
    pub induction: Option<InductionPath>,
    /// Where the reference belongs and why.
    pub advice: Option<String>,
}

/// What a typed reading would be.
#[derive(Debug, Clone, PartialEq)]
pub struct Echo {
    /// The value in its own and the other unit.
    pub text: String,
    /// In scale units.
    pub at: Option<f64>,
    /// The verdict it would get and by how much it is off.
    pub verdict: Option<(Verdict, String)>,
}

/// Everything that can be chosen and is remembered between runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Settings {
    /// Units shown and taken for bare numbers; none: those the car's own gauge is written in.
    pub units: Option<UnitSystem>,
    /// Somebody reads the steps aloud to a caller.
    pub agent: bool,
    /// The terminal has a light ground.
    pub light: bool,
    /// No character above 127; none: as the surroundings ask for.
    pub ascii: Option<bool>,
    /// How many colours; none: as the surroundings ask for.
    pub colour: Option<Depth>,
    /// The next start asks line by line instead of opening the screens.
    pub plain: bool,
}

/// The door to cases, cars and the walk. Errors are texts for people: what happened and what to do.
pub trait Desk {
    /// Kinds of complaint a sentence points to.
    fn kinds(&self, sentence: &str) -> Vec<Complaint>;
    /// Walks for these kinds, the fittest first.
    fn walks(&self, kinds: &[Complaint]) -> Vec<Answering>;
    /// Cases on disk, the latest first.
    fn cases(&mut self) -> Result<Vec<CaseLine>, String>;
    /// Cars saved and shipped.
    fn cars(&mut self) -> Vec<CarLine>;
    /// Takes a car to edit; none: one with defaults.
    fn take_car(&mut self, id: Option<&str>) -> Result<CarSheet, String>;
    /// The name of the car given at the start, if one was.
    fn given_name(&self) -> Option<String>;
    /// Takes the car given at the start of this run, where one was; it is not asked for.
    fn given_car(&mut self) -> Option<CarSheet> {
        None
    }
    /// Changes a fact of the car taken; an empty value goes back to the default.
    fn set_fact(&mut self, path: &str, value: &str) -> CarSheet;
    /// Keeps the car taken among the saved ones; gives its place.
    fn save_car(&mut self) -> Result<String, String>;
    /// Begins a case with the car taken.
    fn begin(&mut self, walk: &str, complaint: &str) -> Result<(), String>;
    /// Opens a case; gives a line to show, if there is something to say.
    fn open(&mut self, id: &str) -> Result<Option<String>, String>;
    /// Lays the open case aside.
    fn leave(&mut self);
    /// The id of the open case.
    fn case_id(&self) -> Option<String>;
    /// Takes in a case file that somebody handed over; gives the case's id and what to say.
    fn take_in(&mut self, file: &str) -> Result<(String, String), String>;
    /// What can be practised.
    fn exercises(&mut self) -> Choices;
    /// Does something in practice; gives what comes of it. An error is a move stopped or a part named in vain.
    fn practise(&mut self, act: PracticeAct) -> Result<String, String>;
    /// The exercise as it stands.
    fn lesson(&self) -> Option<LessonSheet>;
    /// What the supply of the car can feed, as it is and with what is typed for [`super::supply::PLANS`].
    fn supply(&self, planned: &[String; PLANS.len()]) -> SupplySheet;

    /// The line at the top; none when no case is open.
    fn head(&self) -> Option<Head>;
    /// What is asked now.
    fn prompt(&self) -> Prompt;
    /// What is expected with the gauge at `place`.
    fn expected(&self, step: &str, place: Option<Place>) -> Option<Expected>;
    /// What a typed text would be, without taking it.
    fn echo(&self, step: &str, text: &str, place: Option<Place>) -> Result<Echo, String>;
    /// Takes a reading or an answer for the open step; gives a line to show.
    fn give(&mut self, text: &str, place: Option<Place>) -> Result<String, String>;
    /// Does something without text.
    fn act(&mut self, act: Act) -> Result<(), String>;
    /// A step as it can be corrected.
    fn step(&self, id: &str) -> Option<StepData>;
    /// Corrects an earlier answer; gives which later ones no longer apply.
    fn change(&mut self, step: &str, text: &str, place: Option<Place>) -> Result<Option<String>, String>;
    /// What was done, newest first.
    fn record(&self) -> Vec<RecordLine>;
    /// The fuel circuit with what is known.
    fn circuit(&self) -> Option<Circuit>;
    /// A page of the open case, or of the car taken.
    fn page(&mut self, page: Page) -> Vec<Para>;
    /// What the open step is read with, as facts of the car; empty where nothing of it can be stated.
    fn instrument(&self) -> Vec<FactLine>;
    /// Begins to write the report beside the cases; [`Desk::said`] tells where it is.
    fn save_report(&mut self);
    /// What came of work done beside the screens, in words, the one time it has come.
    fn said(&mut self) -> Option<Result<String, String>>;
    /// Writes the five lines for a ticket beside the cases; gives where.
    fn save_summary(&mut self) -> Result<String, String>;
    /// Writes the case as one file that another agent opens with nothing asked again; gives where.
    fn hand_over_file(&mut self) -> Result<String, String>;
    /// Copies the case whole into another folder and goes on there; gives what to say.
    fn go_on_in(&mut self, folder: &str) -> Result<String, String>;
    /// Keeps a half-typed text outside the journal's acknowledged readings.
    fn save_draft(&mut self, step: &str, text: &str);
    /// The half-typed text of a step.
    fn draft(&self, step: &str) -> Option<String>;
    /// Whether work goes on beside the screens whose result they wait for.
    fn busy(&self) -> bool {
        false
    }
    /// Takes such a result, if it has come; `true` when there is something new to show.
    fn poll(&mut self) -> bool {
        false
    }
    /// Settings changed.
    fn settle(&mut self, settings: Settings);
}
