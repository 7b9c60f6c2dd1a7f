//! Many files of a library at once, each read and parsed once however many trees include it.

use super::flatten::Documents;
use super::source::Library;
use crate::tree::{Diagnostic, Document, Level, MAX_STEPS, SourceFile, Tree, load};
use rayon::prelude::*;
use std::collections::HashSet;
use std::sync::Arc;

/// A file by its path, loaded or refused.
type Named = (String, Result<Arc<Document>, Vec<Diagnostic>>);

/// Files as authored and their flat graphs.
#[derive(Debug, Clone, Default)]
pub struct Loaded {
    /// The files that could be loaded, in the order asked for.
    pub documents: Vec<Arc<Document>>,
    /// Their flat graphs: trees, and procedures on their own.
    pub graphs: Vec<Tree>,
    /// Everything that loading refused.
    pub problems: Vec<Diagnostic>,
}

impl Library {
    /// Loads the files at `paths` (without the ending) and lays out the graph of each.
    pub fn load_all(&self, paths: &[String]) -> Loaded {
        let named: Vec<Named> =
            paths.par_iter().map(|path| (path.clone(), self.document(path).map(Arc::new))).collect();
        self.lay_out(named)
    }

    /// Loads files that need not stand in the library, each called by its path there; a file of the library with the same path
    /// is passed over.
    pub fn load_texts(&self, files: Vec<(String, SourceFile)>) -> Loaded {
        let named = files.into_par_iter().map(|(path, file)| (path, load(&file).map(Arc::new))).collect();
        self.lay_out(named)
    }

    fn lay_out(&self, named: Vec<Named>) -> Loaded {
        let mut loaded = Loaded::default();
        for (_, result) in &named {
            match result {
                Ok(document) => loaded.documents.push(Arc::clone(document)),
                Err(problems) => loaded.problems.extend(problems.iter().cloned()),
            }
        }
        let steps: usize = loaded.documents.iter().map(|d| d.steps.len()).sum();
        if steps > MAX_STEPS {
            loaded.problems.push(Diagnostic {
                rule: "too-many-steps",
                level: Level::Error,
                file: loaded.documents.first().map_or_else(String::new, |d| d.file.name.clone()),
                line: 0,
                column: 0,
                message: format!("the library has {steps} steps; at most {MAX_STEPS} are taken"),
                why: None,
                hint: Some("check part of it at a time".to_owned()),
                excerpt: None,
                length: 0,
            });
            return loaded;
        }
        let shared: Documents = named.into_iter().collect();
        let mut seen = HashSet::new();
        let laid: Vec<_> = loaded.documents.par_iter().map(|document| self.flat(document, &shared)).collect();
        for graph in laid {
            match graph {
                Ok(graph) => loaded.graphs.push(graph),
                Err(problems) => {
                    // What is wrong with an included file is said once.
                    let new = problems.into_iter().filter(|p| {
                        seen.insert((p.rule, p.file.clone(), p.line, p.column, p.message.clone()))
                    });
                    loaded.problems.extend(new);
                }
            }
        }
        loaded
    }
}
