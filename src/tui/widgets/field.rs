//! One line being typed. What is typed stays until it is taken or the person clears it.

use super::super::keys::Key;
use super::super::sheet::Sheet;
use super::super::theme::Role;
use crate::text::one_line;
use ratatui::text::{Line, Span};
use tui_input::{Input, InputRequest};
use unicode_width::UnicodeWidthStr;

/// Characters one entry holds at most; what a paste brings beyond is cut.
const MOST: usize = 2_000;
/// Said behind a text that typing replaces, where there is room.
const OFFERED: &str = "  (typing replaces it, End edits it)";
/// Columns what is typed has at least beside its name.
const LEAST_ROOM: usize = 12;

/// A line with a cursor and, when it was refused, why.
#[derive(Debug, Clone, Default)]
pub struct Field {
    input: Input,
    /// Why the text was not taken; gone with the next key.
    pub error: Option<String>,
    /// What it holds was put there for the person: the first thing typed takes its place.
    offered: bool,
}

impl Field {
    /// A field that holds `text`, the cursor behind it.
    pub fn holding(text: &str) -> Self {
        Self { input: Input::new(text.to_owned()), error: None, offered: false }
    }

    /// A field that holds a text which typing replaces; End or an arrow first lets it be edited.
    pub fn offering(text: &str) -> Self {
        Self { offered: !text.is_empty(), ..Self::holding(text) }
    }

    /// The keys act on it from now on: what it holds is there to be replaced.
    pub fn focus(&mut self) {
        self.input.handle(InputRequest::GoToEnd);
        self.offered = !self.is_empty();
    }

    /// What it holds was not taken: it stays in sight with the reason, and the first thing typed takes its place.
    pub fn refuse(&mut self, why: String) {
        self.focus();
        self.error = Some(why);
    }

    /// Whether it holds what it was given and nothing was typed yet.
    pub fn is_offered(&self) -> bool {
        self.offered
    }

    /// What is typed.
    pub fn text(&self) -> &str {
        self.input.value()
    }

    /// Whether nothing is typed.
    pub fn is_empty(&self) -> bool {
        self.input.value().is_empty()
    }

    /// Empties it.
    pub fn clear(&mut self) {
        self.input.reset();
        self.error = None;
        self.offered = false;
    }

    /// Takes an editing key; `false` when the key is no editing key.
    pub fn key(&mut self, key: Key) -> bool {
        if key == Key::Ctrl('u') || (self.offered && matches!(key, Key::Char(_))) {
            self.clear();
        }
        let request = match key {
            Key::Char(c) if self.input.value().chars().count() < MOST => InputRequest::InsertChar(c),
            Key::Ctrl('u') | Key::Char(_) => return true,
            Key::Backspace => InputRequest::DeletePrevChar,
            Key::Delete => InputRequest::DeleteNextChar,
            Key::Left => InputRequest::GoToPrevChar,
            Key::Right => InputRequest::GoToNextChar,
            Key::Home => InputRequest::GoToStart,
            Key::End => InputRequest::GoToEnd,
            _ => return false,
        };
        self.input.handle(request);
        self.error = None;
        self.offered = false;
        true
    }

    /// Puts pasted text at the cursor, as one line; a line end becomes a space and submits nothing.
    pub fn paste(&mut self, text: &str) {
        if self.offered {
            self.clear();
        }
        let spaced = if text.trim().is_empty() { " ".to_owned() } else { one_line(text) };
        let room = MOST.saturating_sub(self.input.value().chars().count());
        for c in spaced.chars().take(room) {
            self.input.handle(InputRequest::InsertChar(c));
        }
        self.error = None;
    }

