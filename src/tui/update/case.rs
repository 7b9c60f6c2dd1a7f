//! Keys of the open case: cautions, readings, answers, findings, and the texts about them.

use super::super::app::{App, HELD};
use super::super::desk::{Act, Asks, Desk, Page, Prompt, StepData};
use super::super::keys::Key;
use super::super::model::{Entry, Screen};
use super::super::widgets::{Field, Timer};
use super::{digit, moved};
use crate::terms::Place;
use crate::walk::Reason;

/// The key that confirms a caution; not Enter, and not one held down.
const CONFIRM: char = 'y';

pub fn key(app: &mut App, key: Key) {
    if key == Key::Esc {
        app.model.menu = Some(0);
        return;
    }
    if app.model.caution_due().is_some() {
        caution(app, key);
        return;
    }
    match app.model.prompt.clone() {
        Prompt::Step(step) => self::step(app, &step, key),
        Prompt::Finding(finding) => self::finding(app, finding.remedy.is_some(), key),
        Prompt::NotCured(_) => not_cured(app, key),
        Prompt::Handover { .. } => match key {
            Key::Enter => {
                app.do_act(Act::HandOver(None));
            }
            Key::Char('?') => app.page(Page::Standing, "Still standing"),
            _ => {}
        },
        Prompt::Review => review(app, key),
        Prompt::Leak => leak(app, key),
        Prompt::Paused => {
            if key == Key::Enter {
                app.do_act(Act::Resume);
            }
        }
        Prompt::Closed(_) => closed(app, key),
        Prompt::Broken(_) => {
            if key == Key::Enter {
                app.leave_case();
            }
        }
    }
}

fn caution(app: &mut App, key: Key) {
    let Some((_, number, count)) = app.model.caution_due() else { return };
    let confirm = matches!(key, Key::Char(c) if c.eq_ignore_ascii_case(&CONFIRM));
    if !confirm {
        let hint = if app.model.settings.agent {
            "When the caller has said it back, press Y."
        } else {
            "Read the caution. Once it is kept to, press Y."
        };
        app.refuse(hint);
        return;
    }
    let held = app.model.last_key.is_some_and(|(last, at)| last == key && app.now.saturating_sub(at) < HELD);
    if held {
        app.refuse("Let go of the key, read it, then press Y once.");
        return;
    }
    app.model.entry.seen = number;
    if number >= count && !app.do_act(Act::ConfirmCautions) {
        app.model.entry.seen = 0;
    }
}

fn step(app: &mut App, step: &StepData, key: Key) {
    if key == Key::Char('?') {
        app.page(Page::Why, "Why this step");
        return;
    }
    if step.put_back_first && key == Key::Enter {
        app.do_act(Act::PutBackFirst);
        return;
    }
    if step.blocked.is_some() {
        app.refuse("It can't be done now. Esc: go back, or choose 'cannot do this'.");
        return;
    }
    let idle_space = key == Key::Char(' ') && app.model.entry.field.is_empty();
    if idle_space && let Some(seconds) = step.timer {
        app.model.timer = match app.model.timer {
            Some(_) => None,
            None => Some(Timer::start(seconds, app.now)),
        };
        return;
    }
    if let Asks::Done = step.asks {
        if key == Key::Enter {
            app.do_act(Act::Done);
        }
        return;
    }
    if key == Key::Enter {
        take(app, step);
    } else if edit(&mut app.model.entry, step, key) {
        app.typed();
        entry_changed(app);
    }
}

/// An editing key on the entry of a step; `false` when it changes nothing.
fn edit(entry: &mut Entry, step: &StepData, key: Key) -> bool {
    match &step.asks {
        Asks::Done => false,
        Asks::Pick(answers) => {
            let row = digit(key, answers.len()).or_else(|| moved(entry.pick, answers.len(), key));
            entry.pick = row.unwrap_or(entry.pick);
            row.is_some()
        }
        Asks::Reading { places, .. } if matches!(key, Key::Tab | Key::BackTab) => {
            if !places.is_empty() {
                let step = if key == Key::Tab { 1 } else { places.len() - 1 };
                entry.place = (entry.place + step) % places.len();
            }
            !places.is_empty()
        }
        Asks::Reading { .. } | Asks::Percent => entry.field.key(key),
    }
}

pub fn paste(app: &mut App, text: &str) {
    if let Prompt::Step(step) = &app.model.prompt
        && matches!(step.asks, Asks::Reading { .. } | Asks::Percent)
    {
        app.model.entry.field.paste(text);
        entry_changed(app);
    }
}

/// The entry changed: what it would be is reckoned anew.
pub fn entry_changed(app: &mut App) {
    match &mut app.model.screen {
        Screen::Change { step, entry } => renew(app.desk.as_ref(), step, entry),
        _ => {
            if let Prompt::Step(step) = &app.model.prompt {
                renew(app.desk.as_ref(), step, &mut app.model.entry);
            }
        }
    }
}

/// Where the place of the gauge, or the answer picked, is kept while a step is open.
pub fn set_key(step: &str) -> String {
    format!("{step} set")
}

/// The place of the gauge, or the answer picked, as it is kept; empty where it is as it was offered.
pub fn set_aside_as(step: &StepData, entry: &Entry) -> String {
    match &step.asks {
        Asks::Reading { place, .. } if *place != entry.place => {
            place_of(step, entry).map_or_else(String::new, |p| p.id().to_owned())
        }
        Asks::Pick(answers) if entry.pick > 0 => {
            answers.get(entry.pick).map_or_else(String::new, |(id, _)| id.clone())
        }
        _ => String::new(),
    }
}

