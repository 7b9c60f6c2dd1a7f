//! Cases begun and taken up, and what is done in the open one without a text.

use super::super::desk::Act;
use super::cars::CarDraft;
use super::reckoning::Reckoning;
use super::{Door, kept};
use crate::case::{Case, CaseFolder, Header, digest_of};
use crate::rig::Rig;
use crate::session::{Session, SessionError};
use crate::walk::Event;
use jiff::Timestamp;
use std::sync::Arc;

impl Door {
    /// Takes up a case, for a start with one named.
    ///
    /// # Errors
    /// In words, where it can't be opened.
    pub fn resume(&mut self, name: &str) -> Result<Option<String>, String> {
        self.open_case(name)
    }

    /// Takes the car of a rig file given on the command line; the cases of this run begin with it.
    ///
    /// # Errors
    /// In words, where it is no rig file.
    pub fn take_given(&mut self, rig_text: &str) -> Result<(), String> {
        self.given = Some(CarDraft::described(rig_text)?);
        Ok(())
    }

    /// Keeps cases in this folder from now on.
    pub fn keep_in(&mut self, folder: CaseFolder) {
        self.folder = Ok(folder);
    }

    /// Begins with a tree and a rig given on the command line.
    ///
    /// # Errors
    /// In words, where tree, rig or case folder can't be used.
    pub fn begin_with(&mut self, tree: &str, rig_text: &str, complaint: &str) -> Result<(), String> {
        let rig = Rig::parse("the rig", rig_text).map_err(|e| e.to_string())?;
        self.begin_case(tree, rig, rig_text.to_owned(), complaint)
    }

    pub(super) fn begin_case(
        &mut self,
        walk: &str,
        rig: Rig,
        rig_text: String,
        complaint: &str,
    ) -> Result<(), String> {
        let tree = self.tree(walk)?;
        let folder = self.folder.as_ref().map_err(Clone::clone)?;
        let header = Header {
            tree: tree.id.clone(),
            tree_digest: tree.digest.clone(),
            rig_digest: digest_of(&rig_text),
            rig: rig_text,
            complaint: Some(complaint.to_owned()).filter(|c| !c.is_empty()),
            ..Header::default()
        };
        let case: Case = folder.create(header).map_err(|e| e.to_string())?;
        let units = self.units(&rig);
        let session = Session::begin(Arc::new(rig), Arc::new(tree), Some(case), units);
        let session = session.map_err(|e| e.to_string())?;
        self.reckoning = Reckoning::of(&session);
        self.remarked.take();
        self.session = Some(session);
        self.drafts.begun();
        Ok(())
    }

    pub(super) fn open_case(&mut self, name: &str) -> Result<Option<String>, String> {
        let folder = self.folder.as_ref().map_err(Clone::clone)?;
        let case: Case = folder.resume(name).map_err(|e| e.to_string())?;
        let tree = self.tree(&case.header().tree)?;
        let mut said: Vec<String> = case.notices().iter().map(ToString::to_string).collect();
        if let Some(why) = case.read_only() {
            said.push(why.to_string());
        }
        if tree.digest != case.header().tree_digest {
            said.push(
                "The tree has changed since this case began; it goes on with the tree as it is now.".into(),
            );
        }
        // A closed case is only looked at; nothing goes on in it.
        let closed = case.events().any(|e| matches!(e, Event::Closed));
        let last = case.lines().last().map(|l| l.time).filter(|_| !closed);
        if let Some(ago) = last.and_then(|then| kept::ago(then, Timestamp::now())) {
            said.push(format!("It goes on where it stood {ago} ago. Heat and fuel may have changed since; measure again where in doubt."));
        }
        let rig_text = case.header().rig.clone();
        let rig = if rig_text.is_empty() { "format: 1\n" } else { &rig_text };
        let rig = Rig::parse("the rig kept in the case", rig).map_err(|e| e.to_string())?;
        let drafts = case.drafts();
        let units = self.units(&rig);
        let session = Session::resume(Arc::new(rig), Arc::new(tree), case, units);
        let session = session.map_err(|e| e.to_string())?;
        self.reckoning = Reckoning::of(&session);
        self.remarked.take();
        self.session = Some(session);
        self.drafts.of(drafts);
        Ok(Some(said.join(" ")).filter(|s| !s.is_empty()))
    }
}

/// Does something in a case.
pub fn act(session: &mut Session, act: Act) -> Result<(), SessionError> {
    match act {
        Act::ConfirmCautions => session.confirm_cautions(),
        Act::Done => session.done(),
        Act::Cannot(reason, note) => session.cannot(reason, note),
        Act::Back => session.send(Event::Back),
        Act::Note { text, private } => {
            let open = session.state().open_step();
            let step = open.map(|i| session.tree().steps[i].id.clone());
            session.send(Event::NoteAdded { step, text, private })
        }
        Act::Leak => session.send(Event::LeakReported { note: None }),
        Act::LeakMended(note) => session.mended(note),
        Act::Repaired(note) => session.send(Event::Repaired { note }),
        Act::Accepted(note) => session.send(Event::Accepted { note }),
        Act::StartAgain => session.send(Event::StartedAgain),
        Act::HandOver(note) => session.send(Event::HandedOver { note }),
        Act::Pause => session.send(Event::Paused),
        Act::Resume => session.send(Event::Resumed),
        Act::Close => session.send(Event::Closed),
        Act::PutBackFirst => session.put_back_first(),
        Act::Conclude(conclusion) => session.conclude(&conclusion),
        Act::TakeUp(step) => session.send(Event::TakenUp { step }),
        Act::Instrument(facts) => session.change_instrument(facts),
    }
}

/// Why something was not taken, with the way out where the disk takes no more.
pub fn words(error: SessionError) -> String {
    match error {
        SessionError::NotKept(_) => format!("{error}. Esc, then G, does that."),
        other => other.to_string(),
    }
}
