//! Keys of the screen that takes another instrument.

use super::super::app::App;
use super::super::desk::{Act, FactLine, Prompt};
use super::super::keys::Key;
use super::super::model::Screen;
use super::super::widgets::Field;
use super::moved;

/// Shows what the open step is read with, to take another from here on.
pub fn open_instrument(app: &mut App) {
    let facts = app.desk.instrument();
    if facts.is_empty() {
        app.refuse("The open step reads no instrument whose range or accuracy can be stated.");
        return;
    }
    let facts = facts.into_iter().map(|fact| (fact, Field::default())).collect();
    app.open(Screen::Instrument { at: 0, facts });
}

pub fn key(app: &mut App, key: Key) {
    let Screen::Instrument { at, facts } = &mut app.model.screen else { return };
    match key {
        Key::Esc => app.close(),
        Key::Enter if *at >= facts.len() => take(app),
        // Enter goes on to the next entry; the row below the last takes them all.
        Key::Enter => to(at, *at + 1, facts),
        Key::Home | Key::End => {
            if let Some((_, field)) = facts.get_mut(*at) {
                field.key(key);
            }
        }
        key => {
            if let Some(row) = moved(*at, facts.len() + 1, key) {
                to(at, row, facts);
            } else if let Some((_, field)) = facts.get_mut(*at) {
                field.key(key);
            }
        }
    }
}

/// The keys act on another row.
fn to(at: &mut usize, row: usize, facts: &mut [(FactLine, Field)]) {
    *at = row;
    if let Some((_, field)) = facts.get_mut(row) {
        field.focus();
    }
}

/// Pasted text goes into the entry the keys act on.
pub fn paste(app: &mut App, text: &str) {
    let Screen::Instrument { at, facts } = &mut app.model.screen else { return };
    if let Some((_, field)) = facts.get_mut(*at) {
        field.paste(text);
    }
}

fn take(app: &mut App) {
    let Screen::Instrument { facts, .. } = &app.model.screen else { return };
    let changed: Vec<(String, String)> = facts
        .iter()
        .map(|(fact, field)| (fact.path.clone(), field.text().trim().to_owned()))
        .filter(|(_, text)| !text.is_empty())
        .collect();
    if changed.is_empty() {
        app.close();
        return;
    }
    if app.do_act(Act::Instrument(changed)) {
        app.show_case();
        if let Prompt::Step(step) = &app.model.prompt {
            super::case::renew(app.desk.as_ref(), step, &mut app.model.entry);
        }
        app.say("Read with this from here on. What was read before stays as it was taken.");
    }
}
