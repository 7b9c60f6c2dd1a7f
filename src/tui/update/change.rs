//! Keys of the screen that corrects an earlier answer.

use super::super::app::App;
use super::super::desk::{Act, Asks, Desk, Prompt, RecordLine, StepData, Way};
use super::super::keys::Key;
use super::super::model::{Entry, Screen};
use super::super::widgets::Field;
use super::case::{answer_of, edit, entry_changed, place_of, renew};

/// Opens a line of the record to be corrected. What was measured after the repair stands as it is: the repair was judged by it.
pub fn open_line(app: &mut App, line: &RecordLine) {
    if line.way == Way::Proof {
        app.refuse(
            "The repair was judged by this reading, so it stays. If it was wrong, keep a note with Ctrl-E.",
        );
    } else {
        open_change(app, &line.step);
    }
}

/// Opens an earlier step to be corrected; one that was put off is taken up instead.
pub fn open_change(app: &mut App, id: &str) {
    if app.model.record.iter().any(|line| line.step == id && line.parked) {
        app.show_case();
        app.do_act(Act::TakeUp(id.to_owned()));
        return;
    }
    match app.desk.step(id) {
        Some(step) => {
            let key = format!("change {id}");
            let prompt = Prompt::Step(Box::new(step.clone()));
            let mut entry = super::fresh_entry(app.desk.as_ref(), &prompt, key);
            entry.seen = step.cautions.len();
            if let Some(text) = app.desk.draft(&change_key(id)) {
                entry.field = Field::holding(&text);
                renew(app.desk.as_ref(), &step, &mut entry);
            }
            app.open(Screen::Change { step: Box::new(step), entry: Box::new(entry) });
        }
        None => app.refuse("That step can't be opened again; go back to it with Back."),
    }
}

/// Where a correction half-typed is kept.
fn change_key(step: &str) -> String {
    format!("{step} change")
}

/// Keeps a correction half-typed; one that says what stands already is none.
pub fn keep_change(desk: &mut dyn Desk, step: &StepData, entry: &Entry) {
    let text = entry.field.text();
    let same = step.before.as_deref().unwrap_or_default() == text;
    desk.save_draft(&change_key(&step.id), if same { "" } else { text });
}

pub fn change(app: &mut App, key: Key) {
    let Screen::Change { step, entry } = &mut app.model.screen else { return };
    match key {
        Key::Esc => {
            app.keep_draft();
            app.close();
        }
        Key::Enter => {
            let place = place_of(step, entry);
            let text = match &step.asks {
                Asks::Pick(_) => answer_of(step, entry).unwrap_or_default(),
                Asks::Done => String::new(),
                _ => entry.field.text().to_owned(),
            };
            let id = step.id.clone();
            match app.desk.change(&id, &text, place) {
                Ok(said) => {
                    app.desk.save_draft(&change_key(&id), "");
                    app.close();
                    app.refresh();
                    if matches!(app.model.prompt, Prompt::Review { .. }) {
                        app.show_case();
                    }
                    app.say(&said.unwrap_or_else(|| "Changed.".into()));
                }
                Err(error) => {
                    if let Screen::Change { entry, .. } = &mut app.model.screen {
                        entry.field.refuse(error);
                    }
                }
            }
        }
        key => {
            if edit(entry, step, key) {
                app.typed();
                entry_changed(app);
            }
        }
    }
}