    /// Lays out `label`, the text and the cursor; the error below it.
    pub fn lay(&self, sheet: &mut Sheet, label: &str, focused: bool) {
        let mut label = format!("{} ", sheet.look.text(label));
        let sign = if focused { "> " } else { "  " };
        if label.chars().count() + sign.len() + LEAST_ROOM > sheet.width {
            // A long name leaves its own line to what is typed.
            sheet.text(Role::Muted, label.trim_end());
            label = String::new();
        }
        let lead = label.chars().count() + sign.len();
        let room = sheet.width.saturating_sub(lead + 1).max(1);
        let scroll = self.input.visual_scroll(room);
        let mut shown: String = sheet.look.text(self.input.value()).chars().skip(scroll).take(room).collect();
        let column = lead + self.input.visual_cursor().max(scroll) - scroll;
        let role = if focused { Role::Focus } else { Role::Text };
        if focused {
            sheet.focus = Some(sheet.row());
            sheet.cursor = Some((sheet.row(), column.min(sheet.width.saturating_sub(1))));
        }
        let mut spans = vec![Span::styled(format!("{label}{sign}"), sheet.look.style(Role::Muted))];
        if scroll > 0 && room > 2 {
            // There is more to the left.
            shown = shown.chars().skip(1).collect();
            spans.push(Span::styled("<", sheet.look.style(Role::Muted)));
        }
        let used = lead + shown.width();
        spans.push(Span::styled(shown, sheet.look.style(role)));
        if focused && self.offered && used + OFFERED.width() <= sheet.width {
            spans.push(Span::styled(OFFERED, sheet.look.style(Role::Muted)));
        }
        sheet.lines.push(Line::from(spans));
        if let Some(error) = &self.error {
            sheet.item("!", Role::Error, error);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tui::look::Look;

    #[test]
    fn a_paste_of_several_lines_is_one_line_and_hidden_characters_show() {
        let mut field = Field::default();
        field.paste("51 psi\nrm -rf\u{202e}");
        assert_eq!(field.text(), "51 psi rm -rf{U+202E}");
        let mut field = Field::holding("51");
        field.paste("\n");
        assert_eq!(field.text(), "51 ");
    }

    #[test]
    fn the_cursor_moves_and_text_goes_in_where_it_stands() {
        let mut field = Field::holding("5 psi");
        field.key(Key::Home);
        field.key(Key::Right);
        field.key(Key::Char('1'));
        assert_eq!(field.text(), "51 psi");
        assert!(!field.key(Key::Enter));
    }

    #[test]
    fn what_is_offered_is_replaced_by_typing_and_edited_after_end_or_an_arrow() {
        let typed = |keys: &[Key]| {
            let mut field = Field::offering("36 psi");
            assert!(keys.iter().all(|key| field.key(*key)));
            field.text().to_owned()
        };
        assert_eq!(typed(&[Key::Char('4'), Key::Char('1')]), "41");
        assert_eq!(typed(&[Key::End, Key::Char('a')]), "36 psia");
        assert_eq!(typed(&[Key::Left, Key::Char('x')]), "36 psxi");
        assert_eq!(typed(&[Key::Backspace, Key::Char('x')]), "36 psx");
        let mut field = Field::offering("36 psi");
        field.paste("41 psi");
        assert_eq!(field.text(), "41 psi");
        field.focus();
        field.key(Key::Char('7'));
        assert_eq!(field.text(), "7");
        assert!(!Field::offering("").is_offered());
    }

    #[test]
    fn control_u_clears_the_line() {
        let mut field = Field::holding("36 psi");
        field.error = Some("no".into());
        assert!(field.key(Key::Ctrl('u')));
        assert_eq!((field.text(), &field.error), ("", &None));
        assert!(!field.key(Key::Ctrl('x')));
    }

    #[test]
    fn an_error_goes_with_the_next_key_and_the_text_stays() {
        let mut field = Field::holding("51 V");
        field.refuse("expected a pressure".into());
        let mut sheet = Sheet::new(Look::default(), 40);
        field.lay(&mut sheet, "reading", true);
        assert_eq!(sheet.lines.len(), 2);
        assert_eq!(sheet.cursor, Some((0, 14)));
        field.key(Key::Backspace);
        assert_eq!((field.text(), &field.error), ("51 ", &None));
        field.refuse("expected a pressure".into());
        field.key(Key::Char('4'));
        assert_eq!((field.text(), &field.error), ("4", &None), "what was refused is replaced by typing");
    }

    #[test]
    fn a_long_name_leaves_a_line_to_what_is_typed_and_a_text_that_goes_on_to_the_left_says_so() {
        let mut sheet = Sheet::new(Look::default(), 40);
        Field::holding("36 kPa").lay(&mut sheet, "manifold pressure at 2,500 1/min, absolute", true);
        let drawn: Vec<String> = sheet.lines.iter().map(ToString::to_string).collect();
        assert_eq!(drawn.last().unwrap(), "> 36 kPa");
        assert_eq!(sheet.cursor, Some((drawn.len() - 1, 8)));
        let mut sheet = Sheet::new(Look::default(), 40);
        Field::holding("fuel pressure is low in boost").lay(&mut sheet, "complaint", true);
        assert_eq!(sheet.lines[0].to_string(), "complaint > <l pressure is low in boost");
    }

    #[test]
    fn a_long_text_scrolls_with_its_cursor() {
        let field = Field::holding(&"9".repeat(300));
        for width in 1..80 {
            let mut sheet = Sheet::new(Look::default(), width);
            field.lay(&mut sheet, "reading", true);
            assert!(sheet.cursor.unwrap().1 < width.max(1));
        }
    }
}
