//! Keys of the car and site screens.

use super::super::app::App;
use super::super::desk::FactKind;
use super::super::keys::Key;
use super::super::model::{CarState, Purpose, Screen};
use super::super::screens::group_of;
use super::super::widgets::Field;
use super::moved;

pub fn key(app: &mut App, key: Key) {
    let Screen::Car(car) = &mut app.model.screen else { return };
    if let Some(field) = &mut car.editing {
        match key {
            Key::Esc if field.error.is_some() => {
                let before = std::mem::take(&mut car.before);
                put(app, &before);
            }
            Key::Esc => car.editing = None,
            // Nothing was typed: it stays as it is, a default a default.
            Key::Enter if field.is_offered() => car.editing = None,
            Key::Enter => {
                let text = field.text().to_owned();
                put(app, &text);
            }
            key => {
                field.key(key);
            }
        }
        return;
    }
    let shown = car.shown();
    // Below the facts stands one more row: going on.
    let count = shown.len() + 1;
    if key == Key::Tab {
        car.drawing = !car.drawing;
        app.model.scroll = None;
        return;
    }
    if let Some(row) = moved(car.at, count, key).or_else(|| next_group(car, &shown, key)) {
        car.at = row;
        return;
    }
    let fact = shown.get(car.at).and_then(|&i| car.sheet.facts.get(i)).cloned();
    let key = if let Key::Char(letter) = key { Key::Char(letter.to_ascii_lowercase()) } else { key };
    match (key, fact) {
        (Key::Esc, _) if car.site => {
            car.site = false;
            car.at = 0;
        }
        (Key::Esc, _) => app.close(),
        (Key::Char('g'), _) | (Key::Enter, None) => go_on(app),
        (Key::Char('k'), _) => match app.desk.save_car() {
            Ok(place) => app.say(&format!("The car is kept at {place}")),
            Err(error) => app.refuse(&error),
        },
        (Key::Left | Key::Right | Key::Char(' '), Some(fact)) => {
            if let FactKind::Choice(options) = &fact.kind
                && !options.is_empty()
            {
                let now = options.iter().position(|o| *o == fact.value).unwrap_or(0);
                let step = if key == Key::Left { options.len() - 1 } else { 1 };
                let next = options[(now + step) % options.len()].clone();
                put(app, &next);
            }
        }
        (Key::Enter, Some(fact)) => {
            car.editing = Some(Field::offering(&fact.value));
            car.before = if fact.default { String::new() } else { fact.value };
        }
        (Key::Delete, Some(_)) => put(app, ""),
        _ => {}
    }
}

/// The first row of the next group of facts, or of this one or the one before; going on counts as the last group.
fn next_group(car: &CarState, shown: &[usize], key: Key) -> Option<usize> {
    let groups: Vec<&str> = shown.iter().map(|&i| group_of(&car.sheet.facts[i].path)).collect();
    let begins: Vec<usize> =
        (0..groups.len()).filter(|&i| i == 0 || groups[i] != groups[i - 1]).chain([groups.len()]).collect();
    match key {
        Key::PageDown => begins.iter().copied().find(|b| *b > car.at).or(Some(groups.len())),
        Key::PageUp => begins.iter().copied().rev().find(|b| *b < car.at).or(Some(0)),
        _ => None,
    }
}

/// Gives the fact under the cursor a value and shows what follows; a value that is wrong stays open to be mended.
fn put(app: &mut App, text: &str) {
    let Screen::Car(car) = &mut app.model.screen else { return };
    let shown = car.shown();
    let Some(path) = shown.get(car.at).and_then(|&i| car.sheet.facts.get(i)).map(|f| f.path.clone()) else {
        return;
    };
    car.sheet = app.desk.set_fact(&path, text.trim());
    let problem = car.sheet.facts.iter().find(|f| f.path == path).and_then(|f| f.problem.clone());
    car.editing = problem.map(|problem| {
        let mut field = Field::holding(text);
        field.refuse(problem);
        field
    });
}

fn go_on(app: &mut App) {
    let Screen::Car(car) = &mut app.model.screen else { return };
    let wrong = car.sheet.facts.iter().filter(|f| f.problem.is_some()).count() + car.sheet.problems.len();
    if wrong > 0 {
        app.refuse("Something is not right with this car yet; mend what is marked with '!'.");
        return;
    }
    if !car.site {
        car.site = true;
        car.drawing = false;
        car.at = 0;
        return;
    }
    match car.purpose {
        Purpose::Supply => super::open_supply(app),
        Purpose::Begin => {
            let walk = app.model.walk.clone().unwrap_or_default();
            let complaint = app.model.complaint.text().to_owned();
            match app.desk.begin(&walk, &complaint) {
                Ok(()) => app.enter_case(),
                Err(error) => app.refuse(&error),
            }
        }
    }
}
