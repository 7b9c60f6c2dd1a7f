//! Every step of every tree on every kind of car, drawn: nothing needed stands behind a "more" sign.

use super::super::desk::{Asks, Head, Phase, Prompt, Settings, StepData};
use super::super::keys::Key;
use super::super::look::Look;
use super::super::model::{Entry, Model, Screen};
use super::super::offers::Remark;
use super::super::plan;
use super::super::view;
use super::step;
use crate::library::Library;
use crate::quantity::UnitSystem;
use crate::rig::Rig;
use crate::session::Session;
use crate::tree::StepKind;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::sync::Arc;

const CARS: [&str; 3] = [
    "format: 1\nrig: orchard pickup of the north yard\nfilter: {drop: 6 kPa, at: 200 L/h}\nstrainer: {drop: 8 kPa, at: 200 L/h}\n",
    "format: 1\nrig: mill coupe\nengine: {induction: draw-through, boost: 8 psi}\nregulator: {reference: plenum}\n",
    "format: 1\nrig: depot van\nregulator: {style: deadhead}\ninjection: {tip: above-plates}\n",
];

const REMARK: &str = "By the odds another test would tell more for its time: pressure before the blower, full load, about 12 min. Ctrl-S shows why; there T does it first.";

/// A model at this step, with a reading typed where one is asked for.
fn model(session: &Session, data: StepData, size: (u16, u16)) -> Model {
    let mut model = Model { size, ..Model::new(Look::default(), Settings::default()) };
    model.screen = Screen::Case;
    model.head = Some(Head {
        car: session.rig().name.clone(),
        complaint: "goes lean on hills".into(),
        kept: Some("14:02:11".into()),
        ..Head::default()
    });
    model.circuit = Some(plan::circuit(session.rig(), None));
    let mut entry = Entry { expected: data.expected.clone(), ..Entry::default() };
    if matches!(data.asks, Asks::Reading { .. }) {
        for c in "12.5".chars() {
            entry.field.key(Key::Char(c));
        }
        entry.echo = Some(step::echo(session, &data.id, "12.5", None));
    }
    model.entry = entry;
    model.prompt = Prompt::Step(Box::new(data));
    model
}

fn screen(model: &Model) -> String {
    let area = Rect::new(0, 0, model.size.0, model.size.1);
    let mut buffer = Buffer::empty(area);
    view::draw(model, area, &mut buffer);
    let row = |row: &[ratatui::buffer::Cell]| {
        row.iter().map(ratatui::buffer::Cell::symbol).collect::<String>().trim_end().to_owned()
    };
    buffer.content.chunks(usize::from(model.size.0)).map(row).collect::<Vec<_>>().join("\n")
}

fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What is missing on the screen of a step, in words.
fn missing(data: &StepData, screen: &str) -> Vec<String> {
    let flat = flat(screen);
    let mut missing = Vec::new();
    let mut needs = |what: &str| {
        if !flat.contains(&self::flat(what)) {
            missing.push(what.to_owned());
        }
    };
    needs(&data.action);
    match &data.asks {
        Asks::Pick(answers) => answers.iter().for_each(|(_, words)| needs(words)),
        Asks::Done => needs("> Press Enter when it is done."),
        Asks::Percent => needs("percent > "),
        Asks::Reading { .. } => needs("reading > 12.5"),
    }
    needs("Enter");
    needs("Ctrl-F leak");
    needs("? why");
    missing
}

/// Looks at every step at `size`; gives those that hide something, and how many were looked at.
fn hidden(size: (u16, u16), remark: Option<&str>) -> (Vec<String>, usize) {
    let library = Library::embedded();
    let (mut hidden, mut seen) = (Vec::new(), 0);
    for heading in library.trees() {
        let tree = Arc::new(library.tree(&heading.heading.tree.unwrap()).unwrap());
        for car in CARS {
            let rig = Arc::new(Rig::parse("test", car).unwrap());
            let session = Session::begin(rig, tree.clone(), None, UnitSystem::Us).unwrap();
            for (number, of) in tree.steps.iter().enumerate() {
                if matches!(of.kind, StepKind::Choose { .. }) {
                    continue;
                }
                let place = match &of.kind {
                    StepKind::Read(read) => read.places.first().copied(),
                    _ => None,
                };
                let mut data = step::plain_step(&session, of, number + 1, Phase::Walk, place);
                if let StepKind::Observe { observation, .. } = of.kind {
                    data.known = session.known_for(observation);
                }
                data.expected = step::expected(&session, &of.id, place);
                data.remark = remark.map(|text| Remark { text: text.to_owned(), offers: None });
                let drawn = screen(&model(&session, data.clone(), size));
                seen += 1;
                let mut lacks = missing(&data, &drawn);
                if drawn.contains("PgDn") {
                    lacks.push("a sign that there is more below".into());
                }
                if !lacks.is_empty() {
                    hidden.push(format!("{} {}: {lacks:?} on\n{drawn}", tree.id, of.id));
                }
            }
        }
    }
    (hidden, seen)
}

#[test]
fn at_80_by_24_nothing_of_any_step_is_hidden_a_remark_among_it() {
    let (hidden, seen) = hidden((80, 24), Some(REMARK));
    assert!(seen > 2_000, "{seen}");
    assert!(hidden.is_empty(), "{} of {seen}:\n{}", hidden.len(), hidden.first().unwrap());
}

#[test]
fn at_40_by_20_what_to_do_and_what_is_asked_is_in_sight_on_every_step() {
    let (hidden, seen) = hidden((40, 20), None);
    assert!(hidden.is_empty(), "{} of {seen}:\n{}", hidden.len(), hidden.join("\n=====\n"));
}

#[test]
fn what_is_hidden_would_be_found() {
    let (hidden, seen) = hidden((40, 16), None);
    assert!(!hidden.is_empty() && hidden.len() < seen / 10, "{} of {seen}", hidden.len());
}
