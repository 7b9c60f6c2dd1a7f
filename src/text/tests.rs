//! Edges of the room, character by character and shape by shape, beyond the tests that stand beside the code.

use super::*;

#[test]
fn requirement_09_what_is_hidden_ends_where_the_lists_end() {
    let hidden = [
        0x00,
        0x1F,
        0x7F,
        0x9F,
        0xAD,
        0x34F,
        0x61C,
        0x115F,
        0x1160,
        0x17B4,
        0x17B5,
        0x180B,
        0x180F,
        0x200B,
        0x200F,
        0x2028,
        0x202E,
        0x2060,
        0x206F,
        0x3164,
        0xFDD0,
        0xFDEF,
        0xFE00,
        0xFE0F,
        0xFEFF,
        0xFFA0,
        0xFFF0,
        0xFFFB,
        0xFFFE,
        0xFFFF,
        0x1BCA0,
        0x1BCA3,
        0x1D173,
        0x1D17A,
        0x1FFFE,
        0x1FFFF,
        0x2FFFF,
        0xE0000,
        0xE0FFF,
        0x0010_FFFE,
        0x0010_FFFF,
    ];
    let seen = [
        0x20,
        0x7E,
        0xA0,
        0xAC,
        0xAE,
        0x34E,
        0x350,
        0x61B,
        0x61D,
        0x115E,
        0x1161,
        0x17B3,
        0x17B6,
        0x180A,
        0x1810,
        0x200A,
        0x2010,
        0x2027,
        0x202F,
        0x205F,
        0x2070,
        0x3163,
        0x3165,
        0xFDCF,
        0xFDF0,
        0xFDFF,
        0xFE10,
        0xFEFE,
        0xFF00,
        0xFF9F,
        0xFFA1,
        0xFFEF,
        0xFFFC,
        0xFFFD,
        0x1BC9F,
        0x1BCA4,
        0x1D172,
        0x1D17B,
        0x1FFFD,
        0x20000,
        0xDFFFD,
        0xE1000,
        0x0010_FFFD,
    ];
    for (codes, expected) in [(&hidden[..], true), (&seen[..], false)] {
        for code in codes {
            let c = char::from_u32(*code).unwrap();
            assert_eq!(is_hidden(c), expected, "U+{code:04X}");
            let text = format!("a{c}b");
            let shown = if expected { format!("a{{U+{code:04X}}}b") } else { text.clone() };
            assert_eq!(visible(&text), shown);
        }
    }
}

#[test]
fn requirement_10_markdown_is_escaped_only_where_it_would_act() {
    for (text, escaped) in [
        ("12. x", "12\\. x"),
        ("12) x", "12\\) x"),
        ("- x", "\\- x"),
        ("+ x", "\\+ x"),
        ("= x", "\\= x"),
        (": x", "\\: x"),
        ("a - b + c = d", "a - b + c = d"),
        ("a1. b", "a1. b"),
        ("a. b) c", "a. b) c"),
        ("www.x", "www\\.x"),
        ("WWW.X", "WWW\\.X"),
        ("vvv.x", "vvv.x"),
        ("a:b", "a\\:b"),
        ("a: b", "a: b"),
        ("a:", "a:"),
        ("a:5", "a:5"),
        ("5:30", "5\\:30"),
        ("at 5:30", "at 5:30"),
        ("a@@b@", "a`@@`b`@`"),
        ("&<>", "&amp;&lt;&gt;"),
        ("\\`*_[]#|~^$", "\\\\\\`\\*\\_\\[\\]\\#\\|\\~\\^\\$"),
        ("a\nb\u{0}", "a b{U+0000}"),
        ("", ""),
    ] {
        assert_eq!(markdown(text), escaped, "{text:?}");
    }
    for (text, block) in [
        ("", "```text\n\n```\n"),
        ("a\nb", "```text\na\nb\n```\n"),
        ("`` ` ``", "```text\n`` ` ``\n```\n"),
        ("x ``` y", "````text\nx ``` y\n````\n"),
        ("`````", "``````text\n`````\n``````\n"),
        ("\u{1b}", "```text\n{U+001B}\n```\n"),
    ] {
        assert_eq!(markdown_block(text), block, "{text:?}");
    }
}

#[test]
fn requirement_10_a_cell_is_quoted_unless_it_can_mean_one_thing_only() {
    for (text, cell) in [
        ("a b", "a b"),
        (" a", "\" a\""),
        ("a ", "\"a \""),
        ("a,b", "\"a,b\""),
        ("a;b", "\"a;b\""),
        ("a\"b", "\"a\"\"b\""),
        ("ü", "\"ü\""),
        ("x-1_2.3", "x-1_2.3"),
        ("\u{2212}2", "\u{2212}2"),
        ("\u{2212}x", "\"'\u{2212}x\""),
        ("+3", "+3"),
        (" -2", "\"' -2\""),
        ("a\nb", "\"a{U+000A}b\""),
        ("\0a", "\"'{U+0000}a\""),
        ("\na", "\"'{U+000A}a\""),
        ("5'", "\"5'\""),
    ] {
        assert_eq!(csv_cell(text), cell, "{text:?}");
    }
    assert_eq!(csv_defused("=a,\"b"), "'=a,\"b", "for a writer that quotes by itself");
}

