//! A sheet: lines of styled text laid out for a width. Every screen is one, or two side by side.
//!
//! Laying out happens here and nowhere else, so that scrolling knows the true number of lines and no screen can draw past
//! its area.

use super::look::{Look, Sign};
use super::theme::Role;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::text::{Line, Span};
use unicode_segmentation::UnicodeSegmentation;
use unicode_width::UnicodeWidthStr;

/// Lines laid out for one width.
#[derive(Debug, Clone)]
pub struct Sheet {
    /// How it looks.
    pub look: Look,
    /// Columns it is laid out for.
    pub width: usize,
    /// The lines.
    pub lines: Vec<Line<'static>>,
    /// Row the keys act on; kept in sight.
    pub focus: Option<usize>,
    /// Row and column of the terminal's cursor.
    pub cursor: Option<(usize, usize)>,
}

impl Sheet {
    /// An empty sheet.
    pub fn new(look: Look, width: usize) -> Self {
        Self { look, width, lines: Vec::new(), focus: None, cursor: None }
    }

    /// The row the next line goes to.
    pub fn row(&self) -> usize {
        self.lines.len()
    }

    /// A span of sanitised text.
    pub fn span(&self, role: Role, text: &str) -> Span<'static> {
        Span::styled(self.look.text(text), self.look.style(role))
    }

    /// One line of spans, as it is.
    pub fn line(&mut self, spans: Vec<Span<'static>>) -> &mut Self {
        self.lines.push(Line::from(spans));
        self
    }

    /// An empty line, but never two and never one at the top.
    pub fn gap(&mut self) -> &mut Self {
        if self.lines.last().is_some_and(|l| l.width() > 0) {
            self.lines.push(Line::default());
        }
        self
    }

    /// Wrapped text.
    pub fn text(&mut self, role: Role, text: &str) -> &mut Self {
        self.hanging(0, "", role, text)
    }

    /// Wrapped text behind a sign; the following lines hang under the text.
    pub fn item(&mut self, sign: &str, role: Role, text: &str) -> &mut Self {
        self.hanging(0, sign, role, text)
    }

    /// Wrapped text indented by `indent`, with `sign` before its first line.
    pub fn hanging(&mut self, indent: usize, sign: &str, role: Role, text: &str) -> &mut Self {
        let sign = self.look.text(sign);
        let hang = if sign.is_empty() { indent } else { indent + sign.width() + 1 };
        let hang = if self.width < hang + 8 { 0 } else { hang };
        let room = self.width.saturating_sub(hang).max(1);
        for paragraph in text.split('\n') {
            for (i, part) in wrap(&self.look.text(paragraph), room).into_iter().enumerate() {
                let lead = if hang == 0 {
                    if i == 0 && !sign.is_empty() { format!("{sign} ") } else { String::new() }
                } else if i == 0 && !sign.is_empty() {
                    format!("{}{sign} ", " ".repeat(indent))
                } else {
                    " ".repeat(hang)
                };
                let style = self.look.style(role);
                self.lines.push(Line::from(vec![Span::styled(lead, style), Span::styled(part, style)]));
            }
        }
        self
    }

    /// A heading with air above it.
    pub fn heading(&mut self, text: &str) -> &mut Self {
        self.gap();
        self.text(Role::Strong, text)
    }

    /// A name and its value; on a narrow sheet the value hangs below.
    pub fn pair(&mut self, name: &str, column: usize, role: Role, value: &str) -> &mut Self {
        let name = self.look.text(name);
        if self.width < column + 12 || name.width() + 1 > column {
            self.text(Role::Muted, &name);
            return self.hanging(2, "", role, value);
        }
        let room = self.width.saturating_sub(column).max(1);
        for (i, part) in wrap(&self.look.text(value), room).into_iter().enumerate() {
            let lead = if i == 0 { pad(&name, column) } else { " ".repeat(column) };
            let spans = vec![
                Span::styled(lead, self.look.style(Role::Muted)),
                Span::styled(part, self.look.style(role)),
            ];
            self.lines.push(Line::from(spans));
        }
        self
    }

    /// A line across the sheet.
    pub fn rule(&mut self) -> &mut Self {
        let rule = self.look.sign(Sign::Rule).repeat(self.width);
        self.lines.push(Line::styled(rule, self.look.style(Role::Muted)));
        self
    }

    /// One row of a list, marked with a sign when the keys act on it.
    pub fn choice(&mut self, here: bool, lead: &str, text: &str) -> &mut Self {
        let sign = if here { self.look.sign(Sign::Here) } else { " " };
        let sign = if lead.is_empty() { sign.to_owned() } else { format!("{sign} {lead}") };
        if here {
            self.cursor = Some((self.row(), 0));
        }
        self.hanging(0, &sign, if here { Role::Focus } else { Role::Text }, text);
        if here {
            self.focus = self.row().checked_sub(1);
        }
        self
    }

    /// Puts another sheet below.
    pub fn append(&mut self, other: Self) -> &mut Self {
        let base = self.row();
        self.focus = other.focus.map(|f| f + base).or(self.focus);
        self.cursor = other.cursor.map(|(r, c)| (r + base, c)).or(self.cursor);
        self.lines.extend(other.lines);
        self
    }

    /// The first row to show so that the focus is in sight, starting from `wanted`.
    pub fn first_row(&self, wanted: usize, height: usize) -> usize {
        let most = self.lines.len().saturating_sub(height);
        let mut first = wanted.min(most);
        if let Some(focus) = self.focus {
            // A sign that there is more takes the end of the first or last row: the focus stands clear of it.
            let clear = usize::from(height > 2);
            let (above, below) =
                (focus.saturating_sub(clear), (focus + clear).min(self.lines.len().max(1) - 1));
            if above < first {
                first = above;
            } else if below >= first + height.max(1) {
                first = (below + 1).saturating_sub(height.max(1)).min(most);
            }
        }
        first
    }

    /// Draws the rows from `first` on; gives back where the cursor stands, if in sight.
    pub fn draw(&self, first: usize, area: Rect, buffer: &mut Buffer) -> Option<(u16, u16)> {
        let area = area.intersection(buffer.area);
        for (line, y) in self.lines.iter().skip(first).zip(area.top()..area.bottom()) {
            buffer.set_line(area.x, y, line, area.width);
        }
        let (row, column) = self.cursor?;
        let y = u16::try_from(row.checked_sub(first)?).ok()?;
        let x = u16::try_from(column).ok()?;
        (y < area.height && x < area.width).then(|| (area.x + x, area.y + y))
    }
}

