//! What the odds have to say on a step: that they disagree with the tree about what to do next, or that something seen is odd.

use super::super::desk::{Phase, Prompt, StepData};
use super::super::offers::{Offered, Remark};
use super::Door;
use crate::quantity::figures;
use crate::session::{Outlook, Session};
use crate::tree::Step;

/// An open step that tells less than this share of what another test would, for its time, is remarked on.
const STRONG: f64 = 0.25;

/// One line where the odds and the tree disagree strongly about what to do next. A step that is there for safety is never argued
/// with, and one that takes no longer than the other is not worth it.
pub fn remark(outlook: &Outlook, open: &Step, typed: bool) -> Option<Remark> {
    if let Some(conclusion) = &outlook.conclusion {
        return Some(offering(conclusion.words(), typed, Offered::Named, "names it"));
    }
    if let Some(words) = outlook.may_wait_words().filter(|_| outlook.before.is_none()) {
        return Some(offering(words, typed, Offered::Later, "puts it off"));
    }
    let next = outlook.before.as_ref().or(outlook.next.as_ref())?;
    let for_safety = !open.makes.is_empty() || !open.clears.is_empty();
    if for_safety || open.minutes <= next.minutes {
        return None;
    }
    outlook.open_worth.filter(|worth| *worth < STRONG)?;
    let minutes = figures(next.minutes, 2);
    let said =
        format!("By the odds another test would tell more for its time: {}, about {minutes} min.", next.what);
    Some(match &next.step {
        Some(_) => offering(said, typed, Offered::Better, "does it first"),
        None => Remark { text: format!("{said} Ctrl-S shows why."), offers: None },
    })
}

/// Words with the key of an offer: its letter on the step, or behind Ctrl-S where letters are typed into the step.
fn offering(words: impl std::fmt::Display, typed: bool, offered: Offered, does: &str) -> Remark {
    let letter = offered.letter();
    let key = if typed {
        format!("Ctrl-S shows why; there {letter} {does}.")
    } else {
        format!("{letter} {does}; Ctrl-S shows why.")
    };
    Remark { text: format!("{words} {key}"), offers: Some(offered) }
}

/// What is worth seeing again, or at least does not go with all the rest, in one line.
pub fn odd(outlook: &Outlook, typed: bool) -> Option<Remark> {
    if let Some(again) = &outlook.again {
        return Some(offering(again.words(), typed, Offered::Again, "does it"));
    }
    let odd = outlook.odd.as_ref()?;
    let text = format!("Odd: {odd} does not go with the rest. Read it again. Ctrl-S says more.");
    Some(Remark { text, offers: None })
}

impl Door {
    /// The same remark is made at one step; it comes again once the odds favour something else.
    pub(super) fn remarked_once(&self, prompt: Prompt) -> Prompt {
        let prompt = self.said_once(prompt);
        let Prompt::Step(step) = &prompt else { return prompt };
        if step.odd.is_some() || step.remark.is_some() || step.phase != Phase::Walk {
            return prompt;
        }
        let seen = self.session.as_ref().and_then(Session::seen_before);
        let seen = seen.map(|text| Remark { text, offers: None });
        Prompt::Step(Box::new(StepData { remark: seen, ..StepData::clone(step) }))
    }

    fn said_once(&self, prompt: Prompt) -> Prompt {
        let Prompt::Step(step) = &prompt else { return prompt };
        let Some(remark) = &step.remark else { return prompt };
        // Minutes, odds and what the keys offer move from step to step; that is nothing new.
        let about = remark.text.rsplit_once(". ").map_or(remark.text.as_str(), |(about, _)| about);
        let what: String = about.chars().filter(|c| !c.is_ascii_digit()).collect();
        let mut last = self.remarked.borrow_mut();
        match last.as_ref() {
            Some((at, test)) if *test == what && *at != step.id => {
                Prompt::Step(Box::new(StepData { remark: None, ..StepData::clone(step) }))
            }
            _ => {
                *last = Some((step.id.clone(), what));
                drop(last);
                prompt
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::library::Library;
    use crate::session::Advice;

    fn outlook(worth: f64) -> Outlook {
        Outlook {
            suspects: Vec::new(),
            other: 0.0,
            parts: Vec::new(),
            misfit: None,
            odd: None,
            fragile: None,
            next: Some(Advice { what: "fuel trim, idle".into(), minutes: 2.0, step: None, not_now: None }),
            open_worth: Some(worth),
            before: None,
            may_wait: None,
            conclusion: None,
            unnamed: None,
            rests: Vec::new(),
            again: None,
            against: None,
        }
    }

    #[test]
    fn what_is_odd_is_said_and_what_it_is() {
        assert_eq!(odd(&outlook(0.1), false), None);
        let said = odd(&Outlook { odd: Some("trim at idle".into()), ..outlook(0.1) }, false).unwrap();
        assert_eq!(
            said.text,
            "Odd: trim at idle does not go with the rest. Read it again. Ctrl-S says more."
        );
    }

    #[test]
    fn only_a_long_step_that_tells_little_is_argued_with_and_never_one_for_safety() {
        let tree = Library::embedded().tree("runs-lean").unwrap();
        let mut step = tree.steps.iter().find(|s| s.asks() && s.makes.is_empty()).unwrap().clone();
        step.minutes = 10.0;
        let said = remark(&outlook(0.1), &step, false).unwrap().text;
        assert!(said.contains("fuel trim, idle, about 2 min"), "{said}");
        assert_eq!(remark(&outlook(0.5), &step, false), None, "half as good is no strong disagreement");
        let idle = Outlook { may_wait: Some(step.id.clone()), ..outlook(0.1) };
        let said = remark(&idle, &step, false).unwrap();
        assert!(said.text.ends_with("It may wait. L puts it off; Ctrl-S shows why."), "{said:?}");
        assert_eq!(said.offers, Some(Offered::Later));
        let said = remark(&idle, &step, true).unwrap().text;
        assert!(said.ends_with("It may wait. Ctrl-S shows why; there L puts it off."), "{said}");
        step.minutes = 1.0;
        assert_eq!(remark(&outlook(0.1), &step, false), None, "a look of a minute is not worth an argument");
        let mut safety = tree.steps.iter().find(|s| !s.makes.is_empty()).unwrap().clone();
        safety.minutes = 10.0;
        assert_eq!(remark(&outlook(0.0), &safety, false), None);
    }
}
