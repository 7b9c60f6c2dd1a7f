//! The app: a message changes the model, nothing else does. What the change needs from outside goes through the [`Desk`].

use super::actions::Action;
use super::desk::{Act, Desk, Page, Prompt, Settings};
use super::help::help;
use super::keys::{Key, Msg, Stop};
use super::look::Look;
use super::model::{Entry, Model, Screen, Tone};
use super::update;
use super::view;
use std::time::Duration;

/// How often work beside the screens is looked at while it runs.
const LOOK_EVERY: Duration = Duration::from_millis(30);
/// After typing stopped for so long, what is typed is kept as a draft.
const DRAFT_AFTER: Duration = Duration::from_millis(800);
/// The same key again within this time is one held down, not one pressed twice.
pub const HELD: Duration = Duration::from_millis(700);
/// Where a complaint half-written is kept.
pub(super) const COMPLAINT_DRAFT: &str = "complaint";
/// Where words half-written on why a step can't be done are kept.
pub(super) const CANNOT_DRAFT: &str = "cannot";
/// Where a note half-written is kept.
pub(super) const NOTE_DRAFT: &str = "note";

/// What the loop has to do after an update.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Effect {
    /// Nothing; no frame is drawn.
    None,
    /// Draw.
    Draw,
    /// Ring the bell and draw.
    Bell,
    /// Give the terminal to the shell.
    Suspend,
    /// The person leaves.
    Quit,
    /// The surroundings end the program.
    Stop(Stop),
}

/// The model and the door it acts through.
pub struct App {
    pub(super) model: Model,
    pub(super) desk: Box<dyn Desk>,
    pub(super) now: Duration,
    draft_due: Option<Duration>,
    look_due: Option<Duration>,
}

impl std::fmt::Debug for App {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("App").field("model", &self.model).finish_non_exhaustive()
    }
}

impl App {
    /// An app on the start screen, or in the case that `desk` has open.
    pub fn new(mut desk: Box<dyn Desk>, look: Look, settings: Settings) -> Self {
        let mut model = Model::new(look, settings);
        model.recent = desk.cases().unwrap_or_default();
        model.given_car = desk.given_name();
        let mut app = Self { model, desk, now: Duration::ZERO, draft_due: None, look_due: None };
        if app.desk.head().is_some() {
            app.enter_case();
        } else {
            app.take_up_complaint();
        }
        app
    }

    /// What is drawn.
    pub fn model(&self) -> &Model {
        &self.model
    }

    /// When the app wants a [`Msg::Tick`]; never while nothing runs.
    pub fn wake_at(&self) -> Option<Duration> {
        let timer = self.model.timer.and_then(|t| t.wake_at());
        [timer, self.draft_due, self.look_due].into_iter().flatten().min()
    }

    /// Whether work goes on beside the screens whose result they wait for.
    pub fn working(&self) -> bool {
        self.desk.busy()
    }

    /// Takes a message at time `now`.
    pub fn update(&mut self, now: Duration, msg: Msg) -> Effect {
        self.now = now.max(self.now);
        match msg {
            Msg::Resize(columns, rows) => {
                self.model.size = (columns, rows);
                self.model.scroll = None;
                Effect::Draw
            }
            Msg::Resumed => Effect::Draw,
            Msg::Tick => self.tick(),
            Msg::Suspend => {
                self.keep_draft();
                Effect::Suspend
            }
            Msg::Stop(stop) => {
                self.keep_draft();
                Effect::Stop(stop)
            }
            Msg::Paste(text) => {
                if !self.model.too_small() && !self.model.leaving && self.model.menu.is_none() {
                    update::paste(self, &text);
                    self.typed();
                }
                Effect::Draw
            }
            Msg::Key(key) => {
                let effect = self.key(key);
                self.model.last_key = Some((key, self.now));
                effect
            }
        }
    }

    fn tick(&mut self) -> Effect {
        if self.draft_due.is_some_and(|due| due <= self.now) {
            self.keep_draft();
        }
        let now = self.now;
        let mut news = false;
        if self.look_due.is_some_and(|due| due <= now) {
            news = self.desk.poll();
            self.look_due = None;
            if news {
                self.model.lesson = self.desk.lesson().map(Box::new);
                self.refresh();
                self.page_anew();
                self.hear();
            }
            self.look_later();
        }
        let quiet = if news { Effect::Draw } else { Effect::None };
        let Some(timer) = &mut self.model.timer else { return quiet };
        if timer.tick(now) {
            Effect::Bell
        } else if timer.wake_at().is_some() {
            Effect::Draw
        } else {
            quiet
        }
    }

    /// Work was begun beside the screens: its result is looked for.
    pub(super) fn look_soon(&mut self) {
        if self.look_due.is_none() {
            self.look_later();
        }
    }

