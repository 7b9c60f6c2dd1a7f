//! Keys of the screens that are lists: start, questions, walks, cars, cases, answers, settings.

use super::super::actions::Action;
use super::super::app::App;
use super::super::desk::Settings;
use super::super::keys::Key;
use super::super::model::{CarState, Model, Purpose, Screen};
use super::super::screens::{START_ROWS, StartRow};
use super::super::theme::{Depth, Ground};
use super::{Left, digit, marked, moved};
use crate::quantity::UnitSystem;
use crate::terms::Complaint;

pub fn start(app: &mut App, key: Key) -> Left {
    let recent = app.model.recent.len().min(super::super::screens::MOST_RECENT);
    let count = 1 + START_ROWS.len() + recent;
    // Home and End belong to a line that holds something; where it is empty they move in the list.
    let edits =
        app.model.start_at == 0 && !app.model.complaint.is_empty() && matches!(key, Key::Home | Key::End);
    if !edits && let Some(row) = moved(app.model.start_at, count, key) {
        app.model.start_at = row;
        return Left::Nothing;
    }
    match key {
        Key::Enter if app.model.start_at == 0 => {
            app.keep_draft();
            if app.model.complaint.text().trim().is_empty() {
                app.open(Screen::Questions(None));
            } else if app.model.kinds.is_empty() {
                app.open(Screen::Questions(None));
                app.say(
                    "That sentence names nothing known here. Pick what comes nearest; your words are kept.",
                );
            } else {
                choose_walk(app);
            }
        }
        Key::Enter if app.model.start_at <= recent => {
            let id = app.model.recent.get(app.model.start_at - 1).map(|c| c.id.clone());
            if let Some(id) = id {
                app.switch_to(&id);
            }
        }
        Key::Enter => match START_ROWS.get(app.model.start_at - 1 - recent) {
            Some(StartRow::Questions) => app.open(Screen::Questions(None)),
            Some(StartRow::Cases) => app.open_cases(),
            Some(StartRow::HandedOver) => app.open(Screen::HandedOver),
            Some(StartRow::Supply) => open_cars(app, Purpose::Supply),
            Some(StartRow::Practise) => super::open_practice(app),
            Some(StartRow::Settings) => app.act_on(Action::Settings),
            Some(StartRow::Help) => app.act_on(Action::Help),
            Some(StartRow::Leave) | None => return Left::Program,
        },
        Key::Esc => {
            if app.model.complaint.is_empty() || app.model.start_at > 0 {
                app.model.leaving = true;
            } else {
                app.model.start_at = 1;
            }
        }
        key => {
            if app.model.complaint.key(key) {
                app.model.start_at = 0;
                app.model.kinds = app.desk.kinds(app.model.complaint.text());
                app.typed();
            }
        }
    }
    Left::Nothing
}

/// The questions in the order shown.
pub fn questions(app: &mut App, at: Option<usize>, key: Key) {
    let count = Complaint::ALL.len();
    if let Some(row) = marked(at, count, key) {
        app.model.screen = Screen::Questions(Some(row));
        return;
    }
    match key {
        Key::Esc => app.close(),
        Key::Enter => {
            if let Some(kind) = at.and_then(|at| Complaint::ALL.get(at)) {
                if app.model.complaint.text().trim().is_empty() {
                    app.model.complaint = super::super::widgets::Field::holding(kind.name());
                }
                app.model.kinds = vec![*kind];
                choose_walk(app);
            } else {
                app.refuse("No question is marked yet. Pick what comes nearest with the arrows, then Enter.");
            }
        }
        _ => {}
    }
}

fn choose_walk(app: &mut App) {
    let mut list = app.desk.walks(&app.model.kinds);
    match list.len() {
        0 => app.refuse(
            "No walk answers that complaint. Say it in other words, or pick from the plain questions.",
        ),
        1 => {
            let only = list.remove(0);
            app.model.walk = Some(only.id);
            open_cars(app, Purpose::Begin);
            app.say(&format!("The walk: {}. It is the only one that answers this.", only.title));
        }
        _ => app.open(Screen::Walks { list, at: 0 }),
    }
}

pub fn walks(app: &mut App, key: Key) {
    let Screen::Walks { list, at } = &mut app.model.screen else { return };
    if let Some(row) = digit(key, list.len()).or_else(|| moved(*at, list.len(), key)) {
        *at = row;
        return;
    }
    match key {
        Key::Esc => app.close(),
        Key::Enter => {
            app.model.walk = list.get(*at).map(|w| w.id.clone());
            open_cars(app, Purpose::Begin);
        }
        _ => {}
    }
}

