//! Keys of the pages of text, and what can be begun from them.

use super::super::app::App;
use super::super::desk::Page;
use super::super::keys::Key;
use super::super::offers::Offered;
use super::case::save_report;

pub fn page(app: &mut App, page: Option<Page>, key: Key) {
    match key {
        Key::Esc | Key::Enter | Key::Backspace => app.close(),
        Key::Char('s' | 'S') if page == Some(Page::Report) => save_report(app),
        Key::Char('s' | 'S') if page == Some(Page::Summary) => match app.desk.save_summary() {
            Ok(place) => app.say(&format!("The five lines are at {place}")),
            Err(error) => app.refuse(&error),
        },
        Key::Char(letter) if page == Some(Page::Standing) => {
            if let Some(offered) = Offered::by(letter)
                && !take_offer(app, offered)
            {
                let why = why_not(app, offered);
                app.refuse(&why);
            }
        }
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

/// Takes an offer of the odds; `false` where it is not made.
pub fn take_offer(app: &mut App, offered: Offered) -> bool {
    let Some(act) = app.model.prompt.offers().and_then(|o| o.act(offered)) else { return false };
    app.keep_draft();
    app.show_case();
    app.do_act(act);
    true
}

/// Why an offer is not made.
fn why_not(app: &App, offered: Offered) -> String {
    let offers = app.model.prompt.offers();
    let (why, otherwise) = match offered {
        Offered::Better => (
            offers.and_then(|o| o.not_now.clone()),
            "No other test may be done before its turn now; go on with the step that is open.",
        ),
        Offered::Named => (
            offers.and_then(|o| o.unnamed.clone()),
            "Nothing can be named: the odds are still being reckoned, or nothing stands open.",
        ),
        Offered::Again => (None, "Nothing has to be seen again now; go on as the tree has it."),
        Offered::Later => {
            (None, "The open step is worth doing now; Esc, then 'cannot do this' puts it off all the same.")
        }
    };
    why.unwrap_or_else(|| otherwise.to_owned())
}
