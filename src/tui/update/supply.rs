//! Keys of the supply screen: everything is reckoned anew with each key.

use super::super::app::App;
use super::super::keys::Key;
use super::super::model::Screen;
use super::super::supply::{CHOICE, PLANS};
use super::super::widgets::Field;
use super::moved;

/// Shows what the supply of the car can feed.
pub fn open_supply(app: &mut App) {
    let sheet = Box::new(app.desk.supply(&typed(app)));
    app.model.planned[0].focus();
    app.open(Screen::Supply { at: 0, sheet });
}

fn typed(app: &App) -> [String; PLANS.len()] {
    std::array::from_fn(|row| app.model.planned[row].text().to_owned())
}

fn renew(app: &mut App) {
    let fresh = app.desk.supply(&typed(app));
    if let Screen::Supply { sheet, .. } = &mut app.model.screen {
        **sheet = fresh;
    }
}

pub fn key(app: &mut App, key: Key) {
    let Screen::Supply { at, sheet } = &mut app.model.screen else { return };
    // Enter goes on to the next entry; nothing has to be sent off.
    let step = if key == Key::Enter { Key::Down } else { key };
    if let Some(row) = moved(*at, PLANS.len(), step).filter(|_| !matches!(key, Key::Home | Key::End)) {
        *at = row;
        app.model.planned[row].focus();
        return;
    }
    if key == Key::Esc {
        app.close();
        return;
    }
    let row = *at;
    if row == CHOICE {
        let count = sheet.choices.len().max(1);
        let now = app.model.planned[row].text();
        let now = sheet.choices.iter().position(|(id, _)| id == now).unwrap_or(0);
        let next = match key {
            Key::Right | Key::Char(' ') => now + 1,
            Key::Left => now + count - 1,
            Key::Delete | Key::Backspace => 0,
            _ => return,
        };
        let id = sheet.choices.get(next % count).map_or("", |(id, _)| id.as_str());
        app.model.planned[row] = Field::holding(id);
    } else {
        app.model.planned[row].key(key);
    }
    renew(app);
}

/// Pasted text goes into the entry the keys act on.
pub fn paste(app: &mut App, text: &str) {
    let Screen::Supply { at, .. } = &app.model.screen else { return };
    let row = *at;
    if row != CHOICE {
        app.model.planned[row].paste(text);
        renew(app);
    }
}
