//! Every screen as sheets: the main one, perhaps one above it and one beside it.

mod car;
mod cautions;
mod finding;
mod instrument;
mod lesson;
mod lists;
mod pages;
mod start;
mod step;
mod supply;

use super::desk::{Asks, Prompt, StepData};
use super::model::{Model, Purpose, Screen};
use super::sheet::{Sheet, pad};
use super::theme::Role;
use crate::terms::Caution;

pub use car::group_of;
pub use lesson::{ROWS as LESSON_ROWS, matching as matching_moves};
pub use start::{MOST_RECENT, START_ROWS, StartRow};

/// From this width on, circuit and record stand beside the step.
pub const WIDE: u16 = 120;
/// Below this width the circuit shows only the parts about the step and the record folds to one line.
pub const NARROW: u16 = 60;

/// The sheets of a screen.
#[derive(Debug)]
pub struct Layout {
    /// Above, across the whole width; not scrolled.
    pub top: Option<Sheet>,
    /// The screen itself.
    pub main: Sheet,
    /// Beside it; not scrolled.
    pub side: Option<Sheet>,
}

impl Layout {
    fn only(main: Sheet) -> Self {
        Self { top: None, main, side: None }
    }
}

/// Lays the screen out for `columns` and `rows`.
pub fn layout(model: &Model, columns: u16, rows: u16) -> Layout {
    let width = usize::from(columns.max(1));
    if let Some(row) = model.menu {
        return Layout::only(menu(model, row, width));
    }
    match &model.screen {
        Screen::Start => Layout::only(start::start(model, width, usize::from(rows))),
        Screen::Questions(at) => Layout::only(start::questions(model, *at, width)),
        Screen::Walks { list, at } => Layout::only(lists::walks(model, list, *at, width)),
        Screen::Cars { list, at, .. } => Layout::only(lists::cars(model, list, *at, width)),
        Screen::Car(car) => car::car(model, car, columns),
        Screen::Case => case(model, columns, rows),
        Screen::Change { step, entry } => Layout::only(step::change(model, step, entry, width)),
        Screen::Supply { at, sheet } => Layout::only(supply::supply(model, *at, sheet, width)),
        Screen::Instrument { at, facts } => Layout::only(instrument::instrument(model, *at, facts, width)),
        Screen::Elsewhere(field) => Layout::only(pages::elsewhere(model, field, width)),
        Screen::HandedOver => Layout::only(pages::handed_over(model, width)),
        Screen::Practise { choices, at, picked } => {
            Layout::only(lesson::choose(model, choices, *at, *picked, width))
        }
        Screen::Lesson { view, at } => Layout::only(match &model.lesson {
            Some(data) => lesson::lesson(model, data, *view, *at, width),
            None => pages::says(model, "No exercise is open", "Esc goes back.", width),
        }),
        Screen::Page { title, paras, .. } => Layout::only(pages::page(model, title, paras, width)),
        Screen::Cases { list, filter, at } => Layout::only(lists::cases(model, list, filter, *at, width)),
        Screen::Answers { at } => Layout::only(lists::answers(model, *at, width)),
        Screen::Note { private } => Layout::only(pages::note(model, *private, width)),
        Screen::Cannot { at } => Layout::only(pages::cannot(model, *at, width)),
        Screen::Leak => Layout::only(pages::leak(model, false, width)),
        Screen::Settings(at) => Layout::only(lists::settings(model, *at, width)),
    }
}

fn case(model: &Model, columns: u16, rows: u16) -> Layout {
    let width = usize::from(columns.max(1));
    match &model.prompt {
        Prompt::Step(step) => step::step(model, step, columns, rows),
        Prompt::Finding(f) => Layout::only(finding::finding(model, f, width, usize::from(rows))),
        Prompt::NotCured(f) => Layout::only(finding::not_cured(model, f, width)),
        Prompt::Handover { says, advice, narrowed, against, .. } => {
            Layout::only(finding::handover(model, says, advice, (narrowed, against.as_deref()), width))
        }
        Prompt::Review { mended } => Layout::only(lists::review(model, *mended, width)),
        Prompt::Leak => Layout::only(pages::leak(model, true, width)),
        Prompt::Paused => Layout::only(pages::says(model, "Paused", "Enter goes on where it stood.", width)),
        Prompt::Closed(outcome) => Layout::only(finding::closed(model, outcome, width)),
        Prompt::Broken(why) => Layout::only(pages::says(
            model,
            "This case cannot go on",
            &format!("{why} Everything given so far is kept. Enter goes to the start."),
            width,
        )),
    }
}

