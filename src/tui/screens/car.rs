//! The car and the site: every fact, defaults marked, and the drawings.

use super::super::desk::{FactKind, FactLine};
use super::super::model::{CarState, Model, Purpose};
use super::super::sheet::{Sheet, pad};
use super::super::theme::Role;
use super::{Layout, NARROW, WIDE};
use unicode_width::UnicodeWidthStr;

/// Column where the values stand, behind the longest name.
const COLUMN: usize = 54;

/// Facts, and on a wide screen the drawings beside them.
pub fn car(model: &Model, car: &CarState, columns: u16) -> Layout {
    let width = usize::from(columns);
    if columns >= WIDE {
        let left = width * 3 / 5;
        let main = facts(model, car, left);
        let side = drawings(model, car, width - left - 3);
        return Layout { top: None, main, side: Some(side) };
    }
    let main = if car.drawing { drawings(model, car, width) } else { facts(model, car, width) };
    Layout { top: None, main, side: None }
}

fn facts(model: &Model, car: &CarState, width: usize) -> Sheet {
    let mut sheet = Sheet::new(model.look, width);
    let title = if car.site { "Where it is, and in what weather" } else { "The car" };
    sheet.text(Role::Strong, &format!("{title}: {}", car.sheet.name));
    sheet.text(Role::Muted, "Values marked 'default' nobody stated; change what you know. Give the unit.");
    if !car.site && width >= usize::from(NARROW) {
        sheet.text(
            Role::Muted,
            "Most depends on: power, induction, injector tip, supply style, set pressure, pump, filter.",
        );
    }
    for problem in &car.sheet.problems {
        sheet.item("!", Role::Error, problem);
    }
    let shown = car.shown();
    let mut group = "";
    for (row, fact) in shown.iter().filter_map(|&i| car.sheet.facts.get(i)).enumerate() {
        let this = group_of(&fact.path);
        if this != group && !car.site {
            sheet.heading(this);
            group = this;
        }
        self::fact(&mut sheet, fact, row == car.at, car);
    }
    sheet.gap();
    let on = match (car.site, car.purpose) {
        (false, _) => "Go on: where it is",
        (true, Purpose::Supply) => "Show what the supply can feed",
        (true, Purpose::Begin) => "Begin",
    };
    sheet.choice(car.at >= shown.len(), "g", on);
    sheet
}

fn fact(sheet: &mut Sheet, fact: &FactLine, here: bool, car: &CarState) {
    let value = if fact.value.is_empty() { "not given" } else { &fact.value };
    let mark = if fact.default { "  default" } else { "" };
    if here && let Some(field) = &car.editing {
        field.lay(sheet, &fact.label, true);
        let now = if fact.default { format!("now {value}, by default") } else { format!("now {value}") };
        let takes = match &fact.kind {
            FactKind::Choice(options) => format!("; one of {}", options.join(", ")),
            FactKind::Typed => String::new(),
        };
        sheet.hanging(4, "", Role::Muted, &format!("{now}{takes}; an empty line, Ctrl-U, takes the default"));
        explain(sheet, fact);
        return;
    }
    let said = format!("{value}{mark}");
    if here {
        // A label too long for its column pushes its value on; none is cut.
        let column = column(sheet.width) - 2;
        let label =
            if fact.label.width() < column { pad(&fact.label, column) } else { format!("{}  ", fact.label) };
        sheet.choice(true, "", &format!("{label}{said}"));
    } else {
        let role = if fact.default { Role::Muted } else { Role::Text };
        if sheet.width < usize::from(NARROW) || fact.label.width() + 3 > column(sheet.width) {
            sheet.hanging(0, " ", role, &format!("{}  {said}", fact.label));
        } else {
            sheet.pair(&format!("  {}", fact.label), column(sheet.width), role, &said);
        }
    }
    if here {
        if let FactKind::Choice(options) = &fact.kind {
            sheet.hanging(4, "", Role::Muted, &format!("left, right: {}", options.join(", ")));
        }
        explain(sheet, fact);
    }
    if let Some(problem) = &fact.problem {
        sheet.hanging(2, "!", Role::Error, problem);
    }
}

/// What the fact is and where it is found, kept in sight with its row.
fn explain(sheet: &mut Sheet, fact: &FactLine) {
    if let Some(help) = fact.help {
        sheet.hanging(4, "", Role::Muted, help);
    }
    sheet.focus = sheet.row().checked_sub(1);
}

/// Where the values stand on a sheet of this width.
fn column(width: usize) -> usize {
    COLUMN.min(width * 2 / 3)
}

/// The group a fact stands in.
pub fn group_of(path: &str) -> &'static str {
    match path.split('.').next().unwrap_or(path) {
        "rig" => "Name",
        "fuel" => "Fuel",
        "engine" => "Engine",
        "injection" => "Injectors",
        "regulator" => "Regulator",
        "pump" => "Pump",
        "inlet" | "strainer" | "filter" | "feed" | "return" | "tank" => "Tank and lines",
        "wiring" => "Wiring",
        "controller" => "Controller",
        "instruments" | "tools" => "Instruments and tools",
        _ => "Other",
    }
}

fn drawings(model: &Model, car: &CarState, width: usize) -> Sheet {
    let mut sheet = Sheet::new(model.look, width);
    sheet.text(Role::Strong, "Fuel");
    if let Some(circuit) = &car.sheet.circuit {
        circuit.lay(&mut sheet, false);
    } else {
        sheet.text(Role::Muted, "Drawn once the facts are right.");
    }
    if let Some(induction) = &car.sheet.induction {
        sheet.heading("Air");
        induction.lay(&mut sheet);
    }
    if let Some(advice) = &car.sheet.advice {
        sheet.gap();
        sheet.text(Role::Text, advice);
    }
    sheet
}
