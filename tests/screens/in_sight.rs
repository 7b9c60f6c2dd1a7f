//! What must be in sight on a step whatever the size: what to do, what is asked, the keys; and what the list of actions holds.

use super::Bench;
use faultwalk::tui::{Action, Asks, Prompt, Screen, StepData};

/// Goes through a walk by the first answers, leaving readings out, and looks at every step once its cautions are confirmed.
fn through(b: &mut Bench, most: usize, mut look: impl FnMut(&mut Bench, &StepData)) -> usize {
    let mut seen = 0;
    while seen < most {
        while b.app.model().caution_due().is_some() {
            b.keys("y");
        }
        let Prompt::Step(step) = b.app.model().prompt.clone() else { break };
        look(b, &step);
        seen += 1;
        match step.asks {
            Asks::Done => b.keys("<enter>"),
            Asks::Pick(_) => b.keys("1<enter>"),
            _ => b.keys("<c-x><enter>"),
        };
    }
    seen
}

fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn what_to_do_is_in_sight_at_forty_columns_on_every_step_however_many_cautions_it_has() {
    for (complaint, least) in [("only a multimeter, no fuel gauge", 20), ("goes lean on hills", 25)] {
        let mut b = Bench::built_in(40, 20, None);
        b.keys(&format!("{complaint}<enter>"));
        if matches!(b.app.model().screen, Screen::Questions(_) | Screen::Walks { .. }) {
            b.keys("<enter>");
        }
        b.keys("<enter>gg");
        let mut most = 0;
        let seen = through(&mut b, 60, |b, step| {
            most = most.max(step.cautions.len());
            b.sees(&step.action);
            match &step.asks {
                Asks::Done => b.sees("Press Enter when it is done."),
                Asks::Pick(answers) => b.sees(&answers[0].1),
                _ => b.sees(" > "),
            };
            // What was confirmed is still said, if only in a word or two.
            let screen = flat(&b.screen());
            for caution in &step.cautions {
                let said =
                    screen.contains(caution.hazard()) || screen.contains(&caution.id().replace('-', " "));
                assert!(said || screen.contains(caution.avoidance()), "{caution} is not on\n{}", b.screen());
            }
        });
        assert!(seen >= least, "only {seen} steps of {complaint}");
        assert!(most >= 3, "no step of {complaint} has several cautions");
    }
}

#[test]
fn the_keys_at_forty_columns_name_leak_why_and_gauge_place() {
    let mut b = Bench::at_reading(40, 20);
    b.sees("Enter keep").sees("Esc actions").sees("Tab gauge place").sees("? why").sees("Ctrl-F leak");
}

#[test]
fn another_instrument_is_in_the_list_of_actions_where_a_reading_is_asked_for() {
    let mut b = Bench::at_reading(80, 24);
    b.keys("<esc>").sees("i Another instrument").keys("i").sees("Another instrument from here on");
    let mut b = Bench::begun(80, 24);
    b.keys("yy<esc>").sees("Actions").sees_not("Another instrument");
}

#[test]
fn in_the_list_of_actions_only_the_letters_that_stand_there_do_anything_and_what_was_chosen_is_said() {
    let mut b = Bench::at_reading(80, 24);
    b.keys("<esc>");
    let listed = b.app.actions();
    for action in &listed {
        let row = b.screen().lines().find(|l| l.contains(action.name())).unwrap_or_default().to_owned();
        assert!(row.contains(&format!(" {} {}", action.letter(), action.name())), "{row:?}");
    }
    for letter in ('a'..='z').chain(['5', ' ']) {
        if Action::of_letter(letter).is_some_and(|a| listed.contains(&a)) {
            continue;
        }
        b.keys(&letter.to_string()).sees("Actions").sees("stands before no action in this list");
    }
    b.keys("b").sees_not("Actions").sees("B: Back to the step before.");
}

#[test]
fn a_finding_and_the_looks_say_the_figures_of_this_car() {
    let mut b = Bench::at_reading(80, 40);
    b.keys("60 psi<enter>")
        .sees("The regulator is set too high.")
        .sees("On this car, supply pressure: 248 kPa, from 221 to 275 kPa.");
    b.keys("1<enter>").sees("Press Enter when the repair is done.").sees("supply pressure: 248 kPa");
    let mut b = Bench::at_reading(80, 40);
    b.keys("36 psi<enter>").sees("ethanol in the fuel").sees("This car: ethanol the controller was told");
}

