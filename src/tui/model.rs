//! Everything the screens are drawn from. Only [`super::app`] changes it.

use super::desk::{
    CarLine, CarSheet, CaseLine, Echo, Expected, FactLine, Head, Page, Para, Prompt, RecordLine, Settings,
    StepData,
};
use super::keys::Key;
use super::lesson::{Choices, LessonSheet};
use super::look::Look;
use super::supply::{PLANS, SupplySheet};
use super::widgets::{Circuit, Field, Timer};
use crate::library::Answering;
use crate::terms::{Caution, Complaint};
use std::time::Duration;

/// Least columns and rows the screens need.
pub const LEAST: (u16, u16) = (30, 10);

/// Rows that stand around cautions confirmed before: the head, the step's name, what to press and the keys.
const AROUND_KNOWN: usize = 8;

/// What is being entered for a step or a finding.
#[derive(Debug, Clone, Default)]
pub struct Entry {
    /// Which prompt it belongs to; a new one empties it.
    pub key: String,
    /// The text.
    pub field: Field,
    /// The marked choice of a list that has one marked from the start.
    pub pick: usize,
    /// The marked answer of a look; none until one is picked.
    pub answer: Option<usize>,
    /// Where the gauge sits, as an index of the step's places.
    pub place: usize,
    /// How many of the cautions due were confirmed.
    pub seen: usize,
    /// What is expected with the gauge there.
    pub expected: Option<Expected>,
    /// What the typed text would be, or why it is nothing yet.
    pub echo: Option<Result<Echo, String>>,
    /// The repair of the finding was chosen.
    pub repairing: bool,
}

/// Cautions that one key confirms.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Due {
    /// A new one alone, or together those confirmed in this case before.
    pub cautions: Vec<Caution>,
    /// The number of a new one, and how many those are; none for those confirmed before.
    pub of: Option<(usize, usize)>,
    /// Nothing is to be confirmed after it.
    pub last: bool,
}

/// Why a car is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Purpose {
    /// To begin a case with it.
    Begin,
    /// To see what its supply can do.
    Supply,
}

/// The car being looked at and edited.
#[derive(Debug, Clone)]
pub struct CarState {
    /// The car.
    pub sheet: CarSheet,
    /// The fact the keys act on.
    pub at: usize,
    /// The value being typed.
    pub editing: Option<Field>,
    /// What the fact held before it was edited; nothing where that was a default.
    pub before: String,
    /// Only the site's facts are shown.
    pub site: bool,
    /// The drawings are shown in place of the facts.
    pub drawing: bool,
    /// Why.
    pub purpose: Purpose,
}

impl CarState {
    /// A car as it is first shown.
    pub fn of(sheet: CarSheet, purpose: Purpose) -> Self {
        Self { sheet, at: 0, editing: None, before: String::new(), site: false, drawing: false, purpose }
    }

    /// The facts shown, as indices into the sheet's.
    pub fn shown(&self) -> Vec<usize> {
        let is_site = |path: &str| path.starts_with("site.");
        (0..self.sheet.facts.len()).filter(|&i| is_site(&self.sheet.facts[i].path) == self.site).collect()
    }
}

/// What is shown of an exercise.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LessonView {
    /// The moves.
    Moves,
    /// The parts, to name one.
    Parts,
    /// What was done.
    Record,
}

