//! Several cases in one run: laid aside, taken up, gone round with one key. One at a time is open; the others stand still on disk.

use super::app::{App, CANNOT_DRAFT, COMPLAINT_DRAFT, NOTE_DRAFT};
use super::desk::{Act, Prompt};
use super::model::{Entry, Screen};
use super::widgets::Field;

impl App {
    /// Stops for now.
    pub(super) fn pause(&mut self) {
        self.stand_still();
        self.leave_case();
    }

    /// Keeps what is half-typed and writes down that work on the open case stands still.
    fn stand_still(&mut self) {
        self.keep_draft();
        let read_only = self.model.head.as_ref().is_none_or(|h| h.read_only.is_some());
        let still = matches!(
            self.model.prompt,
            Prompt::Closed(_) | Prompt::Paused | Prompt::Leak | Prompt::Broken(_)
        );
        if !read_only && !still {
            self.do_act(Act::Pause);
        }
    }

    /// Lays the open case aside and goes on with another one; if that can't be opened, the one before goes on.
    pub(super) fn switch_to(&mut self, id: &str) {
        if self.model.here.as_deref() == Some(id) {
            self.show_case();
            return;
        }
        if self.model.lesson.as_ref().is_some_and(|l| !l.over) {
            self.refuse("An exercise is open. Leave it first: Esc on its screen, twice.");
            return;
        }
        self.stand_still();
        self.forget_closed();
        match self.desk.open(id) {
            Ok(said) => {
                self.enter_case();
                if let Some(said) = said {
                    self.say(&said);
                }
            }
            Err(error) => {
                if self.model.prompt == Prompt::Paused {
                    self.do_act(Act::Resume);
                }
                self.refuse(&error);
            }
        }
    }

    /// Goes on with the next of the cases opened in this run.
    pub(super) fn next_case(&mut self) {
        let opened = &self.model.opened;
        let at = self.model.here.as_ref().and_then(|here| opened.iter().position(|id| id == here));
        let next = match at {
            Some(at) => opened.iter().cycle().nth(at + 1).filter(|_| opened.len() > 1),
            None => opened.first(),
        };
        match next.cloned() {
            Some(id) => self.switch_to(&id),
            None => self.refuse("No other case was opened yet. Ctrl-V shows all of them."),
        }
    }

    /// A closed case is no longer among those that one key goes round.
    fn forget_closed(&mut self) {
        if matches!(self.model.prompt, Prompt::Closed(_))
            && let Some(here) = self.model.here.take()
        {
            self.model.opened.retain(|id| *id != here);
        }
    }

    /// Lays the case aside and shows the start.
    pub(super) fn leave_case(&mut self) {
        self.keep_draft();
        self.forget_closed();
        self.model.here = None;
        self.model.note.clear();
        self.desk.leave();
        self.model.under.clear();
        self.model.screen = Screen::Start;
        self.take_up_complaint();
        self.model.start_at = 0;
        self.model.recent = self.desk.cases().unwrap_or_default();
        self.refresh();
    }

    /// A sentence that no case was begun with stands on the start screen again.
    pub(super) fn take_up_complaint(&mut self) {
        self.model.complaint = Field::offering(&self.desk.draft(COMPLAINT_DRAFT).unwrap_or_default());
        self.model.kinds = self.desk.kinds(self.model.complaint.text());
    }

    /// Shows the case that the desk has open.
    pub(super) fn enter_case(&mut self) {
        self.model.under.clear();
        self.model.screen = Screen::Case;
        self.model.entry = Entry::default();
        self.model.here = self.desk.case_id();
        if let Some(here) = &self.model.here
            && !self.model.opened.contains(here)
        {
            self.model.opened.push(here.clone());
        }
        self.model.cannot = Field::holding(&self.desk.draft(CANNOT_DRAFT).unwrap_or_default());
        // Taken up here, so that leaving again without a look at the note does not empty it.
        self.model.note = Field::holding(&self.desk.draft(NOTE_DRAFT).unwrap_or_default());
        self.refresh();
        if self.model.prompt == Prompt::Paused {
            self.do_act(Act::Resume);
        }
    }
}
