//! Keys of the practice screens.

use super::super::app::App;
use super::super::keys::Key;
use super::super::lesson::{LEVELS, LessonSheet, PracticeAct};
use super::super::model::{LessonView, Screen};
use super::super::screens::{LESSON_ROWS, matching_moves};
use super::moved;

/// The complaint an exercise is offered for first.
const FIRST: &str = "runs-lean";

/// Shows what can be practised.
pub fn open_practice(app: &mut App) {
    let choices = app.desk.exercises();
    let complaint = choices.complaints.iter().position(|(id, _)| id == FIRST).unwrap_or(0);
    app.open(Screen::Practise { choices: Box::new(choices), at: 0, picked: [complaint, 0, 0] });
}

pub fn choose(app: &mut App, key: Key) {
    let Screen::Practise { choices, at, picked } = &mut app.model.screen else { return };
    if let Some(row) = moved(*at, LESSON_ROWS, key) {
        *at = row;
        return;
    }
    let counts = [choices.complaints.len(), choices.cars.len(), LEVELS.len()];
    match key {
        Key::Esc => app.close(),
        Key::Left | Key::Right if *at < counts.len() => {
            let count = counts[*at].max(1);
            let step = if key == Key::Right { 1 } else { count - 1 };
            picked[*at] = (picked[*at] + step) % count;
        }
        Key::Enter if *at + 1 < LESSON_ROWS => *at += 1,
        Key::Enter => {
            let id = |list: &[(String, String)], i: usize| {
                list.get(i).map_or_else(String::new, |(id, _)| id.clone())
            };
            let act = PracticeAct::Begin {
                complaint: id(&choices.complaints, picked[0]),
                car: id(&choices.cars, picked[1]),
                level: u8::try_from(picked[2] + 1).unwrap_or(1),
            };
            if act_on(app, act) {
                app.model.lesson_filter.clear();
                app.open(Screen::Lesson { view: LessonView::Moves, at: 0 });
            }
        }
        _ => {}
    }
}

/// Does something in the exercise and shows what comes of it.
fn act_on(app: &mut App, act: PracticeAct) -> bool {
    match app.desk.practise(act) {
        Ok(said) => {
            app.model.lesson = app.desk.lesson().map(Box::new);
            if !said.is_empty() {
                app.say(&said);
            }
            app.look_soon();
            true
        }
        Err(error) => {
            app.model.lesson = app.desk.lesson().map(Box::new);
            app.refuse(&error);
            false
        }
    }
}

pub fn lesson(app: &mut App, key: Key) {
    let Some(data) = app.model.lesson.take() else {
        app.close();
        return;
    };
    in_lesson(app, &data, key);
    if app.model.lesson.is_none() && matches!(app.model.screen, Screen::Lesson { .. }) {
        app.model.lesson = Some(data);
    }
}

fn in_lesson(app: &mut App, data: &LessonSheet, key: Key) {
    let Screen::Lesson { view, at } = &mut app.model.screen else { return };
    if data.over {
        if key == Key::Esc || key == Key::Enter {
            leave(app);
        }
        return;
    }
    match key {
        Key::Tab => {
            (*view, *at) = match view {
                LessonView::Moves => (LessonView::Parts, 0),
                LessonView::Parts => (LessonView::Record, 0),
                LessonView::Record => (LessonView::Moves, 0),
            };
            return;
        }
        Key::Esc if *view != LessonView::Moves => {
            (*view, *at) = (LessonView::Moves, 0);
            return;
        }
        Key::Esc if !app.model.leaving_lesson => {
            app.model.leaving_lesson = true;
            app.refuse("An exercise left is gone. Esc again leaves it, any other key goes on.");
            return;
        }
        Key::Esc => {
            leave(app);
            return;
        }
        _ => app.model.leaving_lesson = false,
    }
    let Screen::Lesson { view, at } = &mut app.model.screen else { return };
    match view {
        LessonView::Moves => {
            let shown: Vec<usize> =
                matching_moves(data, app.model.lesson_filter.text()).iter().map(|(i, _)| *i).collect();
            if let Some(row) = moved(*at, shown.len(), key) {
                *at = row;
            } else if key == Key::Enter {
                if let Some(index) = shown.get(*at).copied() {
                    act_on(app, PracticeAct::Move(index));
                }
            } else if app.model.lesson_filter.key(key) {
                *at = 0;
            }
        }
        LessonView::Parts => {
            if let Some(row) = moved(*at, data.parts.len() + 1, key) {
                *at = row;
            } else if key == Key::Enter {
                let row = *at;
                let act = if row < data.parts.len() { PracticeAct::Name(row) } else { PracticeAct::GiveUp };
                act_on(app, act);
            }
        }
        LessonView::Record => {}
    }
}

fn leave(app: &mut App) {
    // Leaving can't be refused.
    let _ = app.desk.practise(PracticeAct::Leave);
    app.model.lesson = None;
    app.model.leaving_lesson = false;
    app.close();
}
