//! Text that goes to a terminal, a page, a table.

use comrak::nodes::NodeValue;
use faultwalk::text::{
    Redactor, csv_cell, html, is_hidden, is_plain_number, markdown, one_line, visible, visible_lines,
};

/// What comes out hides nothing, means nothing but itself where it goes, and is changed by no second pass.
pub fn text(data: &[u8]) {
    let text = String::from_utf8_lossy(data);
    let shown = visible(&text);
    assert!(!shown.contains(is_hidden));
    assert_eq!(visible(&shown), shown);
    assert!(!one_line(&text).contains(is_hidden));

    let page = html(&text);
    assert!(!page.contains(['<', '>', '"', '\'']), "{page}");
    let back = [("&lt;", "<"), ("&gt;", ">"), ("&quot;", "\""), ("&#39;", "'"), ("&amp;", "&")];
    let back = back.iter().fold(page, |t, (from, to)| t.replace(from, to));
    assert_eq!(back, visible_lines(&text));

    assert_eq!(read_markdown(&markdown(&text)), Ok(one_line(&text)));

    let row = format!("{},end\r\n", csv_cell(&text));
    let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(row.as_bytes());
    let cells = reader.records().next().and_then(Result::ok).unwrap_or_default();
    assert_eq!(cells.len(), 2, "{row}");
    let cell = &cells[0];
    assert!(cell == shown || cell.strip_prefix('\'') == Some(&*shown), "{row}");
    let solid = cell.trim_start().chars().next().unwrap_or('x');
    assert!(is_plain_number(cell) || !"=+-@＝＋－＠\t\r".contains(solid), "{row}");

    let mut redactor = Redactor::new();
    let once = redactor.redact(&text);
    assert_eq!(redactor.redact(&once), once);
}

/// The text a reader sees, or the first node that is neither text nor a code span of at signs.
fn read_markdown(source: &str) -> Result<String, String> {
    let mut options = comrak::Options::default();
    let e = &mut options.extension;
    (e.autolink, e.table, e.strikethrough, e.tasklist) = (true, true, true, true);
    (e.footnotes, e.superscript, e.math_dollars, e.description_lists) = (true, true, true, true);
    let arena = comrak::Arena::new();
    let mut out = String::new();
    for node in comrak::parse_document(&arena, source, &options).descendants() {
        match &node.data.borrow().value {
            NodeValue::Text(t) => out.push_str(t),
            NodeValue::Code(code) if code.literal.bytes().all(|b| b == b'@') => out.push_str(&code.literal),
            NodeValue::Document | NodeValue::Paragraph => {}
            other => return Err(format!("{other:?} of {source:?}")),
        }
    }
    Ok(out)
}