fn menu(model: &Model, row: usize, width: usize) -> Sheet {
    let mut sheet = Sheet::new(model.look, width);
    sheet.text(Role::Strong, "Actions");
    for (i, action) in super::view::actions(model).into_iter().enumerate() {
        let ctrl = action.ctrl().map(|c| format!(" Ctrl-{}", c.to_ascii_uppercase())).unwrap_or_default();
        let text = format!("{}{ctrl}", pad(action.name(), 29.min(width.saturating_sub(12))));
        sheet.choice(i == row, &action.letter().to_string(), text.trim_end());
    }
    sheet
}

/// The keys that matter on this screen, the most important first.
pub fn hints(model: &Model) -> Vec<(&'static str, &'static str)> {
    if model.menu.is_some() {
        return vec![("Enter", "do it"), ("letter", "do that"), ("Esc", "close")];
    }
    match &model.screen {
        Screen::Start => vec![("Enter", "go on"), ("arrows", "pick"), ("Esc", "leave"), ("Ctrl-G", "help")],
        Screen::Questions(_) | Screen::Walks { .. } | Screen::Cars { .. } => {
            vec![("Enter", "take"), ("arrows", "pick"), ("Esc", "back")]
        }
        Screen::Car(car) if car.editing.is_some() => {
            vec![("Enter", "take"), ("Esc", "as it was")]
        }
        Screen::Car(car) => {
            let go = match (car.site, car.purpose) {
                (false, _) => "go on",
                (true, Purpose::Begin) => "begin",
                (true, Purpose::Supply) => "show",
            };
            vec![
                ("Enter", "edit"),
                ("G", go),
                ("Esc", "back"),
                ("Tab", if car.drawing { "facts" } else { "drawings" }),
                ("PgDn", if car.drawing { "more" } else { "next group" }),
                ("K", "keep car"),
                ("Del", "default"),
                ("arrows", "pick, change"),
            ]
        }
        Screen::Case => case_hints(model),
        Screen::Change { .. } => vec![("Enter", "change"), ("Esc", "leave as it was")],
        Screen::Page { page: Some(super::desk::Page::Report), .. } => {
            vec![("Esc", "back"), ("S", "save it"), ("H", "hand-over file"), ("arrows", "scroll")]
        }
        Screen::Page { page: Some(super::desk::Page::Summary), .. } => {
            vec![("Esc", "back"), ("S", "save it"), ("arrows", "scroll")]
        }
        Screen::Page { page: Some(super::desk::Page::Standing), .. } => {
            let mut hints = vec![("Esc", "back")];
            if let Some(offers) = model.prompt.offers() {
                hints.extend(offers.again.as_ref().map(|_| ("R", "do it again")));
                hints.extend(offers.conclusion.as_ref().map(|_| ("N", "name it now")));
                hints.extend(offers.better.as_ref().map(|_| ("T", "do that test now")));
                hints.extend(offers.may_wait.then_some(("L", "put it off")));
            }
            hints.push(("arrows", "scroll"));
            hints
        }
        Screen::Supply { .. } => {
            vec![("arrows", "pick, change"), ("Esc", "back"), ("PgDn", "more")]
        }
        Screen::Practise { .. } => vec![("Enter", "take"), ("arrows", "pick, change"), ("Esc", "back")],
        Screen::Lesson { view, .. } => match &model.lesson {
            Some(data) => lesson::hints(model, data, *view),
            None => vec![("Esc", "back")],
        },
        Screen::Elsewhere(_) => vec![("Enter", "copy it there and go on"), ("Esc", "back")],
        Screen::HandedOver => vec![("Enter", "take it in"), ("Esc", "back")],
        Screen::Instrument { .. } => vec![("Enter", "next, take"), ("arrows", "pick"), ("Esc", "as it was")],
        Screen::Page { page: Some(super::desk::Page::Why | super::desk::Page::Car), .. } if reads(model) => {
            vec![("Esc", "back"), ("I", "another instrument"), ("arrows", "scroll")]
        }
        Screen::Page { .. } => vec![("Esc", "back"), ("arrows", "scroll")],
        Screen::Cases { .. } => vec![("Enter", "open"), ("type", "filter"), ("Esc", "back")],
        Screen::Answers { .. } | Screen::Settings(_) => {
            vec![("Enter", "change"), ("arrows", "pick"), ("Esc", "back")]
        }
        Screen::Note { .. } => vec![("Enter", "keep"), ("Tab", "shared or private"), ("Esc", "later")],
        Screen::Cannot { .. } => vec![("Enter", "take"), ("arrows", "reason"), ("Esc", "back")],
        Screen::Leak => vec![("Esc", "back")],
    }
}

