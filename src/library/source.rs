//! The two kinds of library, and what is in them.

use super::flatten::{Documents, flatten, flatten_procedure};
use crate::terms::{Complaint, nearest};
use crate::tree::{
    Diagnostic, Document, FileKind, Heading, Level, MAX_FILE_BYTES, SourceFile, Tree, heading, load,
    read_text,
};
use include_dir::{Dir, include_dir};
use std::io::Read as _;
use std::path::{Component, Path, PathBuf};
use std::sync::Arc;

static EMBEDDED: Dir<'static> = include_dir!("$CARGO_MANIFEST_DIR/trees");

/// Where files come from.
#[derive(Debug, Clone)]
enum From {
    Embedded,
    Folder(PathBuf),
}

/// A set of trees and procedures.
#[derive(Debug, Clone)]
pub struct Library {
    from: From,
}

/// One file of a library, by its heading.
#[derive(Debug, Clone, PartialEq)]
pub struct Listed {
    /// Its path in the library without the ending, such as `procedures/fit-gauge`.
    pub path: String,
    /// What its heading says.
    pub heading: Heading,
}

/// A tree that answers a complaint.
#[derive(Debug, Clone, PartialEq)]
pub struct Answering {
    /// Its id.
    pub id: String,
    /// Its title.
    pub title: String,
    /// The paragraph about it; empty where there is none.
    pub about: String,
}

fn complaint(name: &str, rule: &'static str, message: String, hint: &str) -> Diagnostic {
    Diagnostic {
        rule,
        level: Level::Error,
        file: name.to_owned(),
        line: 0,
        column: 0,
        message,
        why: None,
        hint: Some(hint.to_owned()),
        excerpt: None,
        length: 0,
    }
}

impl Library {
    /// The trees built into the program.
    pub fn embedded() -> Self {
        Self { from: From::Embedded }
    }

    /// The trees of a folder.
    ///
    /// # Errors
    /// In words, where the folder is none or can't be reached.
    pub fn open(folder: &Path) -> Result<Self, String> {
        match folder.canonicalize() {
            Ok(path) if path.is_dir() => Ok(Self { from: From::Folder(path) }),
            Ok(_) => Err(format!("expected a folder of trees, found a file: {}", folder.display())),
            Err(error) => Err(format!("could not open the folder of trees {}: {error}", folder.display())),
        }
    }

    /// Every file, by its path without the ending, in the order of their paths.
    pub fn paths(&self) -> Vec<String> {
        let mut paths = Vec::new();
        match &self.from {
            From::Embedded => embedded_paths(&EMBEDDED, &mut paths),
            From::Folder(root) => folder_paths(root, root, 0, &mut paths),
        }
        paths.sort();
        paths
    }

    /// Every file by its heading; files that have none are left out, loading them says why.
    pub fn list(&self) -> Vec<Listed> {
        let read = |path: String| {
            let file = self.file(&path).ok()?;
            heading(&file).map(|heading| Listed { path, heading })
        };
        self.paths().into_iter().filter_map(read).collect()
    }

    /// The trees, by their headings.
    pub fn trees(&self) -> Vec<Listed> {
        self.list().into_iter().filter(|l| l.heading.tree.is_some()).collect()
    }

    /// Trees that answer these kinds of complaint, those that answer most of them first, and among equals those
    /// that name one of them earliest.
    pub fn answering(&self, kinds: &[Complaint]) -> Vec<Answering> {
        let mut fits: Vec<((usize, usize, usize), Answering)> = self
            .trees()
            .into_iter()
            .filter_map(|listed| {
                let id = listed.heading.tree.clone()?;
                let at = |kind: &Complaint| listed.heading.complaints.iter().position(|c| c == kind);
                let hits = kinds.iter().filter(|k| at(k).is_some()).count();
                let first = kinds.iter().filter_map(at).min()?;
                // Of trees that fit as well, the one for what was said first.
                let said = kinds.iter().position(|k| at(k).is_some())?;
                let about = listed.heading.about.unwrap_or_default();
                Some(((usize::MAX - hits, first, said), Answering { id, title: listed.heading.title, about }))
            })
            .collect();
        fits.sort_by_key(|fit| fit.0);
        fits.into_iter().map(|(_, fit)| fit).collect()
    }