/// `text` padded with spaces to `width` columns.
pub fn pad(text: &str, width: usize) -> String {
    let mut out = text.to_owned();
    out.push_str(&" ".repeat(width.saturating_sub(text.width())));
    out
}

/// `text` cut to `width` columns.
pub fn cut(text: &str, width: usize) -> String {
    let mut used = 0;
    let whole = |g: &&str| {
        used += g.width();
        used <= width
    };
    text.graphemes(true).take_while(whole).collect()
}

/// Breaks one paragraph into lines of at most `width` columns, at spaces where there are any.
pub fn wrap(text: &str, width: usize) -> Vec<String> {
    let width = width.max(1);
    let mut lines = Vec::new();
    let mut line = String::new();
    let mut used = 0;
    for word in text.split(' ') {
        let size = word.width();
        if used > 0 && used + 1 + size > width {
            lines.push(std::mem::take(&mut line));
            used = 0;
        } else if used > 0 || (!line.is_empty()) {
            line.push(' ');
            used += 1;
        }
        if size <= width {
            line.push_str(word);
            used += size;
            continue;
        }
        for grapheme in word.graphemes(true) {
            let size = grapheme.width();
            if used + size > width && used > 0 {
                lines.push(std::mem::take(&mut line));
                used = 0;
            }
            line.push_str(grapheme);
            used += size;
        }
    }
    lines.push(line);
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn text_breaks_at_spaces_and_long_words_where_they_must() {
        assert_eq!(wrap("read the gauge at idle", 10), ["read the", "gauge at", "idle"]);
        assert_eq!(wrap("abcdefgh", 3), ["abc", "def", "gh"]);
        assert_eq!(wrap("", 3), [""]);
        assert_eq!(wrap("a abcdefgh", 4), ["a", "abcd", "efgh"]);
    }

    #[test]
    fn the_focus_stays_in_sight() {
        let mut sheet = Sheet::new(Look::default(), 20);
        for i in 0..30 {
            sheet.choice(i == 25, "", "row");
        }
        assert_eq!(sheet.first_row(0, 10), 17);
        assert_eq!(sheet.first_row(29, 10), 20);
        sheet.focus = Some(3);
        assert_eq!(sheet.first_row(15, 10), 2);
        assert_eq!((sheet.first_row(15, 2), sheet.first_row(15, 1)), (3, 3));
        sheet.focus = Some(29);
        assert_eq!(sheet.first_row(0, 10), 20);
        sheet.focus = Some(3);
        assert_eq!(sheet.first_row(0, 0), 3);
    }

    proptest! {
        #[test]
        fn no_line_is_wider_than_asked_and_no_word_is_lost(text in "[a-zé 北]{0,60}", width in 2usize..30) {
            let lines = wrap(&text, width);
            for line in &lines {
                prop_assert!(line.width() <= width, "{line:?}");
            }
            let squeeze = |s: &str| s.replace(' ', "");
            prop_assert_eq!(squeeze(&lines.concat()), squeeze(&text));
        }
    }
}
