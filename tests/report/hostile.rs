//! Requirement 10: whatever is typed is inert in every form.

use super::{FILTER, Walked, header, journal, page, rig, tree, walked};
use comrak::nodes::NodeValue;
use faultwalk::case::{Entry, scan};
use faultwalk::report::{COLUMNS, Report, case_rows, html, markdown};
use faultwalk::session::car_facts;
use faultwalk::text::one_line;
use faultwalk::walk::{Event, LogFile, Reason};

const PAYLOADS: &[&str] = &[
    "<script>alert(1)</script>",
    "\"><img src=x onerror=alert(1)>",
    "' onmouseover='alert(1)",
    "</style><script>alert(1)</script>",
    "</title><svg onload=alert(1)>",
    "<a href=\"javascript:alert(1)\">a</a>",
    "<iframe src=\"http://e.example\"></iframe>",
    "--><b>a</b><!--",
    "{{ 7 * 7 }} {% raw %}",
    "&lt;b&gt; &amp; & ' \" < >",
    "[a](javascript:alert(1))",
    "![a](http://e.example/p.png)",
    "http://e.example www.e.example a@e.example",
    "a | b | c",
    "# heading",
    "```\ncode",
    "- [ ] task\n- item",
    "line\r\nsecond\n\n# third",
    "\u{1b}]52;c;aGk=\u{7}\u{1b}[31mred",
    "fuel\u{202e}pmup\u{200b}\u{0}",
    "=HYPERLINK(\"http://e.example\")",
    "+1+cmd|' /C calc'!A0",
    "@SUM(1)",
    "-2+3",
    "\t=1",
];

/// A case in which every text that a person or a file can give is `payload`. Nothing is measured in it.
fn hostile(payload: &str) -> Walked {
    let tree = tree();
    let mut car = rig("orchard-pickup");
    payload.clone_into(&mut car.name);
    if let Some(fact) = car.facts.first_mut() {
        payload.clone_into(&mut fact.text);
    }
    let note = Some(payload.to_owned());
    let begun = Event::Begun { tree: tree.id.clone(), digest: tree.digest.clone(), facts: car_facts(&car) };
    let mut header = header("orchard-pickup", payload, &tree);
    payload.clone_into(&mut header.program);
    let walk = [
        begun,
        Event::NoteAdded { step: None, text: payload.to_owned(), private: false },
        Event::CannotDo { step: "leak".into(), reason: Reason::NoAccess, note: note.clone() },
        Event::LogRead {
            log: LogFile { file: payload.to_owned(), digest: payload.to_owned() },
            readings: Vec::new(),
        },
        Event::LeakReported { note: note.clone() },
        Event::LeakMended { note: note.clone() },
        Event::HandedOver { note },
    ];
    let entries = std::iter::once(Entry::Header(header)).chain(walk.into_iter().map(Entry::Walk));
    let lines = scan::<Entry>(&journal(entries.collect())).lines;
    Walked { lines, tree, rig: car }
}

/// How often a payload stands in a report as text.
fn times(text: &str, payload: &str) -> usize {
    text.matches(&one_line(payload)).count()
}

#[test]
fn requirement_10_html_runs_nothing_and_asks_for_nothing() {
    for payload in PAYLOADS {
        let r = hostile(payload).report();
        let page = html(&r).unwrap();
        let seen = page::read(&page).unwrap_or_else(|why| panic!("{payload:?}: {why}"));
        // Title, heading, complaint, a fact, the step's note in two places, four notes, the program.
        assert!(times(&seen, payload) >= 10, "{payload:?} stands {} times", times(&seen, payload));
        assert!(page.contains("default-src 'none'"), "the page says itself that nothing may be loaded");
    }
    let whole = html(&walked(FILTER, Vec::new()).report()).unwrap();
    page::read(&whole).unwrap();
}

#[test]
fn requirement_10_drawings_and_tables_are_inert_too() {
    // Texts that a journal can hold in a reading, though no session would write them.
    for payload in PAYLOADS {
        let mut r: Report = hostile("x").report();
        let mut full = walked(FILTER, Vec::new()).report();
        r.circuit = std::mem::take(&mut full.circuit);
        for station in &mut r.circuit {
            station.name = one_line(payload);
            station.readings = vec![one_line(payload)];
        }
        r.steps = std::mem::take(&mut full.steps);
        for row in &mut r.steps {
            row.title = one_line(payload);
            row.given = one_line(payload);
            row.instrument = Some(one_line(payload));
        }
        let seen = page::read(&html(&r).unwrap()).unwrap_or_else(|why| panic!("{payload:?}: {why}"));
        assert!(times(&seen, payload) >= 20, "{payload:?}");
        break_free(&markdown(&r), payload);
    }
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
    options
}

/// Fails where a text got out of its place: anything but headings, lists, tables, quotes, bold and code of our own.
fn break_free(text: &str, payload: &str) {
    let arena = comrak::Arena::new();
    let mut headings = Vec::new();
    for node in comrak::parse_document(&arena, text, &options()).descendants() {
        match &node.data.borrow().value {
            NodeValue::Link(_)
            | NodeValue::Image(_)
            | NodeValue::HtmlBlock(_)
            | NodeValue::HtmlInline(_)
            | NodeValue::TaskItem(_)
            | NodeValue::FootnoteDefinition(_)
            | NodeValue::ThematicBreak
            | NodeValue::Strikethrough => panic!("{payload:?} got out as {:?}", node.data.borrow().value),
            NodeValue::Heading(h) => headings.push(h.level),
            NodeValue::CodeBlock(block) => {
                assert!(block.literal.contains('|'), "only scales are code: {payload:?}");
            }
            _ => {}
        }
    }
    headings.sort_unstable();
    assert_eq!(headings[0], 1, "{payload:?}");
    assert!(headings[1..].iter().all(|l| *l == 2), "{payload:?}");
}

#[test]
fn requirement_10_markdown_is_inert() {
    for payload in PAYLOADS {
        let text = markdown(&hostile(payload).report());
        break_free(&text, payload);
        assert!(
            !text.contains('\u{1b}') && !text.contains('\u{202e}') && !text.contains('\r'),
            "{payload:?}"
        );
        let headings = |t: &str| t.lines().filter(|l| l.starts_with("## ")).count();
        assert_eq!(headings(&text), headings(&markdown(&hostile("plain").report())), "{payload:?}");
    }
}

#[test]
fn requirement_10_csv_cells_start_no_formula() {
    for payload in PAYLOADS {
        let case = hostile(payload);
        let rows = case_rows("20260202-case", &case.lines, Some(&case.tree));
        let mut writer = csv::Writer::from_writer(Vec::new());
        for row in &rows {
            assert_eq!(row.cells().len(), COLUMNS.len());
            writer.write_record(row.cells()).unwrap();
        }
        let bytes = writer.into_inner().unwrap();
        let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(bytes.as_slice());
        let mut cells = 0;
        for record in reader.records() {
            for cell in &record.unwrap() {
                cells += 1;
                let number = cell.parse::<f64>().is_ok();
                assert!(
                    number || !cell.starts_with(['=', '+', '-', '@', '\t', '\r']),
                    "{payload:?}: {cell:?}"
                );
                assert!(!cell.chars().any(char::is_control), "{cell:?}");
            }
        }
        assert_eq!(cells, rows.len() * COLUMNS.len());
    }
}