    fn look_later(&mut self) {
        self.look_due = self.desk.busy().then(|| self.now + LOOK_EVERY);
    }

    fn key(&mut self, key: Key) -> Effect {
        if key == Key::Ctrl('z') {
            self.keep_draft();
            return Effect::Suspend;
        }
        if self.model.too_small() {
            // Nothing is seen, so nothing is changed; only leaving works.
            return if matches!(key, Key::Ctrl('c' | 'q') | Key::Char('q')) {
                self.quit()
            } else {
                Effect::None
            };
        }
        self.model.message = None;
        if self.model.leaving {
            self.model.leaving = false;
            return match key {
                Key::Enter | Key::Ctrl('c') | Key::Char('y') => self.quit(),
                _ => Effect::Draw,
            };
        }
        if key == Key::Ctrl('c') {
            self.model.leaving = true;
            return Effect::Draw;
        }
        if !view::scroll(&mut self.model, key) {
            self.model.scroll = None;
            if let Some(row) = self.model.menu {
                self.menu_key(row, key);
            } else if let Key::Ctrl(letter) = key
                && letter != 'u'
            {
                if let Some(action) = Action::of_ctrl(letter) {
                    self.act_on(action);
                }
            } else if update::key(self, key) == update::Left::Program {
                return self.quit();
            }
        }
        Effect::Draw
    }

    pub(super) fn quit(&mut self) -> Effect {
        self.keep_draft();
        Effect::Quit
    }

    fn menu_key(&mut self, row: usize, key: Key) {
        let actions = self.actions();
        let last = actions.len().saturating_sub(1);
        match key {
            Key::Up => self.model.menu = Some(row.checked_sub(1).unwrap_or(last)),
            Key::Down | Key::Tab => self.model.menu = Some(if row >= last { 0 } else { row + 1 }),
            Key::Home => self.model.menu = Some(0),
            Key::End => self.model.menu = Some(last),
            Key::Enter => {
                self.model.menu = None;
                if let Some(action) = actions.get(row) {
                    self.act_on(*action);
                }
            }
            Key::Char(letter) => {
                if let Some(action) = Action::of_letter(letter).filter(|a| actions.contains(a)) {
                    self.model.menu = None;
                    self.act_on(action);
                    // What was chosen is said where no screen of its own says it.
                    if self.model.message.is_none() && matches!(self.model.screen, Screen::Case) {
                        self.say(&format!("{}: {}.", letter.to_ascii_uppercase(), action.name()));
                    }
                } else {
                    self.refuse(&format!("'{letter}' stands before no action in this list. Esc closes it."));
                }
            }
            Key::Ctrl(letter) => {
                self.model.menu = None;
                if let Some(action) = Action::of_ctrl(letter) {
                    self.act_on(action);
                }
            }
            Key::Esc => self.model.menu = None,
            _ => {}
        }
    }

    /// The actions that make sense now.
    pub fn actions(&self) -> Vec<Action> {
        view::actions(&self.model)
    }

    /// Does an action, if it makes sense now.
    pub fn act_on(&mut self, action: Action) {
        if self.model.head.is_none() && !action.without_case() {
            return;
        }
        match action {
            Action::Leak => self.leak(),
            Action::Help => self.open(Screen::Page { title: "Help".into(), paras: help(), page: None }),
            Action::Settings => self.open(Screen::Settings(0)),
            Action::Cases => self.open_cases(),
            Action::Back => self.back(),
            Action::Cannot => match &self.model.prompt {
                Prompt::Step(step) if step.skippable => {
                    self.show_case();
                    self.open(Screen::Cannot { at: 0 });
                }
                Prompt::Step(_) => {
                    self.refuse("This step has no way round it; it must be done, or the case paused.");
                }
                _ => self.refuse("Nothing is asked here that could be left out."),
            },
            Action::Note => self.open(Screen::Note { private: false }),
            Action::Record => self.open(Screen::Answers { at: 0 }),
            Action::Why => self.page(Page::Why, "Why this step"),
            Action::Standing => self.page(Page::Standing, "Still standing"),
            Action::Ledger => self.page(Page::Ledger, "Mixture ledger"),
            Action::Instrument => update::open_instrument(self),
            Action::Car => self.page(Page::Car, "The car"),
            Action::Supply => update::open_supply(self),
            Action::Report => self.page(Page::Report, "Report"),
            Action::Summary => self.page(Page::Summary, "Five lines for a ticket"),
            Action::Next => self.next_case(),
            Action::Elsewhere => self.open(Screen::Elsewhere(super::widgets::Field::default())),
            Action::Pause => self.pause(),
        }
    }

    fn back(&mut self) {
        if matches!(self.model.screen, Screen::Case) {
            self.do_act(Act::Back);
        } else {
            self.show_case();
        }
    }