    /// The text of a file by its path without the ending.
    ///
    /// # Errors
    /// A path that leads out, a file that is none, is too large or no text.
    pub fn file(&self, path: &str) -> Result<SourceFile, Vec<Diagnostic>> {
        let name = format!("{path}.yaml");
        let shown = match &self.from {
            From::Embedded => format!("trees/{name}"),
            From::Folder(root) => root.join(&name).display().to_string(),
        };
        let refuse = |rule, message: String, hint: &str| Err(vec![complaint(&shown, rule, message, hint)]);
        let plain = Path::new(&name).components().all(|c| matches!(c, Component::Normal(_)));
        if !plain || path.contains('\\') || path.contains(':') {
            return refuse(
                "include-path",
                format!("'{path}' leads out of the library"),
                "name a file of this library, such as procedures/fit-gauge",
            );
        }
        match &self.from {
            From::Embedded => match EMBEDDED.get_file(&name) {
                Some(file) => read_text(&shown, file.contents()),
                None => refuse(
                    "no-such-file",
                    format!("there is no file {name} in the library"),
                    &self.near(path),
                ),
            },
            From::Folder(root) => {
                let full = root.join(&name);
                match full.canonicalize() {
                    Ok(real) if !real.starts_with(root) => refuse(
                        "include-path",
                        format!("'{path}' is a link that leads out of the library"),
                        "put the file itself into the library",
                    ),
                    Ok(real) if !real.is_file() => {
                        refuse("include-path", format!("'{path}' is not a plain file"), "name a file")
                    }
                    Ok(real) => match read_capped(&real) {
                        Ok(bytes) => read_text(&shown, &bytes),
                        Err(error) => refuse(
                            "unreadable",
                            format!("could not be read: {error}"),
                            "check its permissions",
                        ),
                    },
                    Err(_) => refuse(
                        "no-such-file",
                        format!("there is no file {name} in the library"),
                        &self.near(path),
                    ),
                }
            }
        }
    }

    /// The name inside the library of a file shown as `name`.
    pub(super) fn inside<'a>(&self, name: &'a str) -> &'a str {
        let root = match &self.from {
            From::Embedded => "trees".to_owned(),
            From::Folder(root) => root.display().to_string(),
        };
        name.strip_prefix(&root).map_or(name, |rest| rest.trim_start_matches(['/', '\\']))
    }

    fn near(&self, path: &str) -> String {
        let paths = self.paths();
        nearest(path, paths.iter().map(String::as_str)).map_or_else(
            || "'faultwalk trees' lists what there is".to_owned(),
            |n| format!("did you mean '{n}'?"),
        )
    }

    /// One file as authored.
    ///
    /// # Errors
    /// Everything wrong with it.
    pub fn document(&self, path: &str) -> Result<Document, Vec<Diagnostic>> {
        load(&self.file(path)?)
    }

    /// A tree by its path or id, flat.
    ///
    /// # Errors
    /// Everything wrong with it and with what it includes.
    pub fn tree(&self, id: &str) -> Result<Tree, Vec<Diagnostic>> {
        self.flat(&Arc::new(self.document(id)?), &Documents::new())
    }

    /// A tree from a text that need not stand in the library; its includes do.
    ///
    /// # Errors
    /// As for [`Library::tree`].
    pub fn tree_from(&self, file: &SourceFile) -> Result<Tree, Vec<Diagnostic>> {
        self.flat(&Arc::new(load(file)?), &Documents::new())
    }

    pub(super) fn flat(&self, document: &Arc<Document>, shared: &Documents) -> Result<Tree, Vec<Diagnostic>> {
        match document.kind {
            FileKind::Tree => flatten(self, document, shared),
            FileKind::Procedure => flatten_procedure(self, document, shared),
        }
    }
}

/// The bytes of a file, but never more than a byte above the cap.
fn read_capped(path: &Path) -> std::io::Result<Vec<u8>> {
    let most = u64::try_from(MAX_FILE_BYTES).unwrap_or(u64::MAX).saturating_add(1);
    let mut bytes = Vec::new();
    std::fs::File::open(path)?.take(most).read_to_end(&mut bytes)?;
    Ok(bytes)
}

fn embedded_paths(dir: &Dir<'static>, paths: &mut Vec<String>) {
    for file in dir.files() {
        if let Some(path) = file.path().to_str().and_then(|p| p.strip_suffix(".yaml")) {
            paths.push(path.to_owned());
        }
    }
    for dir in dir.dirs() {
        embedded_paths(dir, paths);
    }
}

fn folder_paths(root: &Path, folder: &Path, depth: usize, paths: &mut Vec<String>) {
    let Ok(entries) = std::fs::read_dir(folder) else { return };
    for path in entries.filter_map(Result::ok).map(|e| e.path()) {
        if path.is_dir() && depth < 8 && !path.is_symlink() {
            folder_paths(root, &path, depth + 1, paths);
        } else if let Some(relative) = path.strip_prefix(root).ok().and_then(Path::to_str)
            && let Some(stem) = relative.strip_suffix(".yaml")
        {
            paths.push(stem.replace('\\', "/"));
        }
    }
}
