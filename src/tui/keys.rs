//! Keys as the screens know them, and how a terminal's events become them.
//!
//! Only keys that every terminal and keyboard has: characters, Enter, Esc, Tab, arrows, paging, and Ctrl with a letter. Function
//! keys, Alt chords and the mouse are not listened to.

use crossterm::event::{Event, KeyCode, KeyEvent, KeyEventKind, KeyModifiers};

/// One key press.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Key {
    /// A character typed.
    Char(char),
    /// Ctrl with a letter, in lower case.
    Ctrl(char),
    /// Enter.
    Enter,
    /// Escape.
    Esc,
    /// Tab.
    Tab,
    /// Shift and Tab.
    BackTab,
    /// Arrow up.
    Up,
    /// Arrow down.
    Down,
    /// Arrow left.
    Left,
    /// Arrow right.
    Right,
    /// Home.
    Home,
    /// End.
    End,
    /// Page up.
    PageUp,
    /// Page down.
    PageDown,
    /// Backspace.
    Backspace,
    /// Delete.
    Delete,
}

/// Why the program is asked to end from outside.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Stop {
    /// The terminal was closed (SIGHUP, or its input ended).
    HangUp,
    /// SIGINT from outside; in raw mode Ctrl-C is a key.
    Interrupt,
    /// SIGTERM.
    Terminate,
}

impl Stop {
    /// The exit code: 128 and the signal's number.
    pub fn exit_code(self) -> u8 {
        match self {
            Self::HangUp => 129,
            Self::Interrupt => 130,
            Self::Terminate => 143,
        }
    }
}

/// What can reach the program.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Msg {
    /// A key was pressed.
    Key(Key),
    /// Text was pasted.
    Paste(String),
    /// The terminal has this many columns and rows.
    Resize(u16, u16),
    /// The time asked for has come.
    Tick,
    /// The program was stopped and goes on: everything is drawn anew.
    Resumed,
    /// Stop for now: the shell takes over.
    Suspend,
    /// End from outside.
    Stop(Stop),
}

/// The messages of a terminal's event; none for events that mean nothing here, key releases among them.
///
/// Esc and a key that arrive together, as on a slow line or typed in one go, reach us as Alt with that key. They are taken for what
/// was typed: Esc, then the key.
pub fn messages(event: Event) -> impl Iterator<Item = Msg> {
    let pair = match event {
        Event::Key(key) if key.kind != KeyEventKind::Release => {
            let (first, then) = keys(key);
            [first.map(Msg::Key), then.map(Msg::Key)]
        }
        Event::Paste(text) => [Some(Msg::Paste(text)), None],
        Event::Resize(columns, rows) => [Some(Msg::Resize(columns, rows)), None],
        _ => [None, None],
    };
    pair.into_iter().flatten()
}

fn keys(event: KeyEvent) -> (Option<Key>, Option<Key>) {
    let ctrl = event.modifiers.contains(KeyModifiers::CONTROL);
    let alt = event.modifiers.contains(KeyModifiers::ALT);
    // AltGr arrives as Ctrl and Alt together and types a character that is no letter; no terminal but Windows' sends it so.
    let alt_gr = ctrl && !matches!(event.code, KeyCode::Char(c) if c.is_ascii_alphabetic());
    if !alt || alt_gr {
        return (key(event), None);
    }
    let plain = KeyEvent { modifiers: event.modifiers - KeyModifiers::ALT, ..event };
    match key(plain) {
        Some(then) => (Some(Key::Esc), Some(then)),
        None => (None, None),
    }
}

fn key(event: KeyEvent) -> Option<Key> {
    let ctrl = event.modifiers.contains(KeyModifiers::CONTROL);
    let alt = event.modifiers.contains(KeyModifiers::ALT);
    Some(match event.code {
        KeyCode::Char('h' | 'H') if ctrl && !alt => Key::Backspace,
        KeyCode::Char('j' | 'J' | 'm' | 'M') if ctrl && !alt => Key::Enter,
        KeyCode::Char('i' | 'I') if ctrl && !alt => Key::Tab,
        KeyCode::Char(c) if ctrl && !alt => Key::Ctrl(c.to_ascii_lowercase()),
        KeyCode::Char(c) => Key::Char(c),
        KeyCode::Enter => Key::Enter,
        KeyCode::Esc => Key::Esc,
        KeyCode::Tab => Key::Tab,
        KeyCode::BackTab => Key::BackTab,
        KeyCode::Up => Key::Up,
        KeyCode::Down => Key::Down,
        KeyCode::Left => Key::Left,
        KeyCode::Right => Key::Right,
        KeyCode::Home => Key::Home,
        KeyCode::End => Key::End,
        KeyCode::PageUp => Key::PageUp,
        KeyCode::PageDown => Key::PageDown,
        KeyCode::Backspace => Key::Backspace,
        KeyCode::Delete => Key::Delete,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pressed(code: KeyCode, modifiers: KeyModifiers, kind: KeyEventKind) -> Option<Msg> {
        let mut all = messages(Event::Key(KeyEvent::new_with_kind(code, modifiers, kind)));
        let first = all.next();
        assert_eq!(all.next(), None);
        first
    }

    #[test]
    fn requirement_16_releases_are_ignored_and_repeats_are_not() {
        let c = KeyCode::Char('a');
        assert_eq!(pressed(c, KeyModifiers::NONE, KeyEventKind::Release), None);
        assert_eq!(pressed(c, KeyModifiers::NONE, KeyEventKind::Press), Some(Msg::Key(Key::Char('a'))));
        assert_eq!(pressed(c, KeyModifiers::NONE, KeyEventKind::Repeat), Some(Msg::Key(Key::Char('a'))));
    }

    #[test]
    fn control_keys_that_are_other_keys_stay_those() {
        let with = |c| pressed(KeyCode::Char(c), KeyModifiers::CONTROL, KeyEventKind::Press);
        assert_eq!(with('h'), Some(Msg::Key(Key::Backspace)));
        assert_eq!(with('j'), Some(Msg::Key(Key::Enter)));
        assert_eq!(with('N'), Some(Msg::Key(Key::Ctrl('n'))));
        let alt_gr = KeyModifiers::CONTROL | KeyModifiers::ALT;
        let typed = pressed(KeyCode::Char('@'), alt_gr, KeyEventKind::Press);
        assert_eq!(typed, Some(Msg::Key(Key::Char('@'))));
    }

    #[test]
    fn function_keys_and_focus_are_not_listened_to() {
        assert_eq!(pressed(KeyCode::F(1), KeyModifiers::NONE, KeyEventKind::Press), None);
        assert_eq!(messages(Event::FocusGained).count(), 0);
    }

    #[test]
    fn escape_and_a_key_that_arrive_together_are_both_taken() {
        let of = |c, modifiers| {
            let event = Event::Key(KeyEvent::new(KeyCode::Char(c), modifiers));
            messages(event).collect::<Vec<_>>()
        };
        let both = |then| vec![Msg::Key(Key::Esc), Msg::Key(then)];
        assert_eq!(of('x', KeyModifiers::ALT), both(Key::Char('x')));
        assert_eq!(of('?', KeyModifiers::ALT), both(Key::Char('?')));
        assert_eq!(of('t', KeyModifiers::ALT | KeyModifiers::CONTROL), both(Key::Ctrl('t')));
    }
}
