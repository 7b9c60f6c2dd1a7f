//! Screens that are lists: walks, cars, cases, the record, answers before closing, settings.

use super::super::desk::{CarLine, CaseLine, RecordLine, Way};
use super::super::model::Model;
use super::super::sheet::Sheet;
use super::super::theme::{Depth, Ground, Role};
use super::super::widgets::Field;
use super::cautions::{self, Said};
use crate::library::Answering;
use crate::quantity::UnitSystem;
use crate::terms::Caution;

/// Several walks fit the complaint.
pub fn walks(model: &Model, list: &[Answering], at: usize, width: usize) -> Sheet {
    let mut sheet = Sheet::new(model.look, width);
    sheet.text(Role::Strong, "Which walk through the car? The fittest stands first.");
    for (i, walk) in list.iter().enumerate() {
        sheet.choice(i == at, &number(i), &walk.title);
    }
    if let Some(about) = list.get(at).map(|w| w.about.as_str()).filter(|a| !a.is_empty()) {
        sheet.gap();
        sheet.text(Role::Muted, about);
    }
    sheet
}

/// Which car.
pub fn cars(model: &Model, list: &[CarLine], at: usize, width: usize) -> Sheet {
    let mut sheet = Sheet::new(model.look, width);
    sheet.text(Role::Strong, "Which car?");
    for (i, car) in list.iter().enumerate() {
        let text =
            if car.about.is_empty() { car.name.clone() } else { format!("{}: {}", car.name, car.about) };
        sheet.choice(i == at, &number(i), &text);
    }
    sheet.choice(
        at == list.len(),
        &number(list.len()),
        "Another car: start from common values and change what is known",
    );
    sheet
}

fn number(i: usize) -> String {
    if i < 9 { format!("{}", i + 1) } else { " ".to_owned() }
}

/// Cases on disk.
pub fn cases(model: &Model, list: &[CaseLine], filter: &Field, at: usize, width: usize) -> Sheet {
    let mut sheet = Sheet::new(model.look, width);
    sheet.text(Role::Strong, "Cases, latest first");
    filter.lay(&mut sheet, "filter", true);
    sheet.gap();
    let matching = Model::matching(list, filter.text());
    if list.is_empty() {
        sheet.text(Role::Muted, "None yet. The first begins at the start screen.");
    } else if matching.is_empty() {
        sheet.text(Role::Muted, "None matches. Delete a letter to see more.");
    }
    let cursor = sheet.cursor;
    for (i, case) in matching.iter().enumerate() {
        let mark = if case.simulated { "SIMULATED " } else { "" };
        let text = format!("{mark}{}, {} ({}, {})", case.car, case.complaint, case.stands, case.when);
        sheet.choice(i == at, "", &text);
    }
    sheet.cursor = cursor;
    sheet
}

/// One line of the record.
pub fn record_line(sheet: &mut Sheet, line: &RecordLine, here: bool) {
    let lead = line.number.to_string();
    let mut text = format!("{}: {}", line.title, line.gave);
    if let Some(verdict) = line.verdict {
        let sign = sheet.look.verdict_sign(verdict);
        text = format!("{text} {sign} {}", verdict.word());
    }
    if let Some(expected) = &line.expected {
        text = format!("{text}, expected {expected}");
    }
    text.push_str(match line.way {
        Way::On => "",
        Way::Ahead => " (done before its turn)",
        Way::Off => " (beside the way)",
        Way::Proof => " (after the repair)",
    });
    if here {
        sheet.choice(true, &lead, &text);
    } else {
        sheet.item(&format!("  {lead}"), if line.way == Way::Off { Role::Muted } else { Role::Text }, &text);
    }
}

/// What was given, newest first.
pub fn answers(model: &Model, at: usize, width: usize) -> Sheet {
    let lines: Vec<&RecordLine> = model.record.iter().collect();
    given(model, "Done so far, newest first", &lines, at, width)
}

fn given(model: &Model, title: &str, lines: &[&RecordLine], at: usize, width: usize) -> Sheet {
    let mut sheet = Sheet::new(model.look, width);
    sheet.text(Role::Strong, title);
    if lines.is_empty() {
        sheet.text(Role::Muted, "Nothing yet.");
    } else {
        sheet.text(
            Role::Muted,
            "Enter corrects one. Later answers stay; those no longer on the way are said.",
        );
    }
    for (i, line) in lines.iter().enumerate() {
        record_line(&mut sheet, line, at == i);
    }
    sheet
}

/// All answers before closing, and how many steps were only done.
pub fn review(model: &Model, mended: bool, width: usize) -> Sheet {
    let lines = model.reviewed();
    let title = "Look through everything before closing";
    let mut sheet = given(model, title, &lines, model.entry.pick, width);
    let done = model.record.len() - lines.len();
    if done > 0 {
        let steps =
            if done == 1 { "one step that was only to be done" } else { "steps that were only to be done" };
        let count = if done == 1 { String::new() } else { format!("{done} ") };
        sheet.text(Role::Muted, &format!("and {count}{steps}, in the report"));
    }
    sheet.gap();
    if !mended {
        sheet.choice(model.entry.pick >= lines.len(), "c", "Close the case");
        return sheet;
    }
    // One good reading proves the part; whether it was all, only the complaint can tell.
    if let Some(complaint) = model.head.as_ref().map(|h| h.complaint.trim()).filter(|c| !c.is_empty()) {
        sheet.text(Role::Strong, &format!("Try it once more as the driver had it: {complaint}."));
    } else {
        sheet.text(Role::Strong, "Try once more what the driver complained of.");
    }
    let caution = Caution::RunningEngine;
    cautions::lines(&mut sheet, &[caution], Said::Whole);
    sheet.choice(model.entry.pick == lines.len(), "c", "It is gone: close the case");
    sheet.choice(model.entry.pick > lines.len(), "a", "It is still there: walk again from the start");
    sheet
}

/// Settings.
pub fn settings(model: &Model, at: usize, width: usize) -> Sheet {
    let mut sheet = Sheet::new(model.look, width);
    sheet.text(Role::Strong, "Settings");
    let rows = [
        (
            "units",
            match model.settings.units {
                None => "as the car's own gauge is written",
                Some(UnitSystem::Metric) => "kPa, L/h, °C, m",
                Some(UnitSystem::Us) => "psi, gal/h, °F, ft",
            },
        ),
        (
            "ground",
            match model.look.theme.ground {
                Ground::Dark => "dark",
                Ground::Light => "light",
            },
        ),
        (
            "colour",
            match model.look.theme.depth {
                Depth::None => "none",
                Depth::Sixteen => "the terminal's own sixteen",
                Depth::True => "true colour",
            },
        ),
        ("characters", if model.look.ascii { "plain ASCII" } else { "line drawing" }),
        (
            "who reads",
            if model.settings.agent { "an agent reads aloud to a caller" } else { "the one at the car" },
        ),
        (
            "next start",
            if model.settings.plain { "line by line, for screen readers" } else { "these screens" },
        ),
    ];
    for (i, (name, value)) in rows.iter().enumerate() {
        sheet.choice(i == at, &format!("{}", i + 1), &format!("{name}: {value}"));
    }
    sheet
}
