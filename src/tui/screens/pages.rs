//! Pages of text, and the small screens that ask for one.

use super::super::desk::Para;
use super::super::model::Model;
use super::super::sheet::Sheet;
use super::super::theme::Role;
use super::super::widgets::Field;
use super::cautions::{self, Said};
use crate::terms::{Caution, LEAK_ORDERS};
use crate::walk::Reason;
use unicode_width::UnicodeWidthStr;

/// Lays out paragraphs. The values of names stand in one column, behind the longest name that leaves them half the width.
pub fn lay_paras(sheet: &mut Sheet, paras: &[Para]) {
    let names =
        paras.iter().filter_map(|p| if let Para::Pair(name, _) = p { Some(name.width() + 2) } else { None });
    let column = names.filter(|n| *n <= sheet.width / 2).max().unwrap_or(0);
    for para in paras {
        match para {
            Para::Head(text) => {
                sheet.heading(text);
            }
            Para::Text(text) => {
                sheet.text(Role::Text, text);
            }
            Para::Pair(name, value) => {
                sheet.pair(name, column, Role::Text, value);
            }
            Para::Judged(verdict, text) => {
                let sign = sheet.look.verdict_sign(*verdict);
                sheet.item(sign, Role::Text, text);
            }
            Para::Item(text) => {
                sheet.item("-", Role::Text, text);
            }
            Para::Caution(caution) => cautions::lines(sheet, &[*caution], Said::All),
            Para::Gap => {
                sheet.gap();
            }
        }
    }
}

/// A page.
pub fn page(model: &Model, title: &str, paras: &[Para], width: usize) -> Sheet {
    let mut sheet = Sheet::new(model.look, width);
    sheet.text(Role::Strong, title);
    lay_paras(&mut sheet, paras);
    sheet
}

/// A title and one paragraph.
pub fn says(model: &Model, title: &str, text: &str, width: usize) -> Sheet {
    page(model, title, &[Para::Gap, Para::Text(text.to_owned())], width)
}

/// A note being written.
pub fn note(model: &Model, private: bool, width: usize) -> Sheet {
    let mut sheet = Sheet::new(model.look, width);
    sheet.text(Role::Strong, if private { "Note for the agent alone" } else { "Note" });
    sheet.text(
        Role::Muted,
        if private { "Left out of anything shared." } else { "It stands in the report beside this step." },
    );
    sheet.gap();
    model.note.lay(&mut sheet, "note", true);
    sheet
}

/// Why the step can't be done.
pub fn cannot(model: &Model, at: usize, width: usize) -> Sheet {
    let mut sheet = Sheet::new(model.look, width);
    sheet.text(Role::Strong, "Cannot do this");
    sheet.text(Role::Muted, "It will stand as not tested, never as passed.");
    sheet.gap();
    for (i, reason) in Reason::ALL.iter().enumerate() {
        let words = match reason {
            Reason::Later => "later; Ctrl-D lists it, and Enter there takes it up",
            reason => reason.name(),
        };
        sheet.choice(i == at, "", words);
    }
    sheet.gap();
    let focus = sheet.focus;
    model.cannot.lay(&mut sheet, "in your words, if you like", true);
    sheet.focus = focus;
    sheet
}

/// The folder in which the case goes on.
pub fn elsewhere(model: &Model, field: &Field, width: usize) -> Sheet {
    let mut sheet = Sheet::new(model.look, width);
    sheet.text(Role::Strong, "Go on in another folder");
    sheet.text(
        Role::Muted,
        "The disk takes no more where this case lies. It is copied whole into the folder you name, such as one on another disk, and goes on there; the old file stays as it is.",
    );
    sheet.gap();
    field.lay(&mut sheet, "folder", true);
    sheet
}

/// The file of a case handed over.
pub fn handed_over(model: &Model, width: usize) -> Sheet {
    let mut sheet = Sheet::new(model.look, width);
    sheet.text(Role::Strong, "A case handed over");
    sheet.text(
        Role::Muted,
        "Somebody saved it with 'hand-over file' on the report. It goes on here with nothing asked again.",
    );
    sheet.gap();
    model.file.lay(&mut sheet, "file", true);
    sheet
}

/// Fuel smelt or seen: stop.
pub fn leak(model: &Model, case: bool, width: usize) -> Sheet {
    let mut sheet = Sheet::new(model.look, width);
    let lead = sheet.span(Role::Signal(Caution::FuelLeak.signal()), " DANGER ");
    let text = sheet.span(Role::Strong, "  Fuel smell or leak: stop");
    sheet.line(vec![lead, text]);
    sheet.gap();
    for line in LEAK_ORDERS {
        sheet.item("-", Role::Text, line);
    }
    sheet.gap();
    if case {
        sheet.text(Role::Text, "The case is kept and waits here.");
        sheet.focus = Some(sheet.row());
        sheet.text(
            Role::Focus,
            "> Press M when the leak is mended and every joint was seen dry with the pump running.",
        );
    }
    sheet
}