/// One screen with what belongs to it alone.
#[derive(Debug, Clone)]
pub enum Screen {
    /// The start: a sentence, or something to pick.
    Start,
    /// Plain questions in place of a sentence.
    Questions(Option<usize>),
    /// Several walks fit.
    Walks {
        /// The walks.
        list: Vec<Answering>,
        /// The row the keys act on.
        at: usize,
    },
    /// Which car.
    Cars {
        /// Saved and shipped cars.
        list: Vec<CarLine>,
        /// The row the keys act on; the row after the last is a new car.
        at: usize,
        /// What for.
        purpose: Purpose,
    },
    /// Facts of the car, or of the site.
    Car(Box<CarState>),
    /// The open case.
    Case,
    /// An earlier answer being corrected.
    Change {
        /// The step.
        step: Box<StepData>,
        /// What is entered.
        entry: Box<Entry>,
    },
    /// What the supply can feed, as it is and as planned; the row the keys act on.
    Supply {
        /// That row.
        at: usize,
        /// What it can feed.
        sheet: Box<SupplySheet>,
    },
    /// Another instrument for the open reading: each fact as it is, with what is typed in its place.
    Instrument {
        /// The row the keys act on; the one after the last takes it.
        at: usize,
        /// The facts.
        facts: Vec<(FactLine, Field)>,
    },
    /// The folder in which the case goes on, being typed.
    Elsewhere(Field),
    /// The file of a case handed over, being typed.
    HandedOver,
    /// What to practise.
    Practise {
        /// What can be chosen.
        choices: Box<Choices>,
        /// The row the keys act on.
        at: usize,
        /// Complaint, car and level picked.
        picked: [usize; 3],
    },
    /// An exercise in practice.
    Lesson {
        /// What is shown of it.
        view: LessonView,
        /// The row the keys act on.
        at: usize,
    },
    /// A page of text.
    Page {
        /// Its title.
        title: String,
        /// Its paragraphs.
        paras: Vec<Para>,
        /// Which page it is; none for help.
        page: Option<Page>,
    },
    /// Cases on disk.
    Cases {
        /// All of them.
        list: Vec<CaseLine>,
        /// The text to filter by.
        filter: Field,
        /// The row the keys act on.
        at: usize,
    },
    /// What was given, each to be corrected; before closing, or at any time.
    Answers {
        /// The row the keys act on.
        at: usize,
    },
    /// A note being written.
    Note {
        /// For the agent alone.
        private: bool,
    },
    /// Why the step can't be done.
    Cannot {
        /// The reason the keys act on.
        at: usize,
    },
    /// Fuel smelt or seen while no case is open.
    Leak,
    /// Settings.
    Settings(usize),
}

/// Whether a line at the foot is good news.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tone {
    /// Something was done.
    Said,
    /// Something was not taken.
    Refused,
}

/// All that is drawn.
#[derive(Debug, Clone)]
pub struct Model {
    /// Columns and rows.
    pub size: (u16, u16),
    /// The look.
    pub look: Look,
    /// Settings.
    pub settings: Settings,
    /// The screen on top.
    pub screen: Screen,
    /// The screens under it.
    pub under: Vec<Screen>,
    /// The action menu is open, on that row.
    pub menu: Option<usize>,
    /// Leaving was asked for and is to be confirmed.
    pub leaving: bool,
    /// A line to show until the next key.
    pub message: Option<(Tone, String)>,
    /// First row shown, once somebody scrolled.
    pub scroll: Option<usize>,
    /// The line at the top.
    pub head: Option<Head>,
    /// What is asked.
    pub prompt: Prompt,
    /// What was done, newest first.
    pub record: Vec<RecordLine>,
    /// The fuel circuit.
    pub circuit: Option<Circuit>,
    /// What is entered for the prompt.
    pub entry: Entry,
    /// The clock of a timed step.
    pub timer: Option<Timer>,
    /// The complaint being typed.
    pub complaint: Field,
    /// What the complaint was understood as.
    pub kinds: Vec<Complaint>,
    /// The car given at the start, which is not asked for, by its name.
    pub given_car: Option<String>,
    /// The walk chosen.
    pub walk: Option<String>,
    /// Row of the start screen the keys act on; 0 is the sentence.
    pub start_at: usize,
    /// The latest cases, for the start screen.
    pub recent: Vec<CaseLine>,
    /// The note being written; kept while the screen is left.
    pub note: Field,
    /// The words being written on why a step can't be done; kept while the screen is left.
    pub cannot: Field,
    /// What is planned for the supply; kept while the screen is left.
    pub planned: [Field; PLANS.len()],
    /// The file of a case handed over, being typed.
    pub file: Field,
    /// The exercise in practice.
    pub lesson: Option<Box<LessonSheet>>,
    /// The text its moves are filtered by.
    pub lesson_filter: Field,
    /// Leaving the exercise was asked for once.
    pub leaving_lesson: bool,
    /// Cases opened in this run and not closed, by id, and the one open now.
    pub opened: Vec<String>,
    /// Which of them is open.
    pub here: Option<String>,
    /// The key before this one, and when.
    pub last_key: Option<(Key, Duration)>,
}

