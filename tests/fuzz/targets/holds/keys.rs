//! Keys, sizes and pastes.

use crossterm::event::{Event, KeyCode, KeyEvent, KeyEventKind, KeyModifiers};
use faultwalk::tui::{App, Door, Look, Msg, Places, Settings, draw, messages};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::time::Duration;

const CODES: [KeyCode; 16] = [
    KeyCode::Enter,
    KeyCode::Esc,
    KeyCode::Tab,
    KeyCode::BackTab,
    KeyCode::Up,
    KeyCode::Down,
    KeyCode::Left,
    KeyCode::Right,
    KeyCode::Home,
    KeyCode::End,
    KeyCode::PageUp,
    KeyCode::PageDown,
    KeyCode::Backspace,
    KeyCode::Delete,
    KeyCode::F(1),
    KeyCode::Null,
];

/// The event of one or two bytes: printable ones are keys, the control characters their key with Ctrl, the rest other keys,
/// pastes and sizes.
fn event(byte: u8, rest: &mut impl Iterator<Item = u8>) -> Event {
    let key = |code, with| Event::Key(KeyEvent::new(code, with));
    match byte {
        b'\n' | b'\r' => key(KeyCode::Enter, KeyModifiers::NONE),
        0x1b => key(KeyCode::Esc, KeyModifiers::NONE),
        b' '..=b'~' => key(KeyCode::Char(char::from(byte)), KeyModifiers::NONE),
        1..=26 => key(KeyCode::Char(char::from(byte - 1 + b'a')), KeyModifiers::CONTROL),
        0x80..=0x8f => key(CODES[usize::from(byte & 15)], KeyModifiers::NONE),
        0x90..=0x9f => key(CODES[usize::from(byte & 15)], KeyModifiers::ALT | KeyModifiers::SHIFT),
        0xa0..=0xaf => {
            let code = KeyCode::Char(char::from(rest.next().unwrap_or(b'a')));
            Event::Key(KeyEvent::new_with_kind(code, KeyModifiers::NONE, KeyEventKind::Release))
        }
        0xb0..=0xbf => {
            let text: Vec<u8> = rest.take(usize::from(byte & 15)).collect();
            Event::Paste(String::from_utf8_lossy(&text).into_owned())
        }
        0xc0..=0xcf => {
            let mut size = || u16::from(rest.next().unwrap_or(80));
            Event::Resize(size(), size() / 4)
        }
        _ => key(KeyCode::Char(char::from(byte)), KeyModifiers::ALT),
    }
}

/// Whatever is pressed on the screens, from the first one on and with nothing kept before: every frame can be drawn and the
/// cursor lies within it.
pub fn keys(data: &[u8]) {
    let Ok(folder) = tempfile::tempdir() else { panic!("a folder for the cases") };
    let places = Places { cases: Some(folder.path().to_owned()), ..Places::default() };
    let Ok(door) = Door::open(places, Settings::default()) else { panic!("the built-in trees are good") };
    let mut app = App::new(Box::new(door), Look::default(), Settings::default());
    let mut now = Duration::ZERO;
    let mut size = (80, 24);
    app.update(now, Msg::Resize(size.0, size.1));
    let mut rest = data.iter().copied();
    while let Some(byte) = rest.next() {
        now += Duration::from_millis(300);
        if app.wake_at().is_some_and(|at| at <= now) {
            app.update(now, Msg::Tick);
        }
        for msg in messages(event(byte, &mut rest)) {
            if let Msg::Resize(columns, rows) = msg {
                size = (columns, rows);
            }
            app.update(now, msg);
        }
        let area = Rect::new(0, 0, size.0, size.1);
        let mut buffer = Buffer::empty(area);
        if let Some((x, y)) = draw(app.model(), area, &mut buffer) {
            assert!(x < size.0 && y < size.1, "the cursor at {x},{y} lies outside {size:?}");
        }
    }
}