#[test]
fn a_step_has_one_number_on_the_screen_and_in_the_report() {
    let mut b = Bench::at_reading(80, 60);
    // Read twice, gone back to, corrected: the next step is still the fourth.
    b.keys("36 psi<enter>").sees("Step 4, ethanol in the fuel").keys("<c-p>").sees("Step 3, supply pressure");
    b.keys("<bs><bs><bs><bs><bs><bs>35 psi<enter>").sees("Step 4, ethanol in the fuel");
    b.keys("10 %<enter>").sees("Step 5, settling time").keys("<c-r>").odds_come();
    b.sees("3 supply pressure: 36 psi").sees("3 supply pressure: 35 psi").sees("4 ethanol in the fuel");
}

#[test]
fn cautions_are_asked_again_after_a_pause() {
    let mut b = Bench::at_reading(80, 24);
    b.keys("<c-p>y").sees("Fit the pressure gauge.").sees("Press Enter when it is done.");
    b.keys("<c-q>").sees("What is wrong with the car?").keys("<down><enter>");
    b.sees("Fuel under pressure.").sees("press Y");
}

#[test]
fn a_car_given_at_the_start_is_taken_and_not_asked_for() {
    let mut b = Bench::with_car("format: 1\nrig: mill van\nregulator: {set: 58 psi}\n");
    b.keys("goes lean on hills<enter>").sees("The car: mill van").sees_not("Which car?");
    b.keys("gg").sees("mill van");
    // Its units are those it is written in.
    b.keys("yy1<enter>y<enter>").sees("in psi unless you say");
}

#[test]
fn that_another_test_would_tell_more_is_said_once_until_it_is_another_one() {
    let mut b = Bench::built_in(80, 24, None);
    b.keys("goes lean on hills<enter>");
    if matches!(b.app.model().screen, Screen::Walks { .. }) {
        b.keys("<enter>");
    }
    b.keys("<enter>gg").odds_come();
    let mut said: Vec<String> = Vec::new();
    through(&mut b, 30, |b, step| {
        b.odds_come();
        // The odds of this step have come only now.
        let Prompt::Step(now) = b.app.model().prompt.clone() else { return };
        assert_eq!(now.id, step.id);
        // What another step gave already is said where nothing else is.
        if let Some(remark) = now.remark.map(|r| r.text).filter(|r| !r.contains("asked again here")) {
            b.sees("By the odds another test would tell more for its time");
            let test = remark.split_once(": ").and_then(|(_, rest)| rest.split_once(", about")).unwrap().0;
            said.push(test.to_owned());
        }
    });
    assert!(!said.is_empty(), "no step is remarked on");
    assert!(said.windows(2).all(|w| w[0] != w[1]), "said again: {said:?}");
}

#[test]
fn at_forty_columns_a_finding_opens_at_its_top_and_the_first_word_is_in_sight_or_one_key_away() {
    let mut b = Bench::new(40, 20);
    b.sees("no flame").sees("PgDn has it whole").keys("<pgdn>").sees("a class B").sees("follow the manual.");
    let mut b = Bench::new(80, 24);
    b.sees("a class B").sees_not("PgDn has it whole");
    let mut b = Bench::at_reading(40, 20);
    b.keys("20 psi<enter>2<enter>").odds_come();
    b.sees("Finding\nThe feed filter lets too little through.").sees("> 1 Repair it now");
    b.keys("<down>").sees("> 2 Leave it as it is").sees("The feed filter lets");
}

#[test]
fn a_car_given_at_the_start_is_named_there_and_a_walk_that_is_the_only_one_is_named_when_it_is_taken() {
    let mut b = Bench::with_car("format: 1\nrig: Long Meadow van\n");
    b.sees("The car: Long Meadow van, given at the start.");
    b.keys("goes lean on hills<enter>").sees("* The walk: ").sees("It is the only one that answers this.");
    Bench::new(80, 24).sees_not("given at the start");
}
