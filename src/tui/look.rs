//! The look of one run: theme and signs, and the one place where text is made fit to be shown.

use super::theme::{Role, Theme};
use crate::instrument::Verdict;
use crate::text::visible;
use ratatui::buffer::Buffer;
use ratatui::style::Style;

/// Theme and character set.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Look {
    /// Colours.
    pub theme: Theme,
    /// No character above 127.
    pub ascii: bool,
}

/// Signs that have an ASCII form.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sign {
    /// A pipe between parts.
    Pipe,
    /// A horizontal rule, one cell.
    Rule,
    /// The inside of a band.
    Band,
    /// Points at a place above it.
    Marker,
    /// Left and right end of an axis.
    AxisLeft,
    /// Right end of an axis.
    AxisRight,
    /// Between facts on one line.
    Dot,
    /// More above.
    Up,
    /// More below.
    Down,
    /// The line the keys act on.
    Here,
}

impl Look {
    /// The look the surroundings ask for: ASCII where the locale is not UTF-8, by the first set of `LC_ALL`, `LC_CTYPE`, `LANG`.
    pub fn detect(lookup: impl Fn(&str) -> Option<String>) -> Self {
        let locale = ["LC_ALL", "LC_CTYPE", "LANG"].iter().find_map(|n| lookup(n).filter(|v| !v.is_empty()));
        let unicode = locale.is_some_and(|l| {
            let l = l.to_lowercase();
            l.contains("utf-8") || l.contains("utf8")
        });
        let dumb = lookup("TERM").is_some_and(|t| t == "dumb" || t == "linux");
        Self { theme: Theme::detect(&lookup), ascii: !unicode || dumb }
    }

    /// The style of a role.
    pub fn style(self, role: Role) -> Style {
        self.theme.style(role)
    }

    /// A sign in this character set.
    pub fn sign(self, sign: Sign) -> &'static str {
        let (plain, drawn) = match sign {
            Sign::Pipe => ("--", "──"),
            Sign::Rule => ("-", "─"),
            Sign::Band => ("=", "═"),
            Sign::Marker => ("|", "│"),
            Sign::AxisLeft => ("|", "├"),
            Sign::AxisRight => ("|", "┤"),
            Sign::Dot => ("-", "·"),
            Sign::Up => ("^", "↑"),
            Sign::Down => ("v", "↓"),
            Sign::Here => (">", ">"),
        };
        if self.ascii { plain } else { drawn }
    }

    /// The sign that stands before a verdict's word.
    pub fn verdict_sign(self, verdict: Verdict) -> &'static str {
        let (plain, drawn) = match verdict {
            Verdict::Low => ("v", "▼"),
            Verdict::Within => ("=", "="),
            Verdict::High => ("^", "▲"),
            Verdict::Undecided => ("~", "~"),
            Verdict::NotTested => ("/", "/"),
        };
        if self.ascii { plain } else { drawn }
    }

    /// `text` fit to be shown: hidden characters visible, and in ASCII mode no character above 127.
    pub fn text(self, text: &str) -> String {
        let seen = visible(text);
        if !self.ascii || seen.is_ascii() {
            return seen.into_owned();
        }
        let mut out = String::with_capacity(seen.len());
        let mut chars = seen.chars().peekable();
        while let Some(c) = chars.next() {
            match c {
                c if c.is_ascii() => out.push(c),
                '°' if matches!(chars.peek(), Some('C' | 'F')) => {}
                _ => out.push_str(plain(c)),
            }
        }
        out
    }

    /// The last guard of ASCII mode: replaces what is left above 127 in the buffer.
    pub fn purify(self, buffer: &mut Buffer) {
        if !self.ascii {
            return;
        }
        for cell in &mut buffer.content {
            if !cell.symbol().is_ascii() {
                cell.set_symbol("?");
            }
        }
    }
}

/// What stands for a character in ASCII.
fn plain(c: char) -> &'static str {
    match c {
        '°' => "deg",
        'Ω' | '\u{2126}' => "ohm",
        'µ' | 'μ' | 'ü' | 'ú' => "u",
        '²' => "2",
        '³' => "3",
        '½' => "1/2",
        '×' => "x",
        '·' => "*",
        'λ' => "lambda",
        'ρ' => "rho",
        '±' => "+/-",
        '≥' => ">=",
        '≤' => "<=",
        '≈' => "~",
        '→' => "->",
        '←' => "<-",
        '↑' | '▲' => "^",
        '↓' | '▼' => "v",
        '…' => "...",
        '–' | '—' | '−' | '─' => "-",
        '‘' | '’' => "'",
        '“' | '”' => "\"",
        '√' => "sqrt ",
        'Δ' => "d",
        '\u{a0}' => " ",
        'ä' | 'á' | 'à' | 'â' => "a",
        'ö' | 'ó' | 'ô' => "o",
        'é' | 'è' | 'ê' | 'ë' => "e",
        _ => "?",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ascii_text_keeps_its_meaning() {
        let look = Look { ascii: true, ..Look::default() };
        assert_eq!(look.text("62 °F · 30 mΩ – 2 m³/s"), "62 F * 30 mohm - 2 m3/s");
        assert_eq!(look.text("北"), "?");
        assert_eq!(Look::default().text("62 °F"), "62 °F");
    }

    #[test]
    fn high_and_low_have_signs_that_mean_nothing_else() {
        for ascii in [true, false] {
            let look = Look { ascii, ..Look::default() };
            let marker = look.sign(Sign::Marker);
            assert!([Verdict::Low, Verdict::High].iter().all(|v| look.verdict_sign(*v) != marker));
        }
    }

    #[test]
    fn hidden_characters_are_made_visible() {
        assert_eq!(Look::default().text("a\u{202e}b\u{1b}[31m"), "a{U+202E}b{U+001B}[31m");
    }

    #[test]
    fn the_locale_decides_on_the_character_set() {
        let of = |vars: &[(&str, &str)]| {
            Look::detect(|n| vars.iter().find(|(k, _)| *k == n).map(|(_, v)| (*v).to_owned())).ascii
        };
        assert!(!of(&[("LANG", "en_US.UTF-8")]));
        assert!(of(&[("LC_ALL", "C"), ("LANG", "en_US.UTF-8")]));
        assert!(!of(&[("LC_ALL", "C.utf8")]));
        assert!(of(&[]));
        assert!(of(&[("LANG", "en_US.UTF-8"), ("TERM", "linux")]));
    }
}
