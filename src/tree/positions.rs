//! Line and column of any value, looked up by its path, for those who need to point at something.

use super::diagnostic::{Diagnostic, Level};
use super::graph::{Origin, SourceFile, Tree};
use super::node::{Node, Place, Value, read};

/// Where everything stands in one file.
#[derive(Debug, Clone)]
pub struct Positions {
    root: Option<Node>,
}

impl Positions {
    /// Reads `text` with the place-keeping reader. A text that is not YAML has no places.
    pub fn of(text: &str) -> Self {
        Self { root: read(text).0 }
    }

    pub(super) fn from_node(root: Option<Node>) -> Self {
        Self { root }
    }

    /// The place of the value at `path`, such as `steps/fit/low` or `steps/which/choose/0/when`.
    pub fn value(&self, path: &str) -> Option<Place> {
        let (found, place, _) = self.walk(path);
        found.then_some(place)
    }

    /// The place of the key that ends `path`.
    pub fn key(&self, path: &str) -> Option<Place> {
        let (found, _, key) = self.walk(path);
        if found { key } else { None }
    }

    /// The place of the value at `path`, or of the key of the nearest thing around it that is there. A map is marked by its
    /// key.
    pub fn nearest(&self, path: &str) -> Place {
        let (found, value, key) = self.walk(path);
        match key {
            Some(key) if !found || value.length == 0 => key,
            _ => value,
        }
    }

    /// As far along `path` as the file goes: whether all of it, the place of the value there and of its key.
    fn walk(&self, path: &str) -> (bool, Place, Option<Place>) {
        let Some(mut node) = self.root.as_ref() else { return (false, Place::default(), None) };
        let mut key = None;
        for part in path.split('/').filter(|p| !p.is_empty()) {
            match &node.value {
                Value::Map(entries) => match entries.iter().find(|(name, ..)| name == part) {
                    Some((_, place, child)) => (node, key) = (child, Some(*place)),
                    None => return (false, node.place, key),
                },
                Value::List(items) => match part.parse::<usize>().ok().and_then(|i| items.get(i)) {
                    Some(child) => (node, key) = (child, None),
                    None => return (false, node.place, key),
                },
                Value::Scalar(..) => return (false, node.place, key),
            }
        }
        (true, node.place, key)
    }

    /// A diagnostic at the key that ends `path`, with its excerpt; where there is no such key, as
    /// [`Positions::diagnostic`].
    pub fn diagnostic_at_key(
        &self,
        file: &SourceFile,
        path: &str,
        rule: &'static str,
        level: Level,
    ) -> Diagnostic {
        at_place(file, self.key(path).unwrap_or_else(|| self.nearest(path)), rule, level)
    }

    /// A diagnostic at `path` of `file`, with its excerpt; [`Positions::nearest`] says where.
    pub fn diagnostic(&self, file: &SourceFile, path: &str, rule: &'static str, level: Level) -> Diagnostic {
        at_place(file, self.nearest(path), rule, level)
    }
}

/// An empty diagnostic at `place` of `file`, with the line as excerpt.
pub(super) fn at_place(file: &SourceFile, place: Place, rule: &'static str, level: Level) -> Diagnostic {
    let excerpt = place.line.checked_sub(1).and_then(|i| file.text.lines().nth(i));
    Diagnostic {
        rule,
        level,
        file: file.name.clone(),
        line: place.line,
        column: place.column,
        message: String::new(),
        why: None,
        hint: None,
        excerpt: excerpt.map(|line| line.chars().take(400).collect()),
        length: place.length,
    }
}

impl Tree {
    /// The file and the path in it of something flat: `part` is `steps`, `findings`, `handovers` or `states`, `below` goes on
    /// from there (`low`, `answers/wet/next`, or nothing). The path is for [`Positions`].
    pub fn place_of<'a>(
        &'a self,
        part: &str,
        origin: &Origin,
        below: &str,
    ) -> (Option<&'a SourceFile>, String) {
        let path = if below.is_empty() {
            format!("{part}/{}", origin.id)
        } else {
            format!("{part}/{}/{below}", origin.id)
        };
        (self.files.get(origin.file), path)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "format: 1\nsteps:\n  a:\n    do: Look.\n    answers: {dry: {next: b}, wet: {next: c}}\n    choose:\n      - {next: d}\n";

    #[test]
    fn every_value_is_found_where_it_stands() {
        let p = Positions::of(TEXT);
        let at = |path: &str| p.value(path).map(|x| (x.line, x.column, x.length));
        assert_eq!(at("format"), Some((1, 9, 1)));
        assert_eq!(at("steps/a/do"), Some((4, 9, 5)));
        assert_eq!(at("steps/a/answers/wet/next"), Some((5, 43, 1)));
        assert_eq!(at("steps/a/choose/0/next"), Some((7, 16, 1)));
        assert_eq!(at("steps/a/low"), None);
        assert_eq!(p.key("steps/a").map(|x| (x.line, x.column, x.length)), Some((3, 3, 1)));
    }

    #[test]
    fn what_is_missing_is_shown_at_the_key_around_it() {
        let p = Positions::of(TEXT);
        assert_eq!(p.nearest("steps/a/low"), p.key("steps/a").unwrap());
        assert_eq!(p.nearest("steps/a"), p.key("steps/a").unwrap());
        assert_eq!((p.nearest("title").line, p.nearest("title").column), (1, 1));
    }
}
