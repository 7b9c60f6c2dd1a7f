//! From bytes to text: size, encoding and the marks of files that are built to hurt.

use super::diagnostic::{Diagnostic, Level};
use super::graph::SourceFile;

/// Largest file taken, in bytes.
pub const MAX_FILE_BYTES: usize = 4 * 1024 * 1024;
/// Deepest nesting of maps and lists taken.
pub const MAX_DEPTH: usize = 32;
/// Most steps taken in a library, and in one flat tree.
pub const MAX_STEPS: usize = 20_000;

/// Takes `bytes` as the text of the file called `name`.
///
/// # Errors
/// One diagnostic each for a file too large, not UTF-8, or with a NUL in it.
pub fn read_text(name: &str, bytes: &[u8]) -> Result<SourceFile, Vec<Diagnostic>> {
    let refuse = |rule, at: usize, message: String, hint: &str| {
        let before = bytes.get(..at).unwrap_or(bytes);
        let line = 1 + before.split(|b| *b == b'\n').count().saturating_sub(1);
        let start = before.iter().rposition(|b| *b == b'\n').map_or(0, |i| i + 1);
        let column = 1 + String::from_utf8_lossy(before.get(start..).unwrap_or(&[])).chars().count();
        Err(vec![Diagnostic {
            rule,
            level: Level::Error,
            file: name.to_owned(),
            line,
            column,
            message,
            why: None,
            hint: Some(hint.to_owned()),
            excerpt: None,
            length: 0,
        }])
    };
    if bytes.len() > MAX_FILE_BYTES {
        return refuse(
            "file-too-large",
            0,
            format!("the file holds {} bytes; at most {MAX_FILE_BYTES} are taken", bytes.len()),
            "split it into a tree and procedures",
        );
    }
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => text,
        Err(e) => {
            return refuse(
                "not-utf-8",
                e.valid_up_to(),
                "this byte is not UTF-8 text".to_owned(),
                "save the file as UTF-8",
            );
        }
    };
    if let Some(at) = bytes.iter().position(|b| *b == 0) {
        return refuse(
            "nul-in-text",
            at,
            "there is a NUL character here".to_owned(),
            "remove it; the file may be damaged",
        );
    }
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    Ok(SourceFile { name: name.to_owned(), text: text.into() })
}

/// Whether a text may hold what the language refuses (deep nesting, anchors, aliases, tags, several documents), by a quick
/// look that errs on the side of yes; only such a text needs the careful pass before the parser sees it.
pub(super) fn suspicious(text: &str) -> bool {
    let mut brackets = 0_usize;
    text.lines().any(|line| {
        let trimmed = line.trim_start();
        let marker = trimmed.len() == line.len()
            && (line.starts_with("---") || line.starts_with("...") || line.starts_with('%'));
        let indent = line.len() - trimmed.len();
        // A mark counts only where a value can begin: after the start of the line or one of these.
        let mut begins = true;
        let mut dashes = 0_usize;
        let mut found = false;
        for b in trimmed.bytes() {
            match b {
                b'[' | b'{' => brackets += 1,
                b']' | b'}' => brackets = brackets.saturating_sub(1),
                b'-' | b'?' if begins => dashes += 1,
                b'&' | b'*' | b'!' if begins => found = true,
                _ => {}
            }
            begins = b == b' ' && begins || matches!(b, b'[' | b'{' | b',' | b':' | b'-' | b'?');
            found |= brackets > MAX_DEPTH / 2;
        }
        marker || found || dashes > 4 || indent > 2 * MAX_DEPTH
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bytes_that_are_no_text_are_refused_at_their_place() {
        let refused = |bytes: &[u8]| read_text("a.yaml", bytes).unwrap_err().remove(0);
        let d = refused(b"format: 1\ntitle: caf\xe9\n");
        assert_eq!((d.rule, d.line, d.column), ("not-utf-8", 2, 11));
        let d = refused(b"format: 1\n\0");
        assert_eq!((d.rule, d.line, d.column), ("nul-in-text", 2, 1));
        assert_eq!(refused(&vec![b' '; MAX_FILE_BYTES + 1]).rule, "file-too-large");
        assert!(read_text("a.yaml", &vec![b' '; MAX_FILE_BYTES]).is_ok());
    }

    #[test]
    fn the_quick_look_sees_every_dangerous_mark_and_passes_plain_text() {
        for text in
            ["a: &x 1", "a: *x", "- !t 1", "a: 1\n---\nb: 1", "...", "%YAML 1.2", "[&a 1]", "- - - - - - 1"]
        {
            assert!(suspicious(text), "{text}");
        }
        assert!(suspicious(&"[".repeat(40)));
        assert!(!suspicious(
            "do: Wipe up every drip & look. Stop!\nanswers: {dry: {next: a}, wet: {next: b}}\n"
        ));
    }
}
