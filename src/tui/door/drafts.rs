//! What is half-typed, kept so that a kill loses none of it: of the open case in a file beside its journal, and of a case not begun
//! yet (the complaint, the car being described) in one small file of its own.

use crate::case::{Case, Draft};
use std::collections::BTreeMap;
use std::path::PathBuf;

/// Half-typed texts by what they belong to.
#[derive(Debug, Default)]
pub struct Drafts {
    of_case: BTreeMap<String, String>,
    unbegun: BTreeMap<String, String>,
    file: Option<PathBuf>,
}

impl Drafts {
    /// What was half-typed before any case, from `file`; without a file it lasts as long as the program.
    pub fn open(file: Option<PathBuf>) -> Self {
        let read = file.as_ref().and_then(|f| std::fs::read_to_string(f).ok());
        let unbegun = read.and_then(|t| serde_json::from_str(&t).ok()).unwrap_or_default();
        Self { of_case: BTreeMap::new(), unbegun, file }
    }

    /// A case was begun from what was half-typed: that is done with.
    pub fn begun(&mut self) {
        self.of_case.clear();
        self.unbegun.clear();
        if let Some(file) = &self.file {
            // A file that stays is only read again.
            let _ = std::fs::remove_file(file);
        }
    }

    /// A case was opened with these drafts, or laid aside with none.
    pub fn of(&mut self, drafts: Vec<Draft>) {
        self.of_case = drafts.into_iter().map(|d| (d.step.unwrap_or(d.field), d.text)).collect();
    }

    /// The half-typed text of `key`, in the open case or, without one, before any.
    pub fn get(&self, in_case: bool, key: &str) -> Option<String> {
        if in_case { self.of_case.get(key).cloned() } else { self.unbegun.get(key).cloned() }
    }

    /// Keeps a text of the open case, or takes it back when it is empty. What can't be kept is still on the screen; the next
    /// reading says that the disk fails.
    pub fn save(&mut self, case: Option<&Case>, key: &str, text: &str) {
        if !put(&mut self.of_case, key, text) {
            return;
        }
        if let Some(case) = case {
            self.keep(case);
        }
    }

    /// Keeps all texts of the open case beside its journal.
    pub fn keep(&self, case: &Case) {
        let draft = |(step, text): (&String, &String)| Draft {
            step: Some(step.clone()),
            field: "entry".into(),
            text: text.clone(),
        };
        let all: Vec<Draft> = self.of_case.iter().map(draft).collect();
        let _ = case.save_drafts(&all);
    }

    /// Keeps a text of a case not begun yet.
    pub fn save_unbegun(&mut self, key: &str, text: &str) {
        if !put(&mut self.unbegun, key, text) {
            return;
        }
        let Some(file) = &self.file else { return };
        let write = || -> std::io::Result<()> {
            if let Some(folder) = file.parent() {
                std::fs::create_dir_all(folder)?;
            }
            let beside = file.with_extension("new");
            std::fs::write(&beside, serde_json::to_string(&self.unbegun)?)?;
            std::fs::rename(&beside, file)
        };
        // As with a case's drafts: it is still on the screen.
        let _ = write();
    }
}

/// Whether this changed anything.
fn put(texts: &mut BTreeMap<String, String>, key: &str, text: &str) -> bool {
    if texts.get(key).map_or("", String::as_str) == text {
        return false;
    }
    if text.is_empty() {
        texts.remove(key);
    } else {
        texts.insert(key.to_owned(), text.to_owned());
    }
    true
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_typed_before_a_case_is_there_again_until_one_is_begun() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("data/unbegun.json");
        let mut drafts = Drafts::open(Some(file.clone()));
        drafts.save_unbegun("complaint", "goes le");
        drafts.save_unbegun("complaint", "goes lean");
        let mut again = Drafts::open(Some(file.clone()));
        assert_eq!(again.get(false, "complaint").unwrap(), "goes lean");
        assert_eq!(again.get(true, "complaint"), None);
        again.begun();
        assert_eq!(Drafts::open(Some(file)).get(false, "complaint"), None);
    }

    #[test]
    fn a_file_that_is_none_of_ours_counts_as_empty() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("unbegun.json");
        std::fs::write(&file, "[1, 2").unwrap();
        assert_eq!(Drafts::open(Some(file)).get(false, "complaint"), None);
    }
}