fn place_of(step: &StepData, entry: &Entry) -> Option<Place> {
    match &step.asks {
        Asks::Reading { places, .. } => places.get(entry.place).copied(),
        _ => None,
    }
}

/// Reckons anew what is expected where the gauge sits, and what the typed text would be.
pub fn renew(desk: &dyn Desk, step: &StepData, entry: &mut Entry) {
    if let Asks::Reading { .. } = step.asks {
        let place = place_of(step, entry);
        entry.expected = desk.expected(&step.id, place);
        let text = entry.field.text();
        entry.echo = (!text.trim().is_empty()).then(|| desk.echo(&step.id, text, place));
    }
}

fn take(app: &mut App, step: &StepData) {
    let place = place_of(step, &app.model.entry);
    let text = match &step.asks {
        Asks::Pick(answers) => {
            answers.get(app.model.entry.pick).map(|(id, _)| id.clone()).unwrap_or_default()
        }
        _ => app.model.entry.field.text().to_owned(),
    };
    if text.trim().is_empty() {
        app.refuse("Nothing is typed yet. Type the reading, or press Esc for what else can be done.");
        return;
    }
    match app.desk.give(&text, place) {
        Ok(said) => {
            app.desk.save_draft(&step.id, "");
            app.desk.save_draft(&set_key(&step.id), "");
            // An undecided reading asks again: the entry is emptied even where the prompt looks the same.
            app.model.entry.key.clear();
            app.refresh();
            if !said.is_empty() {
                app.say(&said);
            }
        }
        Err(error) => app.model.entry.field.error = Some(error),
    }
}

fn finding(app: &mut App, mendable: bool, key: Key) {
    if app.model.entry.repairing {
        match key {
            Key::Enter => {
                app.do_act(Act::Repaired(None));
            }
            Key::Backspace | Key::Left => app.model.entry.repairing = false,
            _ => {}
        }
        return;
    }
    let count = if mendable { 2 } else { 1 };
    if key == Key::Char('?') {
        app.page(Page::Standing, "Still standing");
    } else if let Some(row) = digit(key, count).or_else(|| moved(app.model.entry.pick, count, key)) {
        app.model.entry.pick = row;
    } else if key == Key::Enter {
        if mendable && app.model.entry.pick == 0 {
            app.model.entry.repairing = true;
            app.model.entry.seen = 0;
        } else {
            app.do_act(Act::Accepted(None));
        }
    }
}

fn not_cured(app: &mut App, key: Key) {
    if let Some(row) = digit(key, 2).or_else(|| moved(app.model.entry.pick, 2, key)) {
        app.model.entry.pick = row;
    } else if key == Key::Enter {
        app.do_act(if app.model.entry.pick == 0 { Act::StartAgain } else { Act::Accepted(None) });
    }
}

fn review(app: &mut App, key: Key) {
    let steps: Vec<String> = app.model.reviewed().iter().map(|line| line.step.clone()).collect();
    if let Some(row) = moved(app.model.entry.pick, steps.len() + 1, key) {
        app.model.entry.pick = row;
    } else if key == Key::Enter {
        match steps.get(app.model.entry.pick) {
            Some(id) => open_change(app, id),
            None => {
                app.do_act(Act::Close);
            }
        }
    } else if key == Key::Char('c') {
        app.do_act(Act::Close);
    }
}

fn leak(app: &mut App, key: Key) {
    let held = app.model.last_key.is_some_and(|(last, at)| last == key && app.now.saturating_sub(at) < HELD);
    if matches!(key, Key::Char('m' | 'M')) && !held {
        app.do_act(Act::LeakMended(None));
    } else {
        app.refuse("Press M only when the leak is mended and dry; the case waits.");
    }
}

fn closed(app: &mut App, key: Key) {
    let count = 3;
    if let Some(row) = digit(key, count).or_else(|| moved(app.model.entry.pick, count, key)) {
        app.model.entry.pick = row;
    } else if key == Key::Enter {
        match app.model.entry.pick {
            0 => app.page(Page::Report, "Report"),
            1 => save_report(app),
            _ => app.leave_case(),
        }
    }
}

fn save_report(app: &mut App) {
    app.desk.save_report();
    app.say("The report is being written.");
    app.hear();
    app.look_soon();
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
                Asks::Pick(answers) => answers.get(entry.pick).map(|(id, _)| id.clone()).unwrap_or_default(),
                Asks::Done => String::new(),
                _ => entry.field.text().to_owned(),
            };
            let id = step.id.clone();
            match app.desk.change(&id, &text, place) {
                Ok(said) => {
                    app.desk.save_draft(&change_key(&id), "");
                    app.close();
                    app.refresh();
                    if app.model.prompt == Prompt::Review {
                        app.show_case();
                    }
                    app.say(&said.unwrap_or_else(|| "Changed.".into()));
                }
                Err(error) => {
                    if let Screen::Change { entry, .. } = &mut app.model.screen {
                        entry.field.error = Some(error);
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
    let otherwise = "No other test may be done before its turn now; go on with the step that is open.";
    offered(app, step.map(Act::TakeUp), otherwise);
}

/// Names the finding that all that was seen speaks for.
fn conclude(app: &mut App) {
    let conclusion = app.model.prompt.offers().and_then(|o| o.conclusion.clone());
    let otherwise = "Nothing else is sure enough to be named; go on as the tree has it.";
    offered(app, conclusion.map(Act::Conclude), otherwise);
}

/// Does once more what is doubtful.
fn again(app: &mut App) {
    let step = app.model.prompt.offers().and_then(|o| o.again.clone());
    offered(app, step.map(Act::TakeUp), "Nothing has to be seen again now; go on as the tree has it.");
}

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
