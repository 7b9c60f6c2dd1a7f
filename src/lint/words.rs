//! Reading the authored sentences as far as rules need: sentences, words, orders.

/// The sentences of `text`: cut after `.`, `?`, `!` or `;` and a blank or the end. A decimal point or a unit does not cut.
pub fn sentences(text: &str) -> impl Iterator<Item = &str> {
    let mut rest = text.trim();
    std::iter::from_fn(move || {
        if rest.is_empty() {
            return None;
        }
        let bytes = rest.as_bytes();
        let end = bytes.iter().enumerate().position(|(i, b)| {
            matches!(b, b'.' | b'?' | b'!' | b';') && bytes.get(i + 1).is_none_or(u8::is_ascii_whitespace)
        });
        let cut = end.map_or(rest.len(), |i| i + 1);
        let (sentence, after) = rest.split_at(cut);
        rest = after.trim_start();
        Some(sentence.trim())
    })
    .filter(|s| s.chars().any(char::is_alphanumeric))
}

/// The words of a sentence, without the marks around them. A number with its unit sign counts as written.
pub fn words(sentence: &str) -> impl Iterator<Item = &str> {
    sentence
        .split_whitespace()
        .map(|w| w.trim_matches(|c: char| !c.is_alphanumeric()))
        .filter(|w| !w.is_empty())
}

/// How many words a sentence has.
pub fn count(sentence: &str) -> usize {
    words(sentence).count()
}

/// Orders of the trade, as the word a sentence begins with. A closed list: a new verb is added here.
const VERBS: &[&str] = &[
    "add",
    "adjust",
    "aim",
    "answer",
    "apply",
    "arrange",
    "ask",
    "attach",
    "back-probe",
    "bleed",
    "blow",
    "brake",
    "bring",
    "bypass",
    "carry",
    "catch",
    "change",
    "charge",
    "check",
    "chock",
    "clamp",
    "clean",
    "clear",
    "clip",
    "close",
    "collect",
    "compare",
    "connect",
    "cool",
    "count",
    "cover",
    "crack",
    "crank",
    "crush",
    "cut",
    "cycle",
    "dip",
    "disable",
    "disconnect",
    "divert",
    "drain",
    "draw",
    "drive",
    "dry",
    "empty",
    "enable",
    "end",
    "enter",
    "expect",
    "feel",
    "fill",
    "find",
    "fit",
    "fix",
    "flick",
    "follow",
    "free",
    "get",
    "give",
    "go",
    "ground",
    "guide",
    "hang",
    "have",
    "hear",
    "hold",
    "idle",
    "insert",
    "jack",
    "keep",
    "key",
    "lay",
    "lead",
    "leave",
    "let",
    "lift",
    "light",
    "listen",
    "load",
    "lock",
    "look",
    "loosen",
    "lower",
    "make",
    "mark",
    "measure",
    "mend",
    "mount",
    "move",
    "name",
    "note",
    "observe",
    "open",
    "park",
    "pinch",
    "place",
    "plug",
    "point",
    "pour",
    "prepare",
    "press",
    "prime",
    "probe",
    "prove",
    "pull",
    "pump",
    "push",
    "put",
    "raise",
    "read",
    "rebuild",
    "record",
    "refit",
    "refuel",
    "release",
    "relieve",
    "remake",
    "remove",
    "renew",
    "repair",
    "repeat",
    "replace",
    "report",
    "reset",
    "restore",
    "rev",
    "rinse",
    "rotate",
    "route",
    "run",
    "say",
    "screw",
    "seal",
    "secure",
    "see",
    "select",
    "send",
    "set",
    "shake",
    "shine",
    "show",
    "shut",
    "smell",
    "snap",
    "sniff",
    "spin",
    "spray",
    "squeeze",
    "stand",
    "start",
    "stop",
    "store",
    "straighten",
    "suck",
    "support",
    "swap",
    "sweep",
    "switch",
    "take",
    "tap",
    "tell",
    "test",
    "tie",
    "tighten",
    "touch",
    "trace",
    "try",
    "turn",
    "unclip",
    "unplug",
    "unscrew",
    "update",
    "use",
    "vent",
    "wait",
    "walk",
    "warm",
    "wash",
    "watch",
    "wear",
    "wiggle",
    "wind",
    "wipe",
    "wire",
    "work",
    "wrap",
    "write",
    "yield",
    "zero",
];

/// Whether `word` is an order.
pub fn is_order(word: &str) -> bool {
    let lower = word.to_ascii_lowercase();
    VERBS.binary_search(&lower.as_str()).is_ok()
}

/// Words that say a sentence forbids rather than orders.
pub fn forbids(sentence: &str) -> bool {
    words(sentence).any(|w| {
        [
            "no", "not", "never", "nobody", "none", "nothing", "don't", "without", "neither", "nor",
            "cannot", "instead",
        ]
        .iter()
        .any(|n| w.eq_ignore_ascii_case(n))
    })
}

/// Whether a sentence only says how the car stands, such as "Key off, engine cool."
pub fn is_standing(sentence: &str) -> bool {
    let mut list = words(sentence);
    let first = list.next().unwrap_or("");
    let second = list.next().unwrap_or("");
    (first.eq_ignore_ascii_case("key")
        && (second.eq_ignore_ascii_case("on") || second.eq_ignore_ascii_case("off")))
        || (first.eq_ignore_ascii_case("engine")
            && ["off", "cool", "warm", "idling", "running"].iter().any(|w| second.eq_ignore_ascii_case(w)))
        || (first.eq_ignore_ascii_case("in") && second.eq_ignore_ascii_case("neutral"))
}

/// The word that follows a leading condition ("If it starts, let it die" gives "let"), or the first word.
pub fn leading_word(sentence: &str) -> &str {
    let first = words(sentence).next().unwrap_or("");
    let conditional =
        ["if", "when", "while", "before", "after", "with", "on", "in", "at", "without", "once", "from"]
            .iter()
            .any(|w| first.eq_ignore_ascii_case(w));
    if conditional && let Some((_, after)) = sentence.split_once(',') {
        return words(after).next().unwrap_or(first);
    }
    first
}

/// Whether the words `phrase` stand in `sentence` one after the other, whatever their case.
pub fn has_phrase(sentence: &str, phrase: &str) -> bool {
    let wanted: Vec<&str> = phrase.split(' ').collect();
    let all: Vec<&str> = words(sentence).collect();
    all.windows(wanted.len()).any(|w| w.iter().zip(&wanted).all(|(a, b)| a.eq_ignore_ascii_case(b)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_verbs_are_in_order() {
        assert!(VERBS.is_sorted());
    }

    #[test]
    fn sentences_end_where_people_end_them() {
        let all: Vec<&str> = sentences("Set it to 2.5 bar. Look; is it dry? Good.").collect();
        assert_eq!(all, ["Set it to 2.5 bar.", "Look;", "is it dry?", "Good."]);
        assert_eq!(sentences("  ").count(), 0);
        assert_eq!(count("Hold it at 2,500 1/min."), 5);
    }

    #[test]
    fn an_order_is_seen_after_its_condition() {
        assert_eq!(leading_word("If it starts, let it die."), "let");
        assert_eq!(leading_word("Pull the fuse."), "Pull");
        assert!(is_order("Pull") && !is_order("The"));
        assert!(is_standing("Key off, engine cool.") && !is_standing("Key it."));
        assert!(has_phrase("Work as Required here", "as required"));
    }
}
