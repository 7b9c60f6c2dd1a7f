//! Every size and any keys: nothing breaks.

use super::Bench;
use faultwalk::tui::{Depth, Ground, Key, Look, Msg, Theme, draw};
use proptest::prelude::*;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::time::Duration;

/// Keys that lead to each screen from the reading.
pub const SCREENS: [&str; 18] = [
    "",
    "41 psi",
    "51 V<enter>",
    "<esc>",
    "<c-y>",
    "<c-e>some words",
    "<c-d>",
    "<c-s>",
    "<c-l>",
    "<c-k>",
    "<esc>u",
    "<esc>u450 hp",
    "<c-t>",
    "<c-r>",
    "<c-v>",
    "<c-o>",
    "<c-f>",
    "<c-x>",
];

#[test]
fn requirement_15_every_size_of_every_screen_is_drawn() {
    let mut benches: Vec<Bench> = SCREENS
        .iter()
        .map(|keys| {
            let mut b = Bench::at_reading(80, 24);
            b.keys(keys);
            b
        })
        .collect();
    for keys in ["", "lean<enter>", "lean<enter><enter>", "lean<enter><enter><tab>", "<enter>", "<c-f>"] {
        let mut b = Bench::new(80, 24);
        b.keys(keys);
        benches.push(b);
    }
    let sizes = (1..=200u16).step_by(3).flat_map(|w| (1..=60u16).step_by(2).map(move |h| (w, h)));
    for (width, height) in sizes.chain([(200, 60), (30, 10), (29, 10), (30, 9), (0, 0), (0, 5), (5, 0)]) {
        let area = Rect::new(0, 0, width, height);
        for bench in &benches {
            let mut buffer = Buffer::empty(area);
            if let Some((x, y)) = draw(bench.app.model(), area, &mut buffer) {
                assert!(x < width && y < height, "the cursor at {x},{y} lies outside {width}x{height}");
            }
        }
    }
}

#[test]
fn requirement_15_at_forty_by_twenty_the_entry_is_in_sight_and_the_keys_are_named() {
    for keys in ["", "41 psi", "51 V<enter>"] {
        let mut b = Bench::at_reading(40, 20);
        b.keys(keys).sees("reading >").sees("Enter keep").sees("Esc actions");
        b.sees(if keys.ends_with("<enter>") { "expected a pressure" } else { "kPa" });
    }
}

#[test]
fn requirement_19_in_ascii_no_byte_over_127_is_drawn() {
    let look = Look { theme: Theme { depth: Depth::Sixteen, ground: Ground::Dark }, ascii: true };
    for keys in SCREENS {
        let mut b = Bench::with(100, 60, look);
        b.keys("goes lean on “hills” at 20 °C<enter><enter>gg").keys("yy1<enter>y<enter>").keys(keys);
        let screen = b.screen();
        assert!(screen.is_ascii(), "after {keys:?}:\n{screen}");
    }
}

#[test]
fn requirement_18_without_colour_there_is_none_and_the_focus_has_a_sign() {
    let look = Look { theme: Theme { depth: Depth::None, ground: Ground::Dark }, ascii: false };
    for keys in SCREENS {
        let mut b = Bench::with(80, 24, look);
        b.keys("goes lean<enter><enter>gg").keys("yy1<enter>y<enter>").keys(keys);
        for cell in &b.buffer().content {
            assert_eq!((cell.fg, cell.bg), (ratatui::style::Color::Reset, ratatui::style::Color::Reset));
        }
    }
    let mut b = Bench::with(80, 24, look);
    b.keys("<down>").sees("> No words for it?").keys("<down>").sees("> All cases");
}

#[test]
fn hidden_characters_from_a_paste_are_drawn_as_signs() {
    let mut b = Bench::at_reading(80, 24);
    b.send(Msg::Paste("4\u{202e}1\u{1b}[31m".into()));
    b.sees("{U+202E}");
    for cell in &b.buffer().content {
        assert!(!cell.symbol().chars().any(faultwalk::text::is_hidden));
    }
}

#[derive(Debug, Clone)]
enum Blow {
    Key(Key),
    Paste(String),
    Size(u16, u16),
    Wait(u64),
}

fn blow() -> impl Strategy<Value = Blow> {
    let key = prop_oneof![
        4 => prop::char::range('0', '9').prop_map(Key::Char),
        4 => prop::char::range('a', 'z').prop_map(Key::Char),
        3 => prop::char::range('a', 'y').prop_map(Key::Ctrl),
        6 => Just(Key::Enter),
        3 => Just(Key::Char('y')),
        2 => Just(Key::Esc),
        2 => Just(Key::Tab),
        2 => Just(Key::Down),
        2 => Just(Key::Up),
        1 => Just(Key::Left),
        1 => Just(Key::Right),
        1 => Just(Key::Backspace),
        1 => Just(Key::Delete),
        1 => Just(Key::Home),
        1 => Just(Key::End),
        1 => Just(Key::PageUp),
        1 => Just(Key::PageDown),
        1 => any::<char>().prop_map(Key::Char),
    ];
    prop_oneof![
        30 => key.prop_map(Blow::Key),
        1 => any::<String>().prop_map(Blow::Paste),
        1 => (0u16..220, 0u16..70).prop_map(|(w, h)| Blow::Size(w, h)),
        2 => (0u64..3_000).prop_map(Blow::Wait),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]
    #[test]
    fn any_storm_of_keys_is_survived(blows in prop::collection::vec(blow(), 1..150), begun in any::<bool>()) {
        let mut b = if begun { Bench::at_reading(80, 24) } else { Bench::new(80, 24) };
        for blow in blows {
            match blow {
                Blow::Key(key) => {
                    b.now += Duration::from_millis(40);
                    b.send(Msg::Key(key));
                }
                Blow::Paste(text) => {
                    b.send(Msg::Paste(text));
                }
                Blow::Size(w, h) => {
                    b.send(Msg::Resize(w, h));
                }
                Blow::Wait(ms) => {
                    b.now += Duration::from_millis(ms);
                    b.send(Msg::Tick);
                }
            }
            b.buffer();
        }
    }
}
