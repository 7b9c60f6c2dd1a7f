//! From YAML text to dotted paths with their texts, places kept for messages.

use super::fields::{FIELDS, field};
use super::problem::{Problem, RigError};
use crate::terms::nearest;
use saphyr_parser::{Event, Parser};
use std::collections::BTreeMap;

/// A file larger than this is no rig file.
const MOST_BYTES: usize = 1 << 20;
const DEEPEST: usize = 32;

/// A value as written.
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    /// One scalar.
    Text(String),
    /// A list of scalars.
    List(Vec<String>),
    /// A list of lists of scalars.
    Rows(Vec<Vec<String>>),
}

/// The keys of a rig as written, by dotted path, in no order of importance.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RigText {
    /// Where it came from, for messages.
    pub source: String,
    /// What was written.
    pub values: BTreeMap<String, Value>,
    places: BTreeMap<String, (usize, usize)>,
}

#[derive(Debug)]
enum Node {
    Scalar(String),
    List(Vec<Node>),
    Map,
}

impl RigText {
    /// Where a key stands, line and column from 1.
    pub fn place(&self, path: &str) -> Option<(usize, usize)> {
        self.places.get(path).copied()
    }

    /// Reads YAML. Shape, keys and duplicates are checked here; values are checked when the rig is built.
    ///
    /// # Errors
    /// Everything that is wrong with the shape, at once.
    pub fn parse(source: &str, text: &str) -> Result<Self, RigError> {
        let mut reader =
            Reader { out: Self { source: source.to_owned(), ..Self::default() }, problems: Vec::new() };
        if text.len() > MOST_BYTES {
            reader.fail("", None, format!("expected at most {MOST_BYTES} bytes, found {}", text.len()));
        } else if text.contains('\0') {
            reader.fail("", None, "a NUL byte stands in the file; save it as plain UTF-8 text".into());
        } else {
            reader.read(text);
        }
        let Reader { out, problems } = reader;
        if problems.is_empty() { Ok(out) } else { Err(RigError { source: source.to_owned(), problems }) }
    }
}

struct Reader {
    out: RigText,
    problems: Vec<Problem>,
}

type Events<'a> = Parser<'a, saphyr_parser::StrInput<'a>>;

impl Reader {
    fn fail(&mut self, path: &str, at: Option<(usize, usize)>, message: String) {
        self.problems.push(Problem { path: path.to_owned(), at, message });
    }

    fn read(&mut self, text: &str) {
        let mut events = Parser::new_from_str(text);
        let mut documents = 0;
        loop {
            match events.next_event() {
                None => break,
                Some(Err(error)) => {
                    self.not_yaml(&error);
                    break;
                }
                Some(Ok((
                    Event::StreamStart | Event::StreamEnd | Event::DocumentEnd | Event::Nothing,
                    _,
                ))) => {}
                Some(Ok((Event::DocumentStart(_), span))) => {
                    documents += 1;
                    if documents > 1 {
                        let at = Some((span.start.line(), span.start.col() + 1));
                        self.fail("", at, "a second document starts here; keep one rig a file".into());
                        break;
                    }
                }
                Some(Ok((event, span))) => {
                    let at = (span.start.line(), span.start.col() + 1);
                    if let Node::Scalar(_) | Node::List(_) = self.node(&mut events, event, at, "", 0) {
                        self.fail("", Some(at), "expected keys with values, such as 'rig: my car'".into());
                    }
                    if !self.problems.is_empty() && documents == 0 {
                        break;
                    }
                }
            }
        }
        if documents == 0 && self.problems.is_empty() {
            self.fail("", None, "the file is empty; start with 'format: 1' and 'rig: NAME'".into());
        }
    }

