//! The one grammar for numbers: what a person may type where a number is asked for.
//!
//! ```text
//! number   = [sign] digits [mark digits] [exponent]     sign = "+" | "-" | "−"
//! mark     = "." | ","                                   exponent = ("e" | "E") [sign] digits
//! ```
//! A comma is a decimal mark, so `3,5` is 3.5; but one to three digits, a comma and exactly three digits (`1,234`)
//! could also be a thousand and more, so it is asked about instead of guessed.

/// Why a text is not taken as a number.
#[derive(Debug, Clone, PartialEq)]
pub enum NumberError {
    /// Nothing was typed.
    Empty,
    /// `1,234`: the two things it could mean.
    Ambiguous {
        /// The value if the comma is a decimal mark.
        decimal: f64,
        /// The value if the comma groups thousands.
        grouped: f64,
    },
    /// Finite digits that no number of ours can hold (`1e999`, `1e-400`).
    OutOfRange,
    /// Anything else, with the first character that does not fit (counted in characters from 1).
    NotANumber {
        /// Place of the first character that does not fit, from 1.
        at: usize,
    },
}

impl std::fmt::Display for NumberError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Empty => write!(f, "expected a number, found nothing"),
            Self::Ambiguous { decimal, grouped } => {
                write!(f, "could mean {decimal} or {grouped}; type {decimal} or {grouped} without a comma")
            }
            Self::OutOfRange => write!(f, "is outside the range of numbers that can be stored"),
            Self::NotANumber { at } => {
                write!(f, "is not a number from character {at} on; type digits such as 43.5")
            }
        }
    }
}

impl std::error::Error for NumberError {}

/// Splits `text` into the longest leading number and what follows it (a unit, perhaps).
///
/// # Errors
/// Any [`NumberError`].
pub(super) fn split_number(text: &str) -> Result<(f64, &str), NumberError> {
    let text = text.trim();
    if text.is_empty() {
        return Err(NumberError::Empty);
    }
    let (negative, body) = match text.chars().next() {
        Some('-' | '\u{2212}') => (true, text.trim_start_matches(['-', '\u{2212}'])),
        Some('+') => (false, text.trim_start_matches('+')),
        _ => (false, text),
    };
    let signs = text.chars().count() - body.chars().count();
    if signs > 1 {
        return Err(NumberError::NotANumber { at: 2 });
    }
    let bytes = body.as_bytes();
    let digits = |from: usize| bytes[from..].iter().take_while(|b| b.is_ascii_digit()).count();
    let whole = digits(0);
    let mut end = whole;
    let mut fraction = 0;
    let mut mark = None;
    if let Some(&m) = bytes.get(end).filter(|m| matches!(m, b'.' | b',')) {
        fraction = digits(end + 1);
        if whole + fraction > 0 {
            mark = Some(m);
            end += 1 + fraction;
        }
    }
    if whole + fraction == 0 {
        return Err(NumberError::NotANumber { at: signs + 1 });
    }
    if let Some(b'.' | b',') = bytes.get(end) {
        return Err(NumberError::NotANumber { at: signs + end + 1 });
    }
    let mantissa = body[..end].replace(',', ".");
    let mut number = mantissa.clone();
    if matches!(bytes.get(end), Some(b'e' | b'E')) {
        let sign = usize::from(matches!(bytes.get(end + 1), Some(b'+' | b'-')));
        let exponent = digits(end + 1 + sign);
        if exponent > 0 {
            number.push_str(&body[end..end + 1 + sign + exponent]);
            end += 1 + sign + exponent;
        }
    }
    let value: f64 = number.parse().map_err(|_| NumberError::NotANumber { at: signs + 1 })?;
    let digits_are_zero = mantissa.bytes().all(|b| matches!(b, b'0' | b'.'));
    if !value.is_finite() || (value == 0.0 && !digits_are_zero) {
        return Err(NumberError::OutOfRange);
    }
    if mark == Some(b',') && fraction == 3 && (1..=3).contains(&whole) && !body.starts_with('0') {
        let sign = if negative { -1.0 } else { 1.0 };
        let grouped: f64 = number.replacen('.', "", 1).parse().unwrap_or(f64::INFINITY);
        return Err(NumberError::Ambiguous { decimal: sign * value, grouped: sign * grouped });
    }
    let value = if negative && value != 0.0 { -value } else { value };
    Ok((value, body[end..].trim_start()))
}

/// Reads a bare number by the grammar of this module.
///
/// # Errors
/// Any [`NumberError`]; text after the number is [`NumberError::NotANumber`].
pub fn parse_number(text: &str) -> Result<f64, NumberError> {
    let (value, rest) = split_number(text)?;
    if rest.is_empty() {
        Ok(value)
    } else {
        let kept = text.trim_end().chars().count() - rest.chars().count();
        Err(NumberError::NotANumber { at: kept + 1 })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn what_people_type() {
        for (text, value) in [
            ("3.5", 3.5),
            ("3,5", 3.5),
            (" 43.5 ", 43.5),
            ("-0", 0.0),
            ("\u{2212}2", -2.0),
            ("+7", 7.0),
            (".5", 0.5),
            ("5.", 5.0),
            ("0,500", 0.5),
            ("1.234", 1.234),
            ("1234,5", 1234.5),
            ("1e6", 1e6),
            ("1e+06", 1e6),
            ("010", 10.0),
        ] {
            assert_eq!(parse_number(text), Ok(value), "{text}");
        }
    }

    #[test]
    fn requirement_11_a_comma_before_three_digits_is_asked_about() {
        assert_eq!(parse_number("1,234"), Err(NumberError::Ambiguous { decimal: 1.234, grouped: 1234.0 }));
        assert_eq!(
            parse_number("-12,345"),
            Err(NumberError::Ambiguous { decimal: -12.345, grouped: -12345.0 })
        );
    }

    #[test]
    fn requirement_11_what_is_no_number_is_refused() {
        assert_eq!(parse_number(""), Err(NumberError::Empty));
        assert_eq!(parse_number("1e999"), Err(NumberError::OutOfRange));
        assert_eq!(parse_number("1e-400"), Err(NumberError::OutOfRange));
        for text in
            ["NaN", "inf", "infinity", "1,2,3", "1.2.3", "1,234.5", "--3", "0x10", "1_000", "٣", "e5", "."]
        {
            assert!(matches!(parse_number(text), Err(NumberError::NotANumber { .. })), "{text}");
        }
    }

    proptest! {
        #[test]
        fn every_finite_number_comes_back(value in -1e12f64..1e12) {
            prop_assert_eq!(parse_number(&format!("{value:?}")), Ok(value));
        }

        #[test]
        fn no_text_panics_and_none_gives_a_value_that_is_not_finite(text in "\\PC{0,24}") {
            if let Ok(value) = parse_number(&text) {
                prop_assert!(value.is_finite());
            }
        }
    }
}