    fn leak(&mut self) {
        if self.model.head.is_some() {
            self.show_case();
            if self.model.prompt != Prompt::Leak {
                self.do_act(Act::Leak);
            }
        } else if !matches!(self.model.screen, Screen::Leak) {
            self.open(Screen::Leak);
        }
    }

    /// Shows a page of the case.
    pub(super) fn page(&mut self, page: Page, title: &str) {
        let paras = self.desk.page(page);
        self.look_soon();
        self.open(Screen::Page { title: title.to_owned(), paras, page: Some(page) });
    }

    /// Shows anew a page that waited for work beside the screens.
    fn page_anew(&mut self) {
        if let Screen::Page { paras, page: Some(page @ (Page::Report | Page::Standing)), .. } =
            &mut self.model.screen
        {
            *paras = self.desk.page(*page);
        }
    }

    /// Says what came of work done beside the screens.
    pub(super) fn hear(&mut self) {
        match self.desk.said() {
            Some(Ok(what)) => self.say(&what),
            Some(Err(error)) => self.refuse(&error),
            None => {}
        }
    }

    /// Shows the list of cases.
    pub(super) fn open_cases(&mut self) {
        match self.desk.cases() {
            Ok(list) => {
                self.open(Screen::Cases { list, filter: super::widgets::Field::default(), at: 0 });
            }
            Err(error) => self.refuse(&error),
        }
    }

    /// Puts a screen on top; one of the same kind already there is replaced.
    pub(super) fn open(&mut self, screen: Screen) {
        let same = std::mem::discriminant(&self.model.screen) == std::mem::discriminant(&screen);
        let old = std::mem::replace(&mut self.model.screen, screen);
        if !same {
            self.model.under.push(old);
        }
        self.model.scroll = None;
    }

    /// Takes the top screen away.
    pub(super) fn close(&mut self) {
        self.model.screen = self
            .model
            .under
            .pop()
            .unwrap_or_else(|| if self.model.head.is_some() { Screen::Case } else { Screen::Start });
        self.model.scroll = None;
    }

    /// Takes all screens above the case away.
    pub(super) fn show_case(&mut self) {
        self.model.under.clear();
        self.model.screen = if self.model.head.is_some() { Screen::Case } else { Screen::Start };
        self.model.scroll = None;
    }

    /// Does something at the desk and shows what follows, or why not.
    pub(super) fn do_act(&mut self, act: Act) -> bool {
        match self.desk.act(act) {
            Ok(()) => {
                self.refresh();
                true
            }
            Err(error) => {
                self.model.head = self.desk.head();
                self.refuse(&error);
                false
            }
        }
    }

    /// Says why something was not taken.
    pub(super) fn refuse(&mut self, why: &str) {
        self.model.message = Some((Tone::Refused, why.to_owned()));
    }

    /// Says what was done.
    pub(super) fn say(&mut self, what: &str) {
        self.model.message = Some((Tone::Said, what.to_owned()));
    }

    /// Reads anew what the desk shows; a new prompt gets an empty entry, with its draft or what it gave before.
    pub(super) fn refresh(&mut self) {
        self.model.head = self.desk.head();
        if self.model.head.is_none() {
            self.model.entry = Entry::default();
            self.model.timer = None;
            return;
        }
        self.model.prompt = self.desk.prompt();
        self.model.record = self.desk.record();
        self.model.circuit = self.desk.circuit();
        self.look_soon();
        let key = update::prompt_key(&self.model.prompt);
        if self.model.entry.key != key {
            self.model.timer = None;
            self.model.scroll = None;
            self.draft_due = None;
            self.model.entry = update::fresh_entry(self.desk.as_ref(), &self.model.prompt, key);
        }
    }

    /// Something was typed: it is kept as a draft a moment later.
    pub(super) fn typed(&mut self) {
        self.draft_due = Some(self.now + DRAFT_AFTER);
    }

    /// Keeps what is half-typed.
    pub(super) fn keep_draft(&mut self) {
        self.draft_due = None;
        if self.model.head.is_none() {
            self.desk.save_draft(COMPLAINT_DRAFT, self.model.complaint.text());
            return;
        }
        if let Screen::Change { step, entry } = &self.model.screen {
            update::keep_change(self.desk.as_mut(), step, entry);
        }
        if let Prompt::Step(step) = &self.model.prompt {
            self.desk.save_draft(&step.id, self.model.entry.field.text());
            let set = update::set_aside_as(step, &self.model.entry);
            self.desk.save_draft(&update::set_key(&step.id), &set);
        }
        if !self.model.cannot.is_empty() || self.desk.draft(CANNOT_DRAFT).is_some() {
            self.desk.save_draft(CANNOT_DRAFT, self.model.cannot.text());
        }
        if !self.model.note.is_empty() || self.desk.draft(NOTE_DRAFT).is_some() {
            self.desk.save_draft(NOTE_DRAFT, self.model.note.text());
        }
    }
}
