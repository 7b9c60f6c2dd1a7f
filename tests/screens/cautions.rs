//! Cautions: a new one stands whole, one confirmed in this case before stands on its step.

use super::Bench;
use faultwalk::terms::Caution;
use faultwalk::tui::{Asks, Msg, Prompt, Screen, StepData};
use std::collections::BTreeSet;

/// Up to the step that fits the gauge, its caution not confirmed.
fn at_gauge() -> Bench {
    let mut b = Bench::begun(80, 24);
    b.keys("yy1<enter>").sees("Step 2, gauge fitted");
    b
}

#[test]
fn a_caution_that_stands_alone_leaves_the_step_in_sight_and_wants_its_key_all_the_same() {
    let mut b = at_gauge();
    b.sees("Fuel under pressure.").sees("It sprays into eyes and onto hot parts, and burns.");
    b.sees("> Once read and kept to, press Y.").sees("Fit the pressure gauge.");
    b.sees("Press Enter when it is done.").sees_not("> Press Enter");
    b.keys("<enter>").sees("Read the caution.").sees_not("> Press Enter");
    b.keys("y").sees("> Press Enter when it is done.").sees_not("press Y");
}

/// Through the shipped tree until cautions known in the case stand before a reading.
fn at_known_cautions_of_a_reading() -> (Bench, Box<StepData>) {
    let mut b = Bench::built_in(80, 24, None);
    b.keys("goes lean on hills<enter>");
    if matches!(b.app.model().screen, Screen::Walks { .. }) {
        b.keys("<enter>");
    }
    b.keys("<enter>gg");
    for _ in 0..200 {
        let Prompt::Step(step) = b.app.model().prompt.clone() else { break };
        let due = b.app.model().caution_due();
        match (&step.asks, due.map(|d| d.of.is_none())) {
            (Asks::Reading { .. }, Some(true)) => return (b, step),
            (_, Some(_)) => b.keys("y"),
            (Asks::Done, _) => b.keys("<enter>"),
            (Asks::Pick(_), _) => b.keys("1<enter>"),
            _ => b.keys("<c-x><enter>"),
        };
    }
    panic!("no reading has cautions that were confirmed before");
}

#[test]
fn the_task_stands_below_cautions_known_in_the_case_as_it_is_asked_and_takes_nothing_before_their_key() {
    let (mut b, step) = at_known_cautions_of_a_reading();
    let asked = |b: &mut Bench| {
        for (columns, rows) in [(120, 30), (80, 30)] {
            b.send(Msg::Resize(columns, rows));
            b.sees(&step.action).sees("Expected").sees("reading");
        }
    };
    asked(&mut b);
    b.sees("press Y").keys("2").sees_not("that is").sees("press Y").sees("Read the cautions.");
    b.keys("y").sees_not("press Y");
    asked(&mut b);
    b.keys("20").sees("that is");
    // To a caller the cautions are read alone.
    let (mut agent, step) = at_known_cautions_of_a_reading();
    agent.keys("<c-o><down><down><down><down><enter>").sees("an agent reads aloud").keys("<esc>");
    agent.sees("press Y").sees_not(&step.action);
}

#[test]
fn one_confirmed_in_this_case_is_confirmed_on_its_step_and_stands_whole_again_after_a_pause_a_leak_or_a_new_start()
 {
    let mut b = at_gauge();
    b.sees_not("Confirmed before").keys("y<enter>").sees("Step 3, supply pressure").keys("<c-p>");
    b.sees("Confirmed before in this case.").sees("Fuel under pressure.").sees("It sprays into eyes");
    b.sees("Fit the pressure gauge.").keys("<enter>").sees("Confirmed before").keys("y");
    b.sees("> Press Enter when it is done.").keys("<enter><c-p>").sees("Confirmed before");
    b.keys("<c-f>m").sees("After what was mended: fuel smell").sees("Once read").sees_not("Confirmed before");
    b.keys("yy1<enter>")
        .sees("Step 3, supply pressure")
        .keys("<c-p>")
        .sees("Once read and kept to")
        .keys("y<enter><c-p>");
    b.sees("Confirmed before").keys("<c-q><down><enter>").sees("Once read and kept to");
    b.keys("y<enter><c-p>").sees("Confirmed before").killed_and_started_again();
    b.keys("<down><enter>").sees("Once read and kept to").sees_not("Confirmed before");
}

#[test]
fn every_new_caution_of_a_long_walk_stands_whole_once_and_every_known_one_is_readable() {
    for (columns, rows) in [(80, 24), (40, 20)] {
        let mut b = Bench::built_in(columns, rows, None);
        b.keys("goes lean on hills<enter>");
        if matches!(b.app.model().screen, Screen::Walks { .. }) {
            b.keys("<enter>");
        }
        b.keys("<enter>gg");
        let mut known: BTreeSet<Caution> = BTreeSet::new();
        let mut again = 0;
        for _ in 0..60 {
            while let Some(due) = b.app.model().caution_due() {
                for caution in &due.cautions {
                    assert_eq!(known.contains(caution), due.of.is_none(), "{caution}");
                    b.sees(caution.avoidance());
                    if due.of.is_some() {
                        b.sees(caution.hazard()).sees(caution.consequence());
                    }
                }
                again += usize::from(due.of.is_none());
                // None is confirmed that stands out of sight.
                b.sees("press Y.").sees_not("PgUp").keys("y");
                known.extend(due.cautions);
            }
            let Prompt::Step(step) = b.app.model().prompt.clone() else { break };
            match step.asks {
                Asks::Done => b.keys("<enter>"),
                Asks::Pick(_) => b.keys("1<enter>"),
                _ => b.keys("<c-x><enter>"),
            };
        }
        assert!(again > 5 && known.len() > 5, "{again} steps with known cautions, {} cautions", known.len());
    }
}
