//! What points to a person is replaced by tokens before a copy leaves the house.

use super::shapes::{date, fold, mail, phone, plate, vin};
use std::collections::BTreeMap;
use std::fmt;

/// A kind of thing that points to a person, a car or a computer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Personal {
    /// The name of a person.
    Name,
    /// A phone number.
    Phone,
    /// An e-mail address.
    Mail,
    /// A postal address or coordinates.
    Address,
    /// A number plate.
    Plate,
    /// A vehicle identification number.
    Vin,
    /// The name of a computer.
    Host,
    /// The name of an account on a computer.
    User,
    /// A folder or file name.
    Path,
}

impl Personal {
    /// The word its tokens start with.
    pub fn word(self) -> &'static str {
        match self {
            Self::Name => "name",
            Self::Phone => "phone",
            Self::Mail => "mail",
            Self::Address => "address",
            Self::Plate => "plate",
            Self::Vin => "vin",
            Self::Host => "host",
            Self::User => "user",
            Self::Path => "path",
        }
    }
}

impl fmt::Display for Personal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

/// Replaces personal text by tokens such as `<phone-1>`; the same text gets the same token for the life of the value,
/// so a reader of the copy still sees that two places speak of the same person.
///
/// What was told of with [`Redactor::token`] is found in free text too. Beyond that free text is scanned for shapes
/// (phone, mail, VIN, plate); the scan errs on the side of replacing, and a name nobody told of is not found.
#[derive(Debug, Clone, Default)]
pub struct Redactor {
    tokens: BTreeMap<(Personal, String), usize>,
    counts: BTreeMap<Personal, usize>,
    known: Vec<(Vec<char>, Personal)>,
}

impl Redactor {
    /// A redactor that knows of nobody yet.
    pub fn new() -> Self {
        Self::default()
    }

    fn numbered(&mut self, kind: Personal, value: &[char]) -> String {
        let loose = matches!(kind, Personal::Phone | Personal::Plate | Personal::Vin);
        let same: String = value
            .iter()
            .flat_map(|c| fold(*c).to_lowercase())
            .filter(|c| if loose { c.is_alphanumeric() } else { !c.is_whitespace() })
            .collect();
        let count = self.counts.entry(kind).or_default();
        let number = *self.tokens.entry((kind, same)).or_insert_with(|| {
            *count += 1;
            *count
        });
        format!("<{}-{number}>", kind.word())
    }

    /// The token for `value`, which is known to be personal; from now on [`Redactor::redact`] finds it as well, in
    /// any case of letters, where it stands as words of its own. An empty value stays empty.
    pub fn token(&mut self, kind: Personal, value: &str) -> String {
        let value: Vec<char> = value.trim().chars().collect();
        if value.is_empty() {
            return String::new();
        }
        let folded: Vec<char> = value.iter().map(|c| fold(*c)).collect();
        let mut parts = vec![folded.clone()];
        if kind == Personal::Name {
            parts.extend(folded.split(|c| c.is_whitespace()).filter(|p| p.len() >= 3).map(<[char]>::to_vec));
        }
        for part in parts {
            if part.len() >= 2 && !self.known.iter().any(|(k, _)| same_letters(k, &part)) {
                self.known.push((part, kind));
            }
        }
        self.known.sort_by_key(|(k, _)| std::cmp::Reverse(k.len()));
        self.numbered(kind, &value)
    }

    fn shape_at(&self, text: &[char]) -> Option<(usize, Personal)> {
        let told = self.known.iter().find(|(k, _)| {
            text.len() >= k.len()
                && same_letters(k, &text[..k.len()])
                && !text.get(k.len()).is_some_and(|c| c.is_alphanumeric())
        });
        told.map(|(k, kind)| (k.len(), *kind))
            .or_else(|| mail(text).map(|n| (n, Personal::Mail)))
            .or_else(|| vin(text).map(|n| (n, Personal::Vin)))
            .or_else(|| phone(text).map(|n| (n, Personal::Phone)))
            .or_else(|| plate(text).map(|n| (n, Personal::Plate)))
    }

    /// `text` with everything personal that is known or has the shape of it replaced. What is left once a shape is gone is
    /// looked at again, because a number that ran on into another may have hidden its own shape.
    pub fn redact(&mut self, text: &str) -> String {
        let mut out = self.looked_through(text);
        loop {
            let again = self.looked_through(&out);
            if again == out {
                return out;
            }
            out = again;
        }
    }

    fn looked_through(&mut self, text: &str) -> String {
        let raw: Vec<char> = text.chars().collect();
        let folded: Vec<char> = raw.iter().map(|c| fold(*c)).collect();
        let mut out = String::with_capacity(text.len());
        let mut at = 0;
        while at < raw.len() {
            if at > 0 && folded[at - 1].is_alphanumeric() && folded[at].is_alphanumeric() {
                out.push(raw[at]);
                at += 1;
                continue;
            }
            if let Some(length) = token_at(&folded[at..]).or_else(|| date(&folded[at..])) {
                out.extend(&raw[at..at + length]);
                at += length;
            } else if let Some((length, kind)) = self.shape_at(&folded[at..]) {
                out.push_str(&self.numbered(kind, &raw[at..at + length]));
                at += length;
            } else {
                out.push(raw[at]);
                at += 1;
            }
        }
        out
    }
}

