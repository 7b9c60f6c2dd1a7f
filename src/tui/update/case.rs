//! Keys of the open case: cautions, readings, answers, findings.

use super::super::app::{App, HELD};
use super::super::desk::{Act, Asks, Desk, Page, Prompt, RecordLine, StepData};
use super::super::keys::Key;
use super::super::model::{Entry, Screen};
use super::super::offers::Offered;
use super::super::widgets::Timer;
use super::change::open_line;
use super::{digit, marked, moved, page};
use crate::terms::Place;

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
        Prompt::Review { mended } => review(app, mended, key),
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
    let Some(due) = app.model.caution_due() else { return };
    let confirm = matches!(key, Key::Char(c) if c.eq_ignore_ascii_case(&CONFIRM));
    if !confirm {
        if offer(app, key) {
            return;
        }
        let hint = match (app.model.settings.agent, due.of) {
            (true, Some(_)) => "When the caller has said it back, press Y.",
            (true, None) => "When the caller says that it is so here too, press Y.",
            (false, Some(_)) => "Read the caution. Once it is kept to, press Y.",
            (false, None) => "Read the cautions. Once they are kept to here too, press Y.",
        };
        app.refuse(hint);
        return;
    }
    let held = app.model.last_key.is_some_and(|(last, at)| last == key && app.now.saturating_sub(at) < HELD);
    if held {
        app.refuse("Let go of the key, read it, then press Y once.");
        return;
    }
    app.model.entry.seen += 1;
    if due.last && !app.do_act(Act::ConfirmCautions) {
        app.model.entry.seen = 0;
    }
}

/// Takes an offer of the odds by its letter, on a step that letters are not typed into.
fn offer(app: &mut App, key: Key) -> bool {
    let free = matches!(&app.model.prompt, Prompt::Step(step) if !step.typed());
    let Key::Char(letter) = key else { return false };
    Offered::by(letter).filter(|_| free).is_some_and(|offered| page::take_offer(app, offered))
}

fn step(app: &mut App, step: &StepData, key: Key) {
    if key == Key::Char('?') {
        app.page(Page::Why, "Why this step");
        return;
    }
    if offer(app, key) {
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
    } else if let (Asks::Pick(_), Key::Char(c)) = (&step.asks, key) {
        // Whoever types a word means some answer, and not the one that happens to be marked.
        app.model.entry.answer = None;
        app.refuse(&format!("'{c}' stands before no answer. Press a number or an arrow, then Enter."));
    }
}

/// An editing key on the entry of a step; `false` when it changes nothing.
pub(super) fn edit(entry: &mut Entry, step: &StepData, key: Key) -> bool {
    match &step.asks {
        Asks::Done => false,
        Asks::Pick(answers) => {
            let row = digit(key, answers.len()).or_else(|| marked(entry.answer, answers.len(), key));
            entry.answer = row.or(entry.answer);
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
        Asks::Pick(_) => answer_of(step, entry).unwrap_or_default(),
        _ => String::new(),
    }
}

/// The answer marked, by its id.
pub(super) fn answer_of(step: &StepData, entry: &Entry) -> Option<String> {
    let Asks::Pick(answers) = &step.asks else { return None };
    answers.get(entry.answer?).map(|(id, _)| id.clone())
}

pub(super) fn place_of(step: &StepData, entry: &Entry) -> Option<Place> {
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
        Asks::Pick(_) => answer_of(step, &app.model.entry).unwrap_or_default(),
        _ => app.model.entry.field.text().to_owned(),
    };
    if text.trim().is_empty() {
        app.refuse(match &step.asks {
            Asks::Pick(_) => {
                "No answer is marked yet. Press its number or an arrow, then Enter. Esc: what else can be done."
            }
            _ => "Nothing is typed yet. Type the reading, then Enter. Esc: what else can be done.",
        });
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
        Err(error) => {
            app.model.head = app.desk.head();
            app.model.entry.field.refuse(error);
        }
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

fn review(app: &mut App, mended: bool, key: Key) {
    let lines: Vec<RecordLine> = app.model.reviewed().into_iter().cloned().collect();
    if let Some(row) = moved(app.model.entry.pick, lines.len() + 1 + usize::from(mended), key) {
        app.model.entry.pick = row;
    } else if key == Key::Enter {
        let pick = app.model.entry.pick;
        match lines.get(pick) {
            Some(line) => open_line(app, line),
            None => {
                app.do_act(if pick > lines.len() { Act::StartAgain } else { Act::Close });
            }
        }
    } else if mended && matches!(key, Key::Char('a' | 'A')) {
        app.do_act(Act::StartAgain);
    } else if matches!(key, Key::Char('c' | 'C')) {
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

pub(super) fn save_report(app: &mut App) {
    app.desk.save_report();
    app.say("The report is being written.");
    app.hear();
    app.look_soon();
}
