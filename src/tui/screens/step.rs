//! The step: read downward like a job card.

use super::super::desk::{Asks, Phase, StepData};
use super::super::look::Look;
use super::super::model::{Due, Entry, Model};
use super::super::offers::Offered;
use super::super::sheet::Sheet;
use super::super::theme::Role;
use super::super::widgets::Scale;
use super::cautions::{self, Said};
use super::lists::record_line;
use super::{Layout, NARROW, WIDE};
use crate::instrument::Verdict;
use crate::quantity::{Dimension, UnitSystem};
use ratatui::text::Span;

/// Lays out circuit, step and record.
pub fn step(model: &Model, step: &StepData, columns: u16, rows: u16) -> Layout {
    let width = usize::from(columns);
    let circuit = |sheet: &mut Sheet, whole: bool| {
        if let Some(circuit) = &model.circuit {
            circuit.lay(sheet, columns < NARROW && !whole);
        }
    };
    let ways: &[Room] = if model.caution_due().is_some() { &Room::DUE } else { &Room::WAYS };
    if columns >= WIDE {
        let mut top = Sheet::new(model.look, width);
        circuit(&mut top, true);
        top.rule();
        let left = width * 3 / 5;
        let room = usize::from(rows).saturating_sub(top.row());
        let main = fitted(ways, room, step, |way, _| {
            let mut main = Sheet::new(model.look, left);
            let remarked = card(model, step, &mut main, way);
            (main, remarked)
        });
        let mut side = Sheet::new(model.look, width - left - 3);
        side.text(Role::Muted, "Done so far, newest first");
        for line in model.record.iter().take(usize::from(rows)) {
            record_line(&mut side, line, false);
        }
        return Layout { top: Some(top), main, side: Some(side) };
    }
    let mut main = fitted(ways, usize::from(rows), step, |room, whole| {
        let mut main = Sheet::new(model.look, width);
        if room.circuit {
            circuit(&mut main, whole);
            main.rule();
        }
        let remarked = card(model, step, &mut main, room);
        (main, remarked)
    });
    // The record takes what room is left; it never pushes anything out of sight.
    let left = usize::from(rows).saturating_sub(main.row() + 1);
    let lines = if columns < NARROW { left.min(1) } else { left };
    if !model.record.is_empty() && lines > 0 {
        main.rule();
        let mut record = Sheet::new(model.look, width);
        for line in model.record.iter().take(lines) {
            record_line(&mut record, line, false);
        }
        if record.lines.len() > lines {
            record.lines.truncate(lines);
            if let Some(last) = record.lines.last_mut() {
                // Where the line is full its last words give way.
                while last.width() + 3 > width {
                    let Some(span) = last.spans.pop() else { break };
                    let text = span.content.trim_end();
                    if let Some(at) = text.rfind(' ').filter(|at| *at > 0) {
                        last.push_span(Span::styled(text[..at].to_owned(), span.style));
                    }
                }
                last.push_span(Span::raw(" .."));
            }
        }
        main.append(record);
    }
    Layout { top: None, main, side: None }
}

/// What the odds offer here and with which keys; what the step says of itself already is not said twice.
fn offers(look: Look, width: usize, step: &StepData, remarked: bool) -> Sheet {
    let said = |offered: Offered| {
        remarked && [&step.odd, &step.remark].into_iter().flatten().any(|r| r.offers == Some(offered))
    };
    let name = step.offers.better_name.as_deref().filter(|_| width >= usize::from(NARROW));
    let words = |offered: Offered| match offered {
        Offered::Again => "R sees one thing again".to_owned(),
        Offered::Named => "N names the finding now".to_owned(),
        Offered::Better => {
            format!("T does another test first{}", name.map_or_else(String::new, |n| format!(" ({n})")))
        }
        Offered::Later => "L puts this one off".to_owned(),
    };
    let here = |o: &Offered| step.offers.act(*o).is_some() && !said(*o);
    let left: Vec<String> = Offered::ALL.into_iter().filter(here).map(words).collect();
    let mut line = Sheet::new(look, width);
    if !left.is_empty() {
        let lead = if step.typed() { "Ctrl-S, then " } else { "" };
        line.item("~", Role::Muted, &format!("{lead}{}.", left.join(", ")));
    }
    line
}

