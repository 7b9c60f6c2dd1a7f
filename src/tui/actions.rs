//! What can be done from every screen of a case: one list, shown by Esc, each with a letter there and, while
//! letters last, a Ctrl key everywhere.
//!
//! The Ctrl keys avoid those that terminals and multiplexers take for themselves (H, I, J, M, A, B, W) and U, which clears a line;
//! a terminal inside a browser may keep N and T, and there the letters in the list do the same.

/// An action.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Action {
    /// One step back.
    Back,
    /// The step can't be done.
    Cannot,
    /// Why this step.
    Why,
    /// Write a note.
    Note,
    /// What was given, to be corrected.
    Record,
    /// Which faults still stand.
    Standing,
    /// The mixture ledger.
    Ledger,
    /// Another instrument for the open reading.
    Instrument,
    /// The car.
    Car,
    /// The supply's limits.
    Supply,
    /// The report.
    Report,
    /// Five lines for a ticket.
    Summary,
    /// The next of the open cases.
    Next,
    /// All cases.
    Cases,
    /// Settings.
    Settings,
    /// Go on in another folder, where the disk takes no more.
    Elsewhere,
    /// Stop for now.
    Pause,
    /// Fuel smell or leak.
    Leak,
    /// Help.
    Help,
}

impl Action {
    /// Every action in the order shown.
    pub const ALL: [Self; 19] = [
        Self::Back,
        Self::Cannot,
        Self::Why,
        Self::Note,
        Self::Record,
        Self::Standing,
        Self::Ledger,
        Self::Instrument,
        Self::Car,
        Self::Supply,
        Self::Report,
        Self::Summary,
        Self::Next,
        Self::Cases,
        Self::Settings,
        Self::Elsewhere,
        Self::Pause,
        Self::Leak,
        Self::Help,
    ];

    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Back => "Back to the step before",
            Self::Cannot => "Cannot do this",
            Self::Why => "Why this step",
            Self::Note => "Note",
            Self::Record => "Done so far, change an answer",
            Self::Standing => "Still standing",
            Self::Ledger => "Mixture ledger",
            Self::Instrument => "Another instrument",
            Self::Car => "Car",
            Self::Supply => "Supply limits",
            Self::Report => "Report",
            Self::Summary => "Five lines for a ticket",
            Self::Next => "Next open case",
            Self::Cases => "All cases",
            Self::Settings => "Settings",
            Self::Elsewhere => "Go on in another folder",
            Self::Pause => "Pause",
            Self::Leak => "Fuel smell or leak",
            Self::Help => "Help",
        }
    }

    /// The letter that picks it in the open menu.
    pub fn letter(self) -> char {
        match self {
            Self::Back => 'b',
            Self::Cannot => 'x',
            Self::Why => 'w',
            Self::Note => 'n',
            Self::Record => 'd',
            Self::Standing => 's',
            Self::Ledger => 'l',
            Self::Instrument => 'i',
            Self::Car => 'c',
            Self::Supply => 'u',
            Self::Report => 'r',
            Self::Summary => 't',
            Self::Next => 'e',
            Self::Cases => 'v',
            Self::Settings => 'o',
            Self::Elsewhere => 'g',
            Self::Pause => 'p',
            Self::Leak => 'f',
            Self::Help => 'h',
        }
    }

    /// The letter that does it with Ctrl, where one is left that terminals do not take.
    pub fn ctrl(self) -> Option<char> {
        Some(match self {
            Self::Back => 'p',
            Self::Cannot => 'x',
            Self::Why => 'y',
            Self::Note => 'e',
            Self::Record => 'd',
            Self::Standing => 's',
            Self::Ledger => 'l',
            // Ctrl-U clears the line that is typed.
            Self::Instrument | Self::Supply | Self::Elsewhere => return None,
            Self::Car => 'k',
            Self::Report => 'r',
            Self::Summary => 't',
            Self::Next => 'n',
            Self::Cases => 'v',
            Self::Settings => 'o',
            Self::Pause => 'q',
            Self::Leak => 'f',
            Self::Help => 'g',
        })
    }

    /// The action of a Ctrl key.
    pub fn of_ctrl(letter: char) -> Option<Self> {
        Self::ALL.into_iter().find(|a| a.ctrl() == Some(letter))
    }

    /// The action of a letter in the menu.
    pub fn of_letter(letter: char) -> Option<Self> {
        Self::ALL.into_iter().find(|a| a.letter() == letter.to_ascii_lowercase())
    }

    /// Whether it makes sense without an open case.
    pub fn without_case(self) -> bool {
        matches!(self, Self::Next | Self::Cases | Self::Settings | Self::Leak | Self::Help)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashSet;

    #[test]
    fn no_key_does_two_things_and_none_is_taken_by_terminals() {
        let letters: HashSet<char> = Action::ALL.iter().map(|a| a.letter()).collect();
        let with_ctrl: Vec<char> = Action::ALL.iter().filter_map(|a| a.ctrl()).collect();
        let ctrl: HashSet<char> = with_ctrl.iter().copied().collect();
        assert_eq!((letters.len(), ctrl.len()), (Action::ALL.len(), with_ctrl.len()));
        assert_eq!(
            with_ctrl.len() + 3,
            Action::ALL.len(),
            "another instrument, the supply and another folder have none"
        );
        assert!("hijmabwczu".chars().all(|c| !ctrl.contains(&c)));
    }
}
