//! The supply screen: a car's supply as it is and as planned.

use super::Bench;

fn opened(columns: u16, rows: u16) -> Bench {
    let mut b = Bench::at_reading(columns, rows);
    b.keys("<esc>u").sees("How much power the supply can feed");
    b
}

#[test]
fn more_power_a_blower_and_ethanol_are_planned_with_each_key_reckoned_at_once() {
    let mut b = opened(80, 60);
    b.sees("First limit:").sees("such as 450 hp").sees_not("planned: ");
    b.keys("700 hp").sees("planned: 522 kW asked for").sees("NOT enough").sees("522 asked");
    b.keys("<down>85 %").sees("This blend needs").sees("ASTM D5798");
    b.keys("<down>8 psi<down>").sees("as it is, natural").keys("<right><right><right>");
    b.sees("> blow-through, a compressor before the throttle plates");
    b.sees("What removing each limit alone would gain").sees("Rail pressure by power, as planned");
    b.keys("<right>").sees("> as it is, natural");
}

#[test]
fn what_is_typed_wrong_is_said_under_it_and_nothing_typed_is_lost_by_leaving() {
    let mut b = opened(80, 40);
    b.keys("45 V").sees("expected a power, found '45 V', a voltage").keys("<esc>").sees("Step 3");
    b.keys("<esc>u").sees("> 45 V").keys("<bs><bs><bs><bs>450 hp").sees("planned: 336 kW");
}

#[test]
fn the_supply_of_a_car_is_looked_at_without_a_case() {
    let mut b = Bench::new(80, 40);
    b.keys("<down><down><down><down>").sees("> How much power a fuel supply can feed").keys("<enter>");
    b.sees("Which car?")
        .keys("<enter>gg")
        .sees("How much power the supply can feed")
        .sees("the supply feeds");
    b.keys("<esc>").sees("Where it is");
}

#[test]
fn at_forty_columns_every_figure_can_be_scrolled_to() {
    let mut b = opened(40, 20);
    b.keys("450 hp").sees("planned: 336 kW");
    let mut all = String::new();
    for _ in 0..20 {
        all.push_str(&b.screen());
        b.keys("<pgdn>");
    }
    let flat = all.split_whitespace().collect::<Vec<_>>().join(" ");
    for text in ["by the injectors alone", "would gain", "Rail pressure by power", "common practice"] {
        assert!(flat.contains(text), "{text:?} is nowhere on\n{all}");
    }
}
