//! Characters that act instead of being read are shown by their number.

use std::borrow::Cow;
use std::fmt::Write as _;

/// Whether `c` has no shape of its own but changes how a terminal or a reader takes what is around it.
///
/// The list: C0 controls (newline and tab too), DEL and C1; the bidirectional controls (Unicode Standard Annex 9, the
/// characters of "Trojan Source", CVE-2021-42574); zero-width and invisible characters, among them everything with
/// the property `Default_Ignorable_Code_Point` that is assigned (Unicode Standard, `DerivedCoreProperties.txt`,
/// from memory); the line and paragraph separators; tag characters; U+FEFF; non-characters.
pub fn is_hidden(c: char) -> bool {
    matches!(c,
        '\u{0}'..='\u{1F}' | '\u{7F}'..='\u{9F}'
        | '\u{AD}' | '\u{34F}' | '\u{61C}' | '\u{115F}'..='\u{1160}' | '\u{17B4}'..='\u{17B5}'
        | '\u{180B}'..='\u{180F}' | '\u{200B}'..='\u{200F}' | '\u{2028}'..='\u{202E}'
        | '\u{2060}'..='\u{206F}' | '\u{3164}' | '\u{FDD0}'..='\u{FDEF}' | '\u{FE00}'..='\u{FE0F}' | '\u{FEFF}'
        | '\u{FFA0}' | '\u{FFF0}'..='\u{FFFB}' | '\u{1BCA0}'..='\u{1BCA3}' | '\u{1D173}'..='\u{1D17A}'
        | '\u{E0000}'..='\u{E0FFF}')
        || (c as u32) & 0xFFFE == 0xFFFE
}

fn shown(text: &str, kept: impl Fn(char) -> bool) -> Cow<'_, str> {
    if !text.chars().any(|c| is_hidden(c) && !kept(c)) {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len() + 16);
    for c in text.chars() {
        if is_hidden(c) && !kept(c) {
            // Writing to a string cannot fail.
            let _ = write!(out, "{{U+{:04X}}}", u32::from(c));
        } else {
            out.push(c);
        }
    }
    Cow::Owned(out)
}

/// `text` with every hidden character (see [`is_hidden`]), newline and tab too, written as `{U+202E}`.
///
/// The sign is plain ASCII, so it needs no escaping anywhere and applying this twice changes nothing.
pub fn visible(text: &str) -> Cow<'_, str> {
    shown(text, |_| false)
}

/// As [`visible`], but newline and tab stay: for text that may have several lines.
pub fn visible_lines(text: &str) -> Cow<'_, str> {
    shown(text, |c| matches!(c, '\n' | '\t'))
}

/// `text` as one line: line ends and tabs become one space each, the ends are trimmed, all else is [`visible`].
pub fn one_line(text: &str) -> String {
    let joined = text.replace("\r\n", " ").replace(['\n', '\r', '\t', '\u{85}', '\u{2028}', '\u{2029}'], " ");
    visible(joined.trim()).into_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn requirement_09_every_harmful_character_is_shown_by_its_number() {
        for (text, expected) in [
            ("plain 43.5 psi", "plain 43.5 psi"),
            ("\u{1b}]52;c;aGk=\u{7}", "{U+001B}]52;c;aGk={U+0007}"),
            ("a\nb\tc", "a{U+000A}b{U+0009}c"),
            ("\u{7f}\u{9b}31m", "{U+007F}{U+009B}31m"),
            ("fuel\u{202e}pmup", "fuel{U+202E}pmup"),
            ("\u{2066}x\u{2069}", "{U+2066}x{U+2069}"),
            ("a\u{200b}b\u{200d}c\u{feff}", "a{U+200B}b{U+200D}c{U+FEFF}"),
            ("\u{e0041}\u{e007f}", "{U+E0041}{U+E007F}"),
            ("\u{61c}\u{ad}\u{2028}", "{U+061C}{U+00AD}{U+2028}"),
            ("Zoë, Łódź, 北京, ½ °F", "Zoë, Łódź, 北京, ½ °F"),
        ] {
            assert_eq!(visible(text), expected);
        }
        assert_eq!(visible_lines("a\n\tb\r\u{1b}"), "a\n\tb{U+000D}{U+001B}");
        assert_eq!(one_line("  a\r\nb\tc\u{2028}d\u{0} "), "a b c d{U+0000}");
    }

    #[test]
    fn every_code_point_of_the_named_blocks_is_hidden_and_no_letter_is() {
        let named = [
            (0x00, 0x1F),
            (0x7F, 0x9F),
            (0x200B, 0x200F),
            (0x202A, 0x202E),
            (0x2066, 0x2069),
            (0xE0000, 0xE007F),
        ];
        for (from, to) in named {
            for code in from..=to {
                assert!(char::from_u32(code).is_some_and(is_hidden), "{code:04X}");
            }
        }
        assert!((' '..='~').all(|c| !is_hidden(c)));
        let letters = (0..0x3_0000).filter_map(char::from_u32).filter(|c| c.is_alphabetic() && is_hidden(*c));
        let fillers = ['\u{115F}', '\u{1160}', '\u{3164}', '\u{FFA0}'];
        assert_eq!(letters.collect::<Vec<_>>(), fillers, "letters without any shape, and no other");
    }

    proptest! {
        #[test]
        fn requirement_09_no_hidden_character_is_left_and_twice_is_once(text in any::<String>()) {
            let once = visible(&text).into_owned();
            prop_assert!(!once.chars().any(is_hidden));
            prop_assert!(!once.chars().any(char::is_control));
            prop_assert_eq!(visible(&once).into_owned(), once.clone());
            let lines = visible_lines(&text).into_owned();
            prop_assert!(!lines.chars().any(|c| is_hidden(c) && c != '\n' && c != '\t'));
            prop_assert_eq!(visible_lines(&lines).into_owned(), lines.clone());
            let line = one_line(&text);
            prop_assert!(!line.chars().any(is_hidden));
            prop_assert_eq!(one_line(&line), line.clone());
        }

        #[test]
        fn text_without_hidden_characters_is_not_touched(text in "[ -~À-ſ]{0,40}") {
            prop_assert!(matches!(visible(&text), Cow::Borrowed(t) if t == text));
        }
    }
}