/// Everything that counts as personal here by its shape, as its token.
#[track_caller]
fn becomes(cases: &[(&str, &str)]) {
    for (text, expected) in cases {
        assert_eq!(redact(text), *expected, "{text}");
    }
}

#[test]
fn requirement_12_shapes_of_mail_and_vehicle_numbers() {
    let local = "a".repeat(64);
    becomes(&[
        ("a@b.c", "<mail-1>"),
        ("a@b.example-.", "<mail-1>-."),
        ("a+b_c@b-d.example, x", "<mail-1>, x"),
        (&format!("{local}@b.example"), "<mail-1>"),
        ("a@b", "a@b"),
        ("a@.bc", "<mail-1>"),
        ("a@.b", "a@.b"),
        ("a@bcd", "a@bcd"),
        ("a.@bcd", "a.@bcd"),
        ("a@..", "a@.."),
        ("@b.example", "@b.example"),
        ("a b.example", "a b.example"),
        ("1ABCD23EFGH456789", "<vin-1>"),
        ("1ABCD23EFGH45678", "1ABCD23EFGH45678"),
        ("1ABCD23EFGH4567890", "1ABCD23EFGH4567890"),
        ("1ABCD23EFGH45678O", "1ABCD23EFGH45678O"),
        ("1ABCD23EFGH45678i", "1ABCD23EFGH45678i"),
        ("q1ABCD23EFGH45678", "q1ABCD23EFGH45678"),
        ("ABCDEFGHJKLMNPR12", "ABCDEFGHJKLMNPR12"),
        ("ABCDEFGHJKLMNP123", "<vin-1>"),
        ("A2345678901234567", "<vin-1>"),
    ]);
    assert_eq!(redact("12345678901234567"), "12345678901234567", "seventeen digits are neither");
    assert_eq!(
        redact(&format!("aa{local}@b.example")),
        format!("aa{local}@b.example"),
        "longer than any mailbox"
    );
}

#[test]
fn requirement_12_shapes_of_phone_numbers_dates_and_readings() {
    becomes(&[
        ("+1234567", "<phone-1>"),
        ("+123456", "+123456"),
        ("+123456789012345", "<phone-1>"),
        ("+1234567890123456", "+1234567890123456"),
        ("0123456", "<phone-1>"),
        ("012345", "012345"),
        ("(12) 34567", "<phone-1>"),
        ("1234567", "<phone-1>"),
        ("123456", "123456"),
        ("555-01422", "<phone-1>"),
        ("1-234-567-8901", "<phone-1>"),
        ("12 34 56 78", "12 34 56 78"),
        ("12-34-56-78-9", "<phone-1>"),
        ("12-34-56-78", "12-34-56-78"),
        ("123 4567", "<phone-1>"),
        ("555   0142", "<phone-1>"),
        ("555    0142", "555    0142"),
        ("5550142x", "5550142x"),
        ("555.0142", "<phone-1>"),
        ("1234.567", "1234.567"),
        ("12345.6789", "12345.6789"),
        ("100 1000 10000", "100 <phone-1>"),
        ("14.5 9 100", "14.5 9 100"),
        ("2026-11-25", "2026-11-25"),
        ("2026-1-5", "2026-1-5"),
        ("1.2.2026", "1.2.2026"),
        ("11/25/26", "11/25/26"),
        ("2026-11-25T09", "2026-11-25T09"),
        ("2026-111-25", "<phone-1>"),
        ("2026-11/25", "2026-11/25"),
        ("25.11.2026.", "25.11.2026."),
        ("01-23-45-67-89", "<phone-1>"),
        ("01.23.45.67.89", "<phone-1>"),
        ("25.11.2026 12", "25.11.2026 12"),
        ("25/11/2026 555", "25/11/2026 555"),
        ("25/11/26 1234", "25/11/26 1234"),
        ("25/11/2026/ 555", "25/11/2026/ 555"),
        ("11/25-2026 555", "<phone-1>"),
        ("255/11/26 123", "<phone-1>"),
        ("25/111/26 123", "<phone-1>"),
        ("25/11/123 456", "<phone-1>"),
        ("0.12 0.13 0.14", "0.12 0.13 0.14"),
        ("0-12.345 0.125", "<phone-1>"),
        ("01234.56 0.12", "<phone-1>"),
        ("12345 12345", "12345 12345"),
        ("12-45 12345", "<phone-1>"),
        ("01234 01234", "<phone-1>"),
        ("+3000 3500 4000", "<phone-1>"),
        ("555-0555-0555-0555-0142", "<phone-2>-<phone-1>"),
        ("5550142 0171 5550142", "<phone-2> <phone-1>"),
        ("tel 555-0142, 555 0142", "tel <phone-1>, <phone-1>"),
    ]);
}

