//! The help page.

use super::actions::Action;
use super::desk::Para;
use crate::terms::{FIRST_WORD, WORDS};

/// What the help page says.
pub fn help() -> Vec<Para> {
    let text = |t: &str| Para::Text(t.to_owned());
    let pair = |a: &str, b: &str| Para::Pair(a.to_owned(), b.to_owned());
    let mut paras = vec![
        Para::Head("First".into()),
        text(FIRST_WORD),
        Para::Head("How it goes".into()),
        text(
            "Say what is wrong, take or describe the car, say where you are, then follow the steps. Each says what to do, where, \
             and what to expect on this very car. Readings decide where it goes on; at the end stand a finding, its \
             repair, the reading that proves it, and a report.",
        ),
        text(
            "Every reading is on disk before it is shown as kept. Stop at any time; it goes on where it stood.",
        ),
        Para::Head("Typing a reading".into()),
        text(
            "A bare number takes the unit beside the entry. Any unit of the trade may be typed with it: 51 psi, 3.5 bar, 350 kPa, \
             18 inHg vacuum, 45 kPa abs, 14.7 AFR. A comma is a decimal mark; 1,234 is asked about.",
        ),
        text(
            "A verdict is low, within or high only when the instrument can prove it; otherwise undecided, and the reading is taken \
             again.",
        ),
        text(
            "A flow may be typed as what ran into the container: 0.95 L in 15 s, 1 qt, 700 g; without a time that of the \
             step's clock counts.",
        ),
        Para::Head("The line of parts".into()),
        text(
            "Above each step runs the fuel circuit from the tank on. Under each part stands how it is by all that was seen so far: \
             cleared, set aside by a reading or a look; open, nothing said yet; likely, what was seen speaks for it, with its odds. \
             (G) is where the gauge sits. The part a step is about stands in capitals.",
        ),
        Para::Head("More".into()),
        pair("several cases", "Ctrl-N goes round those opened; each waits on disk where it stood"),
        pair("hand over", "H on the report writes one file; the start screen takes such a file in"),
        pair("a ticket", "Ctrl-T: problem, done, result, ruled out, next"),
        pair(
            "supply",
            "more power, ethanol, boost: what it feeds and what limits it, Esc U or from the start",
        ),
        pair("practice", "a fault on a simulated car, from the start; nothing of it is kept"),
        pair("who reads", "settings: an agent gets words to read aloud, and cautions the caller says back"),
        Para::Head("Keys".into()),
        pair("Enter", "take what is typed or picked; a step done"),
        pair("Esc", "the actions; on a page, back"),
        pair("arrows", "pick from a list, scroll a page"),
        pair("PgUp PgDn", "scroll any screen"),
        pair("Tab", "where the gauge sits; on the car, facts or drawings"),
        pair("I", "on the page why, or on that of the car: another instrument from here on"),
        pair("Space", "start or stop the clock of a timed step"),
        pair("?", "why this step"),
        pair("Y", "a caution was read and is so"),
        pair("Ctrl-U", "clear the line that is typed"),
        pair("End", "edit what a line holds already; typing at once replaces it"),
        pair("Ctrl-C", "leave; everything is kept"),
    ];
    for action in Action::ALL {
        let key = match action.ctrl() {
            Some(letter) => format!("Ctrl-{}", letter.to_ascii_uppercase()),
            None => format!("Esc {}", action.letter().to_ascii_uppercase()),
        };
        paras.push(Para::Pair(key, action.name().to_owned()));
    }
    paras.push(Para::Head("Words of the trade".into()));
    paras.extend(WORDS.iter().map(|(word, means)| pair(word, means)));
    paras
}