/// The step in the first of `ways` that leaves room for all of it and what is offered; where none does, in the first that leaves room
/// for all of it.
fn fitted(ways: &[Room], rows: usize, step: &StepData, laid: impl Fn(Room, bool) -> (Sheet, bool)) -> Sheet {
    for offered in [true, false] {
        // A narrow screen has the whole circuit, in several rows, only where all the rest has room too.
        for (way, whole) in ways.iter().take(1).map(|w| (w, true)).chain(ways.iter().map(|w| (w, false))) {
            let (mut sheet, remarked) = laid(*way, whole);
            let line = offers(sheet.look, sheet.width, step, remarked);
            let left = rows.checked_sub(sheet.row());
            if left.is_some_and(|left| !offered || line.row() <= left) {
                if offered {
                    sheet.append(line);
                }
                return sheet;
            }
        }
    }
    ways.last().map_or_else(|| Sheet::new(Look::default(), 0), |way| laid(*way, false).0)
}

/// An earlier answer being corrected.
pub fn change(model: &Model, step: &StepData, entry: &Entry, width: usize) -> Sheet {
    let mut sheet = Sheet::new(model.look, width);
    sheet.text(Role::Strong, &format!("Correct {}: {}", step.number, step.title));
    sheet.text(Role::Text, &step.action);
    if let Some(before) = &step.before {
        let words = match &step.asks {
            Asks::Pick(answers) => answers.iter().find(|(id, _)| id == before).map(|(_, words)| words),
            _ => None,
        };
        sheet.text(Role::Muted, &format!("It gave: {}.", words.unwrap_or(before)));
    }
    asks(model, step, entry, &mut sheet, true);
    sheet
}

/// What stands beside what to do and what is asked, which never give way.
#[derive(Clone, Copy)]
struct Room {
    cautions: Said,
    circuit: bool,
    around: bool,
    /// How much of the task stands below cautions that are to be confirmed.
    task: Task,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Task {
    Whole,
    Words,
    Nothing,
}

impl Room {
    const fn of(cautions: Said, circuit: bool, around: bool) -> Self {
        Self { cautions, circuit, around, task: Task::Whole }
    }

    const fn due(cautions: Said, circuit: bool, task: Task) -> Self {
        Self { cautions, circuit, around: true, task }
    }

