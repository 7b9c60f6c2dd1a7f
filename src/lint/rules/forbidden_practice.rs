//! A text tells somebody to do what the trade knows to be dangerous.
//!
//! Why: no hose is crushed or clamped shut, no fuse bridged by a wire, no plug lead pulled on a running engine, no flammable
//! spray used to find leaks, nobody looks down a running or cranking throttle body, sucks on a reference hose, stalls the car
//! against its brakes, works under a car on a jack, runs a pump dry, leads fuel into the cabin, or takes volts with the meter on
//! current, which shorts the battery through its leads.
//!
//! Remedy: use a valve for the return, the right fuse, the timing light or the controller's cut-out, smoke, a hand pump, a
//! dynamometer, stands, a remote sender, and the meter on direct volts.
use crate::lint::file::FileView;
use crate::lint::rule::{Check, Found, Rule};
use crate::lint::words::{forbids, sentences, words};
use crate::tree::Level;

/// The rule.
pub const RULE: Rule = Rule {
    id: "forbidden-practice",
    level: Level::Error,
    source: include_str!("forbidden_practice.rs"),
    check: Check::File(check),
};

/// A practice: any of the first words, and within eight words after it any of the second.
const PRACTICES: &[(&str, &[&str], &[&str])] = &[
    ("closes a hose by force", &["crush", "pinch", "squeeze", "kink", "clamp", "nip"], &["hose", "return", "line", "pipe", "off"]),
    ("bridges a fuse", &["bypass", "bridge", "jumper", "jump", "short"], &["fuse", "fuses", "relay", "socket"]),
    ("pulls a live plug lead", &["pull", "lift", "remove", "unplug"], &["plug lead", "plug leads", "plug wire", "plug wires", "spark lead", "ht lead"]),
    ("sprays what burns", &["spray", "squirt"], &["cleaner", "fluid", "fuel", "ether", "petrol", "gasoline", "propane", "leak", "leaks", "intake", "manifold", "gasket"]),
    ("looks down the throttle", &["look", "peer", "watch"], &["down the throttle", "into the throttle", "down the intake", "into the running"]),
    ("sucks on a hose", &["suck", "draw", "inhale"], &["with your mouth", "by mouth", "on the hose", "on the reference", "on it", "on its hose"]),
    ("stalls against the brakes", &["stall", "brake-stall", "brake-torque", "hold"], &["against the brake", "against the brakes", "on the brakes"]),
    ("works under a jack", &["jack"], &["lie", "crawl", "work", "reach", "under"]),
    ("runs the pump dry", &["run", "switch", "power", "let"], &["pump outside the tank", "pump dry", "pump out of the tank", "pump run dry"]),
    ("leads fuel into the cabin", &["lead", "route", "run", "bring", "put", "lay", "pass"], &["into the cabin", "through the window", "inside the cabin", "into the car", "on the dashboard"]),
    ("takes volts with the meter on current", &["volts", "voltage"], &["on direct current", "on current", "on amps"]),
    ("brings a flame", &["use", "hold", "light", "bring"], &["open flame", "a flame", "a match", "a lighter", "a candle"]),
];

/// The practice a sentence orders, if it orders one.
fn ordered(sentence: &str) -> Option<&'static str> {
    if forbids(sentence) {
        return None;
    }
    let lower = sentence.to_lowercase();
    let all: Vec<&str> = words(&lower).collect();
    for (what, verbs, objects) in PRACTICES {
        for (i, word) in all.iter().enumerate() {
            // After an article or a possessive the word is a thing, not an order: "with its clamp".
            let thing = i > 0
                && ["a", "an", "the", "its", "their", "own", "of", "with", "or", "each", "every", "hose", "new", "that"]
                    .contains(&all[i - 1]);
            if thing || !verbs.contains(word) {
                continue;
            }
            let after = all[i + 1..all.len().min(i + 9)].join(" ");
            let padded = format!(" {after} ");
            if objects.iter().any(|o| padded.contains(&format!(" {o} "))) {
                return Some(what);
            }
        }
    }
    None
}

fn look(view: &FileView<'_>, path: &str, text: Option<&str>, found: &mut Found<'_>) {
    let Some(text) = text else { return };
    // A question asks whether it is so.
    let orders = sentences(text).filter(|s| !s.ends_with('?'));
    for sentence in orders {
        if let Some(what) = ordered(sentence) {
            found.in_file(view, path, format!("this {what}: '{sentence}'"));
            return;
        }
    }
}

fn check(view: &FileView<'_>, found: &mut Found<'_>) {
    for (_, s) in view.asking() {
        look(view, &format!("steps/{}/do", s.id), Some(&s.action), found);
        look(view, &format!("steps/{}/tell", s.id), s.tell.as_deref(), found);
        look(view, &format!("steps/{}/note", s.id), s.note.as_deref(), found);
    }
    for f in &view.document.findings {
        look(view, &format!("findings/{}/remedy", f.id), f.remedy.as_deref(), found);
    }
    for h in &view.document.handovers {
        look(view, &format!("handovers/{}/advice", h.id), Some(&h.advice), found);
    }
}

#[cfg(test)]
mod tests {
    use super::ordered;

    #[test]
    fn what_is_ordered_is_found_and_what_is_forbidden_or_named_is_not() {
        for bad in [
            "Pinch the return hose with pliers.",
            "Clamp off the return line.",
            "Bypass the fuse with a wire.",
            "Pull a plug lead while it idles.",
            "Spray cleaner round the manifold.",
            "Look down the throttle body while it cranks.",
            "Suck on the hose.",
            "Run the pump outside the tank.",
            "Lead the gauge hose through the window.",
            "Read volts across the posts again, meter on direct current.",
        ] {
            assert!(ordered(bad).is_some(), "{bad}");
        }
        for good in [
            "Never pinch a hose.",
            "Fit the hose on its stub with its own clamp.",
            "Put the return hose back on its stub, with its clamp.",
            "Pull the pump fuse, or one pump connector, key off.",
            "No wire bridges the socket.",
            "Let the pump run.",
            "Close the valve slowly.",
            "Read volts across the posts again, meter on direct volts.",
            "Renew the hose and its clamps, one piece, no branch.",
        ] {
            assert!(ordered(good).is_none(), "{good}");
        }
    }
}
