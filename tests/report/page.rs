//! A strict reader of our own HTML: every tag closed, only the elements and attributes a report needs, nothing that runs or
//! reaches outside.

const VOID: &[&str] = &["meta", "col", "br"];
const ELEMENTS: &[&str] = &[
    "html",
    "head",
    "meta",
    "title",
    "style",
    "body",
    "header",
    "main",
    "section",
    "footer",
    "h1",
    "h2",
    "p",
    "dl",
    "dt",
    "dd",
    "ul",
    "li",
    "table",
    "colgroup",
    "col",
    "thead",
    "tbody",
    "tr",
    "th",
    "td",
    "span",
    "b",
    "em",
    "code",
    "div",
    "figure",
    "figcaption",
    "svg",
    "text",
    "line",
    "rect",
    "path",
    "circle",
];
const ATTRIBUTES: &[&str] = &[
    "lang",
    "charset",
    "http-equiv",
    "content",
    "name",
    "class",
    "data-label",
    "viewBox",
    "role",
    "x",
    "y",
    "x1",
    "y1",
    "x2",
    "y2",
    "cx",
    "cy",
    "r",
    "rx",
    "width",
    "height",
    "d",
    "text-anchor",
];

/// The text a reader sees, or what is wrong.
pub fn read(page: &str) -> Result<String, String> {
    let mut rest = page.strip_prefix("<!DOCTYPE html>").ok_or("no doctype")?;
    let mut open: Vec<String> = Vec::new();
    let mut seen = String::new();
    while let Some(at) = rest.find('<') {
        seen.push_str(&unescaped(&rest[..at])?);
        rest = &rest[at + 1..];
        let end =
            tag_end(rest).ok_or_else(|| format!("a tag without an end: {}", &rest[..rest.len().min(60)]))?;
        let (tag, after) = (&rest[..end], &rest[end + 1..]);
        rest = after;
        if let Some(name) = tag.strip_prefix('/') {
            let last = open.pop().ok_or_else(|| format!("</{name}> closes nothing"))?;
            if last != name {
                return Err(format!("</{name}> closes <{last}>"));
            }
            continue;
        }
        let (name, attributes) = tag.split_once(' ').unwrap_or((tag, ""));
        let (name, closed) = match name.strip_suffix('/') {
            Some(name) => (name, true),
            None => (name, attributes.ends_with('/')),
        };
        if !ELEMENTS.contains(&name) {
            return Err(format!("element <{name}>"));
        }
        self::attributes(name, attributes.trim_end_matches('/'))?;
        if name == "style" {
            let end = rest.find("</style>").ok_or("style without an end")?;
            style(&rest[..end])?;
            rest = &rest[end + "</style>".len()..];
            continue;
        }
        if !closed && !VOID.contains(&name) {
            open.push(name.to_owned());
        }
    }
    seen.push_str(&unescaped(rest)?);
    if open.is_empty() { Ok(seen) } else { Err(format!("left open: {open:?}")) }
}

/// Where a tag ends: the first `>` outside quotes.
fn tag_end(text: &str) -> Option<usize> {
    let mut quoted = false;
    for (at, c) in text.char_indices() {
        match c {
            '"' => quoted = !quoted,
            '>' if !quoted => return Some(at),
            _ => {}
        }
    }
    None
}

fn attributes(element: &str, mut rest: &str) -> Result<(), String> {
    while !rest.trim().is_empty() {
        rest = rest.trim_start();
        let (name, after) =
            rest.split_once("=\"").ok_or_else(|| format!("attribute without quotes: {rest}"))?;
        let (value, after) = after.split_once('"').ok_or_else(|| format!("value without an end: {after}"))?;
        rest = after;
        if !ATTRIBUTES.contains(&name) {
            return Err(format!("attribute {name} of <{element}>"));
        }
        let value = unescaped(value)?;
        if value.contains("//") || value.contains("url(") || value.to_lowercase().contains("script:") {
            return Err(format!("{name}=\"{value}\""));
        }
        let words = |c: char| c.is_ascii_alphanumeric() || matches!(c, ' ' | '-' | '.');
        if name == "class" && !value.chars().all(words) {
            return Err(format!("class \"{value}\""));
        }
    }
    Ok(())
}

fn style(sheet: &str) -> Result<(), String> {
    let reaches = ["url(", "@import", "expression", "//", "<", "\\"].iter().find(|w| sheet.contains(**w));
    reaches.map_or(Ok(()), |w| Err(format!("the style sheet holds {w}")))
}

/// Undoes character references; any that are not the five, by name or number, are wrong.
fn unescaped(text: &str) -> Result<String, String> {
    let mut out = String::new();
    let mut rest = text;
    while let Some(at) = rest.find('&') {
        out.push_str(&rest[..at]);
        let end = rest[at..].find(';').ok_or_else(|| format!("a bare & in {text}"))?;
        out.push(match &rest[at + 1..at + end] {
            "amp" | "#38" => '&',
            "lt" | "#60" => '<',
            "gt" | "#62" => '>',
            "quot" | "#34" => '"',
            "#39" => '\'',
            other => return Err(format!("&{other};")),
        });
        rest = &rest[at + end + 1..];
    }
    out.push_str(rest);
    if out.contains(['\u{0}', '\u{1b}', '\u{202e}', '\u{200b}']) {
        return Err(format!("a hidden character in {out:?}"));
    }
    Ok(out)
}

#[test]
fn the_reader_refuses_what_it_should() {
    let page = |body: &str| format!("<!DOCTYPE html><html lang=\"en\"><body>{body}</body></html>");
    assert_eq!(read(&page("<p>a &lt; b</p>")).unwrap(), "a < b");
    for bad in [
        "<script>alert(1)</script>",
        "<p onclick=\"x\">a</p>",
        "<img>",
        "<p>a",
        "<p class=\"a\"><b>x</p></b>",
        "a & b",
        "<p style=\"x\">a</p>",
        "<style>a { background: url(x) }</style>",
        "<p data-label=\"https://e.example\">a</p>",
        "<p class=\"a;b\">a</p>",
        "\u{202e}",
    ] {
        assert!(read(&page(bad)).is_err(), "{bad}");
    }
}
