//! Shapes in free text that point to a person or a car: each scanner says how many characters from a place on
//! belong to such a shape.
//!
//! Text arrives folded (see [`fold`]): full-width forms, foreign dashes and hard spaces are ASCII by then. A scanner
//! is asked only where a word starts.

/// `c` as the ASCII character it looks like, where it has one; the count of characters does not change.
pub(super) fn fold(c: char) -> char {
    match c {
        '\u{FF01}'..='\u{FF5E}' => char::from_u32(u32::from(c) - 0xFEE0).unwrap_or(c),
        '\u{2010}'..='\u{2015}' | '\u{2212}' => '-',
        '\u{A0}' | '\u{2000}'..='\u{200A}' | '\u{202F}' | '\u{205F}' | '\u{3000}' => ' ',
        c => c,
    }
}

fn run(text: &[char], belongs: impl Fn(char) -> bool) -> usize {
    text.iter().take_while(|c| belongs(**c)).count()
}

/// A mail address: local part (at most 64 characters, RFC 5321), `@`, a domain with a dot.
pub(super) fn mail(text: &[char]) -> Option<usize> {
    let local =
        run(&text[..text.len().min(65)], |c| c.is_alphanumeric() || ".!#$%&'*+/=?^_`{|}~-".contains(c));
    if local == 0 || text.get(local) != Some(&'@') {
        return None;
    }
    let rest = &text[local + 1..];
    let mut domain = run(&rest[..rest.len().min(255)], |c| c.is_alphanumeric() || c == '.' || c == '-');
    while domain > 0 && matches!(text[local + domain], '.' | '-') {
        domain -= 1;
    }
    let dotted = text[local + 1..local + 1 + domain].contains(&'.');
    (dotted && domain >= 3).then_some(local + 1 + domain)
}

/// A vehicle identification number: 17 letters and digits without I, O and Q (ISO 3779), letters and digits mixed.
pub(super) fn vin(text: &[char]) -> Option<usize> {
    let length = run(text, |c| c.is_ascii_alphanumeric());
    let shape = &text[..length];
    let fits = length == 17 && !shape.iter().any(|c| matches!(c.to_ascii_uppercase(), 'I' | 'O' | 'Q'));
    let digits = shape.iter().filter(|c| c.is_ascii_digit()).count();
    (fits && (3..17).contains(&digits)).then_some(17)
}

/// A calendar date, which looks like a phone number and is none: `2026-11-25`, `25.11.2026`, `11/25/26`.
pub(super) fn date(text: &[char]) -> Option<usize> {
    let mut at = 0;
    let mut groups = Vec::new();
    let mut mark = None;
    loop {
        let digits = run(&text[at..], |c| c.is_ascii_digit());
        if digits == 0 {
            return None;
        }
        groups.push(digits);
        at += digits;
        if groups.len() == 3 {
            break;
        }
        let next = *text.get(at)?;
        if !matches!(next, '-' | '.' | '/') || mark.is_some_and(|m| m != next) {
            return None;
        }
        mark = Some(next);
        at += 1;
    }
    let day = |n: usize| n == 1 || n == 2;
    let fits = match groups[..] {
        [4, month, rest] => day(month) && day(rest),
        [first, second, year] => day(first) && day(second) && (year == 4 || year == 2),
        _ => false,
    };
    // A date that more digits are joined to is the beginning of a phone number.
    let joined = text.get(at) == mark.as_ref() && text.get(at + 1).is_some_and(char::is_ascii_digit);
    let ends = !joined && text.get(at).is_none_or(|c| !c.is_ascii_alphanumeric() || *c == 'T');
    (fits && ends).then_some(at)
}

/// A phone number: 7 to 15 digits (ITU-T E.164 allows at most 15), grouped as people group them.
///
/// A list of readings such as `43.5 44.0 45.1` or of speeds such as `3000 3500 4000` is none.
pub(super) fn phone(text: &[char]) -> Option<usize> {
    if !text.first().is_some_and(|c| c.is_ascii_digit() || matches!(c, '+' | '(')) {
        return None;
    }
    let plus = usize::from(text[0] == '+');
    let mut end = 0;
    let mut at = plus;
    let mut groups: Vec<usize> = Vec::new();
    let mut marks = String::new();
    loop {
        let digits = run(&text[at..], |c| c.is_ascii_digit());
        if digits > 0 {
            groups.push(digits);
            at += digits;
            end = at;
        }
        let between = run(&text[at..], |c| " -./()".contains(c));
        let followed = text.get(at + between).is_some_and(char::is_ascii_digit);
        let enough = groups.iter().sum::<usize>() > 15;
        if between > 3 || !followed || enough {
            break;
        }
        marks.extend(&text[at..at + between]);
        at += between;
    }
    if text.get(end).is_some_and(|c| c.is_alphanumeric()) {
        return None;
    }
    let total: usize = groups.iter().sum();
    if !(7..=15).contains(&total) {
        return None;
    }
    let word: String = text[..end].iter().collect();
    if plus == 0 && is_list_of_values(&word) {
        return None;
    }
    let dialled = plus == 1 || text[0] == '0' || text[0] == '(';
    let shaped = matches!(groups[..], [_] | [3, 4] | [3, 3, 4] | [1, 3, 3, 4] | [2..=5, 5..=9]);
    let marked = total >= 9 && marks.contains(['-', '/', '(']);
    (dialled || shaped || marked).then_some(end)
}