impl Model {
    /// A fresh model on the start screen.
    pub fn new(look: Look, settings: Settings) -> Self {
        Self {
            size: (80, 24),
            look,
            settings,
            screen: Screen::Start,
            under: Vec::new(),
            menu: None,
            leaving: false,
            message: None,
            scroll: None,
            head: None,
            prompt: Prompt::Paused,
            record: Vec::new(),
            circuit: None,
            entry: Entry::default(),
            timer: None,
            complaint: Field::default(),
            kinds: Vec::new(),
            given_car: None,
            walk: None,
            start_at: 0,
            recent: Vec::new(),
            note: Field::default(),
            cannot: Field::default(),
            planned: Default::default(),
            file: Field::default(),
            lesson: None,
            lesson_filter: Field::default(),
            leaving_lesson: false,
            opened: Vec::new(),
            here: None,
            last_key: None,
        }
    }

    /// Whether the terminal is too small for any screen.
    pub fn too_small(&self) -> bool {
        self.size.0 < LEAST.0 || self.size.1 < LEAST.1
    }

    /// The answers looked through before closing: everything but steps that were only done.
    pub fn reviewed(&self) -> Vec<&RecordLine> {
        self.record.iter().filter(|line| !line.only_done).collect()
    }

    /// What is to be confirmed now before the step or the repair opens: each new caution, then those confirmed before.
    pub fn caution_due(&self) -> Option<Due> {
        let (all, again) = match (&self.screen, &self.prompt) {
            (Screen::Case, Prompt::Step(step)) if step.cautions_due && !step.put_back_first => {
                (&step.cautions, &step.again)
            }
            (Screen::Case, Prompt::Finding(f) | Prompt::NotCured(f))
                if f.cautions_due && self.entry.repairing =>
            {
                (&f.cautions, &f.again)
            }
            _ => return None,
        };
        let new: Vec<Caution> = all.iter().copied().filter(|c| !again.contains(c)).collect();
        let (seen, parts) = (self.entry.seen, self.in_sight(again));
        if let Some(caution) = new.get(seen) {
            let count = new.len() + parts.len();
            return Some(Due {
                cautions: vec![*caution],
                of: Some((seen + 1, count)),
                last: seen + 1 == count,
            });
        }
        // So many at a time as can be read without scrolling.
        let at = (seen - new.len()).min(parts.len().saturating_sub(1));
        let part = parts.get(at)?;
        Some(Due { cautions: part.clone(), of: None, last: at + 1 == parts.len() })
    }

    /// Cautions in as few parts as there is room for, each to be read without scrolling.
    fn in_sight(&self, cautions: &[Caution]) -> Vec<Vec<Caution>> {
        let rows = usize::from(self.size.1).saturating_sub(AROUND_KNOWN);
        let mut parts: Vec<Vec<Caution>> = Vec::new();
        for caution in cautions {
            if let Some(part) = parts.last_mut() {
                part.push(*caution);
                if super::screens::caution_rows(self, part) <= rows {
                    continue;
                }
                part.pop();
            }
            parts.push(vec![*caution]);
        }
        parts
    }

    /// The cases that match the filter.
    pub fn matching<'a>(list: &'a [CaseLine], filter: &str) -> Vec<&'a CaseLine> {
        let wanted = filter.trim().to_lowercase();
        list.iter()
            .filter(|c| {
                wanted.is_empty()
                    || [&c.car, &c.complaint, &c.stands, &c.id]
                        .iter()
                        .any(|t| t.to_lowercase().contains(&wanted))
            })
            .collect()
    }
}
