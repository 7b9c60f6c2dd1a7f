//! Practice: what to practise, the exercise, what there is to learn from it.

use super::super::lesson::{Choices, LEVELS, LessonSheet, MoveLine};
use super::super::model::{LessonView, Model};
use super::super::sheet::{Sheet, pad};
use super::super::theme::Role;
use super::NARROW;
use super::pages::lay_paras;

/// Rows of the choice before an exercise: complaint, car, level, begin.
pub const ROWS: usize = 4;

/// What to practise.
pub fn choose(model: &Model, choices: &Choices, at: usize, picked: [usize; 3], width: usize) -> Sheet {
    let mut sheet = Sheet::new(model.look, width);
    sheet.text(Role::Strong, "Practise on a simulated car");
    sheet.text(
        Role::Muted,
        "One part is at fault. Find it in the fewest minutes and in a safe order. Nothing of it is kept as a case.",
    );
    sheet.gap();
    let of =
        |list: &[(String, String)], i: usize| list.get(i).map_or_else(String::new, |(_, name)| name.clone());
    let rows = [
        ("complaint", of(&choices.complaints, picked[0])),
        ("car", of(&choices.cars, picked[1])),
        ("level", LEVELS.get(picked[2]).copied().unwrap_or_default().to_owned()),
    ];
    for (row, (label, value)) in rows.iter().enumerate() {
        let hint = if row == at { "  (left, right)" } else { "" };
        sheet.choice(row == at, "", &format!("{}{value}{hint}", pad(label, 11)));
    }
    sheet.choice(at + 1 >= ROWS, "", "Begin");
    sheet
}

/// The moves that match the filter, with their places in the whole list.
pub fn matching<'a>(sheet: &'a LessonSheet, filter: &str) -> Vec<(usize, &'a MoveLine)> {
    let wanted = filter.trim().to_lowercase();
    let fits = |m: &MoveLine| m.name.to_lowercase().contains(&wanted) || m.group.contains(&wanted);
    sheet.moves.iter().enumerate().filter(|(_, m)| fits(m)).collect()
}

/// The exercise.
pub fn lesson(model: &Model, data: &LessonSheet, view: LessonView, at: usize, width: usize) -> Sheet {
    let mut sheet = Sheet::new(model.look, width);
    if data.over {
        return over(data, sheet);
    }
    sheet.text(Role::Strong, &format!("{} gone", data.minutes));
    sheet.text(Role::Muted, &data.about);
    sheet.text(Role::Muted, &format!("At hand: {}", data.tools));
    sheet.text(Role::Text, &format!("The car now: {}", data.standing));
    sheet.gap();
    match view {
        LessonView::Moves => moves(model, data, at, &mut sheet),
        LessonView::Parts => {
            sheet.text(Role::Strong, "Which part is at fault? A wrong one costs the minutes of changing it.");
            for (i, part) in data.parts.iter().enumerate() {
                sheet.choice(i == at, "", part);
            }
            sheet.choice(at >= data.parts.len(), "", "Give up and see the fault");
        }
        LessonView::Record => {
            sheet.text(Role::Strong, "Done so far, newest first");
            if data.record.is_empty() {
                sheet.text(Role::Muted, "Nothing yet.");
            }
            for line in &data.record {
                sheet.item("-", Role::Text, line);
            }
        }
    }
    sheet
}

fn moves(model: &Model, data: &LessonSheet, at: usize, sheet: &mut Sheet) {
    model.lesson_filter.lay(sheet, "filter", true);
    let cursor = sheet.cursor;
    let shown = matching(data, model.lesson_filter.text());
    if shown.is_empty() {
        sheet.text(Role::Muted, "None matches. Delete a letter to see more.");
    }
    let mut group = "";
    for (row, (_, line)) in shown.iter().enumerate() {
        if line.group != group {
            sheet.text(Role::Muted, &line.group);
            group = &line.group;
        }
        let gave = line.gave.as_ref().map_or_else(String::new, |g| format!(", gave {g}"));
        sheet.choice(row == at, "", &format!("{}, {}{gave}", line.name, line.minutes));
    }
    sheet.cursor = cursor;
}

fn over(data: &LessonSheet, mut sheet: Sheet) -> Sheet {
    sheet.text(Role::Strong, "The exercise is over");
    sheet.text(Role::Muted, &data.about);
    match &data.debrief {
        Some(paras) => lay_paras(&mut sheet, paras),
        None => {
            sheet.text(Role::Open, "Reckoning what each move told, and the cheapest order; a moment.");
        }
    }
    sheet
}

/// The keys that matter.
pub fn hints(model: &Model, data: &LessonSheet, view: LessonView) -> Vec<(&'static str, &'static str)> {
    if data.over {
        return vec![("Esc", "another exercise"), ("arrows", "scroll")];
    }
    let next = match view {
        LessonView::Moves => "parts",
        LessonView::Parts => "record",
        LessonView::Record => "moves",
    };
    let enter = match view {
        LessonView::Moves => ("Enter", "do it"),
        LessonView::Parts => ("Enter", "that part"),
        LessonView::Record => ("arrows", "scroll"),
    };
    let mut hints = vec![enter, ("Esc", "leave"), ("Tab", next)];
    if view == LessonView::Moves && model.size.0 >= NARROW {
        hints.push(("type", "filter"));
    }
    hints
}