    /// From all the room there may be to the least, once the cautions are confirmed.
    const WAYS: [Self; 4] = [
        Self::of(Said::Whole, true, true),
        Self::of(Said::Words, true, true),
        Self::of(Said::Words, false, true),
        Self::of(Said::Words, false, false),
    ];
    /// The same while cautions are to be confirmed. Where there is room the task stands below them as it will be asked, so that one
    /// screen is read and not two.
    const DUE: [Self; 8] = [
        Self::due(Said::All, true, Task::Whole),
        Self::due(Said::Whole, true, Task::Whole),
        Self::due(Said::Whole, false, Task::Whole),
        Self::due(Said::All, true, Task::Words),
        Self::due(Said::All, false, Task::Words),
        Self::due(Said::Whole, false, Task::Words),
        Self::due(Said::All, true, Task::Nothing),
        Self::due(Said::Whole, false, Task::Nothing),
    ];
}

/// Cautions to be confirmed, and below the last of them what is done then. To a caller they are read alone. Says whether the whole
/// task stands there.
fn due_card(model: &Model, step: &StepData, due: &Due, sheet: &mut Sheet, room: Room) -> bool {
    cautions::due(model, sheet, due, room.cautions);
    if !due.last || model.settings.agent || step.blocked.is_some() {
        return false;
    }
    match room.task {
        Task::Nothing => {}
        Task::Words => {
            sheet.gap();
            let first = step.first.as_ref().map_or_else(String::new, |first| format!("{first} "));
            sheet.text(Role::Muted, &format!("Then: {first}{}", step.action));
        }
        Task::Whole => {
            let confirm = sheet.focus;
            sheet.gap();
            task(model, step, sheet, room, false);
            // Nothing is taken before Y: that line is what is kept in sight.
            (sheet.focus, sheet.cursor) = (confirm, None);
        }
    }
    room.task == Task::Whole
}

/// Lays the step out; says whether what the odds remark on it stands there.
fn card(model: &Model, step: &StepData, sheet: &mut Sheet, room: Room) -> bool {
    sheet.text(Role::Strong, &step.head);
    if let Some(due) = model.caution_due() {
        return due_card(model, step, &due, sheet, room);
    }
    cautions::lines(sheet, &step.cautions, room.cautions);
    if let Some(why) = &step.blocked {
        sheet.item("!", Role::Error, why);
        if step.put_back_first {
            sheet.focus = Some(sheet.row());
            sheet.text(Role::Focus, "> Press Enter to put it back now. Then this step is asked again.");
            return false;
        }
    }
    task(model, step, sheet, room, true);
    true
}

/// What is to be done and what is asked; not `open` while it only shows what comes once the cautions are confirmed.
fn task(model: &Model, step: &StepData, sheet: &mut Sheet, room: Room, open: bool) {
    if let Some(first) = &step.first {
        sheet.item("!", Role::Outside, first);
    }
    if let Some(tell) = step.tell.as_ref().filter(|_| model.settings.agent) {
        sheet.item("SAY", Role::Strong, tell);
        sheet.item("DO", Role::Text, &step.action);
        if let Some(note) = &step.note {
            sheet.item("NOTE", Role::Muted, note);
        }
    } else {
        sheet.text(Role::Text, &step.action);
    }
    if let Some(known) = &step.known {
        sheet.text(Role::Text, known);
    }
    let mut around = Vec::new();
    around.extend(step.condition.as_ref().map(|condition| format!("Car: {condition}")));
    around.extend((!step.tools.is_empty()).then(|| format!("Tools: {}", step.tools.join(", "))));
    if room.around && !around.is_empty() {
        sheet.text(Role::Muted, &around.join(". "));
    }
    if step.phase == Phase::Ahead {
        sheet.item(
            "~",
            Role::Open,
            "What it gives is kept. After it, or with Ctrl-P, the walk goes on where it stood.",
        );
    }
    for said in [&step.odd, &step.remark].into_iter().flatten() {
        sheet.item("~", Role::Open, &said.text);
    }
    asks(model, step, &model.entry, sheet, open);
}

fn asks(model: &Model, step: &StepData, entry: &Entry, sheet: &mut Sheet, open: bool) {
    if let Some(timer) = model.timer {
        timer.lay(sheet);
    } else if let Some(seconds) = step.timer {
        let minutes = seconds / 60.0;
        let length = if minutes >= 1.0 {
            format!("{} min", crate::quantity::figures(minutes, 3))
        } else {
            format!("{} s", crate::quantity::figures(seconds, 3))
        };
        sheet.item("*", Role::Muted, &format!("Timed: {length}. Space starts the clock."));
    }
    match &step.asks {
        Asks::Done => {
            sheet.gap();
            sheet.focus = Some(sheet.row());
            if open {
                sheet.text(Role::Focus, "> Press Enter when it is done.");
            } else {
                sheet.text(Role::Muted, "  Press Enter when it is done.");
            }
        }
        Asks::Pick(answers) => {
            sheet.gap();
            sheet.focus = Some(sheet.row());
            for (i, (_, words)) in answers.iter().enumerate() {
                let lead = if i < 9 { format!("{}", i + 1) } else { " ".into() };
                sheet.choice(entry.answer == Some(i), &lead, words);
            }
            if let Some(error) = &entry.field.error {
                sheet.item("!", Role::Error, error);
            }
        }
        Asks::Percent => {
            sheet.gap();
            entry.field.lay(sheet, "percent", open);
        }
        Asks::Reading { what, bare, places, absolute, .. } => {
            let vacuum = entry.expected.as_ref().is_some_and(|e| e.vacuum);
            let unit = match (bare.symbol, absolute) {
                (symbol, _) if vacuum => format!("in {symbol} of vacuum unless you say, such as 45 kPa abs"),
                ("", _) => "a plain number".to_owned(),
                (symbol, _) if bare.dimension == Dimension::VolumeFlow => {
                    format!("in {symbol} unless you say; or what ran in, such as 0.95 L in 15 s")
                }
                (symbol, true) => format!("in {symbol} absolute unless you say, such as 18 inHg vacuum"),
                (symbol, false) if differs(bare.dimension) => {
                    format!("in {symbol} unless you say; Ctrl-O has other units")
                }
                (symbol, false) => format!("in {symbol} unless you say"),
            };
            let place = places.get(entry.place).map(|p| p.name());
            reading(step, entry, sheet, (what, &unit, place), open);
        }
    }
    // What stands under an entry, its error first of all, is kept in sight with it.
    if !matches!(step.asks, Asks::Done | Asks::Pick(_)) {
        sheet.focus = sheet.row().checked_sub(1);
    }
}

/// Whether the unit systems show a quantity in different units.
fn differs(dimension: Dimension) -> bool {
    UnitSystem::Us.unit_for(dimension) != UnitSystem::Metric.unit_for(dimension)
}

fn reading(
    step: &StepData,
    entry: &Entry,
    sheet: &mut Sheet,
    (what, unit, place): (&str, &str, Option<&str>),
    open: bool,
) {
    let role = |verdict: Verdict| match verdict {
        Verdict::Within => Role::Within,
        Verdict::Low | Verdict::High => Role::Outside,
        _ => Role::Open,
    };
    if let Some(expected) = &entry.expected {
        let narrow = sheet.width < usize::from(NARROW);
        let said = if narrow { &expected.band } else { &expected.sentence };
        sheet.text(Role::Text, &format!("Expected {said}"));
        if let Some(ceiling) = &expected.ceiling {
            sheet.item(
                "!",
                Role::Outside,
                &format!("Stop closing at {ceiling}; type 'ceiling' if it got there."),
            );
        }
        sheet.gap();
        let echo = entry.echo.as_ref().and_then(|e| e.as_ref().ok());
        let verdict = echo.and_then(|e| e.verdict.as_ref());
        let scale = Scale {
            marker: echo.and_then(|e| e.at),
            says: verdict.map(|(v, by)| format!("{} {by}", v.word()).trim().to_owned()).unwrap_or_default(),
            role: verdict.map_or(Role::Text, |(v, _)| role(*v)),
            ..expected.scale.clone()
        };
        scale.lay(sheet);
    }
    if step.repeats > 0 {
        let text =
            "Too near the limit to say. Read it once more; the mean of the readings decides where it can.";
        sheet.item("~", Role::Open, text);
    }
    if let Some(offer) = &step.offer {
        sheet.item("=", Role::Strong, offer);
    }
    entry.field.lay(sheet, what, open);
    let wide = sheet.width >= usize::from(NARROW);
    let several = matches!(&step.asks, Asks::Reading { places, .. } if places.len() > 1);
    let elsewhere = if several { "; Tab if not" } else { "" };
    let with = entry.expected.as_ref().map(|e| e.instrument.as_str()).filter(|w| wide && !w.is_empty());
    match (place, with) {
        (Some(place), Some(with)) => {
            sheet.text(Role::Muted, &format!("gauge at: {place}{elsewhere}; {with}"))
        }
        (Some(place), None) => sheet.text(Role::Muted, &format!("gauge at: {place}")),
        (None, Some(with)) => sheet.text(Role::Muted, &format!("read with: {with}")),
        (None, None) => sheet,
    };
    match &entry.echo {
        None => {
            sheet.text(Role::Muted, unit);
        }
        Some(Err(error)) if entry.field.error.is_none() => {
            sheet.text(Role::Muted, error);
        }
        Some(Err(_)) => {}
        Some(Ok(echo)) => {
            let mut text = format!("that is {}", echo.text);
            if let Some((verdict, by)) = &echo.verdict {
                let sign = sheet.look.verdict_sign(*verdict);
                text = format!("{text}  {sign} {} {by}", verdict.word());
                sheet.text(role(*verdict), text.trim_end());
            } else {
                sheet.text(Role::Text, &text);
            }
        }
    }
}
