//! On a narrow screen no word is cut: what stands there stands on a wide one as well.

use super::Bench;
use super::people::{begin, cars, one_step, rig_text};
use faultwalk::library::Library;
use faultwalk::rig::Rig;
use faultwalk::terms::{Caution, Fault};
use faultwalk::tui::{Key, Msg, Prompt, Screen};
use std::collections::BTreeSet;

/// Words of three letters or more, in small letters.
fn words(screen: &str) -> BTreeSet<String> {
    let words = screen.split(|c: char| !c.is_alphabetic()).filter(|w| w.chars().count() > 2);
    let words = words.filter(|w| !["PgUp", "PgDn"].contains(w));
    words.map(str::to_lowercase).collect()
}

/// Words on the narrow screen that are on none of the wide ones.
fn cut(b: &mut Bench, narrow: (u16, u16)) -> (Vec<String>, String) {
    let screen = b.screen();
    let here = words(&screen);
    // Where there is little room a caution is said by its name.
    let mut known: BTreeSet<String> = Caution::ALL.iter().flat_map(|c| words(c.id())).collect();
    // The task behind cautions that leave no room for all of it stands as "Then: ..".
    known.insert("then".into());
    // An offer whose words a remark has said already, where there is room for the remark, stands in other words.
    known.extend(words(
        "R sees one thing again, N names the finding now, T does another test first, L puts this one off",
    ));
    for (columns, rows) in [(120, 60), (79, 60), (60, 60), (40, 60)] {
        b.send(Msg::Resize(columns, rows));
        // The last row of a screen that is cut short is what is looked for, so the whole of a tall one is known.
        known.extend(words(&b.screen()));
    }
    b.send(Msg::Resize(narrow.0, narrow.1));
    (here.difference(&known).cloned().collect(), screen)
}

#[test]
fn no_word_is_cut_at_40_by_20_and_nothing_is_suspected_once_the_repair_is_proved() {
    for (name, fault) in [("orchard-pickup", Fault::FeedFilterBlocked), ("mill-coupe", Fault::VacuumLeak)] {
        let rig = Rig::parse(name, &rig_text(name)).unwrap();
        let (broken, sound) = cars(&rig, fault);
        let tree = Library::embedded().tree("runs-lean").unwrap();
        let mut b = begin(name, "it is lean since the long trip over the mountains", "runs-lean", 40, 20);
        b.odds_come();
        let (mut seen, mut proved) = (0, 0);
        for _ in 0..500 {
            let (cut, screen) = cut(&mut b, (40, 20));
            assert!(cut.is_empty(), "{name}: {cut:?} on\n{screen}");
            seen += 1;
            if b.app.model().caution_due().is_some() {
                b.press(Key::Char('y'));
                continue;
            }
            match b.app.model().prompt.clone() {
                Prompt::Step(step) => {
                    let read = b.app.model().record.iter().any(|l| l.way == faultwalk::tui::Way::Proof);
                    let done = read && matches!(step.phase, faultwalk::tui::Phase::PutBack);
                    if done {
                        proved += 1;
                        b.sees_not("likely");
                    }
                    one_step(&mut b, &tree, &broken, &sound);
                    b.odds_come();
                }
                Prompt::Finding(_) | Prompt::Handover { .. } => {
                    b.press(Key::Enter);
                }
                Prompt::Review { .. } => {
                    b.keys("c");
                }
                Prompt::Closed(_) => break,
                other => panic!("{other:?}"),
            }
        }
        assert!(seen > 60 && proved > 0, "{seen} screens, {proved} after the repair");
    }
}

#[test]
fn on_a_narrow_form_no_row_is_covered_by_the_sign_for_more() {
    let mut b = Bench::built_in(40, 20, Some(&rig_text("orchard-pickup")));
    b.keys("lean<enter>");
    if let Screen::Walks { .. } = b.app.model().screen {
        b.press(Key::Enter);
    }
    b.keys("1<enter>").sees("The car:");
    let mut signs = 0;
    for _ in 0..80 {
        let (cut, here) = cut(&mut b, (40, 20));
        assert!(cut.is_empty(), "{cut:?} on\n{here}");
        // A number cut short is as wrong as a word: each row with a sign stands whole on a tall screen.
        b.send(Msg::Resize(40, 250));
        let tall = b.screen();
        b.send(Msg::Resize(40, 20));
        for row in here.lines().filter(|row| row.ends_with("PgDn") || row.ends_with("PgUp")) {
            signs += 1;
            let text = row[..row.len() - "PgDn".len()].trim_end_matches(['↓', '↑', ' ']);
            let whole = text.is_empty() || tall.lines().any(|line| line == text);
            assert!(whole, "{text:?} of\n{here}\nis cut, on\n{tall}");
        }
        b.press(Key::Down);
    }
    assert!(signs > 40, "{signs} signs were seen");
}
