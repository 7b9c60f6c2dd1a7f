//! The built-in trees walked on the screens by keys alone, at a simulated car with a fault in it: from the sentence on the start
//! screen to the closed case. No step knows the fault.

use super::Bench;
use faultwalk::library::Library;
use faultwalk::rig::Rig;
use faultwalk::session::{Bench as Simulated, FaultyCar, typed};
use faultwalk::terms::{Fault, Reading};
use faultwalk::tree::{Step, StepKind, Tree};
use faultwalk::tui::{Asks, Key, Prompt, StepData, Way};
use std::ops::ControlFlow;
use std::path::Path;

/// What stands beside the seam between person and car: what the step of that id would give there.
fn shows(tree: &Tree, id: &str, place: usize, car: &FaultyCar) -> Option<String> {
    match &tree.step(id).unwrap().kind {
        StepKind::Read(read) => {
            let si = car.read(read.reading, read.at, read.with, read.places.get(place).copied())?;
            Some(typed(read.reading, si))
        }
        StepKind::Observe { observation, .. } if observation.is_percentage() => {
            Some(format!("{:.1} %", car.ethanol() * 100.0))
        }
        StepKind::Observe { observation, .. } => Some(car.observe(*observation).id.to_owned()),
        _ => Some(String::new()),
    }
}

/// Says that the open step can't be done: no access.
fn cannot(b: &mut Bench) {
    b.keys("<esc>x<down><down><enter>");
}

pub(super) fn one_step(b: &mut Bench, tree: &Tree, broken: &FaultyCar, sound: &FaultyCar) {
    let Prompt::Step(step) = b.app.model().prompt.clone() else { unreachable!() };
    let repaired = step.phase == faultwalk::tui::Phase::Confirm;
    let car = if repaired { sound } else { broken };
    let shown = shows(tree, &step.id, b.app.model().entry.place, car);
    let Some(text) = shown else { return cannot(b) };
    match &step.asks {
        Asks::Done => {
            b.press(Key::Enter);
        }
        Asks::Pick(answers) => {
            let row = answers.iter().position(|(id, _)| *id == text).unwrap();
            while b.app.model().entry.answer != Some(row) {
                b.press(Key::Down);
            }
            b.press(Key::Enter);
        }
        Asks::Percent | Asks::Reading { .. } => {
            while !b.app.model().entry.field.is_empty() {
                b.press(Key::Backspace);
            }
            b.keys(&text).keys("<enter>");
            if b.app.model().entry.field.error.is_some() {
                // A value that looks like a slip is asked about and kept when it is given again.
                b.keys("<enter>");
            }
        }
    }
    let stuck = b.app.model().entry.field.error.clone();
    if stuck.is_some_and(|e| e.contains("does not exist")) {
        cannot(b);
    }
}

pub(super) fn rig_text(name: &str) -> String {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(root.join(format!("fixtures/rigs/{name}.yaml"))).unwrap()
}

/// The car with the fault, and the same car sound.
pub(super) fn cars(rig: &Rig, fault: Fault) -> (FaultyCar<'_>, FaultyCar<'_>) {
    (FaultyCar::new(rig, &[(fault, 0.8)]).unwrap(), FaultyCar::new(rig, &[]).unwrap())
}

/// From the start screen to the first step of a case.
pub(super) fn begin(rig_name: &str, sentence: &str, tree_id: &str, columns: u16, rows: u16) -> Bench {
    let mut b = Bench::built_in(columns, rows, Some(&rig_text(rig_name)));
    b.keys(sentence).keys("<enter>");
    if let faultwalk::tui::Screen::Walks { list, .. } = &b.app.model().screen {
        let row = list.iter().position(|walk| walk.id == tree_id).unwrap();
        for _ in 0..row {
            b.press(Key::Down);
        }
        b.press(Key::Enter);
    }
    b.sees("Which car?").keys("1<enter>gg");
    b
}