/// Whether each word of `text` is a value: an integer of the same length as its neighbours, or a decimal.
fn is_list_of_values(text: &str) -> bool {
    let words: Vec<&str> = text.split_whitespace().collect();
    let decimal = |w: &&str| {
        w.split_once('.').is_some_and(|(a, b)| {
            let digits = |t: &str| !t.is_empty() && t.bytes().all(|c| c.is_ascii_digit());
            digits(a) && digits(b) && a.len() <= 4 && b.len() <= 3
        })
    };
    let integer = |w: &&str| w.bytes().all(|c| c.is_ascii_digit()) && w.len() <= 5 && !w.starts_with('0');
    let decimals = words.iter().filter(|w| decimal(w)).count();
    let same = words.len() > 1 && words.iter().all(|w| integer(w) && w.len() == words[0].len());
    same || decimals > 0 && words.iter().all(|w| decimal(w) || integer(w))
}

/// Groups of capital letters that stand beside digits and name a unit, a standard or a code, not a car.
const NO_PLATE: &[&str] = &[
    "AFR", "AN", "ANSI", "AWG", "BAR", "BSP", "CC", "CFM", "CM", "CNG", "CPS", "DIN", "DTC", "EGT", "EN",
    "FPR", "GPH", "GPM", "HP", "HZ", "IAT", "IEC", "INHG", "ISO", "KG", "KM", "KPA", "KW", "LB", "LPG",
    "LPH", "MAF", "MAP", "MBAR", "ML", "MM", "MPH", "MS", "NM", "NPT", "OBD", "OHM", "PPM", "PSI", "PWM",
    "RON", "MON", "RPM", "SAE", "TPS", "UNF", "VAC", "VDC", "XV",
];

/// A number plate: 5 to 8 capital letters and digits, at least two of each, in up to three groups joined by one dash
/// or space. With spaces between, the groups must have the sizes plates have.
pub(super) fn plate(text: &[char]) -> Option<usize> {
    let belongs = |c: char| c.is_ascii_uppercase() || c.is_ascii_digit();
    let mut ends = Vec::new();
    let mut at = 0;
    while ends.len() < 3 {
        let length = run(&text[at..], belongs);
        let stop = text.get(at + length);
        if length == 0 || stop.is_some_and(|c| c.is_alphanumeric()) {
            break;
        }
        at += length;
        ends.push(at);
        if !stop.is_some_and(|c| matches!(c, '-' | ' ')) {
            break;
        }
        at += 1;
    }
    ends.into_iter().rev().find(|end| is_plate(&text[..*end].iter().collect::<String>()))
}

fn is_plate(word: &str) -> bool {
    let letters = word.chars().filter(char::is_ascii_uppercase).count();
    let digits = word.chars().filter(char::is_ascii_digit).count();
    let groups: Vec<&str> = word.split(['-', ' ']).collect();
    let letter_runs = word.split(|c: char| !c.is_ascii_uppercase()).filter(|r| !r.is_empty());
    if !(5..=8).contains(&(letters + digits)) || letters < 2 || digits < 2 {
        return false;
    }
    if letter_runs.clone().any(|r| NO_PLATE.contains(&r)) {
        return false;
    }
    let mixed = |g: &str| {
        g.chars().any(|c| c.is_ascii_digit()) && g.chars().any(|c| c.is_ascii_uppercase()) && g.len() == 4
    };
    let all = |g: &str, digit: bool| g.chars().all(|c| c.is_ascii_digit() == digit);
    !word.contains(' ')
        || match groups[..] {
            [a, b] => {
                mixed(a) && all(b, false)
                    || all(a, false) && a.len() <= 3 && all(b, true) && b.len() >= 3
                    || all(a, true) && a.len() >= 3 && all(b, false) && b.len() <= 3
            }
            [_, _, c] => all(c, true) || all(c, false),
            _ => false,
        }
}
