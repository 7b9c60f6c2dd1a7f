//! What the supply screen shows, as plain data: a car's supply as it is and as planned.

use super::widgets::Scale;

/// What can be planned: label and an example. The last is a choice.
pub const PLANS: [(&str, &str); 4] = [
    ("power planned", "450 hp"),
    ("ethanol planned", "85 %"),
    ("boost planned", "8 psi"),
    ("induction planned", ""),
];

/// Which of [`PLANS`] is a choice.
pub const CHOICE: usize = 3;

/// One figure, as it is and as planned.
#[derive(Debug, Clone, PartialEq)]
pub struct SupplyRow {
    /// What it is.
    pub what: String,
    /// As it is.
    pub now: String,
    /// As planned; none when nothing is planned.
    pub planned: Option<String>,
}

/// What a supply can feed.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SupplySheet {
    /// The car.
    pub car: String,
    /// Why nothing can be reckoned.
    pub broken: Option<String>,
    /// What is wrong with what is typed for each of [`PLANS`].
    pub problems: [Option<String>; PLANS.len()],
    /// The choices of the last of [`PLANS`]: id and words; the first leaves it as it is.
    pub choices: Vec<(String, String)>,
    /// The answer in a sentence, and whether it is enough.
    pub answers: Vec<(bool, String)>,
    /// What is fed, and what is asked for, drawn: name and scale.
    pub lines: Vec<(String, Scale)>,
    /// The figures.
    pub rows: Vec<SupplyRow>,
    /// What removing each limit alone would gain.
    pub gains: Vec<SupplyRow>,
    /// The rail pressure at several powers, of the plan if there is one.
    pub powers: Vec<(String, String)>,
    /// What is to be said beside the figures, with its source.
    pub remarks: Vec<String>,
}
