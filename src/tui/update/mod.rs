//! What a key does on each screen.

mod car;
mod case;
mod change;
mod instrument;
mod lesson;
mod lists;
mod page;
mod supply;
mod words;

use super::app::App;
use super::desk::{Desk, Phase, Prompt};
use super::keys::Key;
use super::model::{Entry, Screen};
use super::widgets::Field;

pub use case::{entry_changed, set_aside_as, set_key};
pub use change::keep_change;
pub use instrument::open_instrument;
pub use lesson::open_practice;
pub use supply::open_supply;

/// What is left by a key.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Left {
    /// Nothing, or only a screen.
    Nothing,
    /// The program.
    Program,
}

/// Takes a key on the screen on top.
pub fn key(app: &mut App, key: Key) -> Left {
    match &app.model.screen {
        Screen::Start => return lists::start(app, key),
        Screen::Questions(at) => lists::questions(app, *at, key),
        Screen::Walks { .. } => lists::walks(app, key),
        Screen::Cars { .. } => lists::cars(app, key),
        Screen::Car(_) => car::key(app, key),
        Screen::Case => case::key(app, key),
        Screen::Change { .. } => change::change(app, key),
        Screen::Page { page, .. } => {
            let page = *page;
            page::page(app, page, key);
        }
        Screen::Cases { .. } => lists::cases(app, key),
        Screen::Answers { at } => lists::answers(app, *at, key),
        Screen::Note { private } => words::note(app, *private, key),
        Screen::Cannot { .. } => words::cannot(app, key),
        Screen::Leak => {
            if matches!(key, Key::Esc | Key::Enter) {
                app.close();
            }
        }
        Screen::Settings(at) => lists::settings(app, *at, key),
        Screen::Supply { .. } => supply::key(app, key),
        Screen::Instrument { .. } => instrument::key(app, key),
        Screen::Elsewhere(_) => words::elsewhere(app, key),
        Screen::HandedOver => lists::handed_over(app, key),
        Screen::Practise { .. } => lesson::choose(app, key),
        Screen::Lesson { .. } => lesson::lesson(app, key),
    }
    Left::Nothing
}

/// Puts pasted text where typing goes; nothing is submitted.
pub fn paste(app: &mut App, text: &str) {
    let due = app.model.caution_due().is_some();
    match &mut app.model.screen {
        Screen::Start => {
            app.model.start_at = 0;
            app.model.complaint.paste(text);
            app.model.kinds = app.desk.kinds(app.model.complaint.text());
        }
        Screen::Case if !due => case::paste(app, text),
        Screen::Change { entry, .. } => {
            entry.field.paste(text);
            entry_changed(app);
        }
        Screen::Cases { filter, at, .. } => {
            filter.paste(text);
            *at = 0;
        }
        Screen::Note { .. } => app.model.note.paste(text),
        Screen::Cannot { .. } => app.model.cannot.paste(text),
        Screen::Car(car) => {
            if let Some(field) = &mut car.editing {
                field.paste(text);
            }
        }
        Screen::Supply { .. } => supply::paste(app, text),
        Screen::Instrument { .. } => instrument::paste(app, text),
        Screen::Elsewhere(field) => field.paste(text),
        Screen::HandedOver => app.model.file.paste(text),
        Screen::Lesson { view: super::model::LessonView::Moves, at } => {
            app.model.lesson_filter.paste(text);
            *at = 0;
        }
        _ => {}
    }
}

/// What tells one prompt from the next.
pub fn prompt_key(prompt: &Prompt) -> String {
    match prompt {
        Prompt::Step(step) => {
            let phase = match &step.phase {
                Phase::Walk => "walk",
                Phase::Confirm => "confirm",
                Phase::PutBack => "put-back",
                Phase::Ahead => "ahead",
                Phase::Beside => "beside",
                Phase::Change => "change",
            };
            format!("{phase} {} {} {}", step.number, step.id, step.repeats)
        }
        Prompt::Finding(f) => format!("finding {}", f.id),
        Prompt::NotCured(f) => format!("not cured {}", f.id),
        Prompt::Handover { says, .. } => format!("handover {says}"),
        Prompt::Review { .. } => "review".into(),
        Prompt::Leak => "leak".into(),
        Prompt::Paused => "paused".into(),
        Prompt::Closed(_) => "closed".into(),
        Prompt::Broken(_) => "broken".into(),
    }
}

/// The empty entry of a prompt: its draft, or else what the step gave before.
pub fn fresh_entry(desk: &dyn Desk, prompt: &Prompt, key: String) -> Entry {
    // Whoever has confirmed the cautions of a repair, and was led up to it, is asked whether it is done.
    let led = matches!(prompt, Prompt::Finding(f) if !f.cautions.is_empty() && !f.cautions_due);
    let mut entry = Entry { key, repairing: led, ..Entry::default() };
    if let Prompt::Step(step) = prompt {
        entry.expected.clone_from(&step.expected);
        match &step.asks {
            super::desk::Asks::Reading { place, places, .. } => {
                let set = desk.draft(&set_key(&step.id));
                let set = places.iter().position(|p| Some(p.id()) == set.as_deref());
                entry.place = set.unwrap_or(*place);
            }
            super::desk::Asks::Pick(answers) => {
                let set = desk.draft(&set_key(&step.id)).filter(|s| !s.is_empty());
                let before = set.or_else(|| step.before.clone());
                entry.answer = answers.iter().position(|(id, _)| Some(id) == before.as_ref());
            }
            _ => {}
        }
        if step.typed() {
            let before = step.before.as_deref().unwrap_or_default();
            // What was given before is there to be replaced; what is half typed goes on.
            entry.field = match desk.draft(&step.id).filter(|d| !d.is_empty() && d != before) {
                Some(draft) => Field::holding(&draft),
                None => Field::offering(before),
            };
        }
        case::renew(desk, step, &mut entry);
    }
    entry
}

/// Moves through a list of `count` rows, round at its ends; nothing for other keys.
fn moved(at: usize, count: usize, key: Key) -> Option<usize> {
    let last = count.saturating_sub(1);
    Some(match key {
        Key::Up | Key::BackTab => at.checked_sub(1).unwrap_or(last),
        Key::Down | Key::Tab => {
            if at >= last {
                0
            } else {
                at + 1
            }
        }
        Key::Home => 0,
        Key::End => last,
        _ => return None,
    })
}

/// Moves through a list in which nothing may be marked yet: down to its first row then, up to its last.
fn marked(at: Option<usize>, count: usize, key: Key) -> Option<usize> {
    match (at, key) {
        (Some(at), key) => moved(at, count, key),
        (None, Key::Up | Key::BackTab | Key::End) => count.checked_sub(1),
        (None, key) => moved(0, count, key).map(|_| 0),
    }
}

/// The row of a digit from 1, if there is one.
fn digit(key: Key, count: usize) -> Option<usize> {
    let Key::Char(c) = key else { return None };
    let row = usize::try_from(c.to_digit(10)?).ok()?.checked_sub(1)?;
    (row < count).then_some(row)
}
