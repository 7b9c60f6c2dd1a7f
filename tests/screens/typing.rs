//! What a line holds already, and what typing into it does.

use super::Bench;
use faultwalk::rig::{FIELDS, explained};
use faultwalk::tui::{Key, Screen};

#[test]
fn typing_replaces_a_default_and_one_left_alone_stays_a_default() {
    let mut b = Bench::new(80, 24);
    b.keys("lean<enter><enter><down>").sees("> ethanol in the fuel").sees("10 %  default");
    b.keys("<enter>")
        .sees("> 10 %  (typing replaces it, End edits it)")
        .keys("<enter>")
        .sees("10 %  default");
    b.keys("<enter>85 %").sees("> 85 %").sees_not("10 %85").sees_not("typing replaces it").keys("<enter>");
    b.sees("85 %").sees_not("85 %  default");
    // After an arrow or End what stands there is edited, and an empty line goes back to the default.
    b.keys("<enter>").press(Key::End);
    b.keys("<bs><bs><bs>0 %<enter>").sees("80 %").sees_not("80 %  default");
    b.keys("<enter><c-u><enter>").sees("10 %  default");
}

#[test]
fn what_was_given_before_is_replaced_by_typing_and_what_is_half_typed_goes_on() {
    let mut b = Bench::at_reading(80, 24);
    b.keys("36 psi<enter><c-p>").sees("reading > 36 psi  (typing replaces it").keys("240 kPa");
    b.sees("reading > 240 kPa")
        .keys("<c-l><esc>")
        .sees("reading > 240 kPa")
        .keys(" ")
        .sees("reading > 240 kPa");
    b.keys("<enter><c-p>").press(Key::End);
    b.keys("x").sees("reading > 240 kPax");
    let mut b = Bench::at_reading(80, 24);
    b.keys("36 psi<enter>10 %<enter><c-d><down><enter>")
        .sees("Correct 3")
        .sees("> 36 psi  (typing replaces it");
    b.keys("35 psi<enter>").sees("Changed.");
}

#[test]
fn a_complaint_half_typed_comes_back_to_be_replaced_or_edited() {
    let mut b = Bench::new(80, 24);
    b.keys("goes lean on hil");
    b.draft_time();
    b.killed_and_started_again();
    b.sees("complaint > goes lean on hil  (typing replaces it, End edits it)").keys("black smoke");
    b.sees("complaint > black smoke").sees_not("hil").sees("Understood: runs rich");
    b.draft_time();
    b.killed_and_started_again();
    b.sees("complaint > black smoke").press(Key::End);
    b.keys(" at idle").sees("complaint > black smoke at idle");
}

#[test]
fn control_u_clears_the_line_and_the_supply_is_in_the_list_of_actions() {
    let mut b = Bench::at_reading(80, 24);
    b.keys("36 psi<c-u>").sees("reading >").sees_not("36 psi").sees("Step 3");
    b.keys("<esc>u").sees("How much power the supply can feed");
    let mut b = Bench::new(80, 24);
    b.keys("goes lean<c-u>").sees("Such as:").sees_not("goes lean<");
}

#[test]
fn the_fact_the_keys_act_on_says_what_it_is_and_where_it_is_found() {
    for (columns, rows) in [(80, 24), (40, 20)] {
        let mut b = Bench::new(columns, rows);
        b.keys("lean<enter><enter>");
        for site in [false, true] {
            let Screen::Car(car) = b.app.model().screen.clone() else { panic!("no car") };
            assert_eq!(car.site, site);
            for &i in &car.shown() {
                let help = explained(&car.sheet.facts[i].path).unwrap();
                b.sees(help).keys("<enter>").sees(help).keys("<esc><down>");
            }
            b.keys("g");
        }
    }
    assert_eq!(FIELDS.len(), FIELDS.iter().filter(|f| explained(f.path).is_some()).count());
}