/// Walks to the closed case; gives what the last screen says.
fn walk(rig_name: &str, sentence: &str, tree_id: &str, fault: Fault, columns: u16, rows: u16) -> String {
    let rig = Rig::parse(rig_name, &rig_text(rig_name)).unwrap();
    let (broken, sound) = cars(&rig, fault);
    let tree = Library::embedded().tree(tree_id).unwrap();
    let mut b = begin(rig_name, sentence, tree_id, columns, rows);
    for _ in 0..600 {
        if b.app.model().caution_due().is_some() {
            b.press(Key::Char('y'));
            continue;
        }
        match b.app.model().prompt.clone() {
            Prompt::Step(_) => one_step(&mut b, &tree, &broken, &sound),
            Prompt::Closed(_) => return b.screen(),
            Prompt::Review { .. } => {
                b.keys("c");
            }
            Prompt::Finding(_) | Prompt::Handover { .. } => {
                b.press(Key::Enter);
            }
            other => panic!("{rig_name}, {fault}: came to {other:?}\n{}", b.screen()),
        }
    }
    panic!("{rig_name}, {fault}: no end in 600 keys\n{}", b.screen());
}

fn finds(rig: &str, sentence: &str, tree: &str, fault: Fault, (columns, rows): (u16, u16)) {
    let last = walk(rig, sentence, tree, fault, columns, rows);
    let flat = last.split_whitespace().collect::<Vec<_>>().join(" ");
    let known = Library::embedded().tree(tree).unwrap();
    let says = known.findings.iter().filter(|f| f.fault == fault || f.also.contains(&fault));
    let mut fits = says.map(|f| f.says.split_whitespace().collect::<Vec<_>>().join(" "));
    assert!(fits.any(|text| flat.contains(&text)), "{rig}, {fault}: ended in\n{last}");
}

#[test]
fn a_blocked_filter_on_a_throttle_body_car_is_found_by_keys_at_80_by_24() {
    finds("orchard-pickup", "runs lean and surges", "runs-lean", Fault::FeedFilterBlocked, (80, 24));
}

#[test]
fn a_reference_hose_off_on_a_port_car_is_found_by_keys_at_120_by_40() {
    finds("harbour-coupe", "it is lean", "runs-lean", Fault::ReferenceHoseOff, (120, 40));
}

#[test]
fn a_dead_relay_is_found_by_keys_at_40_by_20() {
    finds("mill-road-sedan", "there is no fuel pressure", "no-pressure", Fault::PumpRelayOpen, (40, 20));
}

/// Walks on as the broken car shows, the odds waited for; at each step `at` says whether to stop there, or whether it has done the step.
fn walk_until(
    b: &mut Bench,
    tree: &Tree,
    (broken, sound): (&FaultyCar, &FaultyCar),
    mut at: impl FnMut(&mut Bench, &StepData) -> ControlFlow<(), bool>,
) {
    for _ in 0..200 {
        if b.app.model().caution_due().is_some() {
            b.press(Key::Char('y'));
            b.odds_come();
            continue;
        }
        let Prompt::Step(step) = b.app.model().prompt.clone() else { return };
        match at(b, &step) {
            ControlFlow::Break(()) => return,
            ControlFlow::Continue(true) => {}
            ControlFlow::Continue(false) => one_step(b, tree, broken, sound),
        }
        b.odds_come();
    }
}

/// A lean car, its tree, and the screens at the first step with the odds reckoned.
fn begun() -> (Rig, Tree, Bench) {
    let rig = Rig::parse("orchard-pickup", &rig_text("orchard-pickup")).unwrap();
    let tree = Library::embedded().tree("runs-lean").unwrap();
    let mut b = begin("orchard-pickup", "runs lean and surges", "runs-lean", 80, 40);
    b.odds_come();
    (rig, tree, b)
}

#[test]
fn a_test_that_would_tell_more_is_offered_done_before_its_turn_and_not_asked_for_again() {
    let (rig, tree, mut b) = begun();
    let (broken, sound) = cars(&rig, Fault::FeedFilterBlocked);
    let mut offered = None;
    walk_until(&mut b, &tree, (&broken, &sound), |_, step| match &step.offers.better {
        Some(better) => {
            offered = Some((step.title.clone(), tree.step(better).unwrap()));
            ControlFlow::Break(())
        }
        None => ControlFlow::Continue(false),
    });
    let (before, better) = offered.expect("no step of the walk offered another test");
    b.keys("<c-s>").sees("T does it now, before its turn.").keys("t");
    b.sees("Before its turn:").sees(better.name());
    b.keys("<c-p>").sees_not("Before its turn:").sees(&before);
    b.keys("<c-s>t");
    while b.app.model().caution_due().is_some() {
        b.press(Key::Char('y'));
    }
    one_step(&mut b, &tree, &broken, &sound);
    b.sees_not("Before its turn:").sees(&before);
    let record = &b.app.model().record;
    let kept = record.iter().find(|line| line.step == better.id).expect("what it gave is kept");
    assert_eq!(kept.way, Way::Ahead);
    assert!(record.is_sorted_by(|a, b| a.number >= b.number), "steps stand in the order they were done");
    b.keys("<c-d>").sees("(done before its turn)").keys("<esc>");
}