fn same_letters(a: &[char], b: &[char]) -> bool {
    a.len() == b.len() && a.iter().zip(b).all(|(x, y)| x == y || x.to_lowercase().eq(y.to_lowercase()))
}

/// The length of one of our own tokens at the start of `text`, so that redacting twice changes nothing.
fn token_at(text: &[char]) -> Option<usize> {
    if text.first() != Some(&'<') {
        return None;
    }
    let length = 1 + text.iter().take(24).position(|c| *c == '>')?;
    let inner: String = text[1..length - 1].iter().collect();
    let (word, number) = inner.split_once('-')?;
    let kinds = [
        Personal::Name,
        Personal::Phone,
        Personal::Mail,
        Personal::Address,
        Personal::Plate,
        Personal::Vin,
        Personal::Host,
        Personal::User,
        Personal::Path,
    ];
    let ours = kinds.iter().any(|k| k.word() == word) && number.parse::<usize>().is_ok();
    ours.then_some(length)
}

/// One text redacted by itself, by shapes alone; tokens count from 1. For several texts keep a [`Redactor`].
pub fn redact(text: &str) -> String {
    Redactor::new().redact(text)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn shapes_of_persons_and_cars_are_replaced() {
        for (text, expected) in [
            ("call 555-0142 after six", "call <phone-1> after six"),
            ("+1 (555) 010-0199.", "<phone-1>."),
            ("ring 0171 5550142", "ring <phone-1>"),
            ("tel:5550100199", "tel:<phone-1>"),
            ("(555) 010-0199 or 555.010.0199", "<phone-1> or <phone-1>"),
            ("write to a.b+c@mail.example.", "write to <mail-1>."),
            ("VIN 1ABCD23EFGH456789 on the dash", "VIN <vin-1> on the dash"),
            ("1abcd23efgh456789", "<vin-1>"),
            ("plate AB12 CDE, red", "plate <plate-1>, red"),
            ("ABC-1234", "<plate-1>"),
            ("XX-YZ 123", "<plate-1>"),
            ("1ABC234 and ABC 1234", "<plate-1> and <plate-2>"),
            ("＋１ ５５５ ０１０ ０１９９", "<phone-1>"),
            ("555\u{2011}0142", "<phone-1>"),
            ("  200-000-0000,", "  <phone-1>,"),
        ] {
            assert_eq!(redact(text), expected, "{text}");
        }
    }

    #[test]
    fn readings_dates_and_codes_stay() {
        for text in [
            "43.5 44.0 45.1 psi at 3000 3500 4000 RPM",
            "12.4 V, -0.2 bar, 1.234e5 Pa",
            "2026-11-25 09:40, 25.11.2026 and 11/25/26",
            "2026-11-25T09:40:20.123Z",
            "P0171 on E85, AN6 line, SAE J1930, ISO 15031, 5W30, M8x1.25",
            "3000 RPM 120 KPA 400 CFM",
            "feed-filter-blocked at step 7 of fit-gauge",
            "odometer 123456",
            "<phone-1> <plate-12>",
            "",
        ] {
            assert_eq!(redact(text), text);
        }
    }

    #[test]
    fn the_same_thing_keeps_its_token_and_told_names_are_found_in_free_text() {
        let mut redactor = Redactor::new();
        assert_eq!(redactor.token(Personal::Name, "Ada Muster"), "<name-1>");
        assert_eq!(redactor.token(Personal::Host, "bench-2"), "<host-1>");
        assert_eq!(redactor.token(Personal::Name, " "), "");
        assert_eq!(redactor.redact("ADA MUSTER said 555-0142"), "<name-1> said <phone-1>");
        assert_eq!(
            redactor.redact("on bench-2: 555 0142, then 555-0143"),
            "on <host-1>: <phone-1>, then <phone-2>"
        );
        assert_eq!(redactor.redact("Adam adapts"), "Adam adapts");
        assert!(!redactor.redact("told by muster").contains("muster"));
    }

    proptest! {
        #[test]
        fn twice_is_once(text in any::<String>()) {
            let mut redactor = Redactor::new();
            let once = redactor.redact(&text);
            prop_assert_eq!(redactor.redact(&once), once.clone());
        }

        #[test]
        fn requirement_12_a_personal_shape_never_survives(
            before in "[a-z ,.]{0,12}",
            shape in prop_oneof![
                "\\+[1-9][0-9]{9,12}",
                "[2-9][0-9]{2}-[0-9]{3}-[0-9]{4}",
                "[a-z]{1,8}\\.[a-z]{1,8}@[a-z]{2,8}\\.example",
                "[A-HJ-NPR-Z]{3}[0-9]{2}[A-HJ-NPR-Z]{6}[0-9]{6}",
                "[B-D]{3}-[0-9]{4}",
            ],
            after in "[ ,;!][a-z ]{0,12}",
        ) {
            let out = redact(&format!("{before} {shape}{after}"));
            prop_assert!(!out.contains(&shape), "{}", out);
            prop_assert!(out.starts_with(&before));
        }
    }
}
