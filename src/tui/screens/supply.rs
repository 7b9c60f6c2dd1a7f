//! What the supply can feed, as it is and as planned: entries, answer, lines, figures, gains.

use super::super::model::Model;
use super::super::sheet::{Sheet, pad};
use super::super::supply::{CHOICE, PLANS, SupplyRow, SupplySheet};
use super::super::theme::Role;
use super::NARROW;

/// Columns of a figure.
const COLUMN: usize = 26;
/// Columns of a value.
const VALUE: usize = 16;

/// Lays out the screen.
pub fn supply(model: &Model, at: usize, data: &SupplySheet, width: usize) -> Sheet {
    let mut sheet = Sheet::new(model.look, width);
    sheet.text(Role::Strong, &format!("How much power the supply can feed: {}", data.car));
    sheet.text(Role::Muted, "Type what is planned; leave empty what stays as it is.");
    for (row, (label, example)) in PLANS.iter().enumerate() {
        if row == CHOICE {
            choice(model, data, at == row, label, &mut sheet);
            continue;
        }
        let field = &model.planned[row];
        field.lay(&mut sheet, &pad(label, 18), at == row);
        if let Some(problem) = &data.problems[row] {
            sheet.hanging(2, "!", Role::Error, problem);
        } else if field.is_empty() && at == row {
            sheet.hanging(2, "", Role::Muted, &format!("such as {example}"));
        }
    }
    sheet.gap();
    if let Some(why) = &data.broken {
        sheet.item("!", Role::Error, why);
        return sheet;
    }
    for (enough, text) in &data.answers {
        let (sign, role) = if *enough { ("=", Role::Within) } else { ("!", Role::Outside) };
        sheet.item(sign, role, text);
    }
    for (name, scale) in &data.lines {
        sheet.text(Role::Muted, &format!("{name}, [===] is what it feeds"));
        scale.lay(&mut sheet);
    }
    let planned = data.rows.iter().any(|r| r.planned.is_some());
    sheet.gap();
    table(&mut sheet, &data.rows, planned);
    sheet.heading("What removing each limit alone would gain");
    gains(&mut sheet, &data.gains);
    sheet.heading(if planned { "Rail pressure by power, as planned" } else { "Rail pressure by power" });
    for (power, text) in &data.powers {
        sheet.pair(power, VALUE, Role::Text, text);
    }
    sheet.gap();
    for remark in &data.remarks {
        sheet.text(Role::Muted, remark);
    }
    sheet
}

fn choice(model: &Model, data: &SupplySheet, here: bool, label: &str, sheet: &mut Sheet) {
    let id = model.planned[CHOICE].text();
    let words = data.choices.iter().find(|(c, _)| c == id).map_or("", |(_, words)| words.as_str());
    let sign = if here { ">" } else { " " };
    let hint = if here { "  (left, right)" } else { "" };
    if here {
        sheet.focus = Some(sheet.row());
        sheet.cursor = Some((sheet.row(), 0));
    }
    let role = if here { Role::Focus } else { Role::Text };
    sheet.text(role, &format!("{} {sign} {words}{hint}", pad(label, 18)));
}

/// Figures in two columns of values; on a narrow sheet the values stand below their name.
fn table(sheet: &mut Sheet, rows: &[SupplyRow], planned: bool) {
    let narrow = sheet.width < usize::from(NARROW);
    if planned && !narrow {
        sheet.pair("", COLUMN, Role::Muted, &format!("{}planned", pad("now", VALUE)));
    }
    for row in rows {
        let text = match &row.planned {
            Some(then) if narrow => format!("now {}, planned {then}", row.now),
            Some(then) => format!("{}{then}", pad(&row.now, VALUE)),
            None => row.now.clone(),
        };
        sheet.pair(&row.what, COLUMN, Role::Text, &text);
    }
}

/// What is gained, the words behind the figures, because they are long.
fn gains(sheet: &mut Sheet, rows: &[SupplyRow]) {
    for row in rows {
        let figures = match &row.planned {
            Some(then) => format!("now {}, planned {then}", row.now),
            None => row.now.clone(),
        };
        sheet.item("-", Role::Text, &format!("{}: {figures}", row.what));
    }
}