#[test]
fn a_word_typed_where_an_answer_is_picked_keeps_nothing() {
    let (rig, tree, mut b) = begun();
    let (broken, sound) = cars(&rig, Fault::FeedFilterBlocked);
    let mut open = None;
    walk_until(&mut b, &tree, (&broken, &sound), |_, step| {
        if !matches!(step.asks, Asks::Pick(_)) {
            return ControlFlow::Continue(false);
        }
        open = Some(step.id.clone());
        ControlFlow::Break(())
    });
    let open = open.expect("no step asks for an answer");
    let at = |b: &Bench| match &b.app.model().prompt {
        Prompt::Step(step) => step.id.clone(),
        other => panic!("{other:?}"),
    };
    while b.app.model().caution_due().is_some() {
        b.press(Key::Char('y'));
    }
    b.keys("<enter>").sees("No answer is marked yet.");
    b.keys("2ab").sees("'b' stands before no answer").keys("<enter>").sees("No answer is marked yet.");
    assert_eq!(at(&b), open, "neither the one marked before the word nor the first is kept");
    b.keys("1<enter>");
    assert_ne!(at(&b), open, "a number picks, and Enter keeps it");
}

#[test]
fn a_test_that_tells_hardly_anything_is_put_off_by_one_key_and_listed_with_the_others() {
    let (rig, tree, mut b) = begun();
    let (broken, sound) = cars(&rig, Fault::FeedFilterBlocked);
    b.keys("<c-s>").keys("l").sees("The open step is worth doing now").keys("<esc>");
    let mut idle = None;
    walk_until(&mut b, &tree, (&broken, &sound), |_, step| {
        if !step.offers.may_wait {
            return ControlFlow::Continue(false);
        }
        idle = Some(step.title.clone());
        ControlFlow::Break(())
    });
    let idle = idle.expect("every step of the walk is worth its time");
    b.keys("<c-s>").sees("L puts it off").sees("put it off").keys("l").sees_not("L puts it off");
    let Prompt::Step(open) = b.app.model().prompt.clone() else { panic!("no step") };
    assert_ne!(open.title, idle, "it is still asked for");
    b.keys("<c-d>").sees(&idle);
}

#[test]
fn an_offer_is_taken_by_its_letter_on_the_step_and_a_letter_typed_into_a_reading_stays_there() {
    let (rig, tree, mut b) = begun();
    let (broken, sound) = cars(&rig, Fault::FeedFilterBlocked);
    let (mut taken, mut typed) = (None, 0);
    // A reading: its letters are typed, whatever is offered.
    walk_until(&mut b, &tree, (&broken, &sound), |b, step| {
        if !step.typed() {
            return ControlFlow::Continue(false);
        }
        for letter in ["t", "n", "r", "l"] {
            b.keys(letter);
            assert_eq!(b.app.model().entry.field.text(), letter, "{}", step.id);
            b.press(Key::Backspace);
            typed += 1;
        }
        ControlFlow::Break(())
    });
    assert_eq!(typed, 4, "the walk reads nothing");
    walk_until(&mut b, &tree, (&broken, &sound), |b, step| {
        if !step.offers.may_wait || step.typed() {
            return ControlFlow::Continue(false);
        }
        b.sees("L puts").keys("l");
        taken = Some(step.id.clone());
        ControlFlow::Break(())
    });
    let taken = taken.expect("no look of the walk may wait");
    let Prompt::Step(open) = b.app.model().prompt.clone() else { panic!("no step") };
    assert_ne!(open.id, taken, "it is still asked for");
    assert!(b.app.model().record.iter().any(|line| line.step == taken), "what was put off is listed");
}

