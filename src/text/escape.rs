//! Escapers, one for each place text goes to. Each makes its text visible first.

use super::visible::{one_line, visible, visible_lines};

/// `text` for HTML, between tags or inside a quoted attribute: all five characters `& < > " '` are escaped.
///
/// Newlines and tabs stay.
pub fn html(text: &str) -> String {
    let text = visible_lines(text);
    let mut out = String::with_capacity(text.len() + 16);
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            c => out.push(c),
        }
    }
    out
}

/// `text` as one line of Markdown that means nothing but itself: no link, image, markup, table cell, heading, list,
/// code or rule (CommonMark 0.31 and the GitHub extensions), wherever in a line, a cell or a list item it is put.
///
/// An at sign goes into a code span, because bare mail addresses are linked even where each character is escaped.
pub fn markdown(text: &str) -> String {
    let text = one_line(text);
    let mut out = String::with_capacity(text.len() + 16);
    let mut only_digits = true;
    let mut before = ' ';
    let mut rest = text.chars().peekable();
    while let Some(c) = rest.next() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '@' => {
                out.push_str("`@");
                while rest.next_if_eq(&'@').is_some() {
                    out.push('@');
                }
                out.push('`');
            }
            '\\' | '`' | '*' | '_' | '[' | ']' | '#' | '|' | '~' | '^' | '$' => out.extend(['\\', c]),
            '-' | '+' | '=' | '.' | ')' | ':' if only_digits => out.extend(['\\', c]),
            '.' if matches!(before, 'w' | 'W') => out.push_str("\\."),
            ':' if !rest.peek().is_none_or(|n| n.is_whitespace() || n.is_ascii_digit()) => {
                out.push_str("\\:");
            }
            c => out.push(c),
        }
        only_digits &= c.is_ascii_digit();
        before = c;
    }
    out
}

/// `text` as a block of Markdown that keeps its lines: a fence longer than any run of backticks within.
///
/// The block starts and ends with its fence; the caller puts an empty line before and after.
pub fn markdown_block(text: &str) -> String {
    let text = visible_lines(text);
    let mut longest = 0;
    let mut run = 0;
    for c in text.chars() {
        run = if c == '`' { run + 1 } else { 0 };
        longest = longest.max(run);
    }
    let fence = "`".repeat((longest + 1).max(3));
    format!("{fence}text\n{text}\n{fence}\n")
}

/// Whether `text` is nothing but a number: sign, digits, one decimal mark, exponent. A spreadsheet may have it as it is.
pub fn is_plain_number(text: &str) -> bool {
    let body = text.strip_prefix(['+', '-', '\u{2212}']).unwrap_or(text);
    let (mantissa, exponent) = match body.split_once(['e', 'E']) {
        Some((mantissa, exponent)) => (mantissa, Some(exponent.strip_prefix(['+', '-']).unwrap_or(exponent))),
        None => (body, None),
    };
    let digits = |t: &str| t.bytes().all(|b| b.is_ascii_digit());
    let (whole, fraction) = mantissa.split_once(['.', ',']).unwrap_or((mantissa, ""));
    digits(whole)
        && digits(fraction)
        && !(whole.is_empty() && fraction.is_empty())
        && exponent.is_none_or(|e| !e.is_empty() && digits(e))
}

/// `text` with an apostrophe before it where a spreadsheet would take it for a formula: it starts, after any space,
/// with `= + - @`, their full-width forms, a tab or a carriage return (OWASP ASVS 4.0.3, 1.2.10 and 5.3.10, from
/// memory). A plain number keeps its sign. Control characters are visible, newlines too.
///
/// For a writer that does its own quoting; [`csv_cell`] quotes as well.
pub fn csv_defused(text: &str) -> String {
    let risky = |c| {
        matches!(
            c,
            '=' | '+' | '-' | '@' | '\u{2212}' | '\t' | '\r' | '\n' | '\0' | '＝' | '＋' | '－' | '＠' | '\''
        )
    };
    let first = text.chars().next();
    let first_solid = text.chars().find(|c| !c.is_whitespace());
    let danger = [first, first_solid].into_iter().flatten().any(risky);
    let mark = if danger && !is_plain_number(text) { "'" } else { "" };
    format!("{mark}{}", visible(text))
}

