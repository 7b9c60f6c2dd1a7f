//! What the odds offer a person at a step or an end, with the letter that takes each, and what they remark on a step.

use super::desk::Act;
use crate::session::Conclusion;
use crate::walk::Reason;

/// What the odds offer where the walk stands; the page of what still stands says why and has the keys.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Offers {
    /// The step of the test that would tell most for its time, where it may be done now.
    pub better: Option<String>,
    /// What that test is called.
    pub better_name: Option<String>,
    /// The finding that may be named now, before the tree comes to its end or in place of that.
    pub conclusion: Option<Conclusion>,
    /// Why none may be named, in words.
    pub unnamed: Option<String>,
    /// Why the test that would tell most can't be done now, in words.
    pub not_now: Option<String>,
    /// The step that is worth doing once more.
    pub again: Option<String>,
    /// Whether the open step tells hardly anything and may be put off.
    pub may_wait: bool,
}

/// One of the offers of the odds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Offered {
    /// Another test first.
    Better,
    /// The finding named now.
    Named,
    /// Something seen once more.
    Again,
    /// The open step put off.
    Later,
}

impl Offers {
    /// What taking one does, where it is offered.
    pub fn act(&self, offered: Offered) -> Option<Act> {
        match offered {
            Offered::Better => self.better.clone().map(Act::TakeUp),
            Offered::Named => self.conclusion.clone().map(Act::Conclude),
            Offered::Again => self.again.clone().map(Act::TakeUp),
            Offered::Later => self.may_wait.then_some(Act::Cannot(Reason::Later, None)),
        }
    }
}

impl Offered {
    /// All of them, in the order they are listed.
    pub const ALL: [Self; 4] = [Self::Again, Self::Named, Self::Better, Self::Later];

    /// The offer this letter takes.
    pub fn by(letter: char) -> Option<Self> {
        Self::ALL.into_iter().find(|o| o.letter().eq_ignore_ascii_case(&letter))
    }

    /// The letter that takes it.
    pub fn letter(self) -> char {
        match self {
            Self::Better => 'T',
            Self::Named => 'N',
            Self::Again => 'R',
            Self::Later => 'L',
        }
    }
}

/// What the odds have to say on a step, and which offer the words name with its key.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Remark {
    /// The words.
    pub text: String,
    /// The offer they name.
    pub offers: Option<Offered>,
}