#[test]
fn requirement_12_shapes_of_plates() {
    becomes(&[
        ("ABC123", "<plate-1>"),
        ("AB 123", "<plate-1>"),
        ("ABCD 123", "ABCD 123"),
        ("123 ABC", "<plate-1>"),
        ("12 ABC", "12 ABC"),
        ("1234 AB", "<plate-1>"),
        ("123 ABCD", "123 ABCD"),
        ("A123 BCD", "<plate-1>"),
        ("A123 BC4", "A123 BC4"),
        ("AB 12 CD", "<plate-1>"),
        ("AB 12 345", "<plate-1>"),
        ("AB 12 C3", "AB 12 C3"),
        ("AB-12", "AB-12"),
        ("AB-123", "<plate-1>"),
        ("AB-12-CD", "<plate-1>"),
        ("AB--123", "AB--123"),
        ("AB-1-2-34", "AB-1-2-34"),
        ("AB 1C34", "AB 1C34"),
        ("123 A4B", "123 A4B"),
        ("A1234", "A1234"),
        ("ABCD1", "ABCD1"),
        ("AB1234567", "AB1234567"),
        ("AB123456", "<plate-1>"),
        ("ab123", "ab123"),
        ("AB123x", "AB123x"),
        ("RPM-1234", "RPM-1234"),
        ("AB 123 and AB-123", "<plate-1> and <plate-1>"),
    ]);
}

#[test]
fn requirement_12_what_was_told_of_is_found_as_a_word_of_its_own() {
    let mut r = Redactor::new();
    assert_eq!(r.token(Personal::Name, " Bo  Li Long "), "<name-1>");
    assert_eq!(r.token(Personal::Name, "bo li long"), "<name-1>", "case and spaces make no other person");
    assert_eq!(r.token(Personal::Plate, "AB 123"), "<plate-1>");
    assert_eq!(r.token(Personal::Plate, "ab-123"), "<plate-1>");
    assert_eq!(r.token(Personal::Host, "a b"), "<host-1>");
    assert_eq!(r.token(Personal::Host, "a-b"), "<host-2>", "a dash counts in a name of a computer");
    assert_eq!(r.token(Personal::User, "x"), "<user-1>");
    for (text, expected) in [
        ("Long said", "<name-2> said"),
        ("a long way", "a <name-2> way"),
        ("longer, along", "longer, along"),
        ("Bo and Li", "Bo and Li"),
        ("bo  li long.", "<name-1>."),
        ("x marks", "x marks"),
        ("on A B", "on <host-1>"),
        ("<name-1> <name-x> <cat-1> <name-", "<name-1> <name-x> <cat-1> <name-"),
    ] {
        assert_eq!(r.redact(text), expected, "{text}");
    }
    // A word of a token may be somebody's name; the token stays whole, and what only looks like one does not.
    let mut r = Redactor::new();
    assert_eq!(r.token(Personal::Name, "Phone"), "<name-1>");
    assert_eq!(r.token(Personal::Name, "Cat"), "<name-2>");
    for (text, expected) in [
        ("phone <phone-1>", "<name-1> <phone-1>"),
        ("<cat-1>", "<<name-2>-1>"),
        ("<phone-x>", "<<name-1>-x>"),
    ] {
        assert_eq!(r.redact(text), expected, "{text}");
    }
    let kinds = [
        (Personal::Name, "name"),
        (Personal::Phone, "phone"),
        (Personal::Mail, "mail"),
        (Personal::Address, "address"),
        (Personal::Plate, "plate"),
        (Personal::Vin, "vin"),
        (Personal::Host, "host"),
        (Personal::User, "user"),
        (Personal::Path, "path"),
    ];
    for (kind, word) in kinds {
        assert_eq!((kind.word(), kind.to_string().as_str()), (word, word));
        let token = Redactor::new().token(kind, "something");
        assert_eq!(token, format!("<{word}-1>"));
        assert_eq!(Redactor::new().redact(&format!("see {token}")), format!("see {token}"));
    }
}

#[test]
fn characters_that_look_like_others_are_folded_one_for_one() {
    use super::shapes::fold;
    for (from, to) in [
        ('\u{FF01}', '!'),
        ('\u{FF5E}', '~'),
        ('Ａ', 'A'),
        ('\u{2010}', '-'),
        ('\u{2015}', '-'),
        ('\u{2212}', '-'),
        ('\u{A0}', ' '),
        ('\u{2000}', ' '),
        ('\u{202F}', ' '),
        ('\u{205F}', ' '),
        ('\u{3000}', ' '),
        ('\u{FF00}', '\u{FF00}'),
        ('\u{FF5F}', '\u{FF5F}'),
        ('é', 'é'),
    ] {
        assert_eq!(fold(from), to);
    }
}