/// The rows that these cautions take where they are said together.
pub fn caution_rows(model: &Model, cautions: &[Caution]) -> usize {
    let mut sheet = Sheet::new(model.look, usize::from(model.size.0));
    cautions::lines(&mut sheet, cautions, cautions::Said::Whole);
    sheet.row()
}

/// Whether a reading is asked for.
pub fn reads(model: &Model) -> bool {
    matches!(&model.prompt, Prompt::Step(step) if matches!(step.asks, Asks::Reading { .. }))
}

fn case_hints(model: &Model) -> Vec<(&'static str, &'static str)> {
    if let Some(due) = model.caution_due() {
        let what = if due.of.is_some() { "read, and kept to" } else { "kept to here too" };
        return vec![("Y", what), ("Esc", "actions"), ("Ctrl-F", "leak")];
    }
    match &model.prompt {
        Prompt::Step(step) => step_hints(model, step),
        Prompt::Finding(_) if model.entry.repairing => {
            vec![("Enter", "repair is done"), ("Esc", "actions"), ("Left", "back, not done")]
        }
        Prompt::Finding(_) => vec![("Enter", "take"), ("Esc", "actions"), ("?", "why")],
        Prompt::Handover { .. } => vec![("Enter", "hand over"), ("Esc", "actions"), ("?", "why")],
        Prompt::Review { mended: true } => {
            vec![("C", "it is gone, close"), ("A", "it is not"), ("Enter", "change"), ("Esc", "actions")]
        }
        Prompt::Review { .. } => vec![("Enter", "change"), ("C", "close the case"), ("Esc", "actions")],
        Prompt::Leak => vec![("M", "it is mended and dry"), ("Esc", "actions")],
        Prompt::Paused => vec![("Enter", "go on"), ("Esc", "actions")],
        Prompt::NotCured(_) | Prompt::Closed(_) | Prompt::Broken(_) => {
            vec![("Enter", "take"), ("Esc", "actions")]
        }
    }
}

fn step_hints(model: &Model, step: &StepData) -> Vec<(&'static str, &'static str)> {
    if step.put_back_first {
        return vec![("Enter", "put it back"), ("Esc", "actions"), ("?", "why"), ("Ctrl-F", "leak")];
    }
    let mut hints = match &step.asks {
        Asks::Done => vec![("Enter", "done"), ("Esc", "actions")],
        Asks::Pick(_) => vec![("Enter", "take"), ("Esc", "actions"), ("arrows", "pick")],
        Asks::Reading { places, .. } => {
            let mut hints = vec![("Enter", "keep"), ("Esc", "actions")];
            if places.len() > 1 {
                hints.push(("Tab", "gauge place"));
            }
            hints
        }
        Asks::Percent => vec![("Enter", "keep"), ("Esc", "actions")],
    };
    if step.timer.is_some() {
        hints.push(("Space", "clock"));
    }
    hints.push(("?", if step.cautions.is_empty() { "why" } else { "why, cautions" }));
    hints.push(("Ctrl-F", "leak"));
    if model.opened.len() > 1 {
        hints.push(("Ctrl-N", "next case"));
    }
    hints
}
