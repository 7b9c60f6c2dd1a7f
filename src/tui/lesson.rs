//! What the practice screens show and ask, as plain data.

use super::desk::Para;

/// What can be chosen before an exercise.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Choices {
    /// Complaints: the tree's id and its title.
    pub complaints: Vec<(String, String)>,
    /// Cars: the id for the door, empty for common values, and the name.
    pub cars: Vec<(String, String)>,
}

/// The levels in words.
pub const LEVELS: [&str; 3] = [
    "1, common faults at their plainest, expected values shown",
    "2, less common and less plain, expected values shown",
    "3, any fault, nothing said of what is expected, few tools",
];

/// One move that can be picked.
#[derive(Debug, Clone, PartialEq)]
pub struct MoveLine {
    /// Its name.
    pub name: String,
    /// The kind of move.
    pub group: String,
    /// Minutes it takes, in words.
    pub minutes: String,
    /// What it gave the last time.
    pub gave: Option<String>,
}

/// An exercise as it stands.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LessonSheet {
    /// The car, the complaint and the level.
    pub about: String,
    /// Tools at hand, in words.
    pub tools: String,
    /// Minutes so far.
    pub minutes: String,
    /// How the car stands: what is fitted, open, proved.
    pub standing: String,
    /// Every move.
    pub moves: Vec<MoveLine>,
    /// What was done, newest first.
    pub record: Vec<String>,
    /// Parts that can be named.
    pub parts: Vec<String>,
    /// The part was named, or the exercise given up.
    pub over: bool,
    /// What there is to learn from it, once reckoned.
    pub debrief: Option<Vec<Para>>,
}

/// Something a trainee does.
#[derive(Debug, Clone, PartialEq)]
pub enum PracticeAct {
    /// Begins an exercise.
    Begin {
        /// The tree.
        complaint: String,
        /// The car; empty for common values.
        car: String,
        /// The level, 1 to 3.
        level: u8,
    },
    /// Does a move, by its place in the list.
    Move(usize),
    /// Names the part at fault, by its place in the list.
    Name(usize),
    /// Ends without a name.
    GiveUp,
    /// Leaves the exercise; nothing of it is kept.
    Leave,
}
