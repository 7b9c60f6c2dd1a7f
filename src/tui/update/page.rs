//! Keys of the pages of text, and what can be begun from them.

use super::super::app::App;
use super::super::desk::{Act, Page};
use super::super::keys::Key;
use super::case::save_report;
use crate::walk::Reason;

pub fn page(app: &mut App, page: Option<Page>, key: Key) {
    match key {
        Key::Esc | Key::Enter | Key::Backspace => app.close(),
        Key::Char('s' | 'S') if page == Some(Page::Report) => save_report(app),
        Key::Char('s' | 'S') if page == Some(Page::Summary) => match app.desk.save_summary() {
            Ok(place) => app.say(&format!("The five lines are at {place}")),
            Err(error) => app.refuse(&error),
        },
        Key::Char('t' | 'T') if page == Some(Page::Standing) => better(app),
        Key::Char('n' | 'N') if page == Some(Page::Standing) => conclude(app),
        Key::Char('r' | 'R') if page == Some(Page::Standing) => again(app),
        Key::Char('l' | 'L') if page == Some(Page::Standing) => later(app),
        Key::Char('i' | 'I') if matches!(page, Some(Page::Why | Page::Car)) => {
            super::instrument::open_instrument(app);
        }
        Key::Char('h' | 'H') if page == Some(Page::Report) => {
            app.keep_draft();
            match app.desk.hand_over_file() {
                Ok(place) => app.say(&format!("Another agent goes on with this file: {place}")),
                Err(error) => app.refuse(&error),
            }
        }
        _ => {}
    }
}

/// Takes an offer of the odds, or says why there is none.
fn offered(app: &mut App, act: Option<Act>, otherwise: &str) {
    match act {
        Some(act) => {
            app.keep_draft();
            app.show_case();
            app.do_act(act);
        }
        None => app.refuse(otherwise),
    }
}

/// Opens the test that would tell most for its time, where the walk allows it now.
fn better(app: &mut App) {
    let step = app.model.prompt.offers().and_then(|o| o.better.clone());
    let why = app.model.prompt.offers().and_then(|o| o.not_now.clone());
    let otherwise = "No other test may be done before its turn now; go on with the step that is open.";
    offered(app, step.map(Act::TakeUp), &why.unwrap_or_else(|| otherwise.to_owned()));
}

/// Names the finding that all that was seen speaks for.
fn conclude(app: &mut App) {
    let conclusion = app.model.prompt.offers().and_then(|o| o.conclusion.clone());
    let why = app.model.prompt.offers().and_then(|o| o.unnamed.clone());
    let otherwise = why.unwrap_or_else(|| {
        "Nothing can be named: the odds are still being reckoned, or nothing stands open.".to_owned()
    });
    offered(app, conclusion.map(Act::Conclude), &otherwise);
}

/// Does once more what is doubtful.
fn again(app: &mut App) {
    let step = app.model.prompt.offers().and_then(|o| o.again.clone());
    offered(app, step.map(Act::TakeUp), "Nothing has to be seen again now; go on as the tree has it.");
}

/// Puts off the open step, which tells hardly anything.
fn later(app: &mut App) {
    let may_wait = app.model.prompt.offers().is_some_and(|o| o.may_wait);
    let act = may_wait.then_some(Act::Cannot(Reason::Later, None));
    offered(
        app,
        act,
        "The open step is worth doing now; Esc, then 'cannot do this' puts it off all the same.",
    );
}