fn open_cars(app: &mut App, purpose: Purpose) {
    if let Some(sheet) = app.desk.given_car() {
        app.open(Screen::Car(Box::new(CarState::of(sheet, purpose))));
        return;
    }
    let list = app.desk.cars();
    app.open(Screen::Cars { list, at: 0, purpose });
}

pub fn cars(app: &mut App, key: Key) {
    let Screen::Cars { list, at, purpose } = &mut app.model.screen else { return };
    let count = list.len() + 1;
    if let Some(row) = digit(key, count).or_else(|| moved(*at, count, key)) {
        *at = row;
        return;
    }
    match key {
        Key::Esc => app.close(),
        Key::Enter => {
            let id = list.get(*at).map(|c| c.id.clone());
            let purpose = *purpose;
            match app.desk.take_car(id.as_deref()) {
                Ok(sheet) => {
                    app.open(Screen::Car(Box::new(CarState::of(sheet, purpose))));
                }
                Err(error) => app.refuse(&error),
            }
        }
        _ => {}
    }
}

/// The file of a case handed over is being typed.
pub fn handed_over(app: &mut App, key: Key) {
    match key {
        Key::Esc => app.close(),
        Key::Enter if app.model.file.text().trim().is_empty() => {
            app.refuse("Nothing is typed yet. Type or paste where the file is.");
        }
        Key::Enter => {
            let file = app.model.file.text().trim().to_owned();
            match app.desk.take_in(&file) {
                Ok((id, said)) => {
                    app.model.file.clear();
                    app.switch_to(&id);
                    if app.model.message.is_none() {
                        app.say(&said);
                    }
                }
                Err(error) => app.model.file.error = Some(error),
            }
        }
        key => {
            app.model.file.key(key);
        }
    }
}

pub fn cases(app: &mut App, key: Key) {
    let Screen::Cases { list, filter, at } = &mut app.model.screen else { return };
    let matching = Model::matching(list, filter.text());
    if let Some(row) = moved(*at, matching.len(), key) {
        *at = row;
        return;
    }
    match key {
        Key::Esc => app.close(),
        Key::Enter => {
            if let Some(id) = matching.get(*at).map(|c| c.id.clone()) {
                app.switch_to(&id);
            }
        }
        key => {
            if filter.key(key) {
                *at = 0;
            }
        }
    }
}

pub fn answers(app: &mut App, at: usize, key: Key) {
    if let Some(row) = moved(at, app.model.record.len(), key) {
        app.model.screen = Screen::Answers { at: row };
        return;
    }
    match key {
        Key::Esc => app.close(),
        Key::Enter => {
            if let Some(line) = app.model.record.get(at).cloned() {
                super::change::open_line(app, &line);
            }
        }
        _ => {}
    }
}

/// How many settings there are.
pub const SETTINGS: usize = 6;

pub fn settings(app: &mut App, at: usize, key: Key) {
    if let Some(row) = digit(key, SETTINGS).or_else(|| moved(at, SETTINGS, key)) {
        app.model.screen = Screen::Settings(row);
        return;
    }
    match key {
        Key::Esc => app.close(),
        Key::Enter | Key::Left | Key::Right | Key::Char(' ') => {
            toggle(app, at);
        }
        _ => {}
    }
}

fn toggle(app: &mut App, at: usize) {
    let model = &mut app.model;
    match at {
        0 => {
            let units = match model.settings.units {
                None => Some(UnitSystem::Us),
                Some(UnitSystem::Us) => Some(UnitSystem::Metric),
                Some(UnitSystem::Metric) => None,
            };
            model.settings = Settings { units, ..model.settings };
        }
        1 => {
            model.look.theme.ground = match model.look.theme.ground {
                Ground::Dark => Ground::Light,
                Ground::Light => Ground::Dark,
            };
            model.settings.light = model.look.theme.ground == Ground::Light;
        }
        2 => {
            model.look.theme.depth = match model.look.theme.depth {
                Depth::Sixteen => Depth::True,
                Depth::True => Depth::None,
                Depth::None => Depth::Sixteen,
            };
            model.settings.colour = Some(model.look.theme.depth);
        }
        3 => {
            model.look.ascii = !model.look.ascii;
            model.settings.ascii = Some(model.look.ascii);
        }
        4 => model.settings.agent = !model.settings.agent,
        _ => model.settings.plain = !model.settings.plain,
    }
    app.desk.settle(app.model.settings);
    app.model.entry.key.clear();
    app.refresh();
}
