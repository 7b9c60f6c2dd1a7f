//! What the case comes to: finding, repair, hand-over, the end.

use super::super::desk::FindingData;
use super::super::model::Model;
use super::super::sheet::Sheet;
use super::super::theme::Role;
use super::cautions::{self, Said};

/// The finding, and what to do about it. Its cautions stand whole before the repair; where there is little room they are said shorter
/// here, and where even that does not do, the choices stand before what to do, so that they and the finding stay in sight together. It
/// opens at its top in any case.
pub fn finding(model: &Model, f: &FindingData, width: usize, rows: usize) -> Sheet {
    let ways = [(Said::Whole, false), (Said::Words, false), (Said::Words, true)];
    let mut sheet = Sheet::new(model.look, width);
    for (said, early) in ways {
        let (laid, choices) = laid(model, f, width, (said, early));
        sheet = laid;
        if choices < rows {
            return sheet;
        }
    }
    if model.entry.pick == 0 && !model.entry.repairing {
        sheet.focus = None;
    }
    sheet
}

/// What can be chosen, all of it kept in sight, whichever the keys act on.
fn choices(model: &Model, f: &FindingData, sheet: &mut Sheet) -> usize {
    sheet.gap();
    if f.remedy.is_some() {
        sheet.choice(model.entry.pick == 0, "1", "Repair it now, then measure again");
        sheet.choice(model.entry.pick == 1, "2", "Leave it as it is, put everything back");
    } else {
        sheet.choice(true, "1", "Go on, put everything back");
    }
    sheet.focus = sheet.row().checked_sub(1);
    sheet.row()
}

/// Laid out, and the row below its choices, which stand `early` before what to do.
fn laid(model: &Model, f: &FindingData, width: usize, (said, early): (Said, bool)) -> (Sheet, usize) {
    let mut sheet = Sheet::new(model.look, width);
    sheet.text(Role::Strong, "Finding");
    sheet.text(Role::Outside, &f.says);
    if let Some(sure) = &f.sure {
        sheet.text(Role::Text, sure);
    }
    doubt(&mut sheet, f.against.as_deref());
    if model.entry.repairing {
        let sheet = repair(model, f, sheet);
        let rows = sheet.row();
        return (sheet, rows);
    }
    let mut below = if early { Some(choices(model, f, &mut sheet)) } else { None };
    if !f.also.is_empty() {
        sheet.gap();
        sheet.text(Role::Text, &format!("Not told apart from it: {}.", f.also.join("; ")));
    }
    if let Some(remedy) = &f.remedy {
        sheet.heading("What to do");
        cautions::lines(&mut sheet, &f.cautions, said);
        sheet.text(Role::Text, remedy);
        if let Some(aim) = &f.aim {
            sheet.text(Role::Strong, aim);
        }
        if let Some(proof) = &f.proof {
            sheet.text(Role::Muted, proof);
        }
    }
    let below = *below.get_or_insert_with(|| choices(model, f, &mut sheet));
    // What it rests on is long and stands last, so that the finding and what to do are in sight from the first.
    if !f.because.is_empty() {
        sheet.heading("What it rests on");
        for (verdict, line) in &f.because {
            let sign = verdict.map_or("-", |v| model.look.verdict_sign(v));
            sheet.item(sign, Role::Text, line);
        }
    }
    (sheet, below)
}

fn repair(model: &Model, f: &FindingData, mut sheet: Sheet) -> Sheet {
    if let Some(due) = model.caution_due() {
        cautions::due(model, &mut sheet, &due, Said::All);
        return sheet;
    }
    cautions::lines(&mut sheet, &f.cautions, Said::Whole);
    sheet.heading("Repair");
    sheet.text(Role::Text, f.remedy.as_deref().unwrap_or(""));
    if let Some(aim) = &f.aim {
        sheet.text(Role::Strong, aim);
    }
    if let Some(proof) = &f.proof {
        sheet.text(Role::Muted, proof);
    }
    sheet.gap();
    sheet.focus = Some(sheet.row());
    sheet.text(Role::Focus, "> Press Enter when the repair is done.");
    sheet
}

/// The repair did not cure it.
pub fn not_cured(model: &Model, f: &FindingData, width: usize) -> Sheet {
    let mut sheet = Sheet::new(model.look, width);
    sheet.text(Role::Strong, "The repair did not cure it");
    sheet.text(Role::Outside, &f.says);
    sheet.text(Role::Text, "Measured again, it is not as it should be. Either the repair is not complete, or something else is wrong too.");
    sheet.gap();
    sheet.choice(model.entry.pick == 0, "1", "Put everything back and walk again from the start");
    sheet.choice(model.entry.pick == 1, "2", "End here with the finding as it is");
    sheet
}

/// What the odds say against an end, set off from what the tree says.
fn doubt(sheet: &mut Sheet, against: Option<&str>) {
    if let Some(against) = against {
        sheet.gap();
        sheet.item("!", Role::Open, against);
        sheet.gap();
    }
}

/// A stated end without a finding.
pub fn handover(
    model: &Model,
    says: &str,
    advice: &str,
    (narrowed, against): (&[String], Option<&str>),
    width: usize,
) -> Sheet {
    let mut sheet = Sheet::new(model.look, width);
    sheet.text(Role::Strong, "As far as it goes here");
    sheet.text(Role::Text, says);
    doubt(&mut sheet, against);
    if !narrowed.is_empty() {
        sheet.heading("Narrowed to");
        for left in narrowed {
            sheet.item("-", Role::Outside, left);
        }
    }
    sheet.heading("What to do next");
    sheet.text(Role::Text, advice);
    sheet.gap();
    sheet.focus = Some(sheet.row());
    sheet.text(Role::Focus, "> Press Enter to put everything back and close.");
    sheet
}

/// The end.
pub fn closed(model: &Model, outcome: &str, width: usize) -> Sheet {
    let mut sheet = Sheet::new(model.look, width);
    sheet.text(Role::Strong, "Closed");
    sheet.text(Role::Text, outcome);
    sheet.gap();
    for (i, text) in
        ["Read the report", "Save the report beside the case", "Go to the start"].iter().enumerate()
    {
        sheet.choice(model.entry.pick == i, &format!("{}", i + 1), text);
    }
    sheet
}
