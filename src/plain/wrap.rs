//! Lines broken at spaces to the width of a terminal, where the output is one.

use std::io::{self, Write};
use unicode_width::UnicodeWidthStr;

/// Takes text and hands it on with lines of at most `width` columns; what follows a break stands as far in as the line began.
pub struct Wrapped<W: Write> {
    out: W,
    width: usize,
    /// What came since the last line end and was not handed on.
    pending: Vec<u8>,
}

/// Columns below which nothing is broken: words would stand alone.
const LEAST: usize = 20;

impl<W: Write> Wrapped<W> {
    /// Writes to `out` in lines of at most `width` columns.
    pub fn new(out: W, width: usize) -> Self {
        Self { out, width: width.max(LEAST), pending: Vec::new() }
    }

    /// Hands on what is pending, broken, as whole lines or as the beginning of one.
    fn hand_on(&mut self) -> io::Result<()> {
        let text = String::from_utf8_lossy(&self.pending).into_owned();
        self.pending.clear();
        let lines: Vec<String> = text.split('\n').map(|line| broken(line, self.width)).collect();
        self.out.write_all(lines.join("\n").as_bytes())
    }
}

impl<W: Write> Write for Wrapped<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.pending.extend_from_slice(bytes);
        if bytes.contains(&b'\n') && self.pending.ends_with(b"\n") {
            self.hand_on()?;
        }
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        self.hand_on()?;
        self.out.flush()
    }
}

/// One line broken at spaces. A word longer than a line stays whole, for a path or an address is copied as one.
fn broken(line: &str, width: usize) -> String {
    if line.width() <= width {
        return line.to_owned();
    }
    let words = line.trim_start_matches(' ');
    let indent = &line[..line.len() - words.len()];
    let hang = if indent.len() + LEAST > width { "" } else { indent };
    let mut out = indent.to_owned();
    let mut used = indent.len();
    let mut first = true;
    for word in words.split(' ') {
        let size = word.width();
        if first {
            first = false;
        } else if used + 1 + size > width {
            out.push('\n');
            out.push_str(hang);
            used = hang.len();
        } else {
            out.push(' ');
            used += 1;
        }
        out.push_str(word);
        used += size;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written(parts: &[&str], width: usize) -> String {
        let mut out = Wrapped::new(Vec::new(), width);
        for part in parts {
            out.write_all(part.as_bytes()).unwrap();
        }
        out.flush().unwrap();
        String::from_utf8(out.out).unwrap()
    }

    #[test]
    fn lines_break_at_spaces_and_what_follows_stands_as_far_in() {
        assert_eq!(
            written(&["read the gauge at idle and at prime\n"], 20),
            "read the gauge at\nidle and at prime\n"
        );
        assert_eq!(
            written(&["  none: no smell, no leak at all\nnext\n"], 22),
            "  none: no smell, no\n  leak at all\nnext\n"
        );
        assert_eq!(written(&["a ", "short line", "\n"], 20), "a short line\n");
    }

    #[test]
    fn a_long_word_stays_whole_and_a_prompt_keeps_its_space() {
        let path = "/home/somebody/cases/20260101-0800.jsonl";
        assert_eq!(written(&["kept in ", path, "\n"], 24), format!("kept in\n{path}\n"));
        assert_eq!(written(&["reading with unit >", " "], 20), "reading with unit > ");
    }

    #[test]
    fn no_line_is_wider_and_no_word_is_lost() {
        let text = "Crank the engine in neutral for ten seconds to use up the pressure, then look at the gauge once more.";
        for width in 20..90 {
            let out = written(&[text, "\n"], width);
            assert!(out.lines().all(|l| l.width() <= width), "{width}: {out}");
            assert_eq!(
                out.split_whitespace().collect::<Vec<_>>(),
                text.split_whitespace().collect::<Vec<_>>()
            );
        }
    }
}
