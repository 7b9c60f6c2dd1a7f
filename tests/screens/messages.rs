//! Every message a person can be given: what happened, what to do; reviewed as one list. What was typed stays.

use super::Bench;
use faultwalk::tui::{Model, Screen};
use std::fmt::Write as _;

/// What a model has to say: the line at the foot, or the error under an entry.
fn said(model: &Model) -> String {
    let under = match &model.screen {
        Screen::Car(car) => car.editing.as_ref().and_then(|f| f.error.clone()),
        Screen::Change { entry, .. } => entry.field.error.clone(),
        Screen::HandedOver => model.file.error.clone(),
        Screen::Supply { sheet, .. } => sheet.problems.iter().flatten().next().cloned(),
        _ => model.entry.field.error.clone(),
    };
    match (&model.message, under) {
        (Some((tone, text)), _) => format!("{tone:?}: {text}"),
        (None, Some(text)) => format!("Under the entry: {text}"),
        (None, None) => "nothing".to_owned(),
    }
}

#[test]
fn requirement_27_every_message_says_what_happened_and_what_to_do() {
    let mut all = String::new();
    let mut tell = |from: &str, keys: &str, b: &mut Bench| {
        b.keys(keys);
        let text = said(b.app.model());
        assert_ne!(text, "nothing", "{from}, {keys}\n{}", b.screen());
        // Where files lie is this run's own matter.
        let text = text.replace(&b.home().display().to_string(), "HOME");
        writeln!(all, "{from}, {keys}\n    {text}").unwrap();
    };
    for keys in ["it is odd<enter>", "rich and sooty<enter>", "<c-n>"] {
        tell("start", keys, &mut Bench::new(80, 24));
    }
    let mut b = Bench::new(80, 24);
    b.keys("lean<enter><enter><down><enter>");
    tell("the car, a fact being typed", "85 V<enter>", &mut b);
    // A fact that is wrong when the program is killed is still wrong when it is started again.
    b.killed_and_started_again();
    b.keys("<enter><enter>");
    tell("the car, a fact wrong", "g", &mut b);
    tell("a caution", "<enter>", &mut Bench::begun(80, 24));
    for keys in [
        "<enter>",
        "51 V<enter>",
        "51 pis<enter>",
        "1,234<enter>",
        "1.2.3<enter>",
        "nan<enter>",
        "1e999<enter>",
        "-300 psi<enter>",
        "51 bar<enter>",
        "20 psi<enter>",
        "<c-n>",
        "<c-e><enter>",
        "<c-e>soft hose<enter>",
        "<c-f><enter>",
        "<c-x><enter>",
        "<esc>u45 V",
        "<esc>u<down>140 %",
        "<esc>u<down><down>-3 psi",
        "<c-x><down><down><down><enter>",
    ] {
        let mut b = Bench::at_reading(80, 24);
        let before = keys.strip_suffix("<enter>").filter(|k| !k.is_empty() && !k.contains('<'));
        tell("a reading", keys, &mut b);
        if let Some(typed) = before.filter(|_| b.app.model().entry.field.error.is_some()) {
            assert_eq!(b.app.model().entry.field.text(), typed, "the entry is gone");
        }
    }
    let mut b = Bench::at_reading(80, 24);
    b.keys("36 psi<enter>");
    for keys in [
        "lots<enter>",
        "<bs><bs><bs><bs>140 %<enter>",
        "<bs><bs><bs><bs><bs>-3 %<enter>",
        "<bs><bs><bs><bs>12 V<enter>",
    ] {
        tell("a share of ethanol", keys, &mut b);
    }
    let mut b = Bench::at_reading(80, 24);
    b.keys("<c-d><down>");
    tell("a step done, corrected", "<enter><enter>", &mut b);
    let mut b = Bench::at_reading(80, 24);
    b.keys("36 psi<enter>10 %<enter><c-d><down><enter>");
    tell("a reading, corrected", "<bs><bs><bs>V<enter>", &mut b);
    tell("a reading, corrected", "<bs>psi<enter>", &mut b);
    let mut b = Bench::new(80, 24);
    b.keys("<down><down><down><enter>");
    tell("a case handed over", "<enter>", &mut b);
    tell("a case handed over", "/no/such/file<enter>", &mut b);
    insta::assert_snapshot!("messages", all);
}
