//! Another instrument: what the open step is read with, fact by fact, and what is typed in its place.

use super::super::desk::FactLine;
use super::super::model::Model;
use super::super::sheet::{Sheet, pad};
use super::super::theme::Role;
use super::super::widgets::Field;

/// Columns of a label.
const LABEL: usize = 32;

/// Lays out the screen.
pub fn instrument(model: &Model, at: usize, facts: &[(FactLine, Field)], width: usize) -> Sheet {
    let mut sheet = Sheet::new(model.look, width);
    sheet.text(Role::Strong, "Another instrument from here on");
    sheet.text(
        Role::Muted,
        "Type what is printed on it; leave empty what stays as it is. What was read before stays as it was taken.",
    );
    sheet.gap();
    for (row, (fact, field)) in facts.iter().enumerate() {
        let wide = width >= LABEL + 24;
        if !wide {
            sheet.text(Role::Text, &fact.label);
        }
        field.lay(&mut sheet, &if wide { pad(&fact.label, LABEL) } else { String::new() }, at == row);
        sheet.hanging(
            2,
            "",
            Role::Muted,
            &format!("now {}{}", fact.value, if fact.default { ", default" } else { "" }),
        );
        if let Some(help) = fact.help.filter(|_| at == row) {
            sheet.hanging(2, "", Role::Muted, help);
        }
    }
    sheet.gap();
    sheet.choice(at >= facts.len(), "", "Read with this");
    sheet
}
