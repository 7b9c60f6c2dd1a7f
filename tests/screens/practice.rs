//! Practice on the screens: chosen, done, stopped, named, learned from, and never mixed with real cases.

use super::Bench;
use faultwalk::tui::{LessonView, Msg, Screen};

/// An exercise on the built-in trees, of level one on common values.
fn begun(columns: u16, rows: u16) -> Bench {
    let mut b = Bench::built_in(columns, rows, None);
    b.keys("<up><up><up><up>").sees("> Practise on a simulated car").keys("<enter>");
    b.sees("Find it in the fewest minutes")
        .sees("Runs lean")
        .sees("common values")
        .sees("expected values shown");
    b.keys("<enter><enter><enter>").sees("> Begin").keys("<enter>").sees("0 min gone").sees("every tool");
    b
}

#[test]
fn complaint_car_and_level_are_picked_with_arrows() {
    let rig = "format: 1\nrig: Long Meadow van\n";
    let mut b = Bench::built_in(80, 24, Some(rig));
    b.keys("<up><up><up><up><enter>").sees("> complaint").keys("<right>").sees_not("Runs lean");
    b.keys("<left>").sees("Runs lean").keys("<down><right>").sees("Long Meadow van");
    b.keys("<down><right><right>").sees("nothing said of what is expected").keys("<down><enter>");
    b.sees("Long Meadow van, runs lean, level 3").sees_not("every tool");
}

#[test]
fn a_move_gives_what_a_gauge_would_show_and_an_unsafe_order_is_stopped_with_its_reason() {
    let mut b = begun(80, 40);
    b.keys("smell<enter>")
        .sees("no smell, no leak")
        .sees("a sound car: no smell, no leak")
        .sees("2 min gone");
    // A load run before the mixture was read is dangerous whatever the fault.
    for _ in 0..5 {
        b.keys("<bs>");
    }
    b.keys("rail pressure, full load<enter>");
    let said = b.app.model().message.clone().unwrap().1;
    assert!(said.starts_with("Not yet") || said.starts_with("STOPPED, unsafe"), "{said}");
    assert_eq!(b.app.model().lesson.as_ref().unwrap().record.len(), 1, "a stopped move was done");
}

#[test]
fn naming_parts_comes_to_the_right_one_and_the_debrief_tells_the_way() {
    // High enough for a part a row, whichever fault the exercise draws.
    let mut b = begun(80, 100);
    b.keys("smell<enter><tab>").sees("Which part is at fault?");
    let parts = b.app.model().lesson.as_ref().unwrap().parts.len();
    for row in 0..parts {
        if b.app.model().lesson.as_ref().unwrap().over {
            break;
        }
        if row > 0 {
            b.keys("<down>");
        }
        b.keys("<enter>");
        let (_, said) = b.app.model().message.clone().unwrap();
        assert!(
            said.starts_with("Right: ") || said.contains("was changed, and the car is as it was"),
            "{said}"
        );
    }
    b.sees("The exercise is over")
        .odds_come()
        .sees("SIMULATED CAR")
        .sees("your score")
        .sees("cheapest order");
    b.sees("Your moves, and what each told").sees("fuel smell or leak");
    b.keys("<esc>").sees("Practise on a simulated car");
}

#[test]
fn giving_up_shows_the_fault_and_leaving_is_asked_about() {
    let mut b = begun(80, 40);
    b.keys("<esc>").sees("Esc again leaves it").keys("<down><esc>").sees("Esc again leaves it");
    b.keys("<down><tab><up>")
        .sees("> Give up and see the fault")
        .keys("<enter>")
        .sees("The exercise is over");
    b.odds_come().sees("in the car").sees("mended at").sees("None.");
    let mut b = begun(80, 40);
    b.keys("<esc><esc>")
        .sees("Find it in the fewest minutes")
        .keys("<esc>")
        .sees("What is wrong with the car?");
}

#[test]
fn requirement_28_practice_is_marked_on_every_screen_and_never_becomes_a_case() {
    for (columns, rows) in [(120, 40), (80, 24), (40, 20), (30, 10)] {
        let mut b = begun(80, 40);
        b.send(Msg::Resize(columns, rows));
        for keys in
            ["", "smell", "<enter>", "<tab>", "<tab>", "<c-g>", "<esc><c-o>", "<esc><c-f>", "<esc><tab><esc>"]
        {
            b.keys(keys);
            let first = b.screen().lines().next().unwrap().to_owned();
            assert!(first.contains("SIMULATED"), "after {keys:?} at {columns}x{rows}: {first}");
        }
        b.keys("<tab><up><enter>").odds_come();
        assert!(b.screen().lines().next().unwrap().contains("SIMULATED"));
        assert!(matches!(b.app.model().screen, Screen::Lesson { view: LessonView::Parts, .. }));
        let cases = std::fs::read_dir(b.home().join("cases")).map_or(0, Iterator::count);
        assert_eq!(cases, 0, "practice left something among the cases");
    }
}
