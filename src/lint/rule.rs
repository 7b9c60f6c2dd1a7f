//! What a rule is, its page, and what it finds.

use crate::tree::{Diagnostic, Level, Positions, SourceFile, Tree};
use rayon::prelude::*;
use std::collections::{HashMap, HashSet};
use std::sync::Arc;

use super::file::FileView;
use super::flow::Flow;

/// What a rule looks at.
#[derive(Clone, Copy)]
pub enum Check {
    /// Nothing: the file is refused on loading, before any rule sees it.
    Loading,
    /// Each file by itself.
    File(fn(&FileView<'_>, &mut Found<'_>)),
    /// Each flat tree, and each procedure on its own, with what holds on every path.
    Paths(fn(&Flow<'_>, &mut Found<'_>)),
    /// All files and all flat trees at once.
    Whole(fn(&Whole<'_>, &mut Found<'_>)),
}

/// Everything that is checked together.
pub struct Whole<'a> {
    /// Every file.
    pub files: &'a [FileView<'a>],
    /// Every flat tree and every procedure on its own.
    pub flows: &'a [Flow<'a>],
}

/// One rule: an id that never changes, a level, a page and a function.
pub struct Rule {
    /// Its id, such as `loop`.
    pub id: &'static str,
    /// How grave what it finds is.
    pub level: Level,
    /// The text of the rule's own source file; its page is the comment that opens it.
    pub source: &'static str,
    /// The function.
    pub check: Check,
}

impl Rule {
    /// The lines of the comment that opens the rule's file, without the marks.
    fn lines(&self) -> impl Iterator<Item = &'static str> {
        self.source
            .lines()
            .map_while(|l| l.strip_prefix("//!"))
            .map(|l| l.strip_prefix(' ').unwrap_or(l).trim_end())
    }

    /// What it refuses, in one line.
    pub fn title(&self) -> &'static str {
        self.lines().next().unwrap_or("")
    }

    /// The paragraph of its page that begins with `word` and a colon, on one line, without the word.
    fn paragraph(&self, word: &str) -> String {
        let mut text = String::new();
        let mut inside = false;
        for line in self.lines() {
            match line.strip_prefix(word).and_then(|l| l.strip_prefix(": ")) {
                Some(first) => {
                    inside = true;
                    text.push_str(first);
                }
                None if line.is_empty() => inside = false,
                None if inside => {
                    text.push(' ');
                    text.push_str(line);
                }
                None => {}
            }
        }
        text
    }

    /// Why what it refuses is wrong.
    pub fn why(&self) -> String {
        self.paragraph("Why")
    }

    /// What to do about it.
    pub fn remedy(&self) -> String {
        self.paragraph("Remedy")
    }

    /// Its whole page, as `check --explain` shows it.
    pub fn page(&self) -> String {
        let mut page = format!("{} ({})\n\n", self.id, self.level.id());
        for line in self.lines() {
            page.push_str(line);
            page.push('\n');
        }
        page
    }
}

/// One thing found, before its place is looked up.
#[derive(Debug, Clone)]
pub struct Hit {
    rule: &'static str,
    level: Level,
    file: SourceFile,
    path: String,
    message: String,
    why: Option<String>,
    hint: Option<String>,
}

impl Hit {
    /// Says why in its own words instead of the rule's.
    pub fn why(&mut self, why: impl Into<String>) -> &mut Self {
        self.why = Some(why.into());
        self
    }

    /// Says what to do in its own words instead of the rule's.
    pub fn hint(&mut self, hint: impl Into<String>) -> &mut Self {
        self.hint = Some(hint.into());
        self
    }
}

/// Everything found so far.
#[derive(Default)]
pub(super) struct Sink {
    /// In the order found.
    pub hits: Vec<Hit>,
    seen: HashSet<(&'static str, String, String)>,
    /// The last repeat of something found before, which nobody reads.
    repeat: Option<Hit>,
}

/// Where a rule puts what it finds.
pub struct Found<'a> {
    rule: &'a Rule,
    sink: &'a mut Sink,
}

impl<'a> Found<'a> {
    pub(super) fn of(rule: &'a Rule, sink: &'a mut Sink) -> Self {
        Self { rule, sink }
    }

    /// Something wrong at `path` of `file`. The same rule at the same place is kept once, whichever tree it was found in.
    pub fn at(&mut self, file: &SourceFile, path: impl Into<String>, message: impl Into<String>) -> &mut Hit {
        let path = path.into();
        let new = self.sink.seen.insert((self.rule.id, file.name.clone(), path.clone()));
        let hit = Hit {
            rule: self.rule.id,
            level: self.rule.level,
            file: file.clone(),
            path,
            message: message.into(),
            why: None,
            hint: None,
        };
        if new {
            self.sink.hits.push(hit);
            let last = self.sink.hits.len() - 1;
            &mut self.sink.hits[last]
        } else {
            self.sink.repeat.insert(hit)
        }
    }

    /// Something wrong in a file.
    pub fn in_file(
        &mut self,
        view: &FileView<'_>,
        path: impl Into<String>,
        message: impl Into<String>,
    ) -> &mut Hit {
        self.at(&view.document.file, path, message)
    }

    /// Something wrong at something flat: `part` is `steps`, `findings`, `handovers` or `states`.
    pub fn in_tree(
        &mut self,
        tree: &Tree,
        part: &str,
        origin: &crate::tree::Origin,
        below: &str,
        message: impl Into<String>,
    ) -> &mut Hit {
        let (file, path) = tree.place_of(part, origin, below);
        let nowhere = SourceFile { name: tree.id.clone(), text: Arc::from("") };
        let file = file.cloned().unwrap_or(nowhere);
        self.at(&file, path, message)
    }
}

/// Looks every place up and puts everything in order: by file, then line.
pub(super) fn place(hits: Vec<Hit>, rules: &[&Rule]) -> Vec<Diagnostic> {
    let mut files: HashMap<&str, &SourceFile> = HashMap::new();
    for hit in &hits {
        files.entry(&hit.file.name).or_insert(&hit.file);
    }
    // Only files with something to say of are read again with places, and those side by side.
    let positions: HashMap<String, Positions> =
        files.into_par_iter().map(|(name, file)| (name.to_owned(), Positions::of(&file.text))).collect();
    let by_id: HashMap<&str, &Rule> = rules.iter().map(|r| (r.id, *r)).collect();
    let mut all: Vec<Diagnostic> = hits
        .into_iter()
        .filter_map(|hit| {
            let mut d = positions.get(&hit.file.name)?.diagnostic(&hit.file, &hit.path, hit.rule, hit.level);
            d.message = hit.message;
            let rule = by_id.get(hit.rule);
            let said = |own: Option<String>, page: Option<String>| own.or(page).filter(|t| !t.is_empty());
            d.why = said(hit.why, rule.map(|r| r.why()));
            d.hint = said(hit.hint, rule.map(|r| r.remedy()));
            Some(d)
        })
        .collect();
    all.sort_by(|a, b| {
        (&a.file, a.line, a.column, a.level, a.rule).cmp(&(&b.file, b.line, b.column, b.level, b.rule))
    });
    all
}

/// The place in a file of a key of a step.
pub(super) fn step_path(id: &str, below: &str) -> String {
    if below.is_empty() { format!("steps/{id}") } else { format!("steps/{id}/{below}") }
}