    fn node(
        &mut self,
        events: &mut Events,
        event: Event,
        at: (usize, usize),
        path: &str,
        depth: usize,
    ) -> Node {
        if depth > DEEPEST {
            self.fail(path, Some(at), format!("nested deeper than {DEEPEST} levels"));
            return self.skip(events);
        }
        match event {
            Event::Scalar(text, _, anchor, tag) => {
                if anchor != 0 || tag.is_some() {
                    self.fail(
                        path,
                        Some(at),
                        "anchors and tags have no place in a rig file; write the value out".into(),
                    );
                }
                Node::Scalar(text.into_owned())
            }
            Event::SequenceStart(..) => {
                let mut items = Vec::new();
                loop {
                    match self.next(events) {
                        Some((Event::SequenceEnd, _)) | None => return Node::List(items),
                        Some((event, at)) => {
                            let item = self.node(events, event, at, path, depth + 1);
                            items.push(item);
                        }
                    }
                }
            }
            Event::MappingStart(..) => {
                self.map(events, path, depth);
                Node::Map
            }
            _ => {
                self.fail(path, Some(at), "aliases have no place in a rig file; write the value out".into());
                Node::Scalar(String::new())
            }
        }
    }

    /// The next event with its place; nothing at the end or after text that is no YAML, which is then on record.
    fn next<'a>(&mut self, events: &mut Events<'a>) -> Option<(Event<'a>, (usize, usize))> {
        match events.next_event()? {
            Ok((event, span)) => Some((event, (span.start.line(), span.start.col() + 1))),
            Err(error) => {
                self.not_yaml(&error);
                None
            }
        }
    }

    fn not_yaml(&mut self, error: &saphyr_parser::ScanError) {
        let m = error.marker();
        self.fail("", Some((m.line(), m.col() + 1)), format!("this is not YAML: {}", error.info()));
    }

    fn skip(&mut self, events: &mut Events) -> Node {
        while self.next(events).is_some() {}
        Node::Map
    }

    fn map(&mut self, events: &mut Events, path: &str, depth: usize) {
        loop {
            let (key, at) = match self.next(events) {
                Some((Event::Scalar(key, ..), at)) => (key.into_owned(), at),
                Some((Event::MappingEnd, _)) | None => return,
                Some((_, at)) => {
                    self.fail(path, Some(at), "expected a key, found a list or a map".into());
                    self.skip(events);
                    return;
                }
            };
            let path = if path.is_empty() { key.clone() } else { format!("{path}.{key}") };
            if self.out.places.insert(path.clone(), at).is_some() {
                self.fail(&path, Some(at), "this key stands here a second time; keep one".into());
            }
            let Some((event, value_at)) = self.next(events) else { return };
            match self.node(events, event, value_at, &path, depth + 1) {
                Node::Map => {}
                Node::Scalar(text) => self.put(&path, at, Value::Text(text)),
                Node::List(items) => match rows(items) {
                    Some(value) => self.put(&path, at, value),
                    None => {
                        self.fail(&path, Some(at), "expected a list of values or of rows of values".into());
                    }
                },
            }
        }
    }

    fn put(&mut self, path: &str, at: (usize, usize), value: Value) {
        if path == "format" {
            if value != Value::Text("1".into()) {
                self.fail(path, Some(at), "expected 'format: 1', the only format there is".into());
            }
            return;
        }
        if field(path).is_none() {
            let deeper =
                FIELDS.iter().any(|f| f.path.starts_with(path) && f.path[path.len()..].starts_with('.'));
            let absent = matches!(&value, Value::Text(t) if matches!(t.as_str(), "none" | "~" | ""));
            if deeper && absent {
                return;
            }
            let hint = match nearest(path, FIELDS.iter().map(|f| f.path)) {
                Some(near) => format!("; did you mean '{near}'?"),
                None if deeper => "; it takes keys of its own, such as {drop: 6 kPa, at: 200 L/h}".to_owned(),
                None => "; remove it or see the rig file's keys in the contributor guide".to_owned(),
            };
            self.fail(path, Some(at), format!("no such key in a rig file{hint}"));
            return;
        }
        self.out.values.insert(path.to_owned(), value);
    }
}

fn rows(items: Vec<Node>) -> Option<Value> {
    let scalar = |n: Node| if let Node::Scalar(text) = n { Some(text) } else { None };
    if items.iter().all(|n| matches!(n, Node::Scalar(_))) {
        return items.into_iter().map(scalar).collect::<Option<Vec<_>>>().map(Value::List);
    }
    items
        .into_iter()
        .map(|n| match n {
            Node::List(row) => row.into_iter().map(scalar).collect::<Option<Vec<_>>>(),
            _ => None,
        })
        .collect::<Option<Vec<_>>>()
        .map(Value::Rows)
}
