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

/// The message of a terminal's event; nothing for events that mean nothing here, key releases among them.
pub fn message(event: Event) -> Option<Msg> {
    match event {
        Event::Key(key) if key.kind != KeyEventKind::Release => self::key(key).map(Msg::Key),
        Event::Paste(text) => Some(Msg::Paste(text)),
        Event::Resize(columns, rows) => Some(Msg::Resize(columns, rows)),
        _ => None,
    }
}

fn key(event: KeyEvent) -> Option<Key> {
    let ctrl = event.modifiers.contains(KeyModifiers::CONTROL);
    // AltGr arrives as Ctrl and Alt together and types a character.
    let alt = event.modifiers.contains(KeyModifiers::ALT);
    Some(match event.code {
        KeyCode::Char('h' | 'H') if ctrl && !alt => Key::Backspace,
        KeyCode::Char('j' | 'J' | 'm' | 'M') if ctrl && !alt => Key::Enter,
        KeyCode::Char('i' | 'I') if ctrl && !alt => Key::Tab,
        KeyCode::Char(c) if ctrl && !alt => Key::Ctrl(c.to_ascii_lowercase()),
        KeyCode::Char(_) if alt && !ctrl => return None,
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
        message(Event::Key(KeyEvent::new_with_kind(code, modifiers, kind)))
    }

    #[test]
    fn releases_are_ignored_and_repeats_are_not() {
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
    fn function_keys_alt_and_mouse_are_not_listened_to() {
        assert_eq!(pressed(KeyCode::F(1), KeyModifiers::NONE, KeyEventKind::Press), None);
        assert_eq!(pressed(KeyCode::Char('x'), KeyModifiers::ALT, KeyEventKind::Press), None);
        assert_eq!(message(Event::FocusGained), None);
    }
}
