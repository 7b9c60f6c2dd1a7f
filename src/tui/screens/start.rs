//! The start: the complaint as a sentence, or something to pick.

use super::super::model::Model;
use super::super::sheet::Sheet;
use super::super::theme::Role;
use crate::terms::{Complaint, FIRST_WORD};

/// How many cases the start offers to go on with.
pub const MOST_RECENT: usize = 3;

/// What can be picked at the start.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StartRow {
    /// Plain questions.
    Questions,
    /// The list of cases.
    Cases,
    /// A case file from somebody else.
    HandedOver,
    /// The supply of a car.
    Supply,
    /// A simulated car to learn on.
    Practise,
    /// Settings.
    Settings,
    /// Help.
    Help,
    /// Leave.
    Leave,
}

/// The rows in order.
pub const START_ROWS: [StartRow; 8] = [
    StartRow::Questions,
    StartRow::Cases,
    StartRow::HandedOver,
    StartRow::Supply,
    StartRow::Practise,
    StartRow::Settings,
    StartRow::Help,
    StartRow::Leave,
];

impl StartRow {
    fn words(self) -> &'static str {
        match self {
            Self::Questions => "No words for it? Pick from plain questions",
            Self::Cases => "All cases",
            Self::HandedOver => "A case file handed over by somebody else",
            Self::Supply => "How much power a fuel supply can feed",
            Self::Practise => "Practise on a simulated car",
            Self::Settings => "Settings",
            Self::Help => "Help",
            Self::Leave => "Leave",
        }
    }
}

/// Stands at the top where the first word does not fit below.
const FIRST_IN_SHORT: &str = "Outdoors or doors open, no flame, the maker's manual first; PgDn has it whole.";

/// The start screen. What is to be kept to before anything else stands below the list, and where that is out of sight, in short at
/// the top.
pub fn start(model: &Model, width: usize, rows: usize) -> Sheet {
    let sheet = laid(model, width, false);
    if sheet.row() <= rows { sheet } else { laid(model, width, true) }
}

fn laid(model: &Model, width: usize, short: bool) -> Sheet {
    let mut sheet = Sheet::new(model.look, width);
    if short {
        sheet.item("!", Role::Outside, FIRST_IN_SHORT);
    }
    sheet.text(Role::Strong, "What is wrong with the car? Say it in a sentence.");
    model.complaint.lay(&mut sheet, "complaint", model.start_at == 0);
    if model.complaint.is_empty() {
        sheet.text(Role::Muted, "Such as: goes lean on long hills since the new pump");
    } else if model.kinds.is_empty() {
        sheet.text(Role::Muted, "Nothing known in it yet; Enter asks instead.");
    } else {
        let kinds: Vec<&str> = model.kinds.iter().map(|k| k.name()).collect();
        sheet.text(Role::Within, &format!("Understood: {}", kinds.join("; ")));
    }
    if let Some(car) = &model.given_car {
        sheet.text(Role::Muted, &format!("The car: {car}, given at the start."));
    }
    sheet.gap();
    for (i, case) in model.recent.iter().take(MOST_RECENT).enumerate() {
        let mark = if case.simulated { "SIMULATED " } else { "" };
        let verb = if case.closed { "Look at" } else { "Go on with" };
        let text = format!("{verb} {mark}{}, {} ({}, {})", case.car, case.complaint, case.stands, case.when);
        sheet.choice(model.start_at == i + 1, "", &text);
    }
    let recent = model.recent.len().min(MOST_RECENT);
    for (i, row) in START_ROWS.iter().enumerate() {
        sheet.choice(model.start_at == i + 1 + recent, "", row.words());
    }
    sheet.gap();
    sheet.text(Role::Muted, FIRST_WORD);
    sheet
}

/// Plain questions in place of a sentence.
pub fn questions(model: &Model, at: Option<usize>, width: usize) -> Sheet {
    let mut sheet = Sheet::new(model.look, width);
    sheet.text(Role::Strong, "What comes nearest?");
    if !model.complaint.is_empty() {
        sheet.text(Role::Muted, &format!("Your words: {}", model.complaint.text()));
    }
    for (i, kind) in Complaint::ALL.iter().enumerate() {
        sheet.choice(at == Some(i), "", kind.question());
    }
    sheet
}