#[test]
fn a_reading_that_does_not_go_with_the_rest_is_said_at_the_step_and_done_again_by_one_key() {
    let (rig, tree, mut b) = begun();
    let (broken, sound) = cars(&rig, Fault::FeedFilterBlocked);
    b.keys("<c-s>").keys("r").sees("Nothing has to be seen again now").keys("<esc>");
    let mut slipped = None;
    walk_until(&mut b, &tree, (&broken, &sound), |b, step| {
        if let Some(again) = &step.offers.again {
            assert_eq!(Some(again), slipped.as_ref(), "something else is doubtful");
            return ControlFlow::Break(());
        }
        let volts = |s: &Step| matches!(&s.kind, StepKind::Read(r) if r.reading == Reading::PumpVoltage);
        if slipped.is_some() || !tree.step(&step.id).is_some_and(volts) {
            return ControlFlow::Continue(false);
        }
        // The meter on the wrong terminal.
        b.keys("2.1 V<enter>");
        if b.app.model().entry.field.error.is_some() {
            b.keys("<enter>");
        }
        slipped = Some(step.id.clone());
        ControlFlow::Continue(true)
    });
    let slipped = slipped.expect("the pump's voltage was never asked for");
    b.sees("Does not go with the rest").sees("R does it");
    b.keys("<c-s>").sees("R does it again now.").keys("r");
    let Prompt::Step(open) = b.app.model().prompt.clone() else { panic!("no step") };
    assert_eq!(open.id, slipped);
    while b.app.model().caution_due().is_some() {
        b.press(Key::Char('y'));
    }
    one_step(&mut b, &tree, &broken, &sound);
    b.odds_come();
    let offers = b.app.model().prompt.offers().cloned();
    assert_ne!(offers.and_then(|o| o.again), Some(slipped), "read right, and still doubted");
}

#[test]
fn what_all_that_was_seen_is_sure_of_can_be_named_before_the_end_and_left_again() {
    let (rig, tree, mut b) = begun();
    let (broken, sound) = cars(&rig, Fault::FeedFilterBlocked);
    b.keys("<c-s>").sees_not("N names it now.").keys("n");
    b.sees("! Nothing can be named: nothing was read or seen yet.");
    b.keys("<esc>");
    let mut open = None;
    walk_until(&mut b, &tree, (&broken, &sound), |_, step| {
        if step.offers.conclusion.is_none() {
            return ControlFlow::Continue(false);
        }
        open = Some(step.title.clone());
        ControlFlow::Break(())
    });
    let open = open.expect("a blocked filter is never sure");
    b.sees("All that was seen names feed filter blocked").sees("N names it");
    b.keys("<c-s>").sees("N names it now.").keys("n");
    assert!(matches!(b.app.model().prompt, Prompt::Finding(_)), "{:?}", b.app.model().prompt);
    b.sees("named by all that was seen").keys("<c-p>").sees(&open);
    b.keys("<c-s>n");
    let Prompt::Finding(finding) = b.app.model().prompt.clone() else { panic!("no finding") };
    assert!(finding.says.contains("before the tree came to its end"), "{}", finding.says);
    b.keys("<c-r>").odds_come();
    b.sees("Not repaired yet.");
}

#[test]
fn the_offers_stand_on_the_step_with_their_keys_before_its_cautions_are_confirmed_too() {
    let (rig, tree, mut b) = begun();
    let (broken, sound) = cars(&rig, Fault::FeedFilterBlocked);
    let mut seen = std::collections::BTreeSet::new();
    for _ in 0..120 {
        let Prompt::Step(step) = b.app.model().prompt.clone() else { break };
        let due = b.app.model().caution_due().is_some();
        let screen = b.screen().split_whitespace().collect::<Vec<_>>().join(" ");
        let offers = &step.offers;
        // A remark that names the key says it instead.
        for (offered, says, does) in [
            (offers.better.is_some(), "T does another test first", "T does it first"),
            (offers.may_wait, "L puts this one off", "L puts it off"),
            (offers.conclusion.is_some(), "N names the finding now", "N names it"),
            (offers.again.is_some(), "R sees one thing again", "R does it"),
        ] {
            let shown = usize::from(screen.contains(says)) + usize::from(screen.contains(does));
            assert_eq!(usize::from(offered), shown, "{says}, cautions due {due}:\n{}", b.screen());
            if offered {
                seen.insert((says, due));
            }
        }
        if due {
            b.press(Key::Char('y'));
            b.odds_come();
        } else {
            one_step(&mut b, &tree, &broken, &sound);
            b.odds_come();
        }
    }
    for wanted in ["T does another test first", "L puts this one off"] {
        assert!(seen.contains(&(wanted, true)) && seen.contains(&(wanted, false)), "{wanted}: {seen:?}");
    }
}
