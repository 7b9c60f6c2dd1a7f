//! The second reader: the whole file as a tree of values that know their places, and what the language never takes.

use super::source::MAX_DEPTH;
use saphyr_parser::{Event, Parser, ScalarStyle, Span};
use std::collections::HashSet;

/// A place in a text: line and column from 1, length in characters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Place {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// Length in characters; 0 marks one place.
    pub length: usize,
}

impl Place {
    fn of(span: Span) -> Self {
        let length = if span.start.line() == span.end.line() { span.len() } else { 0 };
        Self { line: span.start.line(), column: span.start.col() + 1, length }
    }
}

const TOO_DEEP: (&str, &str) =
    ("no tree needs that depth; a damaged or hostile file does", "look for brackets that are never closed");

/// One value of a file.
#[derive(Debug, Clone)]
pub(super) struct Node {
    pub place: Place,
    pub value: Value,
}

/// What a value is.
#[derive(Debug, Clone)]
pub(super) enum Value {
    /// A scalar's text, and whether it stands without quotes.
    Scalar(String, bool),
    List(Vec<Node>),
    /// Keys with their places, in the order written.
    Map(Vec<(String, Place, Node)>),
}

/// Something the language does not take.
#[derive(Debug, Clone)]
pub(super) struct Refused {
    pub rule: &'static str,
    pub place: Place,
    pub message: String,
    pub why: &'static str,
    pub hint: &'static str,
}

/// A container that is still open, with the key its next value belongs to.
struct Open {
    node: Node,
    key: Option<(String, Place)>,
}

/// Reads `text` whole. What could be read is returned even where something is refused; `None` if nothing could.
pub(super) fn read(text: &str) -> (Option<Node>, Vec<Refused>) {
    let mut reader = Reader { open: Vec::new(), root: None, refused: Vec::new(), seen: HashSet::new() };
    let mut documents = 0;
    for event in Parser::new_from_str(text) {
        match event {
            Ok((Event::DocumentStart(_), span)) => {
                documents += 1;
                if documents > 1 {
                    reader.refuse(
                        "several-documents",
                        span,
                        "a second document begins here".to_owned(),
                        "one file is one tree or one procedure",
                        "move it to a file of its own",
                    );
                    break;
                }
            }
            Ok((event, span)) => {
                if !reader.take(event, span) {
                    break;
                }
            }
            Err(e) => {
                let place = Place { line: e.marker().line(), column: e.marker().col() + 1, length: 0 };
                // The scanner looks ahead of the events, and gives up on brackets nested too deep for itself.
                let too_deep = e.info().contains("recursion limit");
                reader.refused.push(if too_deep {
                    Refused {
                        rule: "too-deep",
                        place,
                        message: format!("this is nested more than {MAX_DEPTH} deep"),
                        why: TOO_DEEP.0,
                        hint: TOO_DEEP.1,
                    }
                } else {
                    Refused {
                        rule: "yaml",
                        place,
                        message: format!("this is not YAML: {}", e.info()),
                        why: "nothing after this place can be read",
                        hint: "check quotes, colons and indentation just before it",
                    }
                });
                break;
            }
        }
    }
    // A text cut short by a refusal is still looked at as far as it went.
    while let Some(open) = reader.open.pop() {
        reader.place_value(open.node);
    }
    (reader.root, reader.refused)
}

struct Reader {
    open: Vec<Open>,
    root: Option<Node>,
    refused: Vec<Refused>,
    seen: HashSet<(&'static str, usize)>,
}

impl Reader {
    fn refuse(
        &mut self,
        rule: &'static str,
        span: Span,
        message: String,
        why: &'static str,
        hint: &'static str,
    ) {
        if self.seen.insert((rule, span.start.line())) {
            self.refused.push(Refused { rule, place: Place::of(span), message, why, hint });
        }
    }

    fn marks(&mut self, anchor: usize, tagged: bool, span: Span) {
        if anchor > 0 {
            self.refuse(
                "anchor",
                span,
                "this value has an anchor (&name)".to_owned(),
                "anchors and aliases make a file mean more than it says",
                "write the value out where it is used",
            );
        }
        if tagged {
            self.refuse(
                "tag",
                span,
                "this value has a tag (!name)".to_owned(),
                "every value here has one meaning without tags",
                "remove the tag",
            );
        }
    }

    /// Takes one event in; false where reading must stop.
    fn take(&mut self, event: Event<'_>, span: Span) -> bool {
        match event {
            Event::Scalar(text, style, anchor, tag) => {
                self.marks(anchor, tag.is_some(), span);
                let plain = style == ScalarStyle::Plain;
                self.scalar(text.into_owned(), plain, Place::of(span));
            }
            Event::SequenceStart(anchor, tag) => {
                self.marks(anchor, tag.is_some(), span);
                return self.enter(Value::List(Vec::new()), span);
            }
            Event::MappingStart(anchor, tag) => {
                self.marks(anchor, tag.is_some(), span);
                return self.enter(Value::Map(Vec::new()), span);
            }
            Event::SequenceEnd | Event::MappingEnd => {
                if let Some(open) = self.open.pop() {
                    self.place_value(open.node);
                }
            }
            Event::Alias(_) => {
                self.refuse(
                    "anchor",
                    span,
                    "this is an alias (*name)".to_owned(),
                    "anchors and aliases make a file mean more than it says",
                    "write the value out",
                );
                self.scalar(String::new(), false, Place::of(span));
            }
            _ => {}
        }
        true
    }

    fn enter(&mut self, value: Value, span: Span) -> bool {
        if self.open.len() >= MAX_DEPTH {
            self.refuse(
                "too-deep",
                span,
                format!("this is nested more than {MAX_DEPTH} deep"),
                TOO_DEEP.0,
                TOO_DEEP.1,
            );
            return false;
        }
        // A map's own place is where it begins, not its whole extent.
        let place = Place { length: 0, ..Place::of(span) };
        self.open.push(Open { node: Node { place, value }, key: None });
        true
    }

    fn scalar(&mut self, text: String, plain: bool, place: Place) {
        if let Some(Open { node: Node { value: Value::Map(_), .. }, key: key @ None }) = self.open.last_mut()
        {
            *key = Some((text, place));
        } else {
            self.place_value(Node { place, value: Value::Scalar(text, plain) });
        }
    }

    /// Puts a finished value where it belongs.
    fn place_value(&mut self, node: Node) {
        let Some(open) = self.open.last_mut() else {
            self.root = Some(node);
            return;
        };
        match &mut open.node.value {
            Value::List(items) => items.push(node),
            Value::Map(entries) => {
                if let Some((key, place)) = open.key.take() {
                    entries.push((key, place, node));
                } else {
                    self.refused.push(Refused {
                        rule: "key-is-no-text",
                        place: node.place,
                        message: "a map or a list stands where a key belongs".to_owned(),
                        why: "keys are plain words",
                        hint: "check the colon and the brackets here",
                    });
                    open.key = Some((String::new(), node.place));
                }
            }
            Value::Scalar(..) => {}
        }
    }
}