/// `text` as one complete CSV cell (RFC 4180): [`csv_defused`], and in quotes unless it is a plain number or only
/// ASCII letters, digits, spaces, dots and dashes.
pub fn csv_cell(text: &str) -> String {
    let safe = csv_defused(text);
    let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, ' ' | '.' | '-' | '_');
    let edge = safe.starts_with(' ') || safe.ends_with(' ');
    if !edge && safe.chars().all(plain) || is_plain_number(&safe) && !safe.contains(',') {
        safe
    } else {
        format!("\"{}\"", safe.replace('"', "\"\""))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::text::is_hidden;
    use comrak::nodes::NodeValue;
    use proptest::prelude::*;

    /// Undoes the five references and nothing else.
    fn unescape_html(text: &str) -> String {
        [("&lt;", "<"), ("&gt;", ">"), ("&quot;", "\""), ("&#39;", "'"), ("&amp;", "&")]
            .iter()
            .fold(text.to_owned(), |t, (from, to)| t.replace(from, to))
    }

    fn options() -> comrak::Options<'static> {
        let mut options = comrak::Options::default();
        let e = &mut options.extension;
        e.autolink = true;
        e.table = true;
        e.strikethrough = true;
        e.tasklist = true;
        e.footnotes = true;
        e.superscript = true;
        e.math_dollars = true;
        e.description_lists = true;
        e.alerts = true;
        e.front_matter_delimiter = Some("---".to_owned());
        options
    }

    /// The text a reader sees, or the first node that is neither text nor a code span of at signs.
    fn seen(source: &str, allowed: fn(&NodeValue) -> bool) -> Result<String, String> {
        let arena = comrak::Arena::new();
        let mut out = String::new();
        for node in comrak::parse_document(&arena, source, &options()).descendants() {
            match &node.data.borrow().value {
                NodeValue::Text(t) => out.push_str(t),
                NodeValue::Code(code) if code.literal.bytes().all(|b| b == b'@') => {
                    out.push_str(&code.literal);
                }
                NodeValue::Document | NodeValue::Paragraph => {}
                other if allowed(other) => {}
                other => return Err(format!("{other:?}")),
            }
        }
        Ok(out)
    }

    const HOSTILE: &[&str] = &[
        "[a](javascript:alert(1))",
        "![x](http://e.example/p.png)",
        "<script>alert(1)</script>",
        "<http://e.example>",
        "http://e.example www.e.example a@e.example mailto:a@e.example @@",
        "a|b",
        "# no heading",
        "```sh",
        "~~~",
        "    indented",
        "- item",
        "1. item",
        "12) item",
        "+ item",
        "> quote",
        "--- ",
        "===",
        "[x]: http://e.example",
        "[^1]: note",
        "- [ ] task",
        "*a* _b_ **c** ~~d~~ `e` ``f`` $g$ ^h^",
        "&lt;b&gt; &copy; &#64;",
        "back\\slash \\",
        ": detail",
        "`@`",
        "line\nsecond\r\n# third",
        "5:30, 3.5 bar, -2 °F, x - y, WWW.E.EXAMPLE",
    ];

    #[test]
    fn requirement_10_markdown_payloads_are_inert_in_a_paragraph_and_in_a_table() {
        for text in HOSTILE {
            let escaped = markdown(text);
            assert_eq!(seen(&escaped, |_| false), Ok(one_line(text)), "{escaped}");
            let table = format!("| h | i |\n|---|---|\n| {escaped} | z |\n");
            let cells = |n: &NodeValue| {
                matches!(n, NodeValue::Table(_) | NodeValue::TableRow(_) | NodeValue::TableCell)
            };
            assert_eq!(seen(&table, cells), Ok(format!("hi{}z", one_line(text))), "{table}");
            let list = |n: &NodeValue| matches!(n, NodeValue::List(_) | NodeValue::Item(_));
            assert_eq!(seen(&format!("- {escaped}\n"), list), Ok(one_line(text)), "{escaped}");
        }
    }

    #[test]
    fn plain_words_stay_readable_in_the_source() {
        for text in ["Reads 43.5 psi at 11:42, falls to 40.", "feed-filter-blocked (seen)", "don't; \"no\"!"]
        {
            assert_eq!(markdown(text), text);
        }
    }

    #[test]
    fn html_escapes_all_five_and_shows_control_characters() {
        assert_eq!(
            html("<a href='x' b=\"y\">&\u{1b}\n"),
            "&lt;a href=&#39;x&#39; b=&quot;y&quot;&gt;&amp;{U+001B}\n"
        );
    }

    #[test]
    fn requirement_10_formulas_are_defused_and_numbers_are_not() {
        for (text, cell) in [
            ("=1+1", "\"'=1+1\""),
            ("+cmd|' /C calc'!A0", "\"'+cmd|' /C calc'!A0\""),
            ("-2+3", "\"'-2+3\""),
            ("@SUM(A1)", "\"'@SUM(A1)\""),
            ("\t=1", "\"'{U+0009}=1\""),
            ("\r=1", "\"'{U+000D}=1\""),
            ("  =1", "\"'  =1\""),
            ("＝1", "\"'＝1\""),
            ("＠a", "\"'＠a\""),
            ("－1", "\"'－1\""),
            ("＋1", "\"'＋1\""),
            ("-2", "-2"),
            ("+3.5e-2", "+3.5e-2"),
            ("3,5", "\"3,5\""),
            ("-3,5", "\"-3,5\""),
            ("43.5 psi", "43.5 psi"),
            ("say \"hi\", then go", "\"say \"\"hi\"\", then go\""),
            ("'x", "\"''x\""),
            ("-", "\"'-\""),
            ("", ""),
        ] {
            assert_eq!(csv_cell(text), cell, "{text:?}");
        }
    }

    #[test]
    fn what_counts_as_a_plain_number() {
        for text in ["1", "-1", "+1.5", ".5", "5.", "3,5", "1e6", "1E-6", "\u{2212}2"] {
            assert!(is_plain_number(text), "{text}");
        }
        for text in ["", "-", ".", "1e", "1e+", "e5", "--1", "1.2.3", "1+1", "1 ", "NaN", "٣", "0x1", "1_0"]
        {
            assert!(!is_plain_number(text), "{text}");
        }
    }

    /// Text rich in the characters that mean something somewhere.
    fn nasty() -> impl Strategy<Value = String> {
        prop_oneof![
            any::<String>(),
            "[-a-cwW0-2 @.:/\\\\`*_\\[\\]()<>#|~^$&=+!\"',;{}\n\t\r]{0,30}",
            proptest::collection::vec(proptest::sample::select(HOSTILE), 0..4).prop_map(|v| v.concat()),
        ]
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(1000))]

        #[test]
        fn requirement_10_html_comes_back_and_keeps_no_markup(text in nasty()) {
            let escaped = html(&text);
            prop_assert!(!escaped.contains(['<', '>', '"', '\'']));
            prop_assert_eq!(unescape_html(&escaped), visible_lines(&text).into_owned());
            let entities = ["amp;", "lt;", "gt;", "quot;", "#39;"];
            for (at, _) in escaped.match_indices('&') {
                prop_assert!(entities.iter().any(|e| escaped[at + 1..].starts_with(e)));
            }
        }

        #[test]
        fn requirement_10_markdown_reads_back_as_the_same_text_and_nothing_else(text in nasty()) {
            let escaped = markdown(&text);
            prop_assert!(!escaped.contains('\n'));
            prop_assert_eq!(seen(&escaped, |_| false), Ok(one_line(&text)), "{}", escaped);
        }

        #[test]
        fn a_markdown_block_reads_back_as_one_piece_of_code(text in nasty()) {
            let source = format!("before\n\n{}\nafter\n", markdown_block(&text));
            let arena = comrak::Arena::new();
            let root = comrak::parse_document(&arena, &source, &options());
            let mut blocks = Vec::new();
            for node in root.children() {
                blocks.push(match &node.data.borrow().value {
                    NodeValue::CodeBlock(code) => code.literal.clone(),
                    NodeValue::Paragraph => "paragraph".to_owned(),
                    other => format!("{other:?}"),
                });
            }
            let expected = format!("{}\n", visible_lines(&text));
            prop_assert_eq!(blocks, ["paragraph".to_owned(), expected, "paragraph".to_owned()]);
        }

        #[test]
        fn requirement_10_csv_comes_back_as_one_cell_that_starts_no_formula(text in nasty()) {
            let row = format!("{},end\r\n", csv_cell(&text));
            let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(row.as_bytes());
            let record = reader.records().next().unwrap().unwrap();
            prop_assert_eq!(record.len(), 2);
            let cell = &record[0];
            let shown = visible(&text);
            let defused = format!("'{shown}");
            prop_assert!(cell == shown || cell == defused);
            let solid = cell.trim_start().chars().next().unwrap_or('x');
            prop_assert!(is_plain_number(cell) || !"=+-@＝＋－＠\t\r".contains(solid), "{}", cell);
            prop_assert!(!cell.chars().any(is_hidden));
        }
    }
}
