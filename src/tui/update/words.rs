//! Keys of the small screens that take words: a note, why a step can't be done, a folder to go on in.

use super::super::app::App;
use super::super::desk::Act;
use super::super::keys::Key;
use super::super::model::Screen;
use super::moved;
use crate::walk::Reason;

pub fn note(app: &mut App, private: bool, key: Key) {
    match key {
        Key::Esc => {
            app.keep_draft();
            app.close();
        }
        Key::Tab => app.model.screen = Screen::Note { private: !private },
        Key::Enter if app.model.note.text().trim().is_empty() => {
            app.refuse("Nothing is written yet. Type the note, or Esc goes back.");
        }
        Key::Enter => {
            let text = app.model.note.text().to_owned();
            if app.do_act(Act::Note { text, private }) {
                app.model.note.clear();
                app.keep_draft();
                app.close();
                app.say("Note kept.");
            }
        }
        key => {
            if app.model.note.key(key) {
                app.typed();
            }
        }
    }
}

pub fn cannot(app: &mut App, key: Key) {
    let Screen::Cannot { at } = &mut app.model.screen else { return };
    if let Some(row) = moved(*at, Reason::ALL.len(), key) {
        *at = row;
        return;
    }
    match key {
        Key::Esc => {
            app.keep_draft();
            app.close();
        }
        Key::Enter => {
            let reason = Reason::ALL.get(*at).copied().unwrap_or(Reason::Later);
            let words = Some(app.model.cannot.text().trim().to_owned()).filter(|w| !w.is_empty());
            app.close();
            if app.do_act(Act::Cannot(reason, words)) {
                app.model.cannot.clear();
                app.keep_draft();
                app.say(&format!("Not tested: {}.", reason.name()));
            }
        }
        key => {
            if app.model.cannot.key(key) {
                app.typed();
            }
        }
    }
}

/// The folder in which the case goes on is being typed.
pub fn elsewhere(app: &mut App, key: Key) {
    let Screen::Elsewhere(field) = &mut app.model.screen else { return };
    match key {
        Key::Esc => app.close(),
        Key::Enter if field.text().trim().is_empty() => {
            app.refuse("Nothing is typed yet. Type or paste a folder on a disk with room.");
        }
        Key::Enter => {
            let folder = field.text().trim().to_owned();
            match app.desk.go_on_in(&folder) {
                Ok(said) => {
                    // The others lie in the folder left behind.
                    app.model.opened.retain(|id| Some(id) == app.model.here.as_ref());
                    app.show_case();
                    app.model.entry.field.error = None;
                    app.keep_draft();
                    app.refresh();
                    app.say(&said);
                }
                Err(error) => {
                    if let Screen::Elsewhere(field) = &mut app.model.screen {
                        field.refuse(error);
                    }
                }
            }
        }
        key => {
            field.key(key);
        }
    }
}
