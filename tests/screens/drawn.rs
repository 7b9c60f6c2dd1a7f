//! Drawn buffers with their styles, reviewed at three widths.

use super::Bench;

/// The buffer as text with its styles; the time it was kept at is taken out.
fn picture(bench: &Bench) -> String {
    let text = format!("{:?}", bench.buffer());
    let mut out = String::with_capacity(text.len());
    let mut rest = text.as_str();
    while let Some(at) = rest.find("kept ") {
        let (before, after) = rest.split_at(at + 5);
        out.push_str(before);
        let time = after.chars().take(8).all(|c| c.is_ascii_digit() || c == ':');
        out.push_str(if time { "00:00:00" } else { "" });
        rest = if time { &after[8..] } else { after };
    }
    out.push_str(rest);
    out
}

#[test]
fn the_step_at_three_widths() {
    for (columns, rows) in [(120, 40), (80, 24), (40, 20)] {
        let mut b = Bench::at_reading(columns, rows);
        b.keys("20 psi");
        insta::assert_snapshot!(format!("step-{columns}"), picture(&b));
    }
}

#[test]
fn a_caution_at_three_widths() {
    for (columns, rows) in [(120, 40), (80, 24), (40, 20)] {
        insta::assert_snapshot!(format!("caution-{columns}"), picture(&Bench::begun(columns, rows)));
    }
}

#[test]
fn the_start_and_the_actions_at_three_widths() {
    for (columns, rows) in [(120, 40), (80, 24), (40, 20)] {
        let mut b = Bench::new(columns, rows);
        b.keys("goes lean on hills");
        insta::assert_snapshot!(format!("start-{columns}"), picture(&b));
        let mut b = Bench::at_reading(columns, rows);
        b.keys("<esc>");
        insta::assert_snapshot!(format!("actions-{columns}"), picture(&b));
    }
}

#[test]
fn the_leak_stop_and_the_car_at_three_widths() {
    for (columns, rows) in [(120, 40), (80, 24), (40, 20)] {
        let mut b = Bench::at_reading(columns, rows);
        b.keys("<c-f>");
        insta::assert_snapshot!(format!("leak-{columns}"), picture(&b));
        let mut b = Bench::new(columns, rows);
        b.keys("lean<enter><enter>");
        insta::assert_snapshot!(format!("car-{columns}"), picture(&b));
    }
}

#[test]
fn the_supply_and_the_ticket_at_three_widths() {
    for (columns, rows) in [(120, 40), (80, 24), (40, 20)] {
        let mut b = Bench::at_reading(columns, rows);
        b.keys("<esc>u450 hp<down>85 %");
        insta::assert_snapshot!(format!("supply-{columns}"), picture(&b));
        let mut b = Bench::at_reading(columns, rows);
        b.keys("20 psi<enter><c-t>");
        insta::assert_snapshot!(format!("ticket-{columns}"), picture(&b));
    }
}

#[test]
fn the_finding_and_the_review_at_three_widths() {
    for (columns, rows) in [(120, 40), (80, 24), (40, 20)] {
        let mut b = Bench::at_reading(columns, rows);
        b.keys("20 psi<enter>2<enter>").odds_come();
        insta::assert_snapshot!(format!("finding-{columns}"), picture(&b));
        b.keys("2<enter><enter>").sees("Look through everything before closing");
        insta::assert_snapshot!(format!("review-{columns}"), picture(&b));
    }
}
